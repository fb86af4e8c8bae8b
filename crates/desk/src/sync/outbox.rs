//! An outbox that came as a file: JSON lines, the device first, then entries and photographs in any
//! order.

use super::{Batch, MOST_ENTRIES, Phone, Sent, Written, base64};
use crate::DeskError;
use book::Sha256Key;
use serde::Deserialize;

/// Largest file, bytes: a week of entries with photographs.
pub const MOST_BYTES: usize = 200 << 20;
/// Largest photograph, bytes.
pub const MOST_PHOTOGRAPH_BYTES: usize = 6 << 20;
/// The kinds of photograph that are taken.
pub const PHOTOGRAPH_TYPES: [&str; 3] = ["image/jpeg", "image/png", "image/webp"];

/// What a picture's own first bytes say it is: JPEG, PNG or WebP; nothing else is kept or shown, so
/// that no page of somebody's making is ever given out as a photograph.
pub fn picture_type(bytes: &[u8]) -> Option<&'static str> {
    if bytes.starts_with(b"\xff\xd8\xff") {
        Some("image/jpeg")
    } else if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        Some("image/png")
    } else if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        Some("image/webp")
    } else {
        None
    }
}

/// What an outbox file holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Outbox {
    /// Who wrote it, as the file says.
    pub person: String,
    /// The entries as a phone would send them, at most 500 a batch.
    pub batches: Vec<Batch>,
    /// Photographs whose bytes are those that their names promise.
    pub photographs: Vec<Photograph>,
    /// Lines that could not be read: number from 1, and why.
    pub set_aside: Vec<(usize, String)>,
}

/// A photograph of an outbox.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photograph {
    /// Its SHA-256.
    pub sha256: String,
    /// `image/jpeg`, `image/png` or `image/webp`.
    pub media_type: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

#[derive(Deserialize)]
struct Header {
    stook: String,
    device: Whose,
    #[serde(default)]
    name: Option<String>,
    person: String,
    sent_ms: i64,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum Whose {
    Id(String),
    Phone(Phone),
}

#[derive(Deserialize)]
struct Picture {
    photograph: String,
    #[serde(rename = "type")]
    media_type: String,
    base64: String,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum Line {
    Picture(Picture),
    Written(Written),
}

/// Most lines that may be set aside before the file is refused: a phone writes none such.
const MOST_ASIDE: usize = 1_000;

/// Whether a text begins as an outbox file does; to tell what was dropped on a page.
pub fn is_outbox(text: &str) -> bool {
    let first = text.trim_start_matches('\u{feff}').lines().next();
    first
        .and_then(|line| serde_json::from_str::<Header>(line).ok())
        .is_some_and(|header| header.stook == "outbox")
}

/// Reads an outbox that came as a file. A line that cannot be read is set aside and stops no other.
///
/// # Errors
/// A file that is too large, or whose first line is not an outbox's.
pub fn outbox_file(text: &str) -> Result<Outbox, DeskError> {
    let refuse = |why: String| DeskError::File {
        file: "the outbox".to_owned(),
        why,
    };
    if text.len() > MOST_BYTES {
        return Err(refuse(format!(
            "it has {} bytes, at most {MOST_BYTES} are taken; send it from the phone in pieces",
            text.len()
        )));
    }
    let mut lines = text.trim_start_matches('\u{feff}').lines();
    let header: Header = lines
        .next()
        .and_then(|line| serde_json::from_str(line).ok())
        .filter(|header: &Header| header.stook == "outbox")
        .ok_or_else(|| {
            refuse(
                "its first line is not an outbox's; choose the file that the phone's Send as a file made"
                    .to_owned(),
            )
        })?;
    let device = match header.device {
        Whose::Phone(phone) => phone,
        Whose::Id(id) => Phone {
            name: header.name.unwrap_or_else(|| id.clone()),
            id,
        },
    };
    let mut entries = Vec::new();
    let mut photographs = Vec::new();
    let mut set_aside = Vec::new();
    for (index, line) in lines.enumerate() {
        if line.trim().is_empty() {
            continue;
        }
        match serde_json::from_str(line) {
            Ok(Line::Written(entry)) => entries.push(Sent::Written(entry)),
            Ok(Line::Picture(picture)) => match photograph(picture) {
                Ok(one) => photographs.push(one),
                Err(why) => set_aside.push((index + 2, why)),
            },
            Err(_) => set_aside.push((
                index + 2,
                "it is neither an entry nor a photograph; the file may have been cut off"
                    .to_owned(),
            )),
        }
        // garbage is not read to its end
        if set_aside.len() > MOST_ASIDE {
            return Err(refuse(format!(
                "more than {MOST_ASIDE} of its lines cannot be read; it is no outbox, or it was damaged on the way"
            )));
        }
    }
    let batches = entries
        .chunks(MOST_ENTRIES)
        .map(|chunk| Batch {
            device: device.clone(),
            sent_ms: header.sent_ms,
            entries: chunk.to_vec(),
        })
        .collect();
    Ok(Outbox {
        person: header.person,
        batches,
        photographs,
        set_aside,
    })
}

fn photograph(picture: Picture) -> Result<Photograph, String> {
    if !PHOTOGRAPH_TYPES.contains(&picture.media_type.as_str()) {
        return Err(format!(
            "a photograph of type '{}', expected one of {}",
            picture.media_type.chars().take(40).collect::<String>(),
            PHOTOGRAPH_TYPES.join(", ")
        ));
    }
    let bytes = base64::decode(&picture.base64)
        .ok_or("a photograph whose base64 cannot be read; the file may have been cut off")?;
    if bytes.len() > MOST_PHOTOGRAPH_BYTES {
        return Err(format!(
            "a photograph of {} bytes, at most {MOST_PHOTOGRAPH_BYTES} are taken",
            bytes.len()
        ));
    }
    let key = Sha256Key::of(&bytes).to_string();
    if key != picture.photograph {
        return Err("a photograph whose bytes are not those that its name promises".to_owned());
    }
    Ok(Photograph {
        sha256: key,
        media_type: picture.media_type,
        bytes,
    })
}

#[cfg(test)]
mod tests {
    use super::picture_type;

    #[test]
    fn only_pictures_are_pictures() {
        assert_eq!(picture_type(b"\xff\xd8\xff\xe0rest"), Some("image/jpeg"));
        assert_eq!(picture_type(b"RIFF\x10\0\0\0WEBPVP8 "), Some("image/webp"));
        assert_eq!(
            picture_type(b"<svg xmlns=\"http://www.w3.org/2000/svg\">"),
            None
        );
        assert_eq!(picture_type(b"RIFF"), None);
    }
}
