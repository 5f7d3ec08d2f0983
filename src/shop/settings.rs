//! `trochoid.yaml`: the shop's name, and where its rulebooks, its list of gauges and its loose parts are.

use super::{Papers, wording};
use crate::finding::{Code, Finding};
use crate::record::{self, Node, ScalarNode};
use crate::text::{Place, Source};
use std::path::Path;

/// The names the settings file may have, first choice first.
pub(super) const FILE_NAMES: [&str; 2] = ["trochoid.yaml", "trochoid.yml"];

/// What it may say.
pub(super) const KEYS: [&str; 4] = ["shop", "books", "gauges", "shelf"];

/// A settings file is a few lines.
const MOST_BYTES: u64 = 64 * 1024;

/// What the settings file says.
#[derive(Clone, Debug, Default)]
pub(super) struct Settings {
    pub(super) shop: Option<String>,
    /// Files and folders relative to the settings file; none for the shipped rulebooks.
    pub(super) books: Vec<String>,
    /// The list of gauges, relative to the settings file, and where it is named.
    pub(super) gauges: Option<(String, Place)>,
    /// The files and folders of its loose parts, relative to the settings file, and where they are named.
    pub(super) shelf: Option<(Vec<String>, Place)>,
    /// The settings file itself, for findings about the books it names.
    pub(super) source: Option<Source>,
}

/// Reads a settings file. What is wrong with it is a finding, and the rest is as if it were not there.
pub(super) fn read(papers: &Papers, path: &Path) -> (Settings, Vec<Finding>) {
    let source = match papers.read(path, MOST_BYTES) {
        Ok(source) => source,
        Err(finding) => return (Settings::default(), vec![finding]),
    };
    if source.text().trim().is_empty() {
        return (Settings { source: Some(source), ..Settings::default() }, Vec::new());
    }
    let (sheet, said) = record::read(&source);
    let mut findings: Vec<Finding> =
        said.into_iter().filter(|finding| finding.code != Code::RecordEmpty).map(wording::settings_unread).collect();
    let mut settings = Settings { source: Some(source.clone()), ..Settings::default() };
    match sheet.as_ref().and_then(|sheet| sheet.root()) {
        None => {}
        Some(Node::Map(map)) => {
            for (key, value) in map.entries() {
                settings.take(&source, key, value, &mut findings);
            }
        }
        Some(root) => findings.push(wording::settings_no_map(root.place())),
    }
    (settings, findings)
}

impl Settings {
    /// Takes one key with its value, or says what is wrong with it.
    fn take(&mut self, source: &Source, key: ScalarNode<'_>, value: Node<'_>, findings: &mut Vec<Finding>) {
        // A key with nothing after it is as if it were not there.
        if value.is_unwritten() {
            if !KEYS.contains(&key.text()) {
                findings.push(wording::settings_key(key.text(), key.place()));
            }
            return;
        }
        let at = source.place(key.span().to(value.span()));
        match (key.text(), texts(value)) {
            ("shop", Ok(Texts::One(name))) => self.shop = Some(name),
            ("gauges", Ok(Texts::One(file))) => self.gauges = Some((file, at)),
            ("books", Ok(files)) => self.books = files.all(),
            ("shelf", Ok(files)) => self.shelf = Some((files.all(), at)),
            ("shop", _) => findings.push(wording::settings_value("`shop` is the name of the shop", value.place())),
            ("gauges", _) => findings.push(wording::settings_value("`gauges` is one file", value.place())),
            (name @ ("books" | "shelf"), Err(wrong)) => {
                let said = format!("`{name}` is a file or folder, or a list of them");
                findings.push(wording::settings_value(&said, wrong));
            }
            (other, _) => findings.push(wording::settings_key(other, key.place())),
        }
    }
}

/// What stands after a key: one text, or a list of them.
enum Texts {
    One(String),
    Many(Vec<String>),
}

impl Texts {
    fn all(self) -> Vec<String> {
        match self {
            Texts::One(text) => vec![text],
            Texts::Many(texts) => texts,
        }
    }
}

/// The text or the texts of a value, or the place of what is neither.
fn texts(value: Node<'_>) -> Result<Texts, Place> {
    match value {
        Node::Scalar(text) => Ok(Texts::One(text.text().to_owned())),
        Node::List(list) => {
            let one = |item: Node<'_>| match item {
                Node::Scalar(text) => Ok(text.text().to_owned()),
                other => Err(other.place()),
            };
            list.items().map(one).collect::<Result<Vec<String>, Place>>().map(Texts::Many)
        }
        Node::Map(map) => Err(map.place()),
    }
}
