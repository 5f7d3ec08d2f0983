//! Writes a file so that it is whole or not there. Refuses to know what it holds.

use std::fs::Permissions;
use std::io::{Error, ErrorKind, Result, Write};
use std::path::Path;

/// Writes a file beside its place and moves it there: whoever reads it sees the old one or the new one, whole.
///
/// # Errors
///
/// What the disk says; what stood at the path before then still does.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<()> {
    replace(path, bytes, None)
}

/// As [`write_whole`], with the folders on the way where they are not there yet.
///
/// # Errors
///
/// What the disk says; what stood at the path before then still does.
pub fn write_whole_below(path: &Path, bytes: &[u8]) -> Result<()> {
    if let Some(folder) = path.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        std::fs::create_dir_all(folder)?;
    }
    write_whole(path, bytes)
}

/// Writes a file that is not there yet, whole or not at all. One that is there already is never touched.
///
/// # Errors
///
/// [`ErrorKind::AlreadyExists`] where something stands at the path; else what the disk says, and nothing stands there then.
pub fn create_whole(path: &Path, bytes: &[u8]) -> Result<()> {
    if std::fs::symlink_metadata(path).is_ok() {
        return Err(Error::from(ErrorKind::AlreadyExists));
    }
    let beside = beside(path)?;
    let written = write_new(&beside, bytes, None).and_then(|()| match std::fs::hard_link(&beside, path) {
        Ok(()) => Ok(()),
        Err(error) if error.kind() == ErrorKind::AlreadyExists => Err(error),
        // A disk without links: the name is taken first, so that nothing that comes to stand there meanwhile is lost.
        Err(_) => std::fs::File::create_new(path)
            .and_then(|_| std::fs::rename(&beside, path).inspect_err(|_| drop(std::fs::remove_file(path)))),
    });
    // The link holds the file now, or the first failure is the one worth telling.
    let _ = std::fs::remove_file(&beside);
    written
}

/// The name of the file that is written first.
fn beside(path: &Path) -> Result<std::path::PathBuf> {
    let name = path.file_name().ok_or_else(|| Error::new(ErrorKind::InvalidInput, "no file name"))?;
    let mut beside = std::ffi::OsString::from(".");
    beside.push(name);
    beside.push(format!(".{}.part", std::process::id()));
    Ok(path.with_file_name(beside))
}

fn replace(path: &Path, bytes: &[u8], permissions: Option<Permissions>) -> Result<()> {
    let beside = beside(path)?;
    let written = write_new(&beside, bytes, permissions).and_then(|()| std::fs::rename(&beside, path));
    if written.is_err() {
        // The first failure is the one worth telling.
        let _ = std::fs::remove_file(&beside);
    }
    written
}

/// Writes a file that is there anew, as [`write_whole`] does: a link stays a link to the file it leads to, and who may
/// read and write it stays as it is. A file that may not be written is not replaced either.
///
/// # Errors
///
/// What the disk says; what stood at the path before then still does.
pub fn rewrite_whole(path: &Path, bytes: &[u8]) -> Result<()> {
    let path = std::fs::canonicalize(path)?;
    let permissions = std::fs::metadata(&path)?.permissions();
    if permissions.readonly() {
        return Err(Error::from(ErrorKind::PermissionDenied));
    }
    replace(&path, bytes, Some(permissions))
}

fn write_new(path: &Path, bytes: &[u8], permissions: Option<Permissions>) -> Result<()> {
    let mut file = std::fs::File::create(path)?;
    if let Some(permissions) = permissions {
        file.set_permissions(permissions)?;
    }
    file.write_all(bytes)?;
    file.sync_all()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

    use super::*;

    #[test]
    fn a_new_file_is_whole_and_an_old_one_is_as_it_was() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("K-1.yaml");
        create_whole(&path, b"first").unwrap();
        assert_eq!(create_whole(&path, b"second").unwrap_err().kind(), ErrorKind::AlreadyExists);
        assert_eq!(std::fs::read(&path).unwrap(), b"first");
        let taken = folder.path().join("folder");
        std::fs::create_dir(&taken).unwrap();
        assert_eq!(create_whole(&taken, b"x").unwrap_err().kind(), ErrorKind::AlreadyExists);
        let missing = folder.path().join("missing/K-1.yaml");
        assert_eq!(create_whole(&missing, b"x").unwrap_err().kind(), ErrorKind::NotFound);
        assert!(!missing.exists() && create_whole(Path::new("/"), b"x").is_err());
        #[cfg(unix)]
        {
            // A link that leads nowhere is somebody's too.
            let link = folder.path().join("link.yaml");
            std::os::unix::fs::symlink("nowhere.yaml", &link).unwrap();
            assert_eq!(create_whole(&link, b"x").unwrap_err().kind(), ErrorKind::AlreadyExists);
            std::fs::remove_file(&link).unwrap();
        }
        let mut left: Vec<_> = std::fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().file_name()).collect();
        left.sort();
        assert_eq!(left, ["K-1.yaml", "folder"]);
    }

    #[test]
    fn a_file_is_replaced_whole_and_nothing_is_left_beside() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("verdict.html");
        write_whole(&path, b"first").unwrap();
        write_whole(&path, b"second, longer").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"second, longer");
        let taken = folder.path().join("folder");
        std::fs::create_dir_all(taken.join("full")).unwrap();
        assert!(write_whole(&taken, b"x").is_err());
        assert!(write_whole(&folder.path().join("missing/verdict.html"), b"x").is_err());
        assert!(write_whole(Path::new("/"), b"x").is_err());
        let mut left: Vec<_> = std::fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().file_name()).collect();
        left.sort();
        assert_eq!(left, ["folder", "verdict.html"]);
    }
}
