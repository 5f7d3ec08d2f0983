//! Every sentence of the room `book` about a shop's own tolerances and a book's examples.

use super::{Generation, House, Range, Row};
use crate::finding::{Code, Finding, list, nearest};
use crate::quantity::Date;
use crate::syntax::tree::OverlayKind;
use crate::text::Place;

pub(super) fn house_two(name: &str, place: Place, first: &House) -> Finding {
    Finding::new(Code::HouseTwo, format!("these books hold the tolerances of two shops: {} and {name}", first.name))
        .at(place, "second shop")
        .since(first.place.clone(), "the first one")
        .help("use the books of one shop only, or give both blocks the same name")
}

pub(super) fn decision_twice(place: Place, first: &Place) -> Finding {
    Finding::new(Code::DecisionTwice, "the decision rule is given twice")
        .at(place, "second time")
        .since(first.clone(), "the first one")
        .help("keep one `judge by`")
}

pub(super) fn gauges_twice(place: Place, first: &Place) -> Finding {
    Finding::new(Code::DecisionTwice, "`gauges at least` is given twice")
        .at(place, "said again")
        .since(first.clone(), "said first")
        .help("keep one of the two lines; it holds for the whole shop")
}

pub(super) fn ratio_of_nothing(place: Place) -> Finding {
    Finding::new(Code::DecisionUnknown, "the ratio of `gauges at least` must be above zero")
        .at(place, "not above zero")
        .help("write `gauges at least 4 : 1`, or how many times you want")
}

pub(super) fn guard_of_nothing(place: Place) -> Finding {
    Finding::new(Code::DecisionUnknown, "a guard band of zero times the uncertainty guards nothing")
        .at(place, "no band")
        .help("write `judge by simple acceptance`, which does the same, or a factor above zero: `judge by guard band 1 U`")
}

pub(super) fn days_backwards(from: Date, to: Date, place: Place) -> Finding {
    Finding::new(Code::ScopeEmpty, format!("there is no day from {from} to {to}: the last comes before the first"))
        .at(place, "runs backwards")
        .help(format!("write `from {to} to {from}`, if that is what you mean"))
}

pub(super) fn basis_alone(generation: &Generation, place: Place) -> Finding {
    Finding::new(Code::ScopeEmpty, format!("{} is a basis, and no generation follows it", generation.name))
        .at(place, "no build here")
        .since(generation.place.clone(), "the basis")
        .help("name a generation that records can say")
}

pub(super) fn advice_of_binding(row: &Row, place: Place) -> Finding {
    Finding::new(Code::ForceContradicted, format!("{}: the row binds, and a shop cannot make it advice", row.path))
        .at(place, "binding already")
        .since(row.place.clone(), "the row")
        .help("take `advisory` out; to stop judging by the row, `retire` it and give the reason")
}

pub(super) fn rounded_here(kind: OverlayKind, place: Place) -> Finding {
    Finding::new(Code::OverlayWord, format!("`{}` cannot change the step a row rounds to", kind.word()))
        .at(place, "not here")
        .help("take `rounded to` and its step out; to judge in other steps, `retire` the row and `add` one")
}

pub(super) fn because_missing(kind: OverlayKind, path: &str, place: Place) -> Finding {
    Finding::new(Code::BecauseMissing, format!("{path}: `{}` needs its reason", kind.word()))
        .at(place, "no reason given")
        .help("add the reason after it: `{ because \"…\" }`; whoever reads the verdict later will ask")
}

pub(super) fn word_missing(kind: OverlayKind, declared: &[&Row], place: Place) -> Finding {
    let mut paths: Vec<String> = declared.iter().map(|row| format!("`{} {}`", kind.word(), row.path)).collect();
    paths.dedup();
    let mut finding =
        Finding::new(Code::ManyValues, "several values are taken there, and the row says which it judges")
            .at(place, "which of them");
    for row in declared.iter().take(3) {
        finding = finding.since(row.place.clone(), "the row");
    }
    finding.help(format!("name the row as it is declared: {}", list(paths.iter().map(String::as_str), "or")))
}

pub(super) fn nothing_there(
    kind: OverlayKind,
    row: &Row,
    generation: &Generation,
    near: &[&Row],
    place: Place,
) -> Finding {
    let word = kind.word();
    let mut finding = Finding::new(
        Code::OverlayNothing,
        format!("{}: generation {} has no such row to {word}", row.path, generation.name),
    )
    .at(place, "changes nothing");
    for other in near.iter().take(3) {
        finding = finding.since(other.place.clone(), "a similar row");
    }
    let help = match near.first() {
        Some(other) if other.word != row.word => format!("name the row as it is declared: `{}`", other.path),
        Some(_) => "write the row's own `where`, or none if the row has none".into(),
        None if matches!(kind, OverlayKind::Retire | OverlayKind::Adopt) => {
            "take the line out, or name the row as its generation does".into()
        }
        None => format!("write `add {} …` to judge what no row judges yet", row.path),
    };
    finding.help(help)
}

pub(super) fn several_there(kind: OverlayKind, row: &Row, rows: &[&Row], place: Place) -> Finding {
    let mut finding =
        Finding::new(Code::OverlayAmbiguous, format!("{}: there are {} rows for it", row.path, rows.len()))
            .at(place, "which of them");
    for other in rows.iter().take(4) {
        finding = finding.since(other.place.clone(), "one of them");
    }
    let conditions: Vec<String> = rows
        .iter()
        .filter_map(|other| other.condition.as_ref())
        .map(|condition| format!("`where {}`", condition.place.text()))
        .collect();
    let help = match conditions.first() {
        Some(first) => format!(
            "say which: {first} after `{} {}`; the rows stand {}",
            kind.word(),
            row.path,
            list(conditions.iter().map(String::as_str), "and")
        ),
        None => "say which with the row's own `where`".into(),
    };
    finding.help(help)
}

pub(super) fn add_existing(row: &Row, there: &Row, place: Place) -> Finding {
    Finding::new(Code::AddExisting, format!("{}: there is a row for it already", row.path))
        .at(place, "adds a second")
        .since(there.place.clone(), "there already")
        .help("write `tighten` to allow less than it does, or `loosen` to allow more")
}

pub(super) fn adopt_binding(row: &Row, place: Place) -> Finding {
    Finding::new(Code::AdoptBinding, format!("{}: the row is binding already", row.path))
        .at(place, "nothing to adopt")
        .since(row.place.clone(), "binding")
        .help("take the line out; only rows marked `advisory` are adopted")
}

pub(super) fn unproved(kind: OverlayKind, row: &Row, tier: &str, before: &Range, after: &Range) -> Finding {
    Finding::new(
        Code::OverlayUnproved,
        format!("{}: whether this {}s the {tier} depends on the record", row.path, kind.word()),
    )
    .at(after.place.clone(), "cannot be proved")
    .since(before.place.clone(), "what it was")
    .help(format!(
        "write bounds made of numbers and constants; or `retire {0} for …` with its reason, and in another `for` `add {0} …`",
        row.path
    ))
}

/// The change goes the wrong way: both ranges, and the part that does not fit.
pub(super) fn wrong_way(
    kind: OverlayKind,
    row: &Row,
    generation: &Generation,
    tier: &str,
    (before, after): (&Range, &Range),
    parts: &[String],
) -> Finding {
    let text = |range: &Range| range.place.text().split_whitespace().collect::<Vec<_>>().join(" ");
    let (path, parts) = (&row.path, list(parts.iter().map(String::as_str), "and"));
    let (was, is) = (text(before), text(after));
    if kind == OverlayKind::Tighten {
        Finding::new(
            Code::TightenWidens,
            format!(
                "{path}: `tighten` would widen the {tier} of {}: it was {was}, and {is} would allow {parts} as well",
                generation.name
            ),
        )
        .at(after.place.clone(), "reaches past it")
        .since(before.place.clone(), "what it was")
        .help(format!(
            "keep the {tier} inside {was}; or write `loosen`, with a `because`, if it is meant to allow more"
        ))
    } else {
        Finding::new(
            Code::LoosenNarrows,
            format!(
                "{path}: `loosen` would narrow the {tier} of {}: it was {was}, and {is} would no longer allow {parts}",
                generation.name
            ),
        )
        .at(after.place.clone(), "leaves some out")
        .since(before.place.clone(), "what it was")
        .help(format!("let the {tier} hold all of {was}; or write `tighten` if it is meant to allow less"))
    }
}

pub(super) fn idle(kind: OverlayKind, row: &Row, generation: &Generation, place: Place) -> Finding {
    Finding::new(
        Code::OverlayIdle,
        format!("{}: `{}` changes nothing in generation {}", row.path, kind.word(), generation.name),
    )
    .at(place, "changes nothing")
    .since(row.place.clone(), "already so")
    .help(if row.advisory {
        format!("write `adopt {}` to make the row binding as it is, or write the range that is meant", row.path)
    } else {
        "take the line out, or write the range that is meant".into()
    })
}

pub(super) fn conflict(row: &Row, place: &Place, first: &Place) -> Finding {
    Finding::new(Code::OverlayConflict, format!("{}: two changes of this row can hold for one build", row.path))
        .at(place.clone(), "second change")
        .since(first.clone(), "first change")
        .since(row.place.clone(), "the row")
        .help("give them days or a `where` that cannot both hold, or make one change of the two")
}

pub(super) fn try_incomplete(title: &str, no_generation: bool, place: Place) -> Finding {
    let (lacks, help) = if no_generation {
        ("does not say which generation it is about", "add `generation NAME` to it")
    } else {
        ("expects nothing, so it shows nothing", "add `expect PATH is GRADE` to it")
    };
    Finding::new(Code::TryIncomplete, format!("the example '{title}' {lacks}")).at(place, "incomplete").help(help)
}

pub(super) fn grade_unknown(word: &str, grades: &[&str], place: Place) -> Finding {
    let help = match nearest(word, grades.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("the grades are {}", list(grades.iter().copied(), "and")),
    };
    Finding::new(Code::NameUnknown, format!("`{word}` is not a grade")).at(place, "no such grade").help(help)
}
