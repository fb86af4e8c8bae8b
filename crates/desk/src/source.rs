//! What a file of raw combine points is, told by its content, and what belongs to it.

use crate::DeskError;
use formats::points::{self, Parts, Unpacked};
use formats::taskdata::{self, Files, Form, Limits};
use std::io::{Cursor, Read};
use std::path::Path;

/// Bytes by which a file is told from others.
const TOLD_BY: u64 = 4_096;
/// Largest file that is taken into memory whole.
const MOST_BYTES: u64 = 512 << 20;

/// A file of points, or what belongs together of task data.
pub enum Source<'a> {
    /// Bytes as they come, told by their content: delimited text, a layer of a map program, or a zip
    /// archive of a layer or of task data.
    Stream(Box<dyn Read + 'a>),
    /// Task data from a folder.
    Parts(Files),
    /// A layer of a map program with what lies beside it.
    Layer(Parts),
}

impl<'a> From<&'a [u8]> for Source<'a> {
    fn from(bytes: &'a [u8]) -> Self {
        Self::Stream(Box::new(bytes))
    }
}

impl<'a> Source<'a> {
    /// What is at a path: a folder of task data, its TASKDATA.XML or a Shapefile (known by their content, with
    /// what lies beside them), or a file, which `watched` wraps on the way, knowing how many bytes it has.
    ///
    /// # Errors
    /// What cannot be opened, or a folder that holds no task data.
    pub fn at<R: Read + 'a>(
        path: &Path,
        watched: impl FnOnce(std::fs::File, u64) -> R,
    ) -> Result<Self, DeskError> {
        let name = path.display().to_string();
        let unreachable = |why: std::io::Error| DeskError::File {
            file: name.clone(),
            why: why.to_string(),
        };
        let parts = || {
            Files::from_folder(path, &name, &Limits::default())
                .map(Self::Parts)
                .map_err(|why| DeskError::Refused(why.to_string()))
        };
        let mut file = std::fs::File::open(path).map_err(unreachable)?;
        let meta = file.metadata().map_err(unreachable)?;
        if meta.is_dir() {
            return parts();
        }
        let mut head = Vec::new();
        file.by_ref()
            .take(TOLD_BY)
            .read_to_end(&mut head)
            .map_err(unreachable)?;
        if taskdata::told_by(&head) == Some(Form::Main) {
            return parts();
        }
        if points::told_by(&head) == Some(points::Form::Shapefile) {
            return Parts::at(path, &name)
                .map(Self::Layer)
                .map_err(|why| DeskError::Refused(why.to_string()));
        }
        let rest = watched(file, meta.len());
        Ok(Self::Stream(Box::new(Cursor::new(head).chain(rest))))
    }
}

/// A zip archive becomes the files in it, a layer what it is; anything else stays a stream.
pub(crate) fn unpacked<'a>(input: Source<'a>, file: &str) -> Result<Source<'a>, DeskError> {
    let Source::Stream(mut stream) = input else {
        return Ok(input);
    };
    let odd = |why: String| DeskError::File {
        file: file.to_owned(),
        why,
    };
    let mut head = Vec::new();
    stream
        .by_ref()
        .take(TOLD_BY)
        .read_to_end(&mut head)
        .map_err(|why| odd(why.to_string()))?;
    let (archive, layer) = (taskdata::told_by(&head), points::told_by(&head));
    if archive == Some(Form::Main) {
        return Err(odd("found TASKDATA.XML alone, expected its logs beside it: give the folder that it lies in, or that folder as a zip archive".to_owned()));
    }
    if archive.is_none() && layer.is_none() {
        return Ok(Source::Stream(Box::new(Cursor::new(head).chain(stream))));
    }
    stream
        .take(MOST_BYTES)
        .read_to_end(&mut head)
        .map_err(|why| odd(why.to_string()))?;
    if head.len() as u64 >= MOST_BYTES {
        let what = match archive {
            Some(_) => "the archive is larger than 512 MB; unpack it and give the folder",
            None => {
                "the file is larger than 512 MB; export the points as CSV, which is read piece by piece"
            }
        };
        return Err(odd(what.to_owned()));
    }
    if archive.is_none() {
        return Ok(Source::Layer(Parts::of(head)));
    }
    match points::unpacked(&head, file) {
        Ok(Unpacked::Layer(parts)) => Ok(Source::Layer(parts)),
        Ok(Unpacked::TaskData(files)) => Ok(Source::Parts(files)),
        Err(why) => Err(DeskError::Refused(why.to_string())),
    }
}
