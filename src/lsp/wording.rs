//! Every sentence of the room `lsp`.

use crate::book::{Book, Characteristic, Generation, Id, Kind, NameSet, Origin, Part, Range, Row};
use crate::finding::Finding;
use crate::judge::{RulingReport, row_source_words};
use crate::quantity::{Unit, shown};
use crate::text::Place;

pub(super) const SERVER: &str = "trochoid";
pub(super) const TOO_LONG: &str = "the message is longer than 64 MiB";
pub(super) const HEADER_LONG: &str = "a line of the header is not ended, or is longer than 8 KiB";
pub(super) const LENGTH_UNREADABLE: &str = "the content-length is not a whole number of bytes";
pub(super) const LENGTH_MISSING: &str = "the header has no content-length";
pub(super) const NO_MESSAGE: &str = "this is not a request, a notification or a response";
pub(super) const NOT_YET: &str = "nothing is answered before `initialize`";
pub(super) const TWICE: &str = "`initialize` was already requested";
pub(super) const CLOSING: &str = "nothing is answered after `shutdown`";
pub(super) const CANCELLED: &str = "cancelled by the client";
pub(super) const NOT_JUDGED: &str = "not judged: the rulebooks it belongs to have errors";

pub(super) fn no_json(error: &serde_json::Error) -> String {
    format!("the message is not JSON: {error}")
}

pub(super) fn no_method(method: &str) -> String {
    format!("there is no method {method}")
}

pub(super) fn params(method: &str, error: &serde_json::Error) -> String {
    format!("the parameters of {method} cannot be read: {error}")
}

/// A finding in an editor's list: its sentence, then what goes with it, a line each.
pub(super) fn diagnostic(finding: &Finding) -> String {
    let mut text = finding.message.clone();
    for note in &finding.notes {
        text.push_str(&format!("\n{}: {}", note.kind.word(), note.text));
    }
    if let Some(help) = &finding.help {
        text.push_str(&format!("\nhelp: {help}"));
    }
    text
}

pub(super) const NO_NAME: &str = "there is no name here that can be changed";
pub(super) const NOT_OPEN: &str = "this file is not open here";

pub(super) fn shipped_name(name: &str) -> String {
    format!("`{name}` is declared in a shipped rulebook, which cannot be changed")
}

/// At most three names, and how many more there are.
fn some(names: &[String]) -> String {
    let shown = names.get(..3).unwrap_or(names).join(", ");
    match names.len().saturating_sub(3) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}

pub(super) fn unit_in_records(name: &str, records: &[String]) -> String {
    format!(
        "`{name}` stands beside readings in {}; a unit in records is changed by hand, so nothing was renamed",
        some(records)
    )
}

pub(super) fn records_left(name: &str, records: &[String]) -> String {
    format!(
        "`{name}` stands in {}, where it is not clear what it means; correct that first. Nothing was renamed",
        some(records)
    )
}

pub(super) fn no_new_name(name: &str) -> String {
    format!("`{name}` cannot be a name: letters, digits and `_`, beginning with a letter, and no word of the language")
}

pub(super) fn taken(name: &str, place: &Place) -> String {
    format!("`{name}` is taken already, at {place}")
}

pub(super) fn unsound() -> String {
    "the rulebooks have errors, so not every place of the name is known; correct them first".into()
}

pub(super) fn mend(instead: &str) -> String {
    format!("write `{instead}`")
}

pub(super) fn declared(place: &Place) -> String {
    format!("declared at {place}")
}

fn lines(lines: impl IntoIterator<Item = Option<String>>) -> String {
    lines.into_iter().flatten().collect::<Vec<_>>().join("\n")
}

fn said(word: &str, text: Option<&str>) -> Option<String> {
    text.map(|text| format!("{word}: {text}"))
}

fn folded(place: &Place) -> String {
    place.text().split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A row: its ranges as written, why, and who says so.
pub(super) fn row(book: &Book, row: &Row) -> String {
    let tier =
        |word: &str, range: &Option<Range>| range.as_ref().map(|range| format!("{word} {}", folded(&range.place)));
    let source = row_source_words(book, row);
    lines([
        Some(row.path.to_string()),
        tier("standard", &row.standard),
        tier(row.limit_word(), &row.limit),
        row.condition.as_ref().map(|condition| format!("where {}", condition.words())),
        row.advisory.then(|| "advisory: it never makes a build worse than worn".to_string()),
        row.never_excused.then(|| "never excused: no concession lets it through".to_string()),
        said("because", row.texts.because.as_deref()),
        said("remedy", row.texts.remedy.as_deref()),
        said("caution", row.texts.caution.as_deref()),
        said("measure", row.texts.measure.as_deref()),
        said("source", source.as_deref()),
        row.history.last().map(|change| format!("{} by {} at {}", change.kind.word(), change.by, change.place)),
    ])
}

/// A ruling on a reading.
pub(super) fn ruling(told: &RulingReport) -> String {
    let value = told.value.as_ref().map_or_else(String::new, |value| format!(", {value}"));
    lines([
        Some(format!("{}: {}{value}", told.path, told.grade.word())),
        said("standard", told.standard.as_deref()),
        said(if told.outer { "outer limit" } else { "limit" }, told.limit.as_deref()),
        told.beyond.clone(),
        told.room.as_ref().map(|room| format!("{room} to spare")),
        said("not measured", (!told.missing.is_empty()).then(|| told.missing.join(", ")).as_deref()),
        said("slip?", told.slip.as_deref()),
        said("because", told.because.as_deref()),
        said("remedy", told.remedy.as_deref()),
        said("caution", told.caution.as_deref()),
        said("source", told.source.as_deref()),
        said("excused", told.concession.as_deref()),
        Some(format!("row at {}", told.row)),
    ])
}

/// A ruling beside its reading: the grade, and how much is to spare where that is known.
pub(super) fn hint(told: &RulingReport, key: &str) -> String {
    let name = told.path.rsplit('.').next().unwrap_or(&told.path);
    let about = if told.path == key || told.path.starts_with(key) { String::new() } else { format!("{name} ") };
    match (&told.beyond, &told.room) {
        (Some(beyond), _) => format!("{about}{}, {beyond}", told.grade.word()),
        (None, Some(room)) => format!("{about}{}, {room} to spare", told.grade.word()),
        (None, None) => format!("{about}{}", told.grade.word()),
    }
}

/// A unit in base units.
pub(super) fn unit(book: &Book, name: &str) -> String {
    let Some(unit) = book.units.find(name) else { return String::new() };
    let size = shown(&unit.size, &Unit::number(), 12);
    format!("1 {name} = {size} {}", unit.dimension)
}

pub(super) fn set(set: &NameSet) -> String {
    let word = if set.ordered { "class" } else { "choice" };
    format!("{word} {}: {}", set.name.as_deref().unwrap_or(""), set.names.join(", "))
}

pub(super) fn member(of: &NameSet, number: u16) -> String {
    format!("{} of {}", of.name_of(number), set(of))
}

pub(super) fn constant(book: &Book, name: &str) -> String {
    let Some((id, constant)) = book.constants.entries().find(|(_, constant)| *constant.name == *name) else {
        return String::new();
    };
    let unit = constant.unit.clone().unwrap_or_else(Unit::number);
    let given = book.generations.iter().filter_map(|generation| {
        let given = generation.constants.get(id.index())?.as_ref()?;
        Some(format!("{}: {}", generation.name, shown(&given.value, &unit, 6)))
    });
    lines([Some(format!("constant {name}"))].into_iter().chain(given.map(Some)))
}

pub(super) fn generation(generation: &Generation) -> String {
    let word = if generation.basis { "basis" } else { "generation" };
    format!("{word} {}: {}, {} rows", generation.name, generation.description, generation.rows.len())
}

pub(super) fn part(book: &Book, id: Id<Part>) -> String {
    let part = book.parts.get(id);
    let head = match part.positions.len() {
        0 => format!("part {}", part.name),
        _ => format!("part {} at {}", part.name, part.positions.join(", ")),
    };
    lines([Some(head), said("measure", part.measure.as_deref())])
}

pub(super) fn position(book: &Book, id: Id<Part>, number: u16) -> String {
    let part = book.parts.get(id);
    let name = part.positions.get(usize::from(number)).map_or("", |name| name);
    format!("position {name} of {}", self::part(book, id))
}

/// How a reading is measured; where its part has positions, how they are told apart too.
pub(super) fn measured(book: &Book, id: Id<Characteristic>) -> Option<String> {
    let characteristic = book.characteristics.get(id);
    let part = book.parts.get(characteristic.part).measure.as_deref();
    let own = characteristic.texts.measure.as_deref();
    (own.is_some() || part.is_some()).then(|| lines([said("measure", own), said("positions", part)]))
}

/// A reading or a derived value, with what every row on it says.
pub(super) fn characteristic(book: &Book, id: Id<Characteristic>) -> String {
    let characteristic = book.characteristics.get(id);
    let kind = match (characteristic.kind, &characteristic.unit) {
        (Kind::Names(set), _) => self::set(book.sets.get(set)),
        (Kind::YesNo, _) => "yes/no".into(),
        (Kind::Text, _) => "text".into(),
        (Kind::Quantity(_), Some(unit)) => unit.symbol.to_string(),
        (Kind::Quantity(_), None) => "number".into(),
    };
    let (word, how) = match &characteristic.origin {
        Origin::Reading { optional, may_be_negative, agree, .. } => {
            let agree = agree.as_ref().map(|agree| format!("its values agree within {}", folded(&agree.place)));
            let words =
                [optional.then(|| "may be left out".into()), may_be_negative.then(|| "may be negative".into()), agree];
            let words: Vec<String> = words.into_iter().flatten().collect();
            ("reading", (!words.is_empty()).then(|| words.join("; ")))
        }
        Origin::Derived(body) => ("derive", body.as_ref().map(|body| format!("= {}", folded(&body.place)))),
    };
    let texts = &characteristic.texts;
    lines([
        Some(format!("{word} {} : {kind}", characteristic.name)),
        how,
        said("because", texts.because.as_deref()),
        said("remedy", texts.remedy.as_deref()),
        said("caution", texts.caution.as_deref()),
        measured(book, id),
    ])
}

/// What a word of the language says, for those a reader meets first.
pub(super) fn language(word: &str) -> Option<&'static str> {
    Some(match word {
        "standard" => "standard: as new; a value outside it and inside the limit is worn",
        "limit" => "limit: how far wear may go; a value outside it is out",
        "advisory" => "advisory: the row is graded and shown, and never makes a build worse than worn",
        "outer" => "outer limit: from here on no part is used; it binds, whatever the row beside it advises",
        "never" | "excused" => "never excused: no concession lets through what the row calls out",
        "where" => "where: the row applies only to builds of which this is true",
        "replace" => "replace: the only way for a generation to change a row it inherits",
        "telltale" => "telltale: a range that tells generations apart and judges nothing",
        "plausible" => {
            "plausible: what a value can be at all, on any part of the generation; outside it a reading is not counted"
        }
        "narrow" => "narrow: the shop accepts fewer values of a reading as plausible",
        "rework" => {
            "rework: what a shop can do to a reading or a part; plans are made of it, and nothing is judged by it"
        }
        "also" => "also: the same range as its source prints it in another unit",
        "derive" => "derive: a value calculated from readings",
        "optional" => "optional: the reading may be left out",
        "basis" => "basis: what generations that follow it have in common; no record may name it",
        "follows" => "follows: takes over constants, telltales and rows of another generation",
        "fitted" => "fitted: which positions of a part this generation has",
        "tighten" => "tighten: the shop allows less than the row does",
        "loosen" => "loosen: the shop allows more than the row does; it must say why",
        "adopt" => "adopt: the shop makes an advisory row binding",
        "retire" => "retire: the shop no longer judges by the row; it must say why",
        "because" => "because: why the rule is there",
        "remedy" => "remedy: what to do about it",
        "measure" => "measure: how a reading is taken; in a part, how its positions are told apart",
        "caution" => "caution: what can hurt someone or cannot be put back",
        "from" => "from: where the numbers come from; 'standard from' and 'limit from' where one tier comes from",
        _ => return None,
    })
}
