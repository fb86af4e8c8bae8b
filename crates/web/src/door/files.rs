//! Files that nobody else on the machine may read, written whole or not at all.
//!
//! On Unix the folder is 0700 and each file 0600 from the moment that it exists. On Windows they
//! take the protection of the user's own profile folder, which is the default place.

use super::DoorError;
use std::fs::{self, File, OpenOptions};
use std::io::Write;
use std::path::Path;

/// Makes a folder that only this user may enter; one that is there already is closed to others.
///
/// # Errors
/// A folder that cannot be made or closed.
pub fn private_folder(path: &Path) -> Result<(), DoorError> {
    fs::create_dir_all(path).map_err(|why| DoorError::file(path, why))?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        fs::set_permissions(path, fs::Permissions::from_mode(0o700))
            .map_err(|why| DoorError::file(path, why))?;
    }
    Ok(())
}

/// Writes a private file: a new one beside it, onto the disk, then in its place. Whoever reads, or
/// starts after a power cut, finds the old file or the new one, never half of one.
///
/// # Errors
/// A file that cannot be written.
pub fn write_private(path: &Path, bytes: &[u8]) -> Result<(), DoorError> {
    let beside = path.with_extension("new");
    let wrong = |why: std::io::Error| DoorError::file(path, why);
    match fs::remove_file(&beside) {
        Err(why) if why.kind() != std::io::ErrorKind::NotFound => return Err(wrong(why)),
        _ => {}
    }
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        options.mode(0o600);
    }
    let mut file = options.open(&beside).map_err(wrong)?;
    file.write_all(bytes).map_err(wrong)?;
    file.sync_all().map_err(wrong)?;
    drop(file);
    fs::rename(&beside, path).map_err(wrong)?;
    #[cfg(unix)]
    if let Some(folder) = path.parent() {
        // the new name itself is on the disk only once its folder is
        File::open(folder)
            .and_then(|folder| folder.sync_all())
            .map_err(wrong)?;
    }
    Ok(())
}

/// Reads a private file; `None` when there is none. One that others may read is refused: whatever
/// it held may have been read.
///
/// # Errors
/// A file that cannot be read, or that others may.
pub fn read_private(path: &Path) -> Result<Option<String>, DoorError> {
    match fs::metadata(path) {
        Err(why) if why.kind() == std::io::ErrorKind::NotFound => return Ok(None),
        Err(why) => return Err(DoorError::file(path, why)),
        #[cfg(unix)]
        Ok(there) => {
            use std::os::unix::fs::PermissionsExt;
            let mode = there.permissions().mode() & 0o777;
            if mode & 0o077 != 0 {
                return Err(DoorError::file(
                    path,
                    format!(
                        "others on this machine may read it (mode {mode:o}, expected 600); if nobody has, close it with chmod 600, else delete it and pair anew"
                    ),
                ));
            }
        }
        #[cfg(not(unix))]
        Ok(_) => {}
    }
    fs::read_to_string(path)
        .map(Some)
        .map_err(|why| DoorError::file(path, why))
}

/// Takes the folder for this program alone, as long as the file that is given back is kept.
///
/// # Errors
/// [`DoorError::Served`] when another program has it.
pub fn lock(folder: &Path) -> Result<File, DoorError> {
    let path = folder.join("served");
    let mut options = OpenOptions::new();
    options.write(true).create(true).truncate(false);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        options.mode(0o600);
    }
    let file = options
        .open(&path)
        .map_err(|why| DoorError::file(&path, why))?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(fs::TryLockError::WouldBlock) => Err(DoorError::Served),
        Err(fs::TryLockError::Error(why)) => Err(DoorError::file(&path, why)),
    }
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;
    use std::os::unix::fs::PermissionsExt;

    #[expect(clippy::unwrap_used, reason = "a failure in a test is to be loud")]
    fn mode(path: &Path) -> u32 {
        fs::metadata(path).unwrap().permissions().mode() & 0o777
    }

    #[test]
    fn a_private_file_is_closed_to_others_and_replaced_whole() {
        let there = tempfile::tempdir().unwrap();
        let folder = there.path().join("state");
        private_folder(&folder).unwrap();
        let file = folder.join("access.json");
        assert_eq!(read_private(&file).unwrap(), None);
        write_private(&file, b"one").unwrap();
        write_private(&file, b"two").unwrap();
        assert_eq!(read_private(&file).unwrap().as_deref(), Some("two"));
        assert_eq!((mode(&folder), mode(&file)), (0o700, 0o600));
        assert_eq!(fs::read_dir(&folder).unwrap().count(), 1);

        fs::set_permissions(&file, fs::Permissions::from_mode(0o644)).unwrap();
        let why = read_private(&file).unwrap_err().to_string();
        assert!(why.contains("mode 644"), "{why}");
    }

    #[test]
    fn a_half_written_new_file_does_not_stand_in_the_way() {
        let there = tempfile::tempdir().unwrap();
        let file = there.path().join("access.json");
        write_private(&file, b"one").unwrap();
        fs::write(file.with_extension("new"), b"ha").unwrap();
        write_private(&file, b"two").unwrap();
        assert_eq!(read_private(&file).unwrap().as_deref(), Some("two"));
    }

    #[test]
    fn a_folder_is_taken_once() {
        let there = tempfile::tempdir().unwrap();
        let first = lock(there.path()).unwrap();
        assert!(matches!(lock(there.path()), Err(DoorError::Served)));
        drop(first);
        assert!(lock(there.path()).is_ok());
    }
}
