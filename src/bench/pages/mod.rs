//! What each page at the bench shows, gathered from the shop. Refuses to know how a page is drawn, and to write into a record.

mod begin;
mod builds;
mod gauges;
mod judged;
mod matching;
mod rework;
mod rules;
mod sheet;
mod shelf;
mod which;
pub(super) mod words;

pub(super) use begin::begin;
pub(super) use builds::builds;
pub(super) use gauges::gauges;
pub(super) use judged::Judged;
use judged::JudgedRecord;
pub(super) use matching::{matching, take};
pub(super) use rework::rework;
pub(super) use rules::{rule_list, rules};
pub(super) use sheet::sheet;
pub(super) use shelf::{labels, shelf};
pub(super) use which::which;

use super::{Answer, Kind, RecordAt, Workshop};
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::finding::Finding;
use crate::record::Record;
use crate::report::html::bench::{self, BenchShop, FileKind, Lost};
use crate::shop::Shop;
use crate::text::Source;

/// A file that the pages link to.
pub(super) fn file(name: &str) -> Answer {
    let Some(file) = bench::file(name) else {
        return Answer::new(404, Kind::Text, b"there is no such file\n".to_vec());
    };
    let kind = match file.kind {
        FileKind::Style => Kind::Style,
        FileKind::Script => Kind::Script,
        FileKind::Svg => Kind::Picture("image/svg+xml"),
    };
    Answer::new(200, kind, file.text.as_bytes().to_vec())
}

/// Reads a record. What is said about it names it as addresses do, not by where the shop's folder lies.
fn read(at: &RecordAt) -> Result<Record, Finding> {
    let source = disk::read_source(&at.path, MOST_RECORD_BYTES)?;
    Ok(Record::of(Source::new(at.name.as_str(), source.text())))
}

/// What the head of a page says about the shop.
pub(super) fn about<'a>(workshop: &Workshop, shop: &'a Shop) -> BenchShop<'a> {
    BenchShop { name: shop.name.as_deref(), read_only: workshop.is_read_only() }
}

/// The page for an address that nothing is at.
pub(super) fn lost(workshop: &Workshop, because: &str) -> Answer {
    lost_to(workshop, because, words::GO_TO_BUILDS)
}

/// The same, with another way on from there.
pub(super) fn lost_to(workshop: &Workshop, because: &str, to: (&str, &str)) -> Answer {
    let shop = workshop.shop();
    Answer::page(bench::lost(&Lost { shop: about(workshop, &shop), because, to })).with_status(404)
}
