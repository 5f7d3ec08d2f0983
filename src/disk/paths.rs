//! Questions about paths: what is there, what is above, what is inside what. Reads no file.
//!
//! A path from the root is written as people write it: Windows has another form, `\\?\C:\shop`, in which `/` separates nothing.

use std::path::{Component, Path, PathBuf};

/// Whether something is at a path. What a symbolic link leads to counts, not the link.
#[must_use]
pub fn exists(path: &Path) -> bool {
    path.exists() || super::is_standard_input(path)
}

/// Whether a folder is at a path.
#[must_use]
pub fn is_folder(path: &Path) -> bool {
    path.is_dir()
}

/// The folder a file is in: `.` for a bare file name.
#[must_use]
pub fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_path_buf(),
        Some(_) => PathBuf::from("."),
        None => path.to_path_buf(),
    }
}

/// A path as seen from the folder the program was started in, where it is below it: short to read, and the same
/// wherever the folder stands.
#[must_use]
pub fn from_here(path: &Path) -> PathBuf {
    let here = std::env::current_dir().and_then(dunce::canonicalize);
    match here.ok().and_then(|here| path.strip_prefix(here).ok().map(Path::to_path_buf)) {
        Some(short) if short.as_os_str().is_empty() => PathBuf::from("."),
        Some(short) => short,
        None => path.to_path_buf(),
    }
}

/// The file of one of the names in a folder, or in the nearest folder above it that has one. `start` may be a file:
/// then the search begins in its folder. Earlier names win within one folder.
#[must_use]
pub fn find_upward(start: &Path, names: &[&str]) -> Option<PathBuf> {
    let start = dunce::canonicalize(start).ok()?;
    start
        .ancestors()
        .skip(usize::from(!start.is_dir()))
        .find_map(|folder| names.iter().map(|name| folder.join(name)).find(|file| file.is_file()))
}

/// A path without `.` and without `..` after a name, going by its letters alone.
#[must_use]
pub fn normalise(path: &Path) -> PathBuf {
    let mut plain = PathBuf::new();
    for step in path.components() {
        match step {
            Component::CurDir => {}
            Component::ParentDir => match plain.components().next_back() {
                Some(Component::Normal(_)) => {
                    plain.pop();
                }
                Some(Component::RootDir | Component::Prefix(_)) => {}
                _ => plain.push(".."),
            },
            other => plain.push(other),
        }
    }
    if plain.as_os_str().is_empty() { PathBuf::from(".") } else { plain }
}

/// Whether a file is inside a folder once every symbolic link is followed. What is not there is inside nothing.
#[must_use]
pub fn inside(root: &Path, path: &Path) -> bool {
    match (dunce::canonicalize(root), dunce::canonicalize(path)) {
        (Ok(root), Ok(path)) => path.starts_with(root),
        _ => false,
    }
}

/// The way from a folder to something in it, every symbolic link followed; none where it is elsewhere or not there.
#[must_use]
pub fn relative(root: &Path, path: &Path) -> Option<PathBuf> {
    let (root, path) = (dunce::canonicalize(root).ok()?, dunce::canonicalize(path).ok()?);
    path.strip_prefix(root).ok().map(Path::to_path_buf)
}

/// A path in one form: from the root, every symbolic link followed as far as there is something.
#[must_use]
pub fn settled(path: &Path) -> PathBuf {
    let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
    let plain = normalise(&whole);
    let there = plain.ancestors().find_map(|above| Some((above, dunce::canonicalize(above).ok()?)));
    match there {
        // Joined with nothing a path would end in a slash.
        Some((above, real)) if above == plain => real,
        Some((above, real)) => real.join(plain.strip_prefix(above).unwrap_or(above)),
        None => plain,
    }
}

/// Whether two paths lead to one thing that is there.
#[must_use]
pub fn is_same(one: &Path, other: &Path) -> bool {
    match (dunce::canonicalize(one), dunce::canonicalize(other)) {
        (Ok(one), Ok(other)) => one == other,
        _ => false,
    }
}

/// A path as it is shown: as given, with `/` between its steps.
pub(super) fn shown(path: &Path) -> String {
    let shown = path.to_string_lossy();
    if std::path::MAIN_SEPARATOR == '/' { shown.into_owned() } else { shown.replace(std::path::MAIN_SEPARATOR, "/") }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

    use super::*;

    #[test]
    fn dots_are_taken_out_by_their_letters() {
        for (written, plain) in [
            ("a/./b", "a/b"),
            ("a/../b", "b"),
            ("../a", "../a"),
            ("../../a/..", "../.."),
            ("a/..", "."),
            ("/../a", "/a"),
            ("./a//b/", "a/b"),
            ("", "."),
        ] {
            assert_eq!(normalise(Path::new(written)), PathBuf::from(plain), "{written}");
        }
    }

    #[test]
    fn the_nearest_file_above_is_found() {
        let folder = tempfile::tempdir().unwrap();
        let deep = folder.path().join("a/b");
        std::fs::create_dir_all(&deep).unwrap();
        std::fs::write(folder.path().join("shop.yaml"), "x").unwrap();
        std::fs::write(folder.path().join("a/shop.yml"), "x").unwrap();
        std::fs::write(deep.join("record.yaml"), "x").unwrap();
        std::fs::create_dir(deep.join("shop.yaml")).unwrap();
        let near = folder.path().canonicalize().unwrap().join("a/shop.yml");
        let names = ["shop.yaml", "shop.yml"];
        assert_eq!(find_upward(&deep, &names), Some(near.clone()));
        assert_eq!(find_upward(&deep.join("record.yaml"), &names), Some(near));
        assert_eq!(find_upward(&deep, &["none-such-7f3a.yaml"]), None);
        assert_eq!(find_upward(&deep.join("missing"), &names), None);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_that_leads_out_is_outside() {
        let folder = tempfile::tempdir().unwrap();
        let root = folder.path().join("books");
        std::fs::create_dir(&root).unwrap();
        std::fs::write(root.join("in.rulebook"), "x").unwrap();
        std::fs::write(folder.path().join("out.rulebook"), "x").unwrap();
        std::os::unix::fs::symlink(folder.path().join("out.rulebook"), root.join("link.rulebook")).unwrap();
        std::os::unix::fs::symlink(root.join("in.rulebook"), root.join("within.rulebook")).unwrap();
        assert!(inside(&root, &root.join("in.rulebook")));
        assert!(inside(&root, &root.join("within.rulebook")));
        assert!(!inside(&root, &root.join("link.rulebook")));
        assert!(is_same(&root.join("in.rulebook"), &root.join("../books/within.rulebook")));
        assert!(!is_same(&root.join("in.rulebook"), &root.join("link.rulebook")));
        assert!(!is_same(&root.join("missing.rulebook"), &root.join("missing.rulebook")));
        assert!(!inside(&root, &root.join("../out.rulebook")));
        assert!(!inside(&root, &root.join("missing.rulebook")));
        let longer = folder.path().join("books-old");
        std::fs::create_dir(&longer).unwrap();
        assert!(!inside(&root, &longer));
    }
}
