//! Begins the record of a build or of a loose part: as `blank` writes it, in a file that is not there yet. Refuses to touch a file
//! that is.

use super::builds::{builds, usual_folder};
use super::{JudgedRecord, words};
use crate::bench::{Answer, Asked, Workshop};
use crate::bind::part_named;
use crate::blank::{Blank, blank, blank_part};
use crate::disk;
use crate::record::Record;
use crate::record::edit::{Change, Step, Written, by_list, edit};
use crate::report::blank::{Head, write};
use crate::report::html::bench::{Begun, address};
use crate::shop::Shop;
use crate::text::Source;
use crate::worksheet::{Wish, changed, worksheet};
use std::io::ErrorKind;
use std::path::PathBuf;
use std::sync::Arc;

/// Characters of a name, tag or serial number. Common practice: more do not fit on a label.
const MOST_CHARACTERS: usize = 100;

/// The keys at the top of a build's record, in their order.
const HEAD_KEYS: [&str; 5] = ["build", "finished", "generation", "serial", "gauges"];

/// Begins what was typed: goes to its page, or shows the form again with what is wrong.
pub(in crate::bench) fn begin(workshop: &Workshop, asked: &Asked) -> Answer {
    let Some(form) = asked.form() else { return super::lost(workshop, words::NOT_A_FORM).with_status(400) };
    let value = |name: &str| {
        let value = form.iter().find(|(other, _)| other == name).map(|(_, value)| value.trim());
        value.unwrap_or_default().chars().take(MOST_CHARACTERS + 1).collect::<String>()
    };
    let what = if value("what") == "part" { "part" } else { "build" };
    let mut begun = Begun {
        what: what.to_owned(),
        name: value("name"),
        generation: value("generation"),
        serial: value("serial"),
        part: value("part"),
        given: form
            .iter()
            .filter(|(name, value)| name == "given" && !value.is_empty())
            .map(|(_, pair)| pair.clone())
            .collect(),
        said: String::new(),
    };
    match written(workshop, &begun) {
        Ok(to) => Answer::elsewhere(to),
        Err((status, said)) => {
            begun.said = said;
            builds(workshop, asked, Some(&begun)).with_status(status)
        }
    }
}

/// Why nothing was written, with the status of the answer.
pub(super) type Refused = (u16, String);

/// Writes the record, and gives the address of its page.
fn written(workshop: &Workshop, begun: &Begun) -> Result<String, Refused> {
    let of_part = begun.what == "part";
    let place = new_place(workshop, &begun.name, of_part)?;
    if is_long(&begun.serial) {
        return Err((422, words::NAME_TOO_LONG.to_owned()));
    }
    let text = if of_part { part_text(&place.shop, begun) } else { build_text(&place.shop, begun) };
    let name = create(workshop, &place, &text.map_err(|said| (422, said))?)?;
    Ok(if of_part { address::part(&name, &begun.name) } else { address::build(&name) })
}

/// Where a new record goes.
pub(super) struct NewPlace {
    /// The shop whose rules it will be judged by.
    pub(super) shop: Arc<Shop>,
    /// Its file below the shop's folder.
    name: String,
    path: PathBuf,
}

/// Where the record of a new build, or of a new loose part, goes; else why it cannot have this name.
pub(super) fn new_place(workshop: &Workshop, called: &str, of_part: bool) -> Result<NewPlace, Refused> {
    let refused = |said: &str| Err((422, said.to_owned()));
    if workshop.is_read_only() {
        return Err((403, words::READ_ONLY.to_owned()));
    }
    if called.is_empty() {
        return refused(if of_part { words::TAG_MISSING } else { words::NAME_MISSING });
    }
    if is_long(called) {
        return refused(words::NAME_TOO_LONG);
    }
    let records = records(workshop);
    for (file, record) in &records {
        let same_build = record.build.as_ref().is_some_and(|build| build.build == called);
        if (!of_part && same_build) || (of_part && record.parts.iter().any(|part| part.tag == called)) {
            return Err((409, words::there_already(called, file)));
        }
    }
    let folder = folder(workshop, &records, of_part);
    let file = format!("{}.yaml", disk::safe_name(called));
    if !disk::is_record_name(&file) {
        return refused(words::NAME_OF_THE_SHOPS_OWN);
    }
    let path = match folder.as_str() {
        "" => workshop.folder().join(&file),
        folder => workshop.folder().join(folder).join(&file),
    };
    let shop = workshop.shops().of(&path);
    if !shop.is_sound() {
        return refused(words::BOOKS_WRONG);
    }
    let name = if folder.is_empty() { file } else { format!("{folder}/{file}") };
    Ok(NewPlace { shop, name, path })
}

/// Whether a text is too long for a label, or none that could be written on one.
fn is_long(text: &str) -> bool {
    text.chars().count() > MOST_CHARACTERS || text.chars().any(char::is_control)
}

/// Writes a record that is not there yet, and gives its name.
pub(super) fn create(workshop: &Workshop, place: &NewPlace, text: &str) -> Result<String, Refused> {
    disk::create_whole(&place.path, text.as_bytes()).map_err(|error| match error.kind() {
        ErrorKind::AlreadyExists => (409, words::file_there(&place.name)),
        _ => (500, words::not_written(&place.name, &error)),
    })?;
    workshop.look_again();
    Ok(place.name.clone())
}

/// The records as judged, each with its name.
fn records(workshop: &Workshop) -> Vec<(String, Arc<JudgedRecord>)> {
    let records = workshop.judged().all(workshop);
    let name = |record: &JudgedRecord| match (&record.build, record.parts.first()) {
        (Some(build), _) => Some(build.record.clone()),
        (None, part) => part.map(|part| part.record.clone()),
    };
    records.into_iter().filter_map(|record| Some((name(&record)?, record))).collect()
}

/// The folder for a new record, below the shop's: where most of its kind lie; of parts, else the first folder of the shelf.
fn folder(workshop: &Workshop, records: &[(String, Arc<JudgedRecord>)], of_part: bool) -> String {
    if let Some(folder) = usual_folder(records, |record| record.build.is_none() == of_part) {
        return folder;
    }
    let shop = workshop.shop();
    let below = |path: &PathBuf| {
        let below = disk::relative(workshop.folder(), path)?;
        below.iter().map(|step| step.to_str()).collect::<Option<Vec<&str>>>().map(|steps| steps.join("/"))
    };
    let shelf = shop.shelf_paths().iter().filter(|path| disk::is_folder(path)).find_map(below);
    let usual = if of_part { "shelf" } else { "builds" };
    let there = disk::is_folder(&workshop.folder().join(usual)).then(|| usual.to_owned());
    shelf.filter(|_| of_part).or(there).unwrap_or_default()
}

fn build_text(shop: &Shop, begun: &Begun) -> Result<String, String> {
    let book = &shop.book;
    let id = book.generation(&begun.generation);
    let plan = id.and_then(|id| shop.plan(id)).ok_or_else(|| words::GENERATION_MISSING.to_owned())?;
    let blank = blank(book, plan, None, &[]);
    let text = with_given(shop, checked_text(&blank, &begun.name)?, &begun.given)?;
    if begun.serial.is_empty() {
        return Ok(text);
    }
    let order = |map: &[Step], keys: &[&str], new: &str| {
        if map.is_empty() { by_list(&HEAD_KEYS, keys, new) } else { keys.len() }
    };
    let change = Change::Set { path: vec![Step::from("serial")], value: Written::from(begun.serial.as_str()) };
    let source = Source::new("a new record", text);
    edit(&source, &change, &order).map(|edited| edited.text).map_err(|_| words::SERIAL_REFUSED.to_owned())
}

/// An empty record with what is known of the machine already, each as `reading=value`.
fn with_given(shop: &Shop, text: String, given: &[String]) -> Result<String, String> {
    given.iter().filter_map(|pair| pair.split_once('=')).try_fold(text, |text, (reading, value)| {
        let source = Source::new("a new record", text);
        let sheet = worksheet(shop, &Record::of(source.clone()), None, None, None);
        let wish =
            Wish::Value { key: reading.to_owned(), item: 0, was: String::new(), text: value.to_owned(), says: None };
        let edited = sheet.and_then(|sheet| changed(&shop.book, &source, &sheet, &wish).ok());
        let text = edited.ok_or_else(|| words::no_such_reading(reading))?.text;
        let record = Record::of(Source::new("a new record", text.as_str()));
        let sheet = worksheet(shop, &record, None, None, None);
        let is_read =
            sheet.as_ref().and_then(|sheet| sheet.field(reading)).is_some_and(|field| field.findings.is_empty());
        if is_read { Ok(text) } else { Err(words::no_such_reading(reading)) }
    })
}

fn part_text(shop: &Shop, begun: &Begun) -> Result<String, String> {
    let book = &shop.book;
    let part = part_named(book, &begun.part).map_err(|_| words::PART_MISSING.to_owned())?;
    let generation = match begun.generation.as_str() {
        "" => None,
        name => {
            let known = book.generation(name).filter(|id| shop.plan(*id).is_some());
            Some(known.ok_or_else(|| words::GENERATION_MISSING.to_owned())?)
        }
    };
    let blank = blank_part(book, part, None, &shop.places_of(part, generation));
    checked_text(&blank, &begun.name)
}

fn checked_text(blank: &Blank, name: &str) -> Result<String, String> {
    if blank.is_empty() {
        return Err(words::NOTHING_TO_MEASURE.to_owned());
    }
    Ok(write(blank, &Head { build: Some(name), finished: None }))
}
