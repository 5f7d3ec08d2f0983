//! What each column of a table is: by its heading, or by a column map, `heading: reading`. Refuses to know the lines below.

use super::about::About;
use super::leaves::Leaves;
use super::table::Cell;
use super::wording;
use crate::book::{Generation, Id, Part};
use crate::finding::Finding;
use crate::record::{self, Node};
use crate::shop::Shop;
use crate::text::{Place, Source};

/// The further columns of a table with a reading a line.
pub(super) const OF_A_READING: [&str; 4] = ["path", "value", "unit", "gauge"];

/// The word for a column that is left out.
pub(super) const SKIP: &str = "skip";

/// A column map as read.
#[derive(Clone, Debug, Default)]
pub struct Columns {
    entries: Vec<Entry>,
}

/// What a column map says of one heading.
#[derive(Clone, Debug)]
struct Entry {
    heading: String,
    place: Place,
    what: String,
    what_place: Place,
    unit: Option<String>,
    gauge: Option<String>,
}

/// What a column is.
#[derive(Clone, Debug)]
pub(super) struct Column {
    /// A word of [`super::about::About::columns`] or [`OF_A_READING`], or a path; none where it is left out.
    pub(super) what: Option<String>,
    /// Where that is said: the heading, or the column map.
    pub(super) place: Place,
    pub(super) unit: Option<String>,
    pub(super) gauge: Option<String>,
    /// Whether the map says that a word is a reading all the same.
    reading: bool,
}

impl Column {
    /// Whether it is the column of a word about a build or a line.
    pub(super) fn is_word(&self, word: &str) -> bool {
        !self.reading && self.what.as_deref() == Some(word)
    }
}

impl Columns {
    /// Reads a column map: a heading a key, and behind it what the column is (`build`, `finished`, `generation`, the path of a
    /// reading, `skip`), or a map of `reading`, `unit` and `gauge`.
    #[must_use]
    pub fn read(source: &Source) -> (Columns, Vec<Finding>) {
        let (sheet, mut findings) = record::read(source);
        let mut columns = Columns::default();
        let Some(sheet) = sheet else { return (columns, findings) };
        let Some(Node::Map(map)) = sheet.root() else {
            let place = sheet.root().map_or_else(|| source.place(crate::text::Span::default()), |root| root.place());
            findings.push(wording::no_map(place));
            return (columns, findings);
        };
        for (key, value) in map.entries() {
            let mut entry = Entry {
                heading: key.text().to_string(),
                place: key.place(),
                what: String::new(),
                what_place: value.place(),
                unit: None,
                gauge: None,
            };
            match value {
                Node::Scalar(said) => entry.what = said.text().to_string(),
                Node::Map(said) => {
                    for (key, value) in said.entries() {
                        let Node::Scalar(scalar) = value else {
                            findings.push(wording::map_key(key.place(), key.text()));
                            continue;
                        };
                        // What stands open is as if it were not there.
                        let text = Some(scalar.text().to_string()).filter(|text| !text.is_empty());
                        match key.text() {
                            "reading" => {
                                entry.what = text.unwrap_or_default();
                                entry.what_place = scalar.place();
                            }
                            "unit" => entry.unit = text,
                            "gauge" => entry.gauge = text,
                            other => findings.push(wording::map_key(key.place(), other)),
                        }
                    }
                }
                Node::List(list) => findings.push(wording::map_key(list.place(), key.text())),
            }
            if entry.what.is_empty() && !matches!(value, Node::List(_)) {
                findings.push(wording::map_says_nothing(entry.place.clone(), &entry.heading));
            }
            columns.entries.push(entry);
        }
        (columns, findings)
    }

    /// What each heading stands for; and what is wrong with headings of the map that the table does not have.
    pub(super) fn of(map: Option<&Columns>, source: &Source, headings: &[Cell]) -> (Vec<Column>, Vec<Finding>) {
        let entries = map.map_or(&[][..], |map| &map.entries);
        let trimmed: Vec<&str> = headings.iter().map(|heading| heading.text.trim()).collect();
        let columns = headings.iter().zip(&trimmed).map(|(heading, name)| {
            let said = entries.iter().find(|entry| entry.heading.trim() == *name);
            let place = source.place(heading.span);
            match said {
                Some(entry) => Column {
                    what: (entry.what != SKIP).then(|| entry.what.clone()),
                    place: entry.what_place.clone(),
                    unit: entry.unit.clone(),
                    gauge: entry.gauge.clone(),
                    reading: entry.unit.is_some(),
                },
                // A column without a heading has nothing to say, where nothing stands in it.
                None => Column { what: Some((*name).to_string()), place, unit: None, gauge: None, reading: false },
            }
        });
        let columns = columns.collect();
        let absent = entries.iter().filter(|entry| !trimmed.contains(&entry.heading.trim()));
        let findings = absent.map(|entry| wording::no_such_heading(entry.place.clone(), &entry.heading, &trimmed));
        (columns, findings.collect())
    }
}

/// A column map of a generation, or of a kind of loose part of it, to fill in: for each reading a line, with the unit its book
/// declares.
#[must_use]
pub fn map_for(shop: &Shop, part: Option<Id<Part>>, generation: Id<Generation>) -> String {
    let about = if part.is_some() { About::PART } else { About::BUILD };
    let mut out = String::from(wording::MAP_HEAD);
    for word in [about.name, about.day] {
        out.push_str(&format!("{word}: {word}\n"));
    }
    for leaf in Leaves::of(shop, part, Some(generation)).map(|leaves| leaves.leaves).unwrap_or_default() {
        let path = leaf.path();
        let sign = if leaf.optional { "# " } else { "" };
        match leaf.unit() {
            Some(unit) => {
                out.push_str(&format!("{sign}{path}: {{ reading: {path}, unit: {} }}\n", super::write::scalar(unit)));
            }
            None => out.push_str(&format!("{sign}{path}: {path}\n")),
        }
    }
    out
}
