//! Writes out what a path means in one record, verdict by verdict, in the order a person would work it out.

use super::wording::folded;
use super::working::{Answer, Stand, Term, Working, result_of};
use super::{Block, Explanation, Line, MonteCarlo, Verdict, find, measured, taken, unjudged, wording};
use crate::bind::{Readings, State};
use crate::book::{Book, Datum, Kind, Origin, RangeKind};
use crate::finding::Finding;
use crate::judge::{self, Grade, Reporter, Ruling};
use crate::plan::{Check, CheckRange, Plan, Subject, slots_of};
use crate::quantity::{Days, Number, Unit};

/// Writes out every verdict that a path means: `rotor.front.side_clearance`, `rotor.side_clearance` for every rotor. A value
/// that no row judges is written out without one.
///
/// # Errors
/// A finding where the generation has nothing of this path.
pub fn explain_row(book: &Book, plan: &Plan, readings: &Readings, asked: &str) -> Result<Explanation, Box<Finding>> {
    explain(Working::new(book, plan, readings), asked)
}

/// As [`explain_row`], and where a straight-line budget is not good enough with what draws say, which takes a while.
///
/// # Errors
/// A finding where the generation has nothing of this path.
pub fn explain_row_drawn(
    book: &Book,
    plan: &Plan,
    readings: &Readings,
    asked: &str,
) -> Result<Explanation, Box<Finding>> {
    explain(Working::new(book, plan, readings).drawing(true), asked)
}

fn explain(mut working: Working<'_>, asked: &str) -> Result<Explanation, Box<Finding>> {
    let Working { book, plan, readings, draws, .. } = working;
    let generation = book.generations.get(plan.generation);
    let checks = find::checks(book, plan, asked);
    if checks.is_empty() {
        return unjudged::explain((book, plan, readings), asked, draws);
    }
    let verdict = judge::judge(book, plan, readings);
    let reporter = Reporter::new(book, plan, readings);
    let mut verdicts = Vec::new();
    for number in checks {
        let Some(check) = plan.checks.get(number) else { continue };
        let rulings: Vec<&Ruling> = verdict.rulings.iter().filter(|ruling| ruling.check == number).collect();
        if rulings.is_empty() {
            verdicts.push(written(&mut working, &reporter, (number, check), None));
        }
        for ruling in rulings {
            verdicts.push(written(&mut working, &reporter, (number, check), Some(ruling)));
        }
    }
    Ok(Explanation {
        record: readings.source().name().to_string(),
        build: readings.build.clone(),
        part: None,
        generation: (generation.name.to_string(), generation.description.to_string()),
        verdicts,
    })
}

fn written(
    working: &mut Working<'_>,
    reporter: &Reporter<'_>,
    (number, check): (usize, &Check),
    ruling: Option<&Ruling>,
) -> Verdict {
    working.afresh();
    let mut blocks = Vec::new();
    let in_force = check.row.days.holds(working.readings.judged_on);
    // Of a row of other days it is enough to say whose and which days.
    if in_force {
        let (derived, taken) = find::behind(working.plan, &slots_behind(check));
        blocks.push(taken_block(working, &taken, check));
        blocks.extend(measured::block(working.book, &taken));
        for slot in derived {
            blocks.extend(derived_block(working, slot));
        }
    }
    let applies =
        if in_force { condition_block(working, check, &mut blocks) } else { Answer::Known(Datum::YesNo(false)) };
    let (mut worked, mut worked_grade) = (None, None);
    match applies {
        Answer::Known(Datum::YesNo(true)) => {
            working.lines.clear();
            if matches!(check.subject, Subject::Group(_)) {
                worked_grade = working.compare(check);
                let title = check.row.limit.as_ref().map_or(String::new(), |limit| folded(limit.place.text()));
                let place = check.row.limit.as_ref().map(|limit| limit.place.clone());
                blocks.push(Block { title, place, lines: std::mem::take(&mut working.lines) });
            } else {
                let term = working.subject(check, ruling.and_then(|ruling| ruling.reading).unwrap_or(0));
                if !working.lines.is_empty() {
                    let title = format!("{} of what was taken", folded(&row_words(check)));
                    let lines = std::mem::take(&mut working.lines);
                    blocks.push(Block { title, place: Some(check.row.place.clone()), lines });
                }
                match &term.answer {
                    Answer::Known(datum) => {
                        worked = Some(datum.clone());
                        let (tiers, grade) = working.tiers(check, &term);
                        blocks.extend(tiers);
                        worked_grade = Some(grade);
                    }
                    Answer::Skipped => blocks.extend(bounds(check)),
                    Answer::Missing => worked_grade = Some(Grade::Unmeasured),
                    Answer::Impossible | Answer::Undecided => worked_grade = Some(Grade::Unsettled),
                }
                if worked.is_none() && worked_grade.is_some() {
                    blocks.extend(bounds(check));
                }
            }
        }
        Answer::Known(_) | Answer::Skipped => {}
        Answer::Missing => worked_grade = Some(Grade::Unmeasured),
        Answer::Impossible | Answer::Undecided => worked_grade = Some(Grade::Unsettled),
    }
    let mut monte_carlo = None;
    if let Some(ruling) = ruling {
        let unit = working.book.characteristics.get(check.row.subject.characteristic).unit.clone();
        let unit = unit.unwrap_or_else(Unit::number);
        let told = reporter.tell(ruling);
        let weighed = (ruling, told.as_ref(), &unit);
        blocks.extend(super::budget::block(working.book, working.plan, working.readings, weighed));
        monte_carlo = super::simulated::of(working, ruling, &unit);
        blocks.extend(monte_carlo.as_ref().map(MonteCarlo::block));
    }
    blocks.push(source_block(working, check));
    blocks.push(verdict_block(working, reporter, check, ruling, &applies));
    Verdict {
        path: working.path_of(check),
        taken_as: None,
        check: number,
        reading: ruling.and_then(|ruling| ruling.reading),
        grade: ruling.map(|ruling| ruling.grade),
        worked_grade,
        worked,
        monte_carlo,
        blocks,
    }
}

/// The bounds as written, where there is no value to hold against them.
fn bounds(check: &Check) -> Vec<Block> {
    [(check.row.limit_word(), &check.row.limit), ("standard", &check.row.standard)]
        .into_iter()
        .filter_map(|(word, range)| range.as_ref().map(|range| (word, range)))
        .map(|(word, range)| Block::new(format!("{word} {}", folded(range.place.text())), Some(range.place.clone())))
        .collect()
}

fn row_words(check: &Check) -> String {
    match check.row.word {
        Some(crate::syntax::tree::RowWord::Collect(collector)) => collector.word().into(),
        _ => String::new(),
    }
}

/// Every slot a check looks at: what it judges, its condition, its bounds.
pub(super) fn slots_behind(check: &Check) -> Vec<usize> {
    let mut slots = match &check.subject {
        Subject::Slot { slot, .. } | Subject::Each { slot, .. } => vec![*slot],
        Subject::Made(program) => slots_of(program),
        Subject::Group(group) => group.iter().map(|(slot, _)| *slot).collect(),
    };
    slots.extend(check.condition.iter().flat_map(|condition| slots_of(&condition.program)));
    for range in [&check.standard, &check.limit].into_iter().flatten() {
        if let CheckRange::Worked { low, high } = range {
            slots.extend([low, high].into_iter().flatten().flat_map(|(program, _)| slots_of(program)));
        }
    }
    slots
}

pub(super) fn slot_path(book: &Book, slot: usize) -> String {
    book.slot_owner(slot).map_or_else(String::new, |(id, positions, station)| book.path(id, &positions, station))
}

/// The readings as they were taken, each converted to the unit of the book where it is written in another.
pub(super) fn taken_block(working: &Working<'_>, slots: &[usize], check: &Check) -> Block {
    let mut block = Block::new("as taken", None);
    let (book, readings) = (working.book, working.readings);
    let mut gauges_said = Vec::new();
    for slot in slots {
        let path = slot_path(book, *slot);
        let Some((id, _, _)) = book.slot_owner(*slot) else { continue };
        let characteristic = book.characteristics.get(id);
        let taken = readings.taken(*slot);
        if taken.is_empty() {
            let place = match readings.state(*slot) {
                State::Unknown(span) | State::Unusable(span) | State::SetAside(span) => Some(readings.place(span)),
                State::Absent | State::Taken => None,
            };
            let words = match readings.state(*slot) {
                State::Unknown(_) => "unknown: it could not be read",
                State::Unusable(_) => "cannot be used: the record has an error here",
                State::SetAside(_) => "not counted: see what is wrong with the record",
                _ if characteristic.is_optional() => "left out, as it may be",
                _ => "not measured",
            };
            block.say(format!("{path}: {words}"), place);
            for reading in readings.aside(*slot) {
                let written = folded(readings.slice(reading.span));
                block.say(format!("{path}: {written} is written"), Some(readings.place(reading.span)));
            }
            taken::plausible(&mut block, working.plan, *slot);
            continue;
        }
        for (at, reading) in taken.iter().enumerate() {
            let written = folded(readings.slice(reading.span));
            let nth = if taken.len() > 1 { format!(" (reading {})", at + 1) } else { String::new() };
            let mut text = format!("{path}{nth}: {written}");
            if let (Datum::Quantity(value), Some(unit)) = (reading.as_taken(), &characteristic.unit) {
                let same = Number::parse_prefix(&written)
                    .is_ok_and(|(number, _)| unit.from_base(&value).is_exact_rational() == Some(&number));
                if !same {
                    let term = working.quantity(value, unit.clone());
                    text.push_str(&format!(" {}", result_of(&term)));
                }
            }
            if let Some(gauge) = reading.gauge.and_then(|gauge| readings.gauges.get(usize::from(gauge))) {
                text.push_str(&format!(", with {}", gauge.name));
            }
            if let Some(who) = reading.detail.as_ref().and_then(|detail| detail.confirmed.as_ref()) {
                text.push_str(&format!(", confirmed by {}", who.by));
            }
            block.say(text, Some(readings.place(reading.span)));
            taken::besides(&mut block, (book, readings), characteristic, reading, &mut gauges_said);
        }
        taken::plausible(&mut block, working.plan, *slot);
        if let Some(text) = taken::together(readings, *slot, &characteristic.unit.clone().unwrap_or_else(Unit::number))
        {
            block.lines.push(Line { text, place: None, depth: 1 });
        }
    }
    if let (true, Subject::Each { slot, .. }) = (block.lines.is_empty(), &check.subject) {
        block.say(format!("{}: nothing", slot_path(book, *slot)), None);
    }
    block
}

/// One derived value, worked out and kept for those that need it.
pub(super) fn derived_block(working: &mut Working<'_>, slot: usize) -> Option<Block> {
    let book = working.book;
    let (id, positions, _) = book.slot_owner(slot)?;
    let characteristic = book.characteristics.get(id);
    let Origin::Derived(Some(body)) = &characteristic.origin else { return None };
    let path = slot_path(book, slot);
    let unit = characteristic.unit.clone().unwrap_or_else(Unit::number);
    working.lines.clear();
    let term = working.work(body, Stand::new(&positions, &unit));
    let ended = match &term.answer {
        Answer::Known(datum) => {
            let shown = working.term(datum, characteristic.kind, characteristic.unit.as_ref());
            let before = if term.unit == shown.unit || term.text == shown.text {
                String::new()
            } else {
                format!(" {} =", term.text)
            };
            let result = result_of(&shown);
            if before.is_empty() {
                working.say(format!("{path} {result}"), None);
            } else {
                working.say(format!("{path} ={} {result}", before.trim_end_matches('=').trim_end()), None);
            }
            shown
        }
        Answer::Skipped => {
            working.say(format!("{path}: nothing to calculate it from; it may be left out"), None);
            term
        }
        Answer::Missing => {
            working.say(format!("{path} cannot be calculated: something it needs was not measured"), None);
            term
        }
        Answer::Impossible | Answer::Undecided => {
            working
                .say(format!("{path} has no answer: a division by zero, a root or an angle that is not there"), None);
            term
        }
    };
    if characteristic.kind == Kind::YesNo && working.readings.are_weighed() && judge::compares_quantities(book, id) {
        working.say(judge::NOT_WEIGHED, None);
    }
    working.values.insert(slot, ended);
    let mut block = Block::new(format!("{path} = {}", folded(body.place.text())), Some(body.place.clone()));
    block.lines = std::mem::take(&mut working.given);
    block.lines.append(&mut working.lines);
    Some(block)
}

/// Whether the row applies: yes where it has no condition.
fn condition_block(working: &mut Working<'_>, check: &Check, blocks: &mut Vec<Block>) -> Answer {
    let Some(condition) = &check.row.condition else { return Answer::Known(Datum::YesNo(true)) };
    working.lines.clear();
    let term: Term = working.work(condition, Stand::new(&check.positions, &Unit::number()));
    let words = match &term.answer {
        Answer::Known(Datum::YesNo(true)) => "the row applies",
        Answer::Known(_) => "the row does not apply",
        Answer::Skipped => "the row is skipped: what it depends on may be left out, and was",
        Answer::Missing => "whether the row applies is not known: what it depends on was not measured",
        Answer::Impossible | Answer::Undecided => "whether the row applies is not decided",
    };
    working.say(words, None);
    let mut block = Block::new(format!("where {}", condition.words()), Some(condition.place.clone()));
    block.lines = std::mem::take(&mut working.given);
    block.lines.append(&mut working.lines);
    blocks.push(block);
    term.answer
}

/// Where the row comes from and who changed it.
fn source_block(working: &Working<'_>, check: &Check) -> Block {
    let row = &check.row;
    let mut block = Block::new(format!("the row {}", row.path), Some(row.place.clone()));
    if let Some(title) = wording::book_title(working.book, &row.place) {
        block.say(format!("in {title}"), None);
    }
    for change in &row.history {
        block.say(wording::change(change), Some(change.place.clone()));
    }
    for words in wording::sources(working.book, row) {
        block.say(words, None);
    }
    if row.days != Days::ALWAYS {
        block.say(format!("in force {}", row.days), None);
    }
    if row.advisory {
        block.say("advisory: it never makes a build worse than worn", None);
    }
    if row.outer {
        block.say("outer limit: it binds, whatever the row beside it advises", None);
    }
    if row.never_excused {
        block.say("never excused: no concession lets it through", None);
    }
    block
}

fn verdict_block(
    working: &Working<'_>,
    reporter: &Reporter<'_>,
    check: &Check,
    ruling: Option<&Ruling>,
    applies: &Answer,
) -> Block {
    let Some((ruling, told)) = ruling.and_then(|ruling| reporter.tell(ruling).map(|told| (ruling, told))) else {
        let words = match applies {
            _ if !check.row.days.holds(working.readings.judged_on) => "not in force on the day it is judged by",
            Answer::Known(Datum::YesNo(true)) | Answer::Skipped => "skipped: what it needs may be left out, and was",
            _ => "does not apply",
        };
        return Block::new(format!("{}: {words}", working.path_of(check)), None);
    };
    let value = match (&ruling.value, &told.value) {
        (Some(Datum::Quantity(value)), _) => {
            let counted = matches!(
                check.row.word,
                Some(crate::syntax::tree::RowWord::Collect(crate::syntax::tree::Collector::Count))
            );
            let unit = if counted { Unit::number() } else { working.unit_of(check) };
            let spread = matches!(
                check.row.word,
                Some(crate::syntax::tree::RowWord::Collect(crate::syntax::tree::Collector::Spread))
            );
            let unit = if spread { unit.difference() } else { unit };
            format!(" {}", result_of(&working.quantity(value.clone(), unit)))
        }
        (Some(_), Some(text)) => format!(" = {text}"),
        _ => String::new(),
    };
    let mut block = Block::new(format!("{}{value}: {}", told.path, ruling.grade.word()), None);
    if let Some(finding) = reporter.finding(ruling)
        && !matches!(check.row.limit.as_ref().map(|limit| &limit.kind), Some(RangeKind::AllTheSame { .. }))
    {
        block.say(finding.message, None);
    }
    let texts = [
        ("concession", told.concession),
        ("slip", told.slip),
        ("because", told.because),
        ("remedy", told.remedy),
        ("caution", told.caution),
        ("source", told.source),
    ];
    for (word, text) in texts {
        if let Some(text) = text {
            let place = ruling
                .concession
                .filter(|_| word == "concession")
                .and_then(|number| working.readings.concessions.get(number))
                .map(|concession| working.readings.place(concession.span));
            block.lines.push(Line { text: format!("{word}: {text}"), place, depth: 0 });
        }
    }
    block
}
