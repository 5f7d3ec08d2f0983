//! Writes a file so that it is whole or not there. Refuses to know what it holds.

use std::fs::Permissions;
use std::io::{Error, ErrorKind, Result, Write};
use std::path::Path;
use tempfile::NamedTempFile;

/// So many characters of its own name begin the name of a part.
const MOST_START: usize = 40;

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
    folders_to(path)?;
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
    // What fails takes the part written with it.
    let part = write_part(path, bytes, None)?;
    match std::fs::hard_link(part.path(), path) {
        Ok(()) => Ok(()),
        Err(error) if error.kind() == ErrorKind::AlreadyExists => Err(error),
        // A disk without links: the name is taken first, so that nothing that comes to stand there meanwhile is lost.
        Err(_) => std::fs::File::create_new(path)
            .and_then(|_| keep(part, path).inspect_err(|_| drop(std::fs::remove_file(path)))),
    }
}

/// As [`create_whole`], with the folders on the way where they are not there yet.
///
/// # Errors
///
/// As [`create_whole`].
pub fn create_whole_below(path: &Path, bytes: &[u8]) -> Result<()> {
    folders_to(path)?;
    create_whole(path, bytes)
}

fn folders_to(path: &Path) -> Result<()> {
    match path.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        Some(folder) => std::fs::create_dir_all(folder),
        None => Ok(()),
    }
}

/// Moves a part to its place.
fn keep(part: NamedTempFile, path: &Path) -> Result<()> {
    part.persist(path).map(drop).map_err(|failed| failed.error)
}

fn replace(path: &Path, bytes: &[u8], permissions: Option<Permissions>) -> Result<()> {
    keep(write_part(path, bytes, permissions)?, path)
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

/// Writes a file beside a path, under a name nobody can know before: one that stands there already, or a link laid there, is
/// never written to.
fn write_part(path: &Path, bytes: &[u8], permissions: Option<Permissions>) -> Result<NamedTempFile> {
    let name = path.file_name().ok_or_else(|| Error::new(ErrorKind::InvalidInput, "no file name"))?;
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    // A name as long as a system takes has no room for more.
    let start = format!(".{}.", name.to_string_lossy().chars().take(MOST_START).collect::<String>());
    let mut builder = tempfile::Builder::new();
    builder.prefix(&start).suffix(".part");
    // As any new file: what the user's mask leaves of this.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut part = builder.tempfile_in(folder)?;
    if let Some(permissions) = permissions {
        part.as_file().set_permissions(permissions)?;
    }
    part.write_all(bytes)?;
    part.as_file().sync_all()?;
    Ok(part)
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

    #[cfg(unix)]
    #[test]
    fn links_laid_beforehand_are_not_written_through_and_rights_are_those_of_any_new_file() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("verdict.html");
        let victim = folder.path().join("victim");
        std::fs::write(&victim, "as it was").unwrap();
        symlink(&victim, folder.path().join(format!(".verdict.html.{}.part", std::process::id()))).unwrap();
        write_whole(&path, b"first").unwrap();
        assert_eq!(std::fs::read(&victim).unwrap(), b"as it was");
        // Nor is what the place itself is a link to.
        std::fs::remove_file(&path).unwrap();
        symlink(&victim, &path).unwrap();
        write_whole(&path, b"second").unwrap();
        assert_eq!(std::fs::read(&victim).unwrap(), b"as it was");
        let mode = |path: &Path| std::fs::metadata(path).unwrap().permissions().mode() & 0o777;
        let plain = folder.path().join("plain");
        std::fs::write(&plain, "x").unwrap();
        create_whole(&folder.path().join("new.yaml"), b"x").unwrap();
        assert_eq!((mode(&path), mode(&folder.path().join("new.yaml"))), (mode(&plain), mode(&plain)));
        std::fs::set_permissions(&plain, std::fs::Permissions::from_mode(0o640)).unwrap();
        rewrite_whole(&plain, b"y").unwrap();
        assert_eq!(mode(&plain), 0o640);
        // The longest name there is.
        write_whole(&folder.path().join("ä".repeat(127)), b"x").unwrap();
    }
}
