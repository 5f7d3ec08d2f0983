//! Every sentence of the room `book` about names, kinds and dimensions.

use super::check::Checked;
use super::circles::Step;
use super::expression::{ExpressionKind, Function, Kind};
use super::scope::{Lead, Loss, names_from};
use super::{Book, Id, NameSet, Part};
use crate::finding::{Code, Finding, did_you_mean, list, nearest};
use crate::quantity::{Dimension, Unit};
use crate::syntax::tree::{Collector, Name, Operator, Path};
use crate::text::{Place, Source};

pub(super) use super::wording_figures::*;
pub(super) use super::wording_fits::*;
pub(super) use super::wording_rows::*;
pub(super) use super::wording_units::*;

/// "a length", "an angle", "one of era (early, late)", "yes or no".
pub(super) fn kind_words(book: &Book, kind: Kind) -> String {
    match kind {
        Kind::Quantity(dimension) => dimension.words(),
        Kind::Names(set) => format!("one of {}", list(book.sets.get(set).names.iter().map(|name| &**name), "or")),
        Kind::YesNo => "yes or no".into(),
        Kind::Text => "free words".into(),
    }
}

pub(super) fn name_taken(name: &str, place: Place, first: &Place) -> Finding {
    Finding::new(Code::NameTaken, format!("the name `{name}` is already taken"))
        .at(place, "second time")
        .since(first.clone(), "first declared here")
        .help("give one of the two another name, or remove it if it says the same")
}

pub(super) fn name_unknown(
    book: &Book,
    part: Option<Id<Part>>,
    parameters: &[(Box<str>, Kind)],
    name: &Name,
    source: &Source,
) -> Finding {
    let mut known: Vec<&str> = parameters.iter().map(|(name, _)| &**name).collect();
    known.extend(part.into_iter().flat_map(|part| names_from(book, part)));
    known.extend(book.constants.iter().map(|constant| &*constant.name));
    let near = nearest(&name.text, known);
    // A word that is known as something else says what was meant.
    let unit = book.units.names().any(|unit| unit == &*name.text).then(|| {
        format!(
            "`{0}` is a unit: it stands after a number; units are multiplied without spaces, such as `N*{0}`",
            name.text
        )
    });
    let bound = (&*name.text == "up").then(|| "for `up to …` write `at most …`".to_string());
    let elsewhere = book.sets.iter().find(|set| set.number(&name.text).is_some());
    let help = unit.or(bound).or_else(|| did_you_mean(near)).or_else(|| {
        elsewhere.map(|_| format!("`{0}` is a name to choose; to test for it write `… is {0}`", name.text))
    });
    Finding::new(Code::NameUnknown, format!("there is nothing called `{}` here", name.text))
        .at(source.place(name.span), "not declared")
        .maybe_help(
            help.or_else(|| {
                Some("declare it as a reading, a derived value or a constant, or check the spelling".into())
            }),
        )
}

pub(super) fn lost(book: &Book, from: Option<Id<Part>>, path: &Path, lead: Lead, source: &Source) -> Finding {
    let step = |number: usize| path.segments.get(number).or(path.segments.last());
    let place = |number: usize| source.place(step(number).map_or(path.span, |name| name.span));
    let text = |number: usize| step(number).map_or("", |name| &*name.text);
    match lead {
        Lead::Lost(number, Loss::Ambiguous(candidates)) => {
            Finding::new(Code::NameAmbiguous, format!("`{}` could mean several things", text(number)))
                .at(place(number), "which one?")
                .help(format!("write the one you mean: {}", list(candidates.iter().map(|path| &**path), "or")))
        }
        Lead::Lost(number, Loss::NotIn(part)) => {
            let part = book.parts.get(part);
            let inside: Vec<&str> =
                part.members.iter().map(|(name, _)| &**name).chain(part.positions.iter().map(|name| &**name)).collect();
            let help = did_you_mean(nearest(text(number), inside.iter().copied())).or_else(|| {
                (!inside.is_empty() && inside.len() <= 12)
                    .then(|| format!("a {} has {}", part.name, list(inside, "and")))
            });
            Finding::new(Code::NameUnknown, format!("{} has nothing called `{}`", part.name, text(number)))
                .at(place(number), "not declared")
                .since(part.place.clone(), "the part")
                .maybe_help(help)
        }
        Lead::Lost(number, Loss::NotAStation(id)) => {
            let characteristic = book.characteristics.get(id);
            let stations = characteristic.stations().iter().map(|name| &**name);
            let help = did_you_mean(nearest(text(number), stations.clone()))
                .unwrap_or_else(|| format!("it is taken at {}", list(stations, "and")));
            Finding::new(Code::NameUnknown, format!("{} is not taken at `{}`", characteristic.name, text(number)))
                .at(place(number), "no such station")
                .since(characteristic.place.clone(), "declared here")
                .help(help)
        }
        Lead::Lost(number, Loss::PastTheEnd) => {
            Finding::new(Code::NameUnknown, format!("`{}` leads nowhere: there is nothing inside it", text(number)))
                .at(place(number), "one step too many")
                .help("end the path one step earlier")
        }
        Lead::Part(id) => {
            let part = book.parts.get(id);
            let readings: Vec<&str> = part
                .members
                .iter()
                .filter(|(_, member)| matches!(member, super::Member::Characteristic(_)))
                .map(|(name, _)| &**name)
                .take(8)
                .collect();
            let path_text: Vec<&str> = path.segments.iter().map(|step| &*step.text).collect();
            let example = readings.first().map(|name| format!("{}.{name}", path_text.join(".")));
            Finding::new(Code::KindMismatch, format!("`{}` is a part, not something measured on one", part.name))
                .at(source.place(path.span), "a whole part")
                .maybe_help(example.map(|example| format!("name one of its readings, such as `{example}`")))
        }
        Lead::Unknown | Lead::Reach(..) => match path.segments.first() {
            Some(first) => name_unknown(book, from, &[], first, source),
            None => Finding::new(Code::NameUnknown, "a name is missing").at(source.place(path.span), "nothing here"),
        },
    }
}

pub(super) fn not_a_part(path: &Path, source: &Source) -> Finding {
    Finding::new(Code::KindMismatch, "a part is needed here, and this is something measured on one")
        .at(source.place(path.span), "not a part")
        .help("name the part alone, without what is measured on it")
}

/// Two parts side by side that nearly have the same positions, and so do not go together one by one.
fn nearly_beside(book: &Book, from: Option<Id<Part>>, checked: &Checked) -> Option<String> {
    let ExpressionKind::Reach(reach) = &checked.expression.kind else { return None };
    let (from, other) = (from?, book.characteristics.get(reach.characteristic).part);
    let (own, beside) = (book.parts.get(from), book.parts.get(other));
    let shared = own.positions.iter().any(|name| beside.positions.contains(name));
    let differ = own.positions != beside.positions;
    let at = |part: &Part| list(part.positions.iter().map(|name| &**name), "and");
    (from != other && own.parent == beside.parent && shared && differ)
        .then(|| format!(": {} is at {}, {} at {}", own.name, at(own), beside.name, at(beside)))
}

pub(super) fn many_values(book: &Book, from: Option<Id<Part>>, checked: &Checked, place: Place) -> Finding {
    let written = place.text().to_string();
    let beside = nearly_beside(book, from, checked).unwrap_or_default();
    let declared = match &checked.expression.kind {
        ExpressionKind::Reach(reach) => Some(book.characteristics.get(reach.characteristic).place.clone()),
        _ => None,
    };
    let words = Collector::ALL.map(|collector| format!("{} of {written}", collector.word()));
    let finding =
        Finding::new(Code::ManyValues, format!("`{written}` is several values, and one is needed here{beside}"))
            .at(place, "several values")
            .help(format!("say which: {}", list(words.iter().map(|word| &**word), "or")));
    match declared {
        Some(place) => finding.since(place, "declared here"),
        None => finding,
    }
}

pub(super) fn one_value(collector: Collector, place: Place) -> Finding {
    Finding::new(Code::OneValue, format!("`{} of` needs several values, and this is one", collector.word()))
        .at(place, "one value")
        .help("leave the word out, or name the values it should choose from: `smallest of (a, b)`, or a reading at several positions")
}

pub(super) fn not_a_quantity(book: &Book, kind: Kind, place: Place) -> Finding {
    Finding::new(
        Code::KindMismatch,
        format!("a number or quantity is needed here, and this is {}", kind_words(book, kind)),
    )
    .at(place, "not a quantity")
}

pub(super) fn not_a_condition(book: &Book, checked: &Checked, place: Place) -> Finding {
    let written = place.text().to_string();
    let help = match checked.kind {
        Kind::Names(set) => {
            book.sets.get(set).names.first().map(|name| format!("say what it should be: `{written} is {name}`"))
        }
        Kind::Quantity(_) => Some(format!("say what it should be: `{written} at least …`")),
        _ => None,
    };
    Finding::new(
        Code::KindMismatch,
        format!("yes or no is needed here, and this is {}", kind_words(book, checked.kind)),
    )
    .at(place, "not yes or no")
    .maybe_help(help)
}

pub(super) fn divided_by_zero(place: Place) -> Finding {
    Finding::new(Code::ArithmeticImpossible, "a ratio to zero has no value").at(place, "divides by zero")
}

pub(super) fn arithmetic_impossible(place: Place) -> Finding {
    Finding::new(
        Code::ArithmeticImpossible,
        "this has no value: it divides by zero, or takes a root or angle of a number that has none",
    )
    .at(place, "no value")
    .help("check the numbers it is calculated from")
}

pub(super) fn needs_record(place: Place) -> Finding {
    Finding::new(Code::KindMismatch, "this must be known when the book is read, and needs a record")
        .at(place, "needs a record")
        .help("use numbers, units and constants only")
}

pub(super) fn dimension_impossible(dimension: Dimension, place: Place) -> Finding {
    Finding::new(Code::DimensionMismatch, format!("{} cannot be raised to this power", dimension.words()))
        .at(place, "not possible")
}

pub(super) fn point_arithmetic(place: Place) -> Finding {
    Finding::new(Code::DimensionMismatch, "a point on a scale cannot be negated")
        .at(place, "a point on a scale")
        .help("take the difference of two points instead")
}

pub(super) fn dimensions_differ(operator: Operator, left: (Dimension, Place), right: (Dimension, Place)) -> Finding {
    let verb = match operator {
        Operator::Add => "be added",
        Operator::Subtract => "be subtracted",
        Operator::Multiply => "be multiplied",
        _ => "be divided",
    };
    let points = left.0.is_point() || right.0.is_point();
    let bare = left.0.is_number() || right.0.is_number();
    let help = if bare && !points {
        "write the unit after the number: only like can be added to like"
    } else if points {
        "to a point on a scale only a difference can be added; write the difference in K"
    } else {
        "both sides must measure the same kind of thing: check the units"
    };
    Finding::new(Code::DimensionMismatch, format!("{} and {} cannot {verb}", left.0.words(), right.0.words()))
        .at(right.1, label(right.0))
        .since(left.1, label(left.0))
        .help(help)
}

/// A dimension as a label of at most three words.
pub(super) fn label(dimension: Dimension) -> String {
    let words = dimension.words();
    if words.split(' ').count() <= 3 { words } else { "another dimension".into() }
}

pub(super) fn argument_count(
    name: &str,
    needed: usize,
    given: usize,
    place: Place,
    formula: Option<&Place>,
) -> Finding {
    let noun = if needed == 1 { "value" } else { "values" };
    let finding = Finding::new(Code::ArgumentCount, format!("`{name}` takes {needed} {noun} and is given {given}"))
        .at(place, format!("{given} given"));
    match formula {
        Some(place) => finding.since(place.clone(), "declared here"),
        None => finding,
    }
}

pub(super) fn argument_dimension(
    book: &Book,
    parameter: &str,
    needed: Kind,
    given: Dimension,
    place: Place,
    formula: &Place,
) -> Finding {
    Finding::new(
        Code::DimensionMismatch,
        format!("`{parameter}` is {}, and this is {}", kind_words(book, needed), given.words()),
    )
    .at(place, label(given))
    .since(formula.clone(), "declared here")
    .help(format!("give `{parameter}` {}: check the unit", kind_words(book, needed)))
}

pub(super) fn function_unknown(book: &Book, name: &Name, source: &Source) -> Finding {
    let known = Function::ALL
        .iter()
        .map(|(name, _, _)| *name)
        .chain(book.formulas.iter().map(|formula| &*formula.name))
        .chain(book.tables.iter().map(|table| &*table.name));
    let near = nearest(&name.text, known);
    let collector = match &*name.text {
        "average" | "avg" | "mean" | "median" => Some("mean"),
        "min" | "minimum" | "smallest" | "least" => Some("smallest"),
        "max" | "maximum" | "largest" => Some("largest"),
        "sum" | "total" => Some("sum"),
        "count" => Some("count"),
        _ => None,
    };
    if let Some(word) = collector {
        return Finding::new(Code::NameUnknown, format!("there is no formula or function called `{}`", name.text))
            .at(source.place(name.span), "not declared")
            .help(format!("write `{word} of (…)`, or `{word} of` and the name of what is taken several times"));
    }
    Finding::new(Code::NameUnknown, format!("there is no formula or function called `{}`", name.text))
        .at(source.place(name.span), "not declared")
        .maybe_help(did_you_mean(near).or_else(|| {
            Some(format!(
                "declare it with `formula {}(…) : … = …`; built in: {}",
                name.text,
                list(Function::ALL.iter().map(|(name, _, _)| *name), "and")
            ))
        }))
}

pub(super) fn function_dimension(name: &str, needed: &str, given: &[Dimension], place: Place) -> Finding {
    let given: Vec<String> = given.iter().map(|dimension| dimension.words()).collect();
    let given = list(given.iter().map(|words| &**words), "and");
    Finding::new(Code::DimensionMismatch, format!("`{name}` needs {needed}, and is given {given}"))
        .at(place, "does not fit")
}

pub(super) fn collection_mixed(book: &Book, first: Option<Kind>, other: Kind, place: Place, word: Place) -> Finding {
    let first = first.map_or_else(String::new, |kind| kind_words(book, kind));
    Finding::new(
        Code::DimensionMismatch,
        format!(
            "the values of a collection must be of one kind: the first is {first}, this is {}",
            kind_words(book, other)
        ),
    )
    .at(place, "another kind")
    .since(word, "collected here")
}

pub(super) fn collection_impossible(book: &Book, collector: Collector, kind: Kind, place: Place) -> Finding {
    let help = match kind {
        Kind::Names(_) => {
            Some("only the names of a class, which are in order, have a smallest, a largest and a spread")
        }
        Kind::Quantity(_) => Some("take the mean or the spread of points on a scale"),
        _ => None,
    };
    Finding::new(
        Code::KindMismatch,
        format!("there is no {} of values that are {}", collector.word(), kind_words(book, kind)),
    )
    .at(place, "does not fit")
    .maybe_help(help.map(String::from))
}

pub(super) fn result_dimension(
    name: &str,
    declared: (Dimension, Option<&Unit>),
    found: Dimension,
    declared_at: Place,
    found_at: Place,
) -> Finding {
    let unit = declared.1.map_or_else(|| "a number".to_string(), |unit| unit.symbol.to_string());
    Finding::new(
        Code::DimensionMismatch,
        format!("{name} is declared in {unit}, {}, but its expression gives {}", declared.0.words(), found.words()),
    )
    .at(found_at, label(found))
    .since(declared_at, "declared here")
    .help("correct the declared unit or the expression")
}

pub(super) fn result_kind(
    book: &Book,
    name: &str,
    declared: Kind,
    found: Kind,
    declared_at: Place,
    found_at: Place,
) -> Finding {
    Finding::new(
        Code::KindMismatch,
        format!(
            "{name} is declared as {}, but its expression gives {}",
            kind_words(book, declared),
            kind_words(book, found)
        ),
    )
    .at(found_at, "another kind")
    .since(declared_at, "declared here")
}

fn circle(code: Code, what: &str, steps: &[Step]) -> Finding {
    let mut names: Vec<&str> = steps.iter().map(|(name, _)| &**name).collect();
    names.extend(steps.first().map(|(name, _)| &**name));
    let mut finding = Finding::new(code, format!("{what} needs itself: {}", names.join(" → ")))
        .help("break the circle: one of these must do without the next");
    let mut steps = steps.iter().zip(names.iter().skip(1));
    if let Some(((_, place), next)) = steps.next() {
        finding = finding.at(place.clone(), format!("needs {next}"));
    }
    for ((_, place), next) in steps {
        finding = finding.since(place.clone(), format!("needs {next}"));
    }
    finding
}

pub(super) fn formula_circle(steps: &[Step]) -> Finding {
    circle(Code::FormulaCircle, "a formula", steps)
}

pub(super) fn derivation_circle(steps: &[Step]) -> Finding {
    circle(Code::DerivationCircle, "a derived value", steps)
}

pub(super) fn generation_circle(steps: &[Step]) -> Finding {
    circle(Code::GenerationCircle, "a generation", steps)
}

pub(super) fn not_in_set(book: &Book, set: Id<NameSet>, name: &str, place: Place) -> Finding {
    let set = book.sets.get(set);
    let names = set.names.iter().map(|name| &**name);
    let help =
        did_you_mean(nearest(name, names.clone())).unwrap_or_else(|| format!("it is one of {}", list(names, "or")));
    let what = set
        .name
        .as_deref()
        .map_or_else(|| "the names to choose from".to_string(), |name| format!("the names of {name}"));
    Finding::new(Code::NameUnknown, format!("`{name}` is not one of {what}"))
        .at(place, "not among them")
        .since(set.place.clone(), "declared here")
        .help(help)
}

pub(super) fn source_unknown(book: &Book, name: &str, place: Place) -> Finding {
    let near = nearest(name, book.citations.iter().map(|citation| &*citation.name));
    Finding::new(Code::NameUnknown, format!("there is no source called `{name}`")).at(place, "not declared").maybe_help(
        did_you_mean(near).or_else(|| {
            Some(format!("declare it: `source {name} \"Author, Title, edition, clause\"`, or write `from memory`"))
        }),
    )
}

pub(super) fn generation_unknown(names: &[String], name: &str, place: Place) -> Finding {
    let near = nearest(name, names.iter().map(|name| &**name));
    Finding::new(Code::NameUnknown, format!("there is no generation called `{name}`"))
        .at(place, "not declared")
        .maybe_help(did_you_mean(near).or_else(|| {
            let known = names.iter().map(|name| &**name).filter(|known| *known != name);
            let known = list(known.take(8), "and");
            Some(match known.is_empty() {
                true => "no other generation is declared: is its book missing from `use`?".into(),
                false => format!("declared are {known}; is its book missing from `use`?"),
            })
        }))
}
