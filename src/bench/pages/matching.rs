//! What goes together, asked of the shelf for its page. Refuses to choose by anything but the rows of the books.

use super::builds::generations;
use super::shelf::parts;
use super::{about, words};
use crate::bench::{Answer, Asked, Workshop};
use crate::bind::part_named;
use crate::book::{Book, Kind, Origin};
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::matching::{Limits, Remembered};
use crate::record::Record;
use crate::report::html::bench::{self, BuildLine, Match, MatchAnswer, MatchAsked, Standing};
use crate::shop::{Choosing, MatchReport, Matched, Shop};
use std::time::{Duration, Instant};

/// After this long the best found so far is shown. Common practice: nobody at a bench waits longer.
const MOST_TIME: Duration = Duration::from_secs(5);
/// Sets that are shown. Common practice: more are not compared by eye.
const MOST_SETS: usize = 3;

/// The page.
pub(in crate::bench) fn matching(workshop: &Workshop, asked: &Asked) -> Answer {
    let shop = workshop.shop();
    let all = |name: &str| -> Vec<String> {
        let values = asked.query.iter().filter(|(other, value)| other == name && !value.is_empty());
        values.map(|(_, value)| value.clone()).collect()
    };
    let value = |name: &str| asked.value(name).unwrap_or_default().to_owned();
    let wanted = MatchAsked {
        generation: value("generation"),
        only: all("only"),
        given: all("given"),
        build: value("build"),
        complete: asked.value("complete").is_some(),
    };
    let records = workshop.judged().all(workshop);
    let parts = parts(&records);
    let mut kinds: Vec<String> = Vec::new();
    for part in &parts {
        if !kinds.contains(&part.part) {
            kinds.push(part.part.clone());
        }
    }
    let mut open: Vec<&BuildLine> = records.iter().filter_map(|record| record.build.as_ref()).collect();
    open.retain(|line| line.standing == Standing::Started || line.record == wanted.build);
    let answer = match wanted.generation.as_str() {
        "" => MatchAnswer::None,
        _ => match matched(workshop, &shop, &wanted) {
            Ok((matched, more)) => MatchAnswer::Found(Box::new(matched), more),
            Err(why) => MatchAnswer::Refused(why),
        },
    };
    let page = Match {
        shop: about(workshop, &shop),
        asked: &wanted,
        generations: &generations(&shop.book),
        kinds: &kinds,
        given: &depended_on(&shop.book),
        builds: &open,
        parts: &parts,
        answer: &answer,
        cautions: &shop.book.cautions,
    };
    Answer::page(bench::matching(&page))
}

/// The readings of the whole machine that some row's condition names, each with what it may be.
fn depended_on(book: &Book) -> Vec<(String, Vec<String>)> {
    let rows = book.generations.iter().flat_map(|generation| &generation.rows);
    let conditions: Vec<String> =
        rows.filter_map(|row| row.condition.as_ref()).map(|condition| condition.words()).collect();
    let is_named = |name: &str| {
        let is_name = |letter: char| letter.is_alphanumeric() || letter == '_';
        conditions.iter().any(|words| words.split(|letter| !is_name(letter)).any(|word| word == name))
    };
    let own = book.characteristics.iter().filter(|one| Some(one.part) == book.root());
    let own = own.filter(|one| matches!(one.origin, Origin::Reading { .. }) && is_named(&one.name));
    own.filter_map(|one| match one.kind {
        Kind::Names(set) => {
            Some((one.name.to_string(), book.sets.get(set).names.iter().map(ToString::to_string).collect()))
        }
        Kind::YesNo => Some((one.name.to_string(), vec!["yes".to_owned(), "no".to_owned()])),
        Kind::Quantity(_) | Kind::Text => None,
    })
    .collect()
}

/// What was found, and how many parts are left of which nothing is said; or why nothing can be.
fn matched(workshop: &Workshop, shop: &Shop, asked: &MatchAsked) -> Result<(Matched, usize), String> {
    if !shop.is_sound() {
        return Err(words::BOOKS_WRONG.to_owned());
    }
    if shop.shelf().is_none() {
        return Err(words::NO_SHELF.to_owned());
    }
    let book = &shop.book;
    let generation = book.generation(&asked.generation).filter(|id| shop.plan(*id).is_some());
    let generation = generation.ok_or_else(|| words::no_generation(&asked.generation))?;
    let only = asked.only.iter().map(|kind| part_named(book, kind).map_err(|_| words::no_kind(kind)));
    let only = only.collect::<Result<Vec<_>, String>>()?;
    let given = asked.given.iter().filter_map(|pair| pair.split_once('='));
    let given: Vec<(String, String)> = given.map(|(name, value)| (name.to_owned(), value.to_owned())).collect();
    if let Some(wrong) = shop.given(&given).1.into_iter().find(|finding| finding.is_error()) {
        return Err(wrong.message);
    }
    let build = match asked.build.as_str() {
        "" => None,
        name => {
            let at = workshop.record(name).ok_or_else(|| words::no_record(name))?;
            let source = disk::read_source(&at.path, MOST_RECORD_BYTES).map_err(|finding| finding.message)?;
            Some(Record::of(source))
        }
    };
    let choosing = Choosing { generation, given: &given, build: build.as_ref(), only: &only, without: &[], on: None };
    let prepared = shop.prepare(&choosing).ok_or(words::NO_SHELF)?;
    let one = prepared.problem(Vec::new());
    if one.domains.is_empty() {
        return Err(words::NO_PLACES.to_owned());
    }
    let scores = Remembered::new(&prepared.evaluator, one.groups.len());
    let until = Instant::now() + MOST_TIME;
    let limits = Limits { best: MOST_SETS, allow_out: false, allow_open: !asked.complete };
    let report = MatchReport { shop, prepared: &prepared, one: &one };
    let mut matched = Matched::begin(shop, &choosing, &prepared);
    let (_, more) = report.choose((limits, &choosing), &scores, &|| Instant::now() < until, &mut matched);
    Ok((matched, more))
}
