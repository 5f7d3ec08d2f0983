//! Brings rulebooks together: reads each file once, follows `use`, and puts every book after those it uses.

use super::{Papers, ReadBook, shipped, wording};
use crate::disk;
use crate::finding::Finding;
use crate::syntax::tree::{Item, Tree, Use};
use crate::text::{Place, Source};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A chain of `use` longer than this is a mistake, not a library.
const MOST_DEEP: usize = 100;

/// Which file a book is.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Which {
    /// One inside the program.
    Shipped(String),
    /// One on disk.
    File(PathBuf),
}

/// How far a book has come.
enum Stage {
    /// It is being read; its `use` lines so far led here.
    Open,
    Done,
}

/// Books as they are gathered.
pub(super) struct Gathering<'a> {
    papers: &'a Papers,
    root: PathBuf,
    stages: BTreeMap<Which, Stage>,
    /// The books being read, outermost first, each with the place of the `use` that leads on from it.
    chain: Vec<(Which, Option<Place>)>,
    pub(super) trees: Vec<Arc<Tree>>,
    pub(super) findings: Vec<Finding>,
}

impl<'a> Gathering<'a> {
    /// Nothing gathered yet; `use` may not lead out of `root`.
    pub(super) fn new(papers: &'a Papers, root: PathBuf) -> Gathering<'a> {
        Gathering { papers, root, stages: BTreeMap::new(), chain: Vec::new(), trees: Vec::new(), findings: Vec::new() }
    }

    /// Whether a file lies open, whatever is on disk.
    pub(super) fn is_open(&self, path: &Path) -> bool {
        self.papers.exists(path)
    }

    /// Reads a book on disk and all it uses.
    pub(super) fn file(&mut self, path: &Path) {
        match self.papers.book(path) {
            Ok(book) => self.read(Which::File(disk::normalise(path)), book),
            Err(finding) => self.findings.push(finding),
        }
    }

    /// Reads every shipped book.
    pub(super) fn all_shipped(&mut self) {
        let names = shipped::names();
        self.papers.read_ahead(&names);
        for name in names {
            if let Some(book) = self.papers.shipped(name) {
                self.read(Which::Shipped(name.into()), book);
            }
        }
    }

    fn read(&mut self, which: Which, book: ReadBook) {
        if self.stages.contains_key(&which) {
            return;
        }
        let ReadBook { tree, findings } = book;
        self.findings.extend(findings.iter().cloned());
        self.stages.insert(which.clone(), Stage::Open);
        self.chain.push((which.clone(), None));
        let uses: Vec<&Use> =
            tree.items.iter().filter_map(|item| if let Item::Use(used) = item { Some(used) } else { None }).collect();
        let inside = matches!(which, Which::Shipped(_));
        let shipped: Vec<&str> =
            uses.iter().filter(|used| inside || used.shipped).map(|used| &*used.file.text).collect();
        self.papers.read_ahead(&shipped);
        for used in uses {
            self.follow(&which, used, &tree.source);
        }
        self.chain.pop();
        self.stages.insert(which, Stage::Done);
        self.trees.push(tree);
    }

    fn follow(&mut self, from: &Which, used: &Use, source: &Source) {
        let place = source.place(used.file.span);
        let name = &*used.file.text;
        let to = match (from, used.shipped) {
            (Which::Shipped(_), _) | (_, true) => Which::Shipped(name.to_string()),
            (Which::File(file), false) => Which::File(disk::normalise(&disk::folder_of(file).join(name))),
        };
        if let Some((_, leads_on)) = self.chain.last_mut() {
            *leads_on = Some(place.clone());
        }
        match self.stages.get(&to) {
            Some(Stage::Done) => return,
            Some(Stage::Open) => {
                let start = self.chain.iter().position(|(which, _)| *which == to).unwrap_or(0);
                let steps: Vec<(String, Place)> = self
                    .chain
                    .iter()
                    .skip(start)
                    .filter_map(|(which, place)| Some((which_words(which), place.clone()?)))
                    .collect();
                self.findings.push(wording::use_circle(&steps));
                return;
            }
            None => {}
        }
        if self.chain.len() > MOST_DEEP {
            self.findings.push(wording::use_too_deep(MOST_DEEP, place));
            return;
        }
        let read = match &to {
            Which::Shipped(name) => self.papers.shipped(name).ok_or_else(|| wording::shipped_missing(name, place)),
            Which::File(path) if !self.papers.exists(path) => Err(wording::use_missing(name, path, place)),
            Which::File(path) if disk::exists(path) && !disk::inside(&self.root, path) => {
                Err(wording::use_outside(name, &self.root, place))
            }
            Which::File(path) => self.papers.book(path).map_err(|finding| finding.since(place, "used here")),
        };
        match read {
            Ok(book) => self.read(to, book),
            Err(finding) => self.findings.push(finding),
        }
    }
}

fn which_words(which: &Which) -> String {
    match which {
        Which::Shipped(name) => format!("shipped {name}"),
        Which::File(path) => path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned()),
    }
}
