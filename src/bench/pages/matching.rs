//! What goes together, asked of the shelf for its page, and the record of a build that takes a set. Refuses to choose by anything
//! but the rows of the books.

use super::begin::{Refused, create, new_place};
use super::builds::{depended_on, generations};
use super::shelf::parts;
use super::{about, words};
use crate::bench::keep::write_over;
use crate::bench::{Answer, Asked, RecordAt, Workshop};
use crate::bind::part_named;
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::matching::{Limits, Remembered};
use crate::record::Record;
use crate::report::html::bench::{self, BuildLine, Match, MatchAnswer, MatchAsked, Standing, address};
use crate::shop::{Choosing, Machines, MatchReport, Matched, Prepared, Shop, record_of_set};
use std::time::{Duration, Instant};

/// After this long the best found so far is shown. Common practice: nobody at a bench waits longer.
const MOST_TIME: Duration = Duration::from_secs(5);
/// Sets that are shown. Common practice: more are not compared by eye.
const MOST_SETS: usize = 3;

/// Machines at once that may be asked for by number. Common practice: a shop has fewer on its benches; more are asked for as "as many
/// as the shelf gives".
const MOST_MACHINES: usize = 9;

/// What was asked.
fn wanted(asked: &Asked) -> MatchAsked {
    let all = |name: &str| -> Vec<String> {
        let values = asked.query.iter().filter(|(other, value)| other == name && !value.is_empty());
        values.map(|(_, value)| value.clone()).collect()
    };
    let value = |name: &str| asked.value(name).unwrap_or_default().trim().to_owned();
    MatchAsked {
        generation: value("generation"),
        only: all("only"),
        given: all("given"),
        build: value("build"),
        with: value("with"),
        without: value("without"),
        machines: value("machines"),
        complete: asked.value("complete").is_some(),
    }
}

/// The page.
pub(in crate::bench) fn matching(workshop: &Workshop, asked: &Asked) -> Answer {
    page(workshop, &wanted(asked), None)
}

/// Writes the record of a build that takes a set, and goes to its page; else the page again, with why not.
pub(in crate::bench) fn take(workshop: &Workshop, asked: &Asked) -> Answer {
    let Some(form) = asked.form() else { return super::lost(workshop, words::NOT_A_FORM).with_status(400) };
    let wanted = wanted(asked);
    match taken(workshop, &wanted, &form) {
        Ok(to) => Answer::elsewhere(to),
        Err((status, why)) => page(workshop, &wanted, Some(&why)).with_status(status),
    }
}

fn page(workshop: &Workshop, wanted: &MatchAsked, not_written: Option<&str>) -> Answer {
    let shop = workshop.shop();
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
        _ => match matched(workshop, &shop, wanted) {
            Ok((matched, more)) => MatchAnswer::Found(Box::new(matched), more),
            Err(why) => MatchAnswer::Refused(why),
        },
    };
    let page = Match {
        shop: about(workshop, &shop),
        asked: wanted,
        not_written,
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

/// What is said about the machine: each reading with its value.
fn given(asked: &MatchAsked) -> Vec<(String, String)> {
    let pairs = asked.given.iter().filter_map(|pair| pair.split_once('='));
    pairs.map(|(name, value)| (name.to_owned(), value.to_owned())).collect()
}

/// The tags in what was typed, with commas or blanks between them.
fn tags(typed: &str) -> Vec<String> {
    let tags = typed.split([',', ';', ' ']).map(str::trim).filter(|tag| !tag.is_empty());
    tags.map(str::to_owned).collect()
}

/// The record of the build to complete, as it stands on disk; `None` for a new build.
fn build(workshop: &Workshop, asked: &MatchAsked) -> Result<Option<(RecordAt, Record)>, String> {
    if asked.build.is_empty() {
        return Ok(None);
    }
    let at = workshop.record(&asked.build).ok_or_else(|| words::no_record(&asked.build))?;
    let source = disk::read_source(&at.path, MOST_RECORD_BYTES).map_err(|finding| finding.message)?;
    Ok(Some((at, Record::of(source))))
}

/// The places to fill and the parts of the shelf for what was asked, given on; or why there are none.
fn prepared<T>(
    workshop: &Workshop,
    (shop, asked): (&Shop, &MatchAsked),
    build: Option<&Record>,
    then: impl FnOnce(&Choosing<'_>, &Prepared<'_>) -> Result<T, String>,
) -> Result<T, String> {
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
    let (given, without) = (given(asked), tags(&asked.without));
    if let Some(wrong) = shop.given(&given).1.into_iter().find(|finding| finding.is_error()) {
        return Err(wrong.message);
    }
    let taken: Vec<(String, String)> =
        workshop.judged().all(workshop).iter().flat_map(|record| record.taken.clone()).collect();
    let choosing =
        Choosing { generation, given: &given, build, only: &only, without: &without, taken: &taken, on: None };
    let prepared = shop.prepare(&choosing).ok_or(words::NO_SHELF)?;
    then(&choosing, &prepared)
}

/// The number of the part with a tag, or why it cannot be taken.
fn part(prepared: &Prepared<'_>, tag: &str) -> Result<usize, String> {
    prepared.part(tag).map_err(|not| words::not_taken(tag, &not))
}

/// What was found, and how many parts are left of which nothing is said; or why nothing can be.
fn matched(workshop: &Workshop, shop: &Shop, asked: &MatchAsked) -> Result<(Matched, usize), String> {
    let machines = match asked.machines.as_str() {
        "" | "1" => None,
        "all" => Some(Machines::AsMany),
        number => {
            let number = number.parse().ok().filter(|number| (2..=MOST_MACHINES).contains(number));
            Some(Machines::Number(number.ok_or_else(|| words::no_machines(MOST_MACHINES))?))
        }
    };
    let build = build(workshop, asked)?.map(|(_, record)| record);
    if machines.is_some() && build.is_some() {
        return Err(words::ONE_BUILD.to_owned());
    }
    prepared(workshop, (shop, asked), build.as_ref(), |choosing, prepared| {
        let with = tags(&asked.with).iter().map(|tag| part(prepared, tag)).collect::<Result<Vec<_>, String>>()?;
        let one = prepared.problem(with);
        if one.domains.is_empty() {
            return Err(words::NO_PLACES.to_owned());
        }
        let scores = Remembered::new(&prepared.evaluator, one.groups.len());
        let until = Instant::now() + MOST_TIME;
        let go_on = || Instant::now() < until;
        let report = MatchReport { shop, prepared, one: &one };
        let mut matched = Matched::begin(shop, choosing, prepared);
        let more = match machines {
            Some(machines) => {
                let left = |now: Instant| until.saturating_duration_since(now);
                report.machines(machines, &scores, (&go_on, &left), &mut matched);
                0
            }
            None => {
                let limits = Limits { best: MOST_SETS, allow_out: false, allow_open: !asked.complete };
                report.choose((limits, choosing), &scores, &go_on, &mut matched).1
            }
        };
        Ok((matched, more))
    })
}

/// Writes the record of a build that takes the parts of a form, and gives the address of its page. What the shelf no longer has is
/// not taken.
fn taken(workshop: &Workshop, asked: &MatchAsked, form: &[(String, String)]) -> Result<String, Refused> {
    if workshop.is_read_only() {
        return Err((403, words::READ_ONLY.to_owned()));
    }
    let said = |why: String| (422, why);
    let parts = form.iter().filter(|(name, _)| name == "part").filter_map(|(_, pair)| pair.split_once('='));
    let parts: Vec<(String, String)> = parts.map(|(place, tag)| (place.to_owned(), tag.to_owned())).collect();
    if parts.is_empty() {
        return Err(said(words::NOT_A_FORM.to_owned()));
    }
    // Two who take one part at once: one of them is told.
    let _writing = workshop.writing();
    let shop = workshop.shop();
    let build = build(workshop, asked).map_err(said)?;
    let still_there = |_: &Choosing<'_>, prepared: &Prepared<'_>| {
        for (at, (place, tag)) in parts.iter().enumerate() {
            if parts.iter().take(at).any(|(other, taken)| other == place || taken == tag) {
                return Err(words::not_there(tag, place));
            }
            let number = part(prepared, tag)?;
            let at = prepared.places.iter().position(|one| one == place);
            let fits = at.is_some_and(|at| prepared.evaluator.domain(at).contains(&number));
            if !fits {
                return Err(words::not_there(tag, place));
            }
        }
        Ok(())
    };
    prepared(workshop, (&shop, asked), build.as_ref().map(|(_, record)| record), still_there).map_err(said)?;
    let not_added = |_| said(words::PARTS_REFUSED.to_owned());
    if let Some((at, record)) = build {
        let source = &record.source;
        let text = record_of_set("", (&asked.generation, &[]), Some(source), &parts).map_err(not_added)?;
        write_over(workshop, &at, (source.text(), &text)).map_err(|(status, _, why)| (status, why))?;
        return Ok(address::build(&at.name));
    }
    let name = form.iter().find(|(name, _)| name == "name").map_or("", |(_, name)| name.trim());
    let place = new_place(workshop, name, false)?;
    let text = record_of_set(name, (&asked.generation, &given(asked)), None, &parts).map_err(not_added)?;
    create(workshop, &place, &text).map(|name| address::build(&name))
}
