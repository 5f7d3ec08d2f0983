//! Makes records of a shop's table of readings, in the order of an empty record, every number as it was typed. Refuses to guess
//! what a cell means, to judge what it says, and to know where a record goes.
//!
//! A table is text as spreadsheets save it: cells parted by commas, semicolons or tabs, the first line the headings. It has one of
//! two shapes: a build a line, with a column for each reading, or a reading a line, with the columns `build`, `path` and `value`,
//! and perhaps `unit` and `gauge`. A build with anything wrong in one of its cells makes no record at all: half of a build that
//! looks whole is worse than none. A table may also be about loose parts of one kind, with the column `tag` for `build`.

mod about;
mod cells;
mod columns;
mod leaves;
mod line;
mod table;
mod wording;
mod write;

pub use columns::{Columns, map_for};

use crate::book::{Id, Part};
use crate::finding::Finding;
use crate::shop::Shop;
use crate::text::Source;

/// What parts the cells of a table.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Separator {
    /// A comma.
    Comma,
    /// A semicolon.
    Semicolon,
    /// A tab.
    Tab,
}

impl Separator {
    /// Each, with its byte and its name.
    const ALL: [(Separator, u8, &'static str); 3] =
        [(Separator::Comma, b',', "comma"), (Separator::Semicolon, b';', "semicolon"), (Separator::Tab, b'\t', "tab")];

    /// Its byte.
    fn byte(self) -> u8 {
        Separator::ALL.iter().find(|(one, ..)| *one == self).map_or(b',', |(_, byte, _)| *byte)
    }
}

/// What is said of a table beforehand.
#[derive(Clone, Copy, Debug, Default)]
pub struct Ask<'a> {
    /// The kind of loose part that the table is about; `None` for builds.
    pub part: Option<Id<Part>>,
    /// The generation of builds whose line names none.
    pub generation: Option<&'a str>,
    /// What the columns are, where their headings do not say it.
    pub columns: Option<&'a Columns>,
    /// What parts the cells; none where the headings show it.
    pub separator: Option<Separator>,
    /// Whether decimals are written with a comma.
    pub decimal_comma: bool,
}

/// A build, or a loose part, as a record.
#[derive(Clone, PartialEq, Debug)]
pub struct Imported {
    /// The build, or the tag of the part, which is also the name of its file without the ending.
    pub build: String,
    /// The record.
    pub text: String,
    /// How many values it has.
    pub values: usize,
    /// The lines of the table it comes from.
    pub lines: Vec<usize>,
}

/// What a table comes to.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Import {
    /// The records, in the order of the table.
    pub records: Vec<Imported>,
    /// Builds of which something was refused, in the order of the table.
    pub refused: usize,
    /// What is wrong, each at its cell.
    pub findings: Vec<Finding>,
}

/// Makes the records of a table, by the rulebooks of a shop without errors.
#[must_use]
pub fn import(shop: &Shop, table: &Source, ask: &Ask<'_>) -> Import {
    let mut import = Import::default();
    let separator = match ask.separator.map_or_else(|| table::separator(table), Ok) {
        Ok(separator) => separator,
        Err(finding) => return Import { findings: vec![finding], ..import },
    };
    let table = match table::read(table, separator) {
        Ok(table) => table,
        Err(finding) => return Import { findings: vec![finding], ..import },
    };
    line::records(shop, &table, ask, &mut import);
    import
}
