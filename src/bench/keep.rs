//! Values on their way into a record: graded while they are typed, kept once they are meant, never over one that was not seen.
//! Refuses to write what would not be read.

use super::{Answer, Asked, Kind, RecordAt, Workshop};
use crate::disk::{self, MOST_RECORD_BYTES, Stamp};
use crate::finding::{Code, Finding, NoteKind};
use crate::quantity::Date;
use crate::record::Record;
use crate::report::html::bench::{self, BenchShop, BuildPage, Drawn, Lost, PageName};
use crate::shop::Shop;
use crate::text::Source;
use crate::worksheet::{NotWritten, Wish, Worksheet, changed, worksheet};
use rustc_hash::FxHasher;
use serde::Deserialize;
use serde_json::{Value, json};
use std::hash::Hasher;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// What a page sends.
#[derive(Deserialize, Debug)]
struct Sent {
    /// The record's name.
    record: String,
    /// The tag of a loose part.
    #[serde(default)]
    tag: Option<String>,
    /// What is wanted.
    wish: Wish,
    /// Whether a value that does not seem plausible is to be written all the same.
    #[serde(default)]
    all_the_same: bool,
}

/// A record as it stands on disk, judged and drawn.
#[derive(Debug)]
pub(super) struct OpenedRecord {
    pub(super) shop: Arc<Shop>,
    pub(super) record: Record,
    pub(super) drawn: Drawn,
}

impl OpenedRecord {
    /// A record judged and drawn; what did not change since another state of it, `before`, is taken from there.
    fn new(
        shop: &Arc<Shop>,
        record: Record,
        (tag, today): (Option<&str>, Option<Date>),
        before: Option<&OpenedRecord>,
    ) -> Result<OpenedRecord, Record> {
        let before = before.filter(|before| Arc::ptr_eq(&before.shop, shop)).map(|before| &before.drawn);
        match worksheet(shop, &record, tag, today, before.map(|before| &before.sheet)) {
            Some(sheet) => Ok(OpenedRecord { shop: shop.clone(), record, drawn: Drawn::new(sheet, before) }),
            None => Err(record),
        }
    }

    pub(super) fn sheet(&self) -> &Worksheet {
        &self.drawn.sheet
    }

    /// Its text by a number, the same in every run of the program.
    pub(super) fn version(&self) -> u64 {
        let mut hasher = FxHasher::default();
        hasher.write(self.record.source.text().as_bytes());
        hasher.finish() >> 12
    }
}

/// Records that pages have open, the one used last at the end: what was judged a moment ago is not judged again.
#[derive(Debug, Default)]
pub(super) struct OpenRecords(Mutex<Vec<Open>>);

#[derive(Debug)]
struct Open {
    path: PathBuf,
    tag: Option<String>,
    /// What its file looked like; `None` if it may have been written again since without looking otherwise.
    stamp: Option<Stamp>,
    today: Option<Date>,
    opened: Arc<OpenedRecord>,
}

/// So many records are held. Common practice: one for each bench of a large shop; each takes about a megabyte.
const MOST_OPEN: usize = 64;

impl OpenRecords {
    fn locked(&self) -> MutexGuard<'_, Vec<Open>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A record as it was last judged by this shop and on this day, with the stamp of its file then.
    fn get(
        &self,
        (path, tag): (&Path, Option<&str>),
        (shop, today): (&Arc<Shop>, Option<Date>),
    ) -> Option<(Option<Stamp>, Arc<OpenedRecord>)> {
        let mut list = self.locked();
        let at = list.iter().position(|one| one.path == path && one.tag.as_deref() == tag)?;
        let one = list.remove(at);
        if one.today != today || !Arc::ptr_eq(&one.opened.shop, shop) {
            return None;
        }
        let found = (one.stamp, one.opened.clone());
        list.push(one);
        Some(found)
    }

    fn put(
        &self,
        (path, tag): (&Path, Option<&str>),
        (stamp, today): (Option<Stamp>, Option<Date>),
        opened: Arc<OpenedRecord>,
    ) {
        let mut list = self.locked();
        list.retain(|one| !(one.path == path && one.tag.as_deref() == tag));
        if list.len() >= MOST_OPEN {
            list.remove(0);
        }
        list.push(Open { path: path.to_owned(), tag: tag.map(str::to_owned), stamp, today, opened });
    }
}

/// Why a record has no worksheet.
pub(super) enum NotOpened {
    /// It cannot be read.
    Unread(Finding),
    /// Its books have errors, its generation is not known, or it has no such part.
    Unknown(Arc<Shop>, Option<Record>),
}

/// Reads and judges a record as it stands on disk now.
pub(super) fn open(workshop: &Workshop, at: &RecordAt, tag: Option<&str>) -> Result<Arc<OpenedRecord>, NotOpened> {
    let (shop, today) = (workshop.shops().of(&at.path), workshop.today());
    let stamp = disk::stamp(&at.path);
    let key = (at.path.as_path(), tag);
    let known = workshop.open_records().get(key, (&shop, today));
    if let Some((Some(before), opened)) = &known
        && stamp == Some(*before)
    {
        return Ok(opened.clone());
    }
    let source = disk::read_source(&at.path, MOST_RECORD_BYTES).map_err(NotOpened::Unread)?;
    if !shop.is_sound() {
        return Err(NotOpened::Unknown(shop, None));
    }
    let before = known.map(|(_, opened)| opened);
    let opened = match before {
        Some(before) if before.record.source.text() == source.text() => before,
        before => {
            let record = Record::of(source);
            let opened = OpenedRecord::new(&shop, record, (tag, today), before.as_deref());
            Arc::new(opened.map_err(|record| NotOpened::Unknown(shop.clone(), Some(record)))?)
        }
    };
    // A file that was changed a moment ago may be changed again with the same stamp, and is read again the next time.
    let settled = stamp.filter(|stamp| stamp.is_settled() && disk::stamp(&at.path) == Some(*stamp));
    workshop.open_records().put(key, (settled, today), opened.clone());
    Ok(opened)
}

fn said(status: u16, value: &Value) -> Answer {
    Answer::new(status, Kind::Json, value.to_string().into_bytes())
}

fn refused(status: u16, kind: &str, why: &str) -> Answer {
    said(status, &json!({ "kept": false, "reason": kind, "why": why }))
}

/// Grades a value without writing it.
pub(super) fn grade(workshop: &Workshop, asked: &Asked) -> Answer {
    answer(workshop, asked, false)
}

/// Writes a value into its record.
pub(super) fn keep(workshop: &Workshop, asked: &Asked) -> Answer {
    if workshop.is_read_only() {
        return refused(403, "read_only", bench::READ_ONLY_ANSWER);
    }
    let _writing = workshop.writing();
    answer(workshop, asked, true)
}

fn answer(workshop: &Workshop, asked: &Asked, writes: bool) -> Answer {
    let Ok(sent) = serde_json::from_slice::<Sent>(&asked.body) else {
        return refused(400, "unreadable", bench::UNREADABLE);
    };
    let Some(at) = workshop.record(&sent.record) else { return refused(404, "gone", bench::GONE) };
    let tag = sent.tag.as_deref();
    let before = match open(workshop, &at, tag) {
        Ok(before) => before,
        Err(NotOpened::Unread(finding)) => {
            let status = if disk::exists(&at.path) { 409 } else { 404 };
            return refused(status, "gone", &finding.message);
        }
        Err(NotOpened::Unknown(..)) => return refused(409, "unknown", bench::NOT_JUDGED),
    };
    let wish = sent.wish.trimmed();
    let edited = match changed(&before.shop.book, &before.record.source, before.sheet(), &wish) {
        Ok(edited) => edited,
        Err(NotWritten::Changed { theirs }) => {
            let why = NotWritten::Changed { theirs: theirs.clone() }.to_string();
            let value = json!({ "kept": false, "reason": "changed", "theirs": theirs, "why": why });
            return said(409, &value);
        }
        Err(why) => return refused(422, "refused", &why.to_string()),
    };
    let record = Record::of(Source::new(before.record.source.name(), edited.text));
    let Ok(after) = OpenedRecord::new(&before.shop, record, (tag, workshop.today()), Some(&before)) else {
        return refused(422, "refused", bench::NOT_JUDGED);
    };
    if let Some((kind, why)) = objection(before.sheet(), after.sheet(), &wish, sent.all_the_same) {
        return said(422, &json!({ "kept": false, "reason": kind, "why": why }));
    }
    let text = after.record.source.text();
    if writes
        && text != before.record.source.text()
        && let Err((status, reason, why)) = write_over(workshop, &at, (before.record.source.text(), text))
    {
        return refused(status, reason, &why);
    }
    let after = Arc::new(after);
    if writes {
        workshop.open_records().put((at.path.as_path(), tag), (None, workshop.today()), after.clone());
    }
    let page = PageName { record: at.name, tag: sent.tag };
    let changes = bench::changes(Some(&before.drawn), &after.drawn, writes, &page);
    said(200, &changes)
}

/// Writes a record that still has the text it was read with; else gives the status of the answer, the reason by one word, and why.
pub(super) fn write_over(
    workshop: &Workshop,
    at: &RecordAt,
    (before, after): (&str, &str),
) -> Result<(), (u16, &'static str, String)> {
    // Whoever writes with another program in this moment wins nothing and loses nothing: the page asks again.
    let now = disk::read_source(&at.path, MOST_RECORD_BYTES);
    if !now.is_ok_and(|now| now.text() == before) {
        return Err((409, "again", bench::AGAIN.to_owned()));
    }
    // A shop's folder may be somebody else's work: no link in it is a way to a file elsewhere.
    if !disk::inside(workshop.folder(), &at.path) {
        return Err((422, "refused", bench::LEADS_OUT.to_owned()));
    }
    disk::rewrite_whole(&at.path, after.as_bytes()).map_err(|error| (507, "disk", bench::not_written(&error)))
}

/// What stands against writing a value: it cannot be read, or it does not seem plausible and nobody confirms it.
fn objection(before: &Worksheet, after: &Worksheet, wish: &Wish, all_the_same: bool) -> Option<(&'static str, String)> {
    let findings: Vec<&Finding> = match wish {
        Wish::Value { key, text, .. } if !text.is_empty() => {
            let (line, field) = after.fields().find(|(_, field)| field.key == *key)?;
            // The first of several values is written before the second one is taken.
            let begun = field.held.items.len() < line.least;
            // A value that another generation would have can be read all the same.
            let about_writing = |finding: &&Finding| {
                finding.code != Code::GenerationContradicted && (!begun || finding.code != Code::ReadingsCount)
            };
            field.findings.iter().filter(about_writing).collect()
        }
        Wish::Value { .. } => return None,
        // About no line: what was not there before.
        Wish::Head { .. } | Wish::Concession { .. } => {
            let is_new = |finding: &&Finding| !before.others.iter().any(|old| old.message == finding.message);
            after.others.iter().filter(is_new).collect()
        }
    };
    let with = |finding: &Finding, more: Option<&str>| match more {
        Some(more) => format!("{}; {more}", finding.message),
        None => finding.message.clone(),
    };
    let asked_about = |code: Code| matches!(code, Code::ReadingImplausible | Code::ReadingsDisagree);
    if let Some(finding) = findings.iter().find(|finding| finding.is_error() && !asked_about(finding.code)) {
        return Some(("refused", with(finding, finding.help.as_deref())));
    }
    let unlikely = findings.iter().find(|finding| asked_about(finding.code))?;
    // What to do stands beside it as buttons; what it looks like does not.
    let slip = unlikely.notes.iter().find(|note| note.kind == NoteKind::Slip).map(|note| note.text.as_str());
    (!all_the_same).then(|| ("implausible", with(unlikely, slip)))
}

/// The page of a build or of a loose part.
pub(super) fn page(workshop: &Workshop, asked: &Asked) -> Answer {
    let name = asked.path.get(1..).unwrap_or_default().join("/");
    let Some(at) = workshop.record(&name) else { return super::pages::lost(workshop, bench::GONE) };
    let tag = asked.value("tag").map(str::to_owned);
    let shop = workshop.shop();
    let bench_shop = BenchShop { name: shop.name.as_deref(), read_only: workshop.is_read_only() };
    match open(workshop, &at, tag.as_deref()) {
        Ok(opened) => {
            let name = PageName { record: at.name, tag };
            let page = BuildPage { sheet: opened.sheet(), name: &name, version: opened.version() };
            Answer::page(bench::build(page, bench_shop))
        }
        Err(not_opened) => {
            let because = match not_opened {
                NotOpened::Unread(finding) => finding.message,
                NotOpened::Unknown(own, record) => {
                    let mut findings = own.findings().iter().chain(record.iter().flat_map(|record| &record.findings));
                    findings
                        .find(|finding| finding.is_error())
                        .map_or_else(|| bench::NOT_JUDGED.into(), |one| one.message.clone())
                }
            };
            let page = bench::lost(&Lost { shop: bench_shop, because: &because, to: ("/", "Builds") });
            Answer::page(page).with_status(409)
        }
    }
}
