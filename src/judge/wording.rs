//! Every sentence of the room `judge`.

use super::contradicted::Against;
use super::inputs::Trouble;
use super::outside;
use super::ruling_report::ReportContext;
use super::value_contradicted::Otherwise;
use super::{Found, Side, figures, wording_uncertainty};
use crate::bind::{Concession, Readings};
use crate::book::{Book, Datum, Kind, Range, Row};
use crate::finding::{Code, Finding, NoteKind, list, plural};
use crate::plan::{CheckRange, Plan, Subject};
use crate::quantity::{Band, Date, End, Number, Unit, Value, shown};

/// "rotor front: side clearance is 0.09 mm, 0.01 mm under its limit of at least 0.10 mm".
pub(super) fn message(context: &ReportContext<'_>) -> String {
    let before = context.subject_words();
    let advisory = if context.ruling.advisory { " (advisory)" } else { "" };
    format!("{before} {}{advisory}", said(context))
}

fn said(context: &ReportContext<'_>) -> String {
    let unanswered =
        matches!(context.ruling.found, Found::Undecided { .. } | Found::ConditionUndecided | Found::Impossible);
    if unanswered && let Some(reason) = outside::table(context) {
        let what = match context.ruling.found {
            Found::ConditionUndecided => "cannot be judged, because it cannot be decided whether the row applies",
            Found::Impossible => "cannot be calculated",
            _ => "cannot be judged",
        };
        return format!("{what}: {reason}");
    }
    match context.ruling.found {
        Found::Inside => "is inside its range".into(),
        Found::Outside { limit, side } => outside(context, limit, side),
        Found::Guarded { .. } => wording_uncertainty::guarded(context),
        Found::Undecided { .. } => match context.tier() {
            Some((limit, range, check)) => format!(
                "is too near an end of its {} {} to say on which side it lies",
                if limit { context.row().limit_word() } else { "standard range" },
                range_and_ends(context, range, check)
            ),
            None => "cannot be decided".into(),
        },
        Found::ConditionUndecided => "cannot be judged: it cannot be decided whether the row applies".into(),
        Found::Impossible => {
            "cannot be calculated: with these readings it divides by zero, or takes a root or angle that does not exist"
                .into()
        }
        Found::Missing => lacking(context, "cannot be judged"),
        Found::ConditionMissing => {
            lacking(context, "cannot be judged: nobody can tell whether the row applies, because")
        }
    }
}

/// A value as it was written, with what that is in the book's unit where it is written in another.
pub(super) fn value_words(numbers: &super::figures::Numbers) -> String {
    match &numbers.written {
        Some(written) if same_number(written, &numbers.value) => written.clone(),
        Some(written) => format!("{written} ({})", numbers.value),
        None => numbers.value.clone(),
    }
}

fn outside(context: &ReportContext<'_>, limit: bool, side: Side) -> String {
    let Some((_, range, check)) = context.tier() else { return "is outside its range".into() };
    let range_text = range_and_ends(context, range, check);
    let tier = if limit { context.row().limit_word() } else { "standard range" };
    let still = if limit || context.row().limit.is_none() { "" } else { ", inside its limit" };
    if let Some(numbers) = context.numbers() {
        let value = value_words(numbers);
        let value = match &numbers.rounded {
            Some(rounded) => format!("{value}, rounded to {rounded}"),
            None => value,
        };
        let side = if side == Side::Below { "under" } else { "over" };
        let distance = numbers.distance.clone().unwrap_or_default();
        // The end is said in the book's unit where the range is written in another, or as an expression.
        let end = match &numbers.end {
            Some(end)
                if !range.fit
                    && !is_calculated(check)
                    && !range_text.split_whitespace().any(|word| same_number(word, end)) =>
            {
                format!(" (here {end})")
            }
            _ => String::new(),
        };
        return format!("is {value}, {distance} {side} its {tier} of {range_text}{end}{still}");
    }
    if let Subject::Group(slots) = &context.check.subject {
        let mut told: Vec<String> = Vec::new();
        for (slot, positions) in slots {
            for reading in context.readings.taken(*slot) {
                let value = context.readings.slice(reading.span);
                let brought = reading.warmth().map(|_| context.brought(reading));
                let value = brought.as_deref().unwrap_or(value);
                let part = context.book.parts.get(context.characteristic().part);
                let names: Vec<&str> = part
                    .positioned
                    .iter()
                    .zip(positions)
                    .filter_map(|(id, position)| {
                        context.book.parts.get(*id).positions.get(usize::from(*position)).map(|name| &**name)
                    })
                    .collect();
                told.push(format!("{} {value}", names.join(" ")));
            }
        }
        const MOST_TOLD: usize = 8;
        let more = if told.len() > MOST_TOLD { format!(" and {} more", told.len() - MOST_TOLD) } else { String::new() };
        told.truncate(MOST_TOLD);
        return format!("is not the same everywhere: {}{more}", told.join(", "));
    }
    match (context.ruling.value.as_ref(), context.characteristic().kind) {
        (Some(Datum::Name(number)), Kind::Names(set)) => {
            format!("is {}, and its {tier} is {range_text}{still}", context.book.sets.get(set).name_of(*number))
        }
        (Some(Datum::YesNo(yes)), _) => {
            format!("is {}, and its {tier} is {range_text}{still}", if *yes { "yes" } else { "no" })
        }
        _ => format!("is outside its {tier} of {range_text}{still}"),
    }
}

/// Whether two texts begin with the same number, so that saying both would say the same twice.
fn same_number(a: &str, b: &str) -> bool {
    match (Number::parse_prefix(a), Number::parse_prefix(b)) {
        (Ok((a, _)), Ok((b, _))) => a == b,
        _ => false,
    }
}

fn lacking(context: &ReportContext<'_>, what: &str) -> String {
    let lacking = context.lacking();
    let own = context.path();
    let reason = |(path, trouble): &(String, Option<(Trouble, crate::text::Place)>)| {
        let path = if *path == own { String::new() } else { format!("{path} ") };
        match trouble {
            None => format!("{path}was not measured"),
            Some((Trouble::Unknown, _)) => format!("{path}could not be read"),
            Some((Trouble::Unusable, _)) => format!("{path}has an error in the record"),
            Some((Trouble::SetAside, _)) => format!("{path}is not counted"),
        }
    };
    match lacking.as_slice() {
        [] => format!("{what}: something it needs is missing"),
        [one] if one.0 == own => reason(one),
        some => {
            const MOST_TOLD: usize = 4;
            let more =
                if some.len() > MOST_TOLD { format!(" and {} more", some.len() - MOST_TOLD) } else { String::new() };
            let told: Vec<String> =
                some.iter().take(MOST_TOLD).map(reason).map(|reason| reason.trim().to_string()).collect();
            let joined = told.join(", ");
            if what.ends_with("because") { format!("{what} {joined}{more}") } else { format!("{what}: {joined}{more}") }
        }
    }
}

/// At a place where something is written and nothing counts.
pub(super) fn trouble(trouble: Trouble) -> &'static str {
    match trouble {
        Trouble::Unknown => "cannot be read",
        Trouble::Unusable => "cannot be used",
        Trouble::SetAside => "not counted",
    }
}

/// A missing reading in a list: `mass`, `3 of 6 apex heights`, `width at b and c`, `mass (the scale is away)`. `stations` are those it is
/// missing at, where they say which.
pub(super) fn missing_reading(
    name: &str,
    countable: bool,
    (missing, of): (usize, usize),
    stations: Option<&[&str]>,
    reasons: &[String],
) -> String {
    let words = match stations {
        // One of several is named with its place.
        None if missing == 1 => name.to_string(),
        _ if of == 1 => name.to_string(),
        Some(stations) if missing < of => {
            format!("{name} at {}", list(stations.iter().copied(), "and").replace('_', " "))
        }
        _ if !countable && missing == of => format!("{name} at all {of}"),
        _ if !countable => format!("{name} at {missing} of {of}"),
        _ if missing == of => format!("{of} {}", several(name)),
        _ => format!("{missing} of {of} {}", several(name)),
    };
    if reasons.is_empty() { words } else { format!("{words} ({})", reasons.join("; ")) }
}

/// A reading that is written and set aside, whatever the reason, which stands with its own finding.
pub(super) fn set_aside(written: &str) -> String {
    format!("{} is not counted", written.split_whitespace().collect::<Vec<_>>().join(" "))
}

pub(super) fn several_set_aside(count: usize) -> String {
    format!("the {count} readings are not counted")
}

/// The word for several readings of a name, which may be that of several already, or of what is not counted.
fn several(name: &str) -> String {
    if name.ends_with("ness") {
        format!("{name} readings")
    } else if name.ends_with('s') && !name.ends_with("ss") {
        name.to_owned()
    } else {
        plural(name)
    }
}

/// Several rulings on one characteristic that lack readings.
pub(super) fn gap(context: &ReportContext<'_>, instances: usize, missing: &[String]) -> Finding {
    const MOST_TOLD: usize = 6;
    let part = context.book.parts.get(context.characteristic().part);
    let name = context.characteristic().name.replace('_', " ");
    let subject = if part.parent.is_none() { name } else { format!("{} {name}", part.name.replace('_', " ")) };
    let at = if instances > 1 { format!(" at {instances} positions") } else { String::new() };
    let more =
        if missing.len() > MOST_TOLD { format!(" and {} more", missing.len() - MOST_TOLD) } else { String::new() };
    let told: Vec<&str> = missing.iter().take(MOST_TOLD).map(String::as_str).collect();
    let advisory = if context.ruling.advisory { " (advisory)" } else { "" };
    let mut finding = Finding::new(
        Code::RowUnmeasured,
        format!("{subject} cannot be judged{at}{advisory}: not measured: {}{more}", told.join(", ")),
    )
    .about(context.book.path(context.row().subject.characteristic, &[], None))
    .since(context.tier().map_or_else(|| context.row().place.clone(), |(_, range, _)| range.place.clone()), "required here")
    .help("measure it and write it down; if it cannot be read, write `unknown`, and have a concession signed if the build is to leave without it");
    if let Some(because) = &context.row().texts.because {
        finding = finding.note(NoteKind::Because, because.to_string());
    }
    finding
}

/// A range as the book writes it, blanks folded.
pub(super) fn range_text(range: &Range) -> String {
    range.place.text().split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A range as the book writes it; after a size and its class also the ends, which nobody knows by heart:
/// `43 mm H7 (43.000 to 43.025 mm)`. A calculation by what it comes to: [`calculated`] says how.
pub(super) fn range_and_ends(context: &ReportContext<'_>, range: &Range, check: &CheckRange) -> String {
    let text = range_text(range);
    let Some(band) = context.band(check).filter(|_| range.fit || is_calculated(check)) else { return text };
    let unit = context.unit();
    let ends = if is_calculated(check) { ends_words(&band, &unit) } else { both_ends(&band, &unit) };
    match ends {
        Some(ends) if is_calculated(check) => ends,
        Some(ends) => format!("{text} ({ends})"),
        None => text,
    }
}

/// Whether the ends of a range are calculated from readings.
pub(super) fn is_calculated(check: &CheckRange) -> bool {
    matches!(check, CheckRange::Worked { .. })
}

/// How a calculated range is calculated, for after a sentence that says what it comes to.
pub(super) fn calculated(row: &Row, limit: bool, range: &Range) -> String {
    format!("the {} is calculated: {}", if limit { row.limit_word() } else { "standard range" }, range_text(range))
}

/// A range by its ends: `19.99 to 20.01 mm`, `at most 218.1823 g·mm`, `above 0 mm`.
fn ends_words(band: &Band, unit: &Unit) -> Option<String> {
    let one = |end: &End, closed: &str, open: &str| {
        let word = if end.closed { closed } else { open };
        format!("{word} {}", shown(&end.value, unit, figures::places(&end.value, unit, 4)))
    };
    match (&band.low, &band.high) {
        (Some(low), Some(high)) if low.closed && high.closed => both_ends(band, unit),
        (Some(low), Some(high)) => {
            Some(format!("{} and {}", one(low, "at least", "above"), one(high, "at most", "below")))
        }
        (Some(low), None) => Some(one(low, "at least", "above")),
        (None, Some(high)) => Some(one(high, "at most", "below")),
        (None, None) => None,
    }
}

/// How many decimals an end of a fit is shown with.
fn places(value: &Value, unit: &Unit) -> u32 {
    /// The most decimals of an end.
    const MOST: u32 = 6;
    /// At least so many for an end that does not end: fits are given to a hundredth of a thousandth.
    const INEXACT: u32 = 5;
    if figures::is_exact(value, unit) { figures::places(value, unit, MOST) } else { INEXACT }
}

/// Both ends with the unit once: `43.000 to 43.025 mm`.
fn both_ends(band: &Band, unit: &Unit) -> Option<String> {
    let (low, high) = band.low.as_ref().zip(band.high.as_ref())?;
    let places = places(&low.value, unit).max(places(&high.value, unit));
    let bare = shown(&low.value, unit, places);
    let bare = bare.strip_suffix(&*unit.symbol).unwrap_or(&bare).trim_end();
    Some(format!("{bare} to {}", shown(&high.value, unit, places)))
}

pub(super) fn slip(written: &str, instead: &str, swapped: bool, inches: bool) -> String {
    if swapped {
        format!("{written} reads like {instead} with two digits swapped")
    } else if inches {
        format!("{written} reads like {instead}: inches and millimetres mixed up, a factor of 25.4")
    } else {
        format!("{written} reads like {instead} with its decimal point moved")
    }
}

pub(super) fn concession(concession: &Concession) -> String {
    let until = concession.until.map(|until| format!(", until {until}")).unwrap_or_default();
    format!("excused by {}{until}: {}", concession.by, concession.because)
}

/// What was measured rules out the generation the record states.
pub(super) fn contradicted(book: &Book, plan: &Plan, readings: &Readings, against: &[Against<'_>]) -> Finding {
    const MOST_PLACES: usize = 4;
    const MOST_TOLD: usize = 2;
    let generation = book.generations.get(plan.generation);
    let range = |against: &Against<'_>| range_text(&against.telltale.range);
    let told: Vec<String> = against
        .iter()
        .take(MOST_TOLD)
        .map(|one| match &one.place {
            Some(place) => {
                format!("{} is {}, but {} has {}", one.path, place.text().trim(), generation.name, range(one))
            }
            None => format!("{} is not {}, which it must be for {}", one.path, range(one), generation.name),
        })
        .collect();
    let more = match against.len().saturating_sub(MOST_TOLD) {
        0 => String::new(),
        more => format!("; {more} more rule it out too"),
    };
    let message = format!("this is not generation {}: {}{more}", generation.name, told.join("; "));
    let mut finding = Finding::new(Code::GenerationContradicted, message);
    let mut places = against.iter().filter_map(|one| one.place.clone());
    let stated = readings.generation_span.map(|span| readings.place(span));
    match (places.next(), stated) {
        (Some(first), stated) => {
            finding = finding.at(first, "rules it out");
            finding = places.take(MOST_PLACES - 1).fold(finding, |finding, place| finding.since(place, "rules it out"));
            finding = stated.into_iter().fold(finding, |finding, place| finding.since(place, "stated here"));
        }
        (None, Some(stated)) => finding = finding.at(stated, "stated here"),
        (None, None) => {}
    }
    if let Some(first) = against.first() {
        finding = finding.since(first.telltale.place.clone(), "the telltale");
    }
    finding.help(format!(
        "run `trochoid identify {}` to see which generations fit; then correct the reading or the generation",
        readings.source().name()
    ))
}

/// A value of a reading of names that something measured rules out.
pub(super) fn value_contradicted(book: &Book, one: &Otherwise<'_>, file: &str) -> Finding {
    let telltale = &one.context.telltale;
    let (range, value) = (range_text(&telltale.range), one.value.trim());
    let name = |id| book.characteristics.get(id).name.replace('_', " ");
    let where_stated = telltale.tells.map(|tells| format!("where {} is {value}", name(tells.characteristic)));
    let where_stated = where_stated.unwrap_or_default();
    let (path, against) = &one.against;
    let message = match against {
        Some(place) => {
            let found = place.text().trim();
            let what = name(telltale.subject.characteristic);
            format!("{} is {value}, but {path} is {found}: {where_stated}, {what} is {range}", one.path)
        }
        None => format!("{} is {value}, but {path} is not {range}, as it is {where_stated}", one.path),
    };
    let mut finding = Finding::new(Code::ValueContradicted, message).at(one.place.clone(), "stated here");
    if let Some(place) = against {
        finding = finding.since(place.clone(), "rules it out");
    }
    finding
        .since(telltale.place.clone(), "the telltale")
        .help(format!("look again which it is; `trochoid identify {file}` shows what speaks for and against it"))
}

/// Rows that hold from a day, and a record that names no day.
pub(super) fn finished_missing(readings: &Readings) -> Finding {
    let (message, help) = if readings.is_part {
        (
            "some rows apply only on certain dates, and the record does not say when the part was measured: it is judged by the newest rows",
            "add `measured: YEAR-MONTH-DAY`, or give the day to judge by with `--as-of`",
        )
    } else {
        (
            "some rows apply only on certain dates, and the record does not say when the build was finished: it is judged by the newest rows",
            "add `finished: YEAR-MONTH-DAY`, or give the day to judge by with `--as-of`",
        )
    };
    let start = crate::text::Span::default();
    Finding::new(Code::FinishedMissing, message)
        .at(readings.place(start), if readings.is_part { "no measured date" } else { "no finished date" })
        .help(help)
}

pub(super) fn concession_ended(readings: &Readings, concession: &Concession, until: Date) -> Finding {
    let row = readings.slice(concession.row_span);
    let message = match readings.finished {
        Some(finished) => {
            format!("the concession for {row} ended on {until}, before the build was finished on {finished}")
        }
        None => format!(
            "the concession for {row} holds until {until}, and the record does not say when the build was finished"
        ),
    };
    Finding::new(Code::ConcessionEnded, message)
        .at(readings.place(concession.span), "does not count")
        .help("have it signed again with a later date, or fix what is out of range")
}

/// A concession for a row that none lets through.
pub(super) fn concession_refused(readings: &Readings, concession: &Concession, row: &Row) -> Finding {
    let finding = Finding::new(
        Code::ConcessionRefused,
        format!(
            "no concession lets {} through: its row is marked `never excused`",
            readings.slice(concession.row_span)
        ),
    )
    .at(readings.place(concession.span), "does not count")
    .since(row.place.clone(), "never excused");
    let finding = match &row.texts.remedy {
        Some(remedy) => finding.note(NoteKind::Remedy, remedy.to_string()),
        None => finding,
    };
    match &row.texts.because {
        Some(because) => finding.note(NoteKind::Because, because.to_string()),
        None => finding,
    }
}

pub(super) fn concession_idle(readings: &Readings, concession: &Concession, judged: bool) -> Finding {
    let row = readings.slice(concession.row_span);
    let message = if judged {
        format!("the concession for {row} is not needed: the row is good without it")
    } else {
        format!("the concession for {row} excuses nothing: no row of this generation judges it")
    };
    Finding::new(Code::ConcessionIdle, message).at(readings.place(concession.span), "not needed")
}
