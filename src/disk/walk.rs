//! The files of one kind below a path, in a fixed order. Refuses to know what is in them.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use walkdir::{DirEntry, IntoIter, WalkDir};

use super::paths::shown;
use super::wording;
use crate::finding::{Code, Finding, nearest};

/// The kinds of file looked for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    /// `*.yaml`, `*.yml` and `*.json`, without a shop's own files.
    Records,
    /// `*.rulebook`.
    Rulebooks,
}

/// A shop's own files: no records. Verdict sheets, `*.verdict.json`, are none either.
const NO_RECORDS: [&str; 4] = ["trochoid.yaml", "trochoid.yml", "gauges.yaml", "gauges.yml"];

/// Whether a file of this name in a folder of records is one of them, and not the shop's own on any system.
#[must_use]
pub fn is_record_name(name: &str) -> bool {
    let name = name.to_lowercase();
    !name.starts_with('.') && Kind::Records.takes(OsStr::new(&name))
}

/// Files and folders looked at for rulebooks below one folder: a tenth of a second. Common practice.
const MOST_LOOKED_AT: usize = 100_000;

/// The endings of files that a build may have been written in by mistake, in small letters.
const NEARLY_RECORDS: [&str; 11] =
    [".yaml", ".yml", ".json", ".yaml.txt", ".yml.txt", ".json.txt", ".xls", ".xlsx", ".xlsm", ".ods", ".numbers"];

impl Kind {
    /// Whether a file that is not taken may be one that was meant to be.
    fn nearly_takes(self, name: &OsStr) -> bool {
        let name = name.to_string_lossy();
        let small = name.to_lowercase();
        let own = NO_RECORDS.contains(&small.as_str()) || small.ends_with(".verdict.json");
        self == Kind::Records && !own && NEARLY_RECORDS.iter().any(|end| small.ends_with(end))
    }

    fn takes(self, name: &OsStr) -> bool {
        let name = name.to_string_lossy();
        let ends_with = |ends: &[&str]| ends.iter().any(|end| name.ends_with(end));
        match self {
            Kind::Records => {
                let own = NO_RECORDS.contains(&name.as_ref()) || ends_with(&[".verdict.json"]);
                ends_with(&[".yaml", ".yml", ".json"]) && !own
            }
            Kind::Rulebooks => ends_with(&[".rulebook"]),
        }
    }
}

/// The records at or below a path: a file is itself, whatever its name; a folder is walked, hidden files and folders
/// left out, links followed.
#[must_use]
pub fn records_below(path: &Path) -> (Vec<PathBuf>, Vec<Finding>) {
    gathered(walk(path, Kind::Records))
}

/// The rulebooks at or below a path, by the same rules.
#[must_use]
pub fn rulebooks_below(path: &Path) -> (Vec<PathBuf>, Vec<Finding>) {
    at_most(path, Kind::Rulebooks, MOST_LOOKED_AT)
}

/// The records of a folder that a settings file names, by the same rules: a folder named there may be anybody's.
#[must_use]
pub fn records_named(path: &Path) -> (Vec<PathBuf>, Vec<Finding>) {
    at_most(path, Kind::Records, MOST_LOOKED_AT)
}

/// The files of a kind in a folder, none where it holds more than so many files and folders: then it is said.
fn at_most(path: &Path, kind: Kind, most: usize) -> (Vec<PathBuf>, Vec<Finding>) {
    let mut walk = walk(path, kind);
    walk.left = most;
    let found = gathered(walk.by_ref());
    if walk.left > 0 {
        return found;
    }
    let finding = Finding::new(Code::FileUnreadable, wording::too_many_below(&shown(path), most));
    (Vec::new(), vec![finding.help(wording::TOO_MANY_HELP)])
}

fn gathered(walk: impl Iterator<Item = Result<PathBuf, Finding>>) -> (Vec<PathBuf>, Vec<Finding>) {
    let (mut files, mut findings) = (Vec::new(), Vec::new());
    for step in walk {
        match step {
            Ok(file) => files.push(file),
            Err(finding) => findings.push(finding),
        }
    }
    (files, findings)
}

/// The files of a kind at or below a path, one by one: holds the names of the open folders and no more. What could not
/// be looked into comes as a finding between them, and the walk goes on.
#[must_use]
pub fn walk(path: &Path, kind: Kind) -> Walk {
    let (first, entries) = match std::fs::metadata(path) {
        _ if super::is_standard_input(path) => (Some(Ok(path.to_owned())), None),
        Ok(metadata) if metadata.is_dir() => {
            (None, Some(WalkDir::new(path).follow_links(true).sort_by_file_name().into_iter()))
        }
        Ok(_) => (Some(Ok(path.to_owned())), None),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => (Some(Err(missing(path))), None),
        Err(error) => (Some(Err(Finding::new(Code::FileUnreadable, wording::unreadable(&shown(path), &error)))), None),
    };
    Walk { kind, first, entries, met_file: false, left: usize::MAX, skipped: Vec::new() }
}

/// A walk under way.
#[derive(Debug)]
pub struct Walk {
    kind: Kind,
    first: Option<Result<PathBuf, Finding>>,
    entries: Option<IntoIter>,
    met_file: bool,
    /// How many files and folders may still be looked at.
    left: usize,
    skipped: Vec<PathBuf>,
}

impl Walk {
    /// The files passed over so far that may be meant as records: their names end in another way.
    #[must_use]
    pub fn skipped(&self) -> &[PathBuf] {
        &self.skipped
    }

    /// What is to be said about the files passed over, if there are any.
    #[must_use]
    pub fn skipped_finding(&self) -> Option<Finding> {
        let names: Vec<String> = self.skipped.iter().map(|path| shown(path)).collect();
        (!names.is_empty())
            .then(|| Finding::new(Code::FilesSkipped, wording::skipped(&names)).help(wording::SKIPPED_HELP))
    }

    /// Whether what came last is a file for certain, and not something with a file's name: a pipe, a device.
    #[must_use]
    pub fn met_file(&self) -> bool {
        self.met_file
    }
}

impl Iterator for Walk {
    type Item = Result<PathBuf, Finding>;

    fn next(&mut self) -> Option<Self::Item> {
        self.met_file = false;
        if let Some(first) = self.first.take() {
            return Some(first);
        }
        let entries = self.entries.as_mut()?;
        loop {
            if self.left == 0 {
                return None;
            }
            let entry = entries.next()?;
            self.left -= 1;
            match entry {
                Ok(entry) if is_hidden(&entry) => {
                    if entry.file_type().is_dir() {
                        entries.skip_current_dir();
                    }
                }
                // What is neither file nor folder is taken too: reading it says what it is.
                Ok(entry) if !entry.file_type().is_dir() && self.kind.takes(entry.file_name()) => {
                    self.met_file = entry.file_type().is_file();
                    return Some(Ok(entry.into_path()));
                }
                Ok(entry) if entry.file_type().is_file() && self.kind.nearly_takes(entry.file_name()) => {
                    self.skipped.push(entry.into_path());
                }
                Ok(_) => {}
                Err(error) => {
                    if let Some(finding) = stumble(self.kind, &error) {
                        return Some(Err(finding));
                    }
                }
            }
        }
    }
}

/// What the walk stumbled over, if it matters to the kind looked for.
fn stumble(kind: Kind, error: &walkdir::Error) -> Option<Finding> {
    let path = error.path().unwrap_or_else(|| Path::new(""));
    let name = path.file_name().unwrap_or_default();
    let hidden = error.depth() > 0 && name.as_encoded_bytes().starts_with(b".");
    if hidden {
        return None;
    }
    if let Some(above) = error.loop_ancestor() {
        return Some(Finding::new(Code::FolderLoop, wording::folder_loop(&shown(path), &shown(above))));
    }
    let io = error.io_error()?;
    if io.kind() != std::io::ErrorKind::NotFound {
        return Some(Finding::new(Code::FileUnreadable, wording::unreadable(&shown(path), io)));
    }
    // A link that leads nowhere: of interest if its name says it is what is looked for.
    kind.takes(name).then(|| Finding::new(Code::FileUnreadable, wording::link_broken(&shown(path))))
}

fn is_hidden(entry: &DirEntry) -> bool {
    entry.depth() > 0 && entry.file_name().as_encoded_bytes().starts_with(b".")
}

/// A path with nothing at it, and what may have been meant.
pub(super) fn missing(path: &Path) -> Finding {
    // The step that is missing may be a folder above.
    let mut step = path;
    while let Some(above) = step.parent().filter(|above| !above.as_os_str().is_empty() && !above.exists()) {
        step = above;
    }
    let folder = step.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or_else(|| Path::new("."));
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .into_iter()
        .flatten()
        .flatten()
        .filter_map(|entry| entry.file_name().into_string().ok())
        .filter(|name| !name.starts_with('.'))
        .collect();
    names.sort_unstable();
    let meant = step
        .file_name()
        .and_then(|name| nearest(&name.to_string_lossy(), names.iter().map(String::as_str)))
        .map(|name| wording::did_you_mean(&shown(&step.with_file_name(name))));
    Finding::new(Code::PathMissing, wording::missing(&shown(step))).maybe_help(meant)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

    use super::*;

    fn folder(files: &[&str]) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        for file in files {
            let path = folder.path().join(file);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, "x").unwrap();
        }
        folder
    }

    fn names(folder: &tempfile::TempDir, files: &[PathBuf]) -> Vec<String> {
        files.iter().map(|file| shown(file.strip_prefix(folder.path()).unwrap())).collect()
    }

    #[test]
    fn records_come_in_the_order_of_their_names() {
        let folder = folder(&[
            "b/2.yml",
            "b/10.json",
            "a.yaml",
            "c.yaml",
            "b.yaml",
            "trochoid.yaml",
            "b/trochoid.yml",
            "gauges.yaml",
            "b/gauges.yml",
            ".hidden.yaml",
            ".git/x.yaml",
            "notes.txt",
            "yaml",
            "target/t.yaml",
            "parts.rulebook",
            "b/third.rulebook",
        ]);
        let (files, findings) = records_below(folder.path());
        assert_eq!(findings, []);
        assert_eq!(names(&folder, &files), ["a.yaml", "b/10.json", "b/2.yml", "b.yaml", "c.yaml", "target/t.yaml"]);
        let (files, findings) = rulebooks_below(folder.path());
        assert_eq!(
            (names(&folder, &files), findings),
            (vec!["b/third.rulebook".into(), "parts.rulebook".into()], vec![])
        );
    }

    #[test]
    fn a_file_is_itself_and_a_hidden_folder_that_is_named_is_walked() {
        let folder = folder(&["notes.txt", ".hidden/a.yaml"]);
        let file = folder.path().join("notes.txt");
        assert_eq!(records_below(&file), (vec![file], vec![]));
        let (files, _) = records_below(&folder.path().join(".hidden"));
        assert_eq!(names(&folder, &files), [".hidden/a.yaml"]);
    }

    #[test]
    fn a_missing_path_is_said_with_its_neighbour() {
        let folder = folder(&["builds/k-0147.yaml", "specs/x.rulebook"]);
        let (files, findings) = records_below(&folder.path().join("biulds"));
        assert_eq!((files.len(), findings.len()), (0, 1));
        assert_eq!(findings.first().unwrap().code, Code::PathMissing);
        let help = findings.first().unwrap().help.clone().unwrap();
        assert!(help.ends_with("/builds?"), "{help}");
        let (_, findings) = records_below(&folder.path().join("biulds/k-0147.yaml"));
        assert!(findings.first().unwrap().message.ends_with("/biulds"), "{findings:?}");
        let (_, findings) = records_below(&folder.path().join("builds/k-0174.yaml"));
        assert!(findings.first().unwrap().help.as_ref().unwrap().ends_with("builds/k-0147.yaml?"), "{findings:?}");
        let (_, findings) = records_below(&folder.path().join("quite-different"));
        assert_eq!(findings.first().unwrap().help, None);
    }

    #[test]
    fn files_that_may_be_meant_as_records_are_kept_in_mind() {
        let folder = folder(&[
            "a.yaml",
            "B.YAML",
            "c.yaml.txt",
            "d.xls",
            "e.rulebook",
            "README.md",
            "f.verdict.json",
            "F.Verdict.JSON",
            "gauges.yaml",
            "Gauges.YAML",
            ".g.yaml.txt",
            "keep.txt",
            "h.csv",
            "i/j.Yml",
        ]);
        let mut walk = walk(folder.path(), Kind::Records);
        assert_eq!(walk.by_ref().filter(Result::is_ok).count(), 1);
        assert_eq!(names(&folder, walk.skipped()), ["B.YAML", "c.yaml.txt", "d.xls", "i/j.Yml"]);
        let said = walk.skipped_finding().unwrap();
        assert!(said.message.starts_with("skipped 4 files that are not records: "), "{}", said.message);
        assert!(super::walk(folder.path(), Kind::Rulebooks).skipped_finding().is_none());
    }

    #[cfg(unix)]
    #[test]
    fn a_loop_is_said_once_and_the_walk_goes_on() {
        let folder = folder(&["a/one.yaml", "z.yaml", "linked/two.yaml"]);
        let link = |to: &str, from: &str| std::os::unix::fs::symlink(folder.path().join(to), folder.path().join(from));
        link("", "a/back").unwrap();
        link("linked", "b").unwrap();
        link("nowhere.yaml", "broken.yaml").unwrap();
        link("nowhere", "broken").unwrap();
        link("", ".hidden").unwrap();
        let (files, findings) = records_below(folder.path());
        assert_eq!(names(&folder, &files), ["a/one.yaml", "b/two.yaml", "linked/two.yaml", "z.yaml"]);
        let mut walk = walk(folder.path(), Kind::Records);
        while let Some(met) = walk.next() {
            assert_eq!(walk.met_file(), met.is_ok());
        }
        let codes: Vec<Code> = findings.iter().map(|finding| finding.code).collect();
        assert_eq!(codes, [Code::FolderLoop, Code::FileUnreadable]);
        assert!(findings.first().unwrap().message.contains("/a/back is a link back to"), "{findings:?}");
        assert!(findings.last().unwrap().message.ends_with("broken.yaml is a link to something that is not there"));
    }

    #[cfg(unix)]
    #[test]
    fn a_folder_that_may_not_be_read_is_said_and_passed() {
        use std::os::unix::fs::PermissionsExt;
        let folder = folder(&["a/one.yaml", "shut/two.yaml", "z.yaml"]);
        let shut = folder.path().join("shut");
        std::fs::set_permissions(&shut, std::fs::Permissions::from_mode(0o000)).unwrap();
        // Whoever may read everything (an administrator) finds nothing shut.
        let all = std::fs::read_dir(&shut).is_ok();
        let (files, findings) = records_below(folder.path());
        std::fs::set_permissions(&shut, std::fs::Permissions::from_mode(0o755)).unwrap();
        if all {
            assert_eq!((files.len(), findings.len()), (3, 0));
        } else {
            assert_eq!(names(&folder, &files), ["a/one.yaml", "z.yaml"]);
            assert!(findings.first().unwrap().message.ends_with("/shut cannot be read: no permission to read it"));
        }
    }
}
