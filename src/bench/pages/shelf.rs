//! The loose parts of the shop, gathered for the shelf and for their labels. Refuses to judge, and to match.

use super::{JudgedRecord, about, words};
use crate::bench::{Answer, Asked, Kind, Workshop};
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::finding::Finding;
use crate::judge::GradeSet;
use crate::record::Record;
use crate::report::html::bench::{self, PartLine, Shelf, address};
use crate::report::html::{Labels, PaperSize, linked_labels, paper_of_labels};
use crate::shop::{Ask, Checked};
use std::sync::Arc;

/// The loose parts of some records.
pub(super) fn parts(records: &[Arc<JudgedRecord>]) -> Vec<&PartLine> {
    records.iter().flat_map(|record| &record.parts).collect()
}

/// The page.
pub(in crate::bench) fn shelf(workshop: &Workshop, asked: &Asked) -> Answer {
    let shop = workshop.shop();
    let records = workshop.judged().all(workshop);
    let parts = parts(&records);
    let kind = asked.value("kind").unwrap_or_default();
    if !kind.is_empty() && !parts.iter().any(|part| part.part == kind) {
        return super::lost_to(workshop, &words::no_kind(kind), words::GO_TO_SHELF);
    }
    let troubles: Vec<Finding> = shop.shelf_findings().into_iter().cloned().collect();
    let page = Shelf {
        shop: about(workshop, &shop),
        kind,
        parts: &parts,
        has_shelf: shop.shelf().is_some(),
        troubles: &troubles,
        cautions: &shop.book.cautions,
    };
    Answer::page(bench::shelf(&page))
}

/// The labels of loose parts: of one file, of one kind, of one tag, or of all. With `paper` the style of their paper alone.
pub(in crate::bench) fn labels(workshop: &Workshop, asked: &Asked, record: Option<&str>, paper: bool) -> Answer {
    let shop = workshop.shop();
    let (kind, tag) = (asked.value("kind"), asked.value("tag"));
    let ask = Ask { tell: GradeSet::NOT_GOOD, rulings: false, as_of: None };
    let mut checked: Vec<Checked> = Vec::new();
    for at in workshop.records().iter().filter(|at| record.is_none_or(|record| record == at.name)) {
        let shop = workshop.shops().of(&at.path);
        let Ok(source) = disk::read_source(&at.path, MOST_RECORD_BYTES) else { continue };
        let read = Record::of(source);
        if shop.is_sound() && shop.is_loose(&read) {
            checked.extend(shop.check_all(&read, &ask, &[]));
        }
    }
    checked.iter_mut().for_each(|one| one.hold_against(workshop.today()));
    let is_meant = |one: &&Checked| {
        let part = one.part.as_ref();
        part.is_some_and(|part| kind.is_none_or(|kind| kind == part.part)) && tag.is_none_or(|tag| tag == one.build)
    };
    let parts: Vec<&Checked> = checked.iter().filter(is_meant).collect();
    if parts.is_empty() {
        return super::lost_to(workshop, words::NO_LABELS, words::GO_TO_SHELF);
    }
    let name = tag.or(kind).or(record.map(|record| record.rsplit('/').next().unwrap_or(record)));
    let labels = Labels {
        name: name.unwrap_or(words::ALL_PARTS),
        parts: &parts,
        shop: shop.name.as_deref(),
        cautions: &shop.book.cautions,
        paper: PaperSize::A4,
    };
    if paper {
        return Answer::new(200, Kind::Style, paper_of_labels(&labels).into_bytes());
    }
    let query: Vec<(&str, &str)> =
        [("kind", kind), ("tag", tag)].into_iter().filter_map(|(name, value)| Some((name, value?))).collect();
    let of = record.map_or_else(|| "/labels-style".to_owned(), address::labels_style);
    Answer::page(linked_labels(&labels, &address::with_query(&of, &query), words::GO_TO_SHELF))
}
