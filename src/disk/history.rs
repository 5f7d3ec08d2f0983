//! The files of a git repository at an earlier revision, read by a library: no program is run, whatever the repository says.
//!
//! A repository may have been made by somebody else. Its settings name programs, its objects may be missing, be links or never
//! end. So its settings are read with no trust and never followed elsewhere, only a folder named `.git` (or the one that the
//! environment names) counts as a repository, and what is taken from it is bounded.

use super::{MOST_BOOK_BYTES, Scratch};
use gix::ObjectId;
use gix::bstr::BStr;
use gix::objs::Kind;
use gix::objs::tree::EntryKind;
use std::borrow::Cow;
use std::collections::{BTreeMap, VecDeque};
use std::ffi::OsStr;
use std::path::{Component, Path, PathBuf};

/// Entries of folders looked at in one revision; those of a very large repository are fewer. Common practice.
const MOST_ENTRIES: usize = 1_000_000;

/// Files taken out of one revision, those reached by links included. Common practice.
const MOST_FILES: usize = 20_000;

/// Bytes taken out of one revision: 256 MiB. Common practice.
const MOST_BYTES: u64 = 256 << 20;

/// The largest folder read: 64 MiB, as its repository packs it. Common practice.
const MOST_FOLDER_BYTES: u64 = 64 << 20;

/// The longest text of a link, as systems bound it.
const MOST_LINK_BYTES: u64 = 4096;

/// Links followed one after another, as systems bound it.
const MOST_LINKS: usize = 40;

/// Why nothing is brought.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum HistoryFault {
    /// No repository, or one that cannot be read: why.
    NoRepository(String),
    /// The revision is not there: why.
    NoRevision(String),
    /// The text of a file is not in the repository.
    NoText(PathBuf),
    /// A file is larger than what is read of one: so many bytes.
    TooLarge(PathBuf, u64),
    /// More than so many of what the word says.
    TooMany(usize, &'static str),
    /// What the disk says of the folder the files go into.
    Disk(String),
}

/// A repository, and the folder its files belong in.
pub struct History {
    repository: gix::Repository,
    top: PathBuf,
}

impl std::fmt::Debug for History {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.debug_struct("History").field("top", &self.top).finish_non_exhaustive()
    }
}

impl History {
    /// The repository that a folder is in: the one that `GIT_DIR` names, where its work tree holds the folder, or that of the
    /// nearest `.git` in or above it. A bare repository is never taken for one by what lies in it.
    ///
    /// # Errors
    /// Where there is none, or it cannot be read.
    pub fn of(folder: &Path) -> Result<History, HistoryFault> {
        let fault = |said: &dyn std::fmt::Display| HistoryFault::NoRepository(said.to_string());
        let folder = dunce::canonicalize(folder).map_err(|error| fault(&error))?;
        let above = folder.ancestors().find(|above| above.join(".git").symlink_metadata().is_ok());
        if let Some(named) = variable("GIT_DIR") {
            let repository = open(&named)?;
            let git_dir = dunce::canonicalize(repository.path()).ok();
            // A linked work tree has a `.git` that leads to the folder named.
            let beside = above.filter(|_| variable("GIT_WORK_TREE").is_none()).filter(|above| {
                git_dir.is_some()
                    && open(&above.join(".git")).is_ok_and(|one| dunce::canonicalize(one.path()).ok() == git_dir)
            });
            let top = match (beside, variable("GIT_WORK_TREE")) {
                (Some(above), _) => Some(above.to_path_buf()),
                (None, Some(top)) => dunce::canonicalize(top).ok(),
                (None, None) => dunce::canonicalize(".").ok(),
            };
            if let Some(top) = top.filter(|top| folder.starts_with(top)) {
                return Ok(History { repository, top });
            }
        }
        let above = above.ok_or_else(|| fault(&"there is no .git in or above its folder"))?;
        Ok(History { repository: open(&above.join(".git"))?, top: above.to_path_buf() })
    }

    /// The folder its files belong in.
    #[must_use]
    pub fn top(&self) -> &Path {
        &self.top
    }

    /// Brings the files of a revision whose names are wanted. A link that is wanted becomes the file it leads to; one that leads
    /// out of the repository, to nothing or to something else becomes a link to nothing, so that whoever reads it says so. A
    /// folder that is a link has the files of the folder it leads to.
    ///
    /// # Errors
    /// Where the revision is not there, or not all of it can be brought.
    pub fn bring(&self, revision: &str, wanted: impl Fn(&OsStr) -> bool, into: &Scratch) -> Result<(), HistoryFault> {
        let found = self.repository.rev_parse_single(<&BStr>::from(revision));
        let tree = found
            .and_then(|id| id.object())
            .and_then(gix::Object::peel_to_commit)
            .and_then(|commit| commit.tree_id())
            .map_err(|said| HistoryFault::NoRevision(said.to_string()))?
            .detach();
        let mut reading =
            Reading { repository: &self.repository, files: BTreeMap::new(), links: BTreeMap::new(), bytes: 0 };
        reading.walk(tree, &wanted)?;
        let broken = reading.follow(tree, &wanted)?;
        let disk = |error: std::io::Error| HistoryFault::Disk(error.to_string());
        for (path, id) in std::mem::take(&mut reading.files) {
            let text = reading.text(&path, id, MOST_BOOK_BYTES)?;
            into.put(&path, &text).map_err(disk)?;
        }
        for path in broken {
            into.put_broken(&path).map_err(disk)?;
        }
        Ok(())
    }
}

/// A path that the environment names.
fn variable(name: &str) -> Option<PathBuf> {
    std::env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from)
}

/// Opens a repository with no trust in what it says: none but its own settings file, and of that nothing that names a program.
fn open(git_dir: &Path) -> Result<gix::Repository, HistoryFault> {
    let options = gix::open::Options::isolated().open_path_as_is(true).with(gix::sec::Trust::Reduced);
    gix::open_opts(git_dir, options).map_err(|said| HistoryFault::NoRepository(said.to_string()))
}

/// A revision while it is read.
struct Reading<'a> {
    repository: &'a gix::Repository,
    /// What is to be brought.
    files: BTreeMap<PathBuf, ObjectId>,
    /// Where each link leads, as it says it.
    links: BTreeMap<PathBuf, PathBuf>,
    bytes: u64,
}

impl Reading<'_> {
    /// Looks at every folder, with a stack of its own.
    fn walk(&mut self, top: ObjectId, wanted: &impl Fn(&OsStr) -> bool) -> Result<(), HistoryFault> {
        let mut open = vec![(PathBuf::new(), top)];
        let mut entries = 0;
        while let Some((folder, id)) = open.pop() {
            let bytes = self.object(&folder, id, Kind::Tree, MOST_FOLDER_BYTES)?;
            for entry in gix::objs::TreeRefIter::from_bytes(&bytes, self.repository.object_hash()) {
                let Ok(entry) = entry else { return Err(HistoryFault::NoText(folder)) };
                entries += 1;
                if entries > MOST_ENTRIES {
                    return Err(HistoryFault::TooMany(MOST_ENTRIES, "files and folders"));
                }
                let Some(name) = step(entry.filename) else { continue };
                let path = folder.join(&*name);
                match entry.mode.kind() {
                    EntryKind::Tree => open.push((path, entry.oid.to_owned())),
                    EntryKind::Blob | EntryKind::BlobExecutable => {
                        if wanted(name.as_os_str()) {
                            self.take(path, entry.oid.to_owned())?;
                        }
                    }
                    EntryKind::Link => {
                        // What cannot be read leads nowhere.
                        let text = self.object(&path, entry.oid.to_owned(), Kind::Blob, MOST_LINK_BYTES);
                        let to = text.ok().and_then(|text| text_path(&text)).unwrap_or_default();
                        self.links.insert(path, to);
                    }
                    // Another repository.
                    EntryKind::Commit => {}
                }
            }
        }
        Ok(())
    }

    fn take(&mut self, path: PathBuf, id: ObjectId) -> Result<(), HistoryFault> {
        self.files.insert(path, id);
        if self.files.len() > MOST_FILES {
            return Err(HistoryFault::TooMany(MOST_FILES, "rulebooks"));
        }
        Ok(())
    }

    /// Takes what the links lead to; gives those that are wanted and lead to no file.
    fn follow(&mut self, top: ObjectId, wanted: &impl Fn(&OsStr) -> bool) -> Result<Vec<PathBuf>, HistoryFault> {
        let (mut broken, mut folders) = (Vec::new(), Vec::new());
        for link in self.links.keys().cloned().collect::<Vec<_>>() {
            let is_wanted = link.file_name().is_some_and(wanted);
            match self.leads_to(&link).and_then(|path| Some((self.at(top, &path)?, path))) {
                Some(((Kind::Tree, _), path)) => folders.push((link, path)),
                Some(((_, id), _)) if is_wanted => self.take(link, id)?,
                _ if is_wanted => broken.push(link),
                _ => {}
            }
        }
        // A folder reached by a link may hold another one.
        for _ in 0..folders.len().min(MOST_LINKS) {
            let before = self.files.len();
            for (link, path) in folders.iter().filter(|(link, path)| !link.starts_with(path)) {
                let below: Vec<_> =
                    self.files.iter().filter_map(|(file, id)| Some((file.strip_prefix(path).ok()?, *id))).collect();
                for (rest, id) in below.into_iter().map(|(rest, id)| (link.join(rest), id)).collect::<Vec<_>>() {
                    self.take(rest, id)?;
                }
            }
            if self.files.len() == before {
                break;
            }
        }
        Ok(broken)
    }

    /// Where a link leads inside the repository, every further link on the way followed; none where it leads out or in a circle.
    fn leads_to(&self, link: &Path) -> Option<PathBuf> {
        let mut at = PathBuf::new();
        let mut ahead: VecDeque<PathBuf> = link.components().map(|step| PathBuf::from(step.as_os_str())).collect();
        let mut followed = 0;
        while let Some(step) = ahead.pop_front() {
            match step.components().next()? {
                Component::CurDir => {}
                Component::ParentDir => at.pop().then_some(())?,
                Component::Normal(name) => {
                    at.push(name);
                    if let Some(to) = self.links.get(&at) {
                        followed += 1;
                        if followed > MOST_LINKS {
                            return None;
                        }
                        at.pop();
                        let steps = to.components().map(|step| PathBuf::from(step.as_os_str())).collect::<Vec<_>>();
                        if steps.is_empty() {
                            return None;
                        }
                        steps.into_iter().rev().for_each(|step| ahead.push_front(step));
                    }
                }
                Component::RootDir | Component::Prefix(_) => return None,
            }
        }
        Some(at)
    }

    /// The file or folder at a path.
    fn at(&self, top: ObjectId, path: &Path) -> Option<(Kind, ObjectId)> {
        let mut id = top;
        let mut steps = path.components().peekable();
        if steps.peek().is_none() {
            return Some((Kind::Tree, top));
        }
        while let Some(wanted) = steps.next() {
            let bytes = self.object(path, id, Kind::Tree, MOST_FOLDER_BYTES).ok()?;
            let mut entries = gix::objs::TreeRefIter::from_bytes(&bytes, self.repository.object_hash()).flatten();
            let entry = entries.find(|entry| step(entry.filename).is_some_and(|name| *name == *wanted.as_os_str()))?;
            id = entry.oid.to_owned();
            match (entry.mode.kind(), steps.peek()) {
                (EntryKind::Tree, None) => return Some((Kind::Tree, id)),
                (EntryKind::Tree, Some(_)) => {}
                (EntryKind::Blob | EntryKind::BlobExecutable, None) => return Some((Kind::Blob, id)),
                _ => return None,
            }
        }
        None
    }

    /// The text of a file.
    fn text(&mut self, path: &Path, id: ObjectId, most: u64) -> Result<Vec<u8>, HistoryFault> {
        let text = self.object(path, id, Kind::Blob, most)?;
        self.bytes = self.bytes.saturating_add(text.len() as u64);
        if self.bytes > MOST_BYTES {
            return Err(HistoryFault::TooMany(usize::try_from(MOST_BYTES >> 20).unwrap_or(0), "MiB of rulebooks"));
        }
        Ok(text)
    }

    /// An object that is of a kind and not too large, looked at before it is unpacked.
    fn object(&self, path: &Path, id: ObjectId, kind: Kind, most: u64) -> Result<Vec<u8>, HistoryFault> {
        let missing = || HistoryFault::NoText(path.to_path_buf());
        let header = self.repository.find_header(id).map_err(|_| missing())?;
        if header.kind() != kind {
            return Err(missing());
        }
        if header.size() > most {
            return Err(HistoryFault::TooLarge(path.to_path_buf(), header.size()));
        }
        Ok(self.repository.find_object(id).map_err(|_| missing())?.detach().data)
    }
}

/// A name in a folder as a step of a path: none where it is no single step here.
fn step(name: &BStr) -> Option<Cow<'_, Path>> {
    let path = native(name)?;
    let mut steps = path.components();
    let lone = matches!((steps.next(), steps.next()), (Some(Component::Normal(_)), None));
    (lone && !name.contains(&b'/')).then_some(path)
}

/// The path a link says.
fn text_path(text: &[u8]) -> Option<PathBuf> {
    native(<&BStr>::from(text)).map(Cow::into_owned)
}

#[cfg(unix)]
fn native(bytes: &BStr) -> Option<Cow<'_, Path>> {
    let bytes: &[u8] = bytes;
    Some(Cow::Borrowed(Path::new(<OsStr as std::os::unix::ffi::OsStrExt>::from_bytes(bytes))))
}

#[cfg(not(unix))]
fn native(bytes: &BStr) -> Option<Cow<'_, Path>> {
    let bytes: &[u8] = bytes;
    std::str::from_utf8(bytes).ok().map(|text| Cow::Borrowed(Path::new(text)))
}
