//! The sentences that say which generation a machine is of. Refuses to know when they are said.

use super::wording::number_of;
use crate::book::Generation;
use crate::finding::list;
use crate::identify::Different;

/// What stands over a machine.
pub(super) fn head(name: Option<&str>, seen: usize) -> String {
    let things = format!("{} that tell generations apart", number_of(seen, "value"));
    let things = if seen == 1 { things.replace("tell", "tells") } else { things };
    match name {
        Some(name) => format!("{name}: {things}"),
        None => format!("as given: {things}"),
    }
}

pub(super) fn generation(generation: &Generation) -> String {
    format!("{}: {}", generation.name, generation.description)
}

/// A generation that fits, and how much of what was seen it has so.
pub(super) fn agree(of: &Generation, agree: usize) -> String {
    let agree = match agree {
        0 => "nothing seen speaks for or against it".to_owned(),
        1 => "1 value matches".to_owned(),
        more => format!("{more} values match"),
    };
    format!("{}; {agree}", generation(of))
}

/// Readings that would tell something and could not be taken.
pub(super) fn skipped(paths: &[&str]) -> String {
    const MOST_NAMED: usize = 6;
    let named = paths.iter().take(MOST_NAMED).copied();
    let more = paths.len().saturating_sub(MOST_NAMED);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let named: Vec<&str> = named.collect();
    let word = if paths.len() == 1 { "this reading" } else { "these readings" };
    format!("{word} could not be used: {}{more}", named.join(", "))
}

/// No generation has all that was seen.
pub(super) fn nothing(nearest: &[&str]) -> String {
    let come = if nearest.len() == 1 { "comes" } else { "come" };
    let nearest = list(nearest.iter().copied(), "and");
    format!("no generation has all of this; {nearest} {come} nearest: look again at what is listed against it")
}

pub(super) fn stated(name: &str) -> String {
    format!("the record says {name}, and nothing speaks against it")
}

pub(super) fn misstated(name: &str) -> String {
    format!("the record says {name}, which is ruled out")
}

/// Two parts that no generation has together.
pub(super) fn mixed((one, fits): (&str, &[&str]), (other, other_fits): (&str, &[&str])) -> String {
    let fits = list(fits.iter().copied(), "or");
    let other_fits = list(other_fits.iter().copied(), "or");
    format!("{one} is from {fits}, {other} from {other_fits}: no generation has both")
}

/// What should be the same everywhere and is not.
pub(super) fn different(different: &Different, seen: &[(&str, &str)]) -> String {
    let seen: Vec<String> = seen.iter().map(|(path, written)| format!("{path} is {written}")).collect();
    let seen = list(seen.iter().map(String::as_str), "and");
    match &different.row {
        Some(_) => format!("{} must be the same everywhere: {seen}", different.path),
        None => format!("{seen}: they rule out different generations"),
    }
}

/// What was seen, and what a generation has instead.
pub(super) fn against(seen: &[(&str, &str)], most: usize, range: &str, source: Option<&str>) -> String {
    let shown: Vec<String> = seen.iter().take(most).map(|(path, written)| format!("{path} is {written}")).collect();
    let mut words = list(shown.iter().map(String::as_str), "and");
    if seen.len() > most {
        words.push_str(&format!(", and {} more", seen.len() - most));
    }
    words.push_str(&format!("; it has {range}"));
    if let Some(source) = source {
        words.push_str(&format!(" ({source})"));
    }
    words
}

/// The best thing to look at.
pub(super) fn next(path: &str, leaves: &str, of: usize) -> String {
    // A part of a generation means nothing at the bench: an average of 1.3 is said as the whole numbers around it.
    let leaves = match leaves.strip_suffix(".0").unwrap_or(leaves).split_once('.') {
        Some((whole, _)) => match whole.parse::<usize>() {
            Ok(low) => format!("{low} or {}", low + 1),
            Err(_) => leaves.to_owned(),
        },
        None => leaves.to_owned(),
    };
    format!("{path}: checking it leaves about {leaves} of these {of}")
}

/// Generations of which a characteristic says nothing.
pub(super) fn silent(names: &str) -> String {
    format!("says nothing about {names}")
}

/// Several generations fit, and nothing else tells them from each other.
pub(super) const NO_QUESTION: &str = "no telltale in the rulebooks tells these apart";

pub(super) fn question(path: &str, answers: &str) -> String {
    format!("{path}? ({answers}; leave it empty if you do not know)")
}

/// Why a value of a reading is ruled out.
pub(super) fn value_against(seen: &str, value: &str, range: &str, source: Option<&str>) -> String {
    match source {
        Some(source) => format!("{seen}, and {value} has {range} ({source})"),
        None => format!("{seen}, and {value} has {range}"),
    }
}

fn because(reasons: &[String]) -> String {
    const MOST_REASONS: usize = 3;
    let shown = reasons.iter().take(MOST_REASONS).map(String::as_str).collect::<Vec<_>>().join("; ");
    match reasons.len().saturating_sub(MOST_REASONS) {
        0 if reasons.is_empty() => String::new(),
        0 => format!(": {shown}"),
        more => format!(": {shown}; and {more} more"),
    }
}

/// The value that a reading has.
pub(super) fn value_is(path: &str, value: &str, stated: bool, reasons: &[String]) -> String {
    let stated = if stated { ", as stated" } else { "" };
    format!("{path} is {value}{stated}{}", because(reasons))
}

pub(super) fn value_misstated(path: &str, value: &str, reasons: &[String]) -> String {
    format!("{path} is stated as {value}, which is ruled out{}", because(reasons))
}

pub(super) fn value_none(path: &str, reasons: &[String]) -> String {
    format!("{path} has no value that fits{}", because(reasons))
}

pub(super) fn value_open(path: &str, left: &str) -> String {
    format!("{path} may be {left}")
}

/// Two positions of which one reading differs.
pub(super) fn unlike(one: &str, other: &str, must: bool) -> String {
    match must {
        true => format!("these two do not go together: {one}, and {other}"),
        false => format!("these two differ: {one}, and {other}"),
    }
}

/// What a question is asked for.
pub(super) fn tells(path: &str) -> String {
    format!("It tells {path}.")
}

/// What to look at to learn a reading.
pub(super) fn value_next(path: &str, tells: &str, answers: &[String]) -> String {
    format!("{path} tells {tells} ({})", answers.join("; "))
}
