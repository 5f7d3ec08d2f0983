//! The sheet of a build, as `report` makes it, with its styles in files. Refuses to judge by anything but the record as it is now.

use super::words;
use crate::bench::{Answer, Kind, Workshop};
use crate::handover::handover;
use crate::judge::GradeSet;
use crate::report::html::bench::address;
use crate::report::html::{BuildSheet, PaperSize, Reader, linked_sheet, paper_of_sheet, sheet_files};
use crate::shop::{Ask, Checked};

/// The sheet; with `paper` the style of its paper alone.
pub(in crate::bench) fn sheet(workshop: &Workshop, name: &str, paper: bool) -> Answer {
    let Some(at) = workshop.record(name) else { return super::lost(workshop, &words::no_record(name)) };
    let shop = workshop.shops().of(&at.path);
    let read = super::read(&at);
    if read.as_ref().is_ok_and(|read| shop.is_sound() && shop.is_loose(read)) {
        return Answer::elsewhere(address::labels(name));
    }
    let ask = Ask { tell: GradeSet::NOT_GOOD.with_list(), rulings: false, as_of: None };
    let (mut checked, record) = match read {
        Ok(read) => (shop.check_record(&read, &ask), Some(read)),
        Err(why) => (Checked::unread(&at.path, why), None),
    };
    checked.file = name.to_owned();
    checked.hold_against(workshop.today());
    let handed = record.as_ref().filter(|_| shop.is_sound() && !checked.unreadable).and_then(|record| {
        shop.look(record, None, |plan, readings, verdict| handover(&shop.book, plan, readings, verdict))
    });
    if !shop.is_sound() {
        checked.findings.extend(shop.findings().iter().filter(|finding| finding.is_error()).cloned());
    }
    let sheet = BuildSheet {
        checked: &checked,
        handover: handed.as_ref(),
        shop: shop.name.as_deref(),
        cautions: &shop.book.cautions,
        files: &record.as_ref().map(|record| sheet_files(&shop, record)).unwrap_or_default(),
        units: &shop.book.units,
        paper: PaperSize::A4,
        reader: Reader::Workshop,
    };
    if paper {
        return Answer::new(200, Kind::Style, paper_of_sheet(&sheet).into_bytes());
    }
    let back = (address::build(name), words::back_to(&checked.build));
    Answer::page(linked_sheet(&sheet, &address::sheet_style(name), (&back.0, &back.1)))
}
