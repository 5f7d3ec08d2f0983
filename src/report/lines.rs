//! The line of a build, and the lines a run ends with. Refuses to know findings.

use super::style::{self, Ink, Look, clean};
use super::tally::Tally;
use super::{wording, wording_loose};
use crate::judge::Grade;
use crate::shop::Checked;

fn ink(grade: Option<Grade>) -> Ink {
    match grade {
        Some(Grade::Good) => Ink::Good,
        Some(Grade::Worn | Grade::Unsettled) => Ink::Mind,
        Some(Grade::Excused) => Ink::Aside,
        Some(Grade::Unmeasured | Grade::Out) | None => Ink::Fail,
    }
}

/// What stands after the grade.
pub(super) fn remarks(checked: &Checked) -> String {
    let unverified = wording::unverified_named(&checked.counts, &checked.unverified);
    remarks_with(checked, unverified)
}

fn remarks_with(checked: &Checked, unverified: Option<String>) -> String {
    let mut parts: Vec<String> = checked.part.iter().map(wording_loose::kind).collect();
    if let Some(generation) = checked.generation.as_ref().filter(|_| checked.contradicted) {
        parts.push(wording::contradicted(generation));
    }
    if checked.grade.is_some() {
        let rows = wording::rows(&checked.counts, checked.skipped);
        match unverified {
            Some(unverified) if checked.passes() => {
                parts.extend([format!("{}; {unverified}", wording::PASSES), rows]);
            }
            Some(unverified) => parts.extend([rows, unverified]),
            None => parts.push(rows),
        }
    } else if checked.unreadable {
        parts.push(wording::CANNOT_READ.to_string());
    } else if checked.generation.is_none() && checked.part.is_none() {
        parts.push(wording::GENERATION_NEEDED.to_string());
    }
    if checked.record_errors > 0 && !checked.unreadable {
        parts.push(wording::record_errors(checked.record_errors));
    }
    parts.join("; ")
}

/// One line in columns: the build, its file, its grade, what was judged.
pub(super) fn drawn_alone(checked: &Checked, look: Look) -> String {
    let unverified = wording::unverified(&checked.counts);
    in_columns(&checked.build, &checked.file, checked.grade, &remarks_with(checked, unverified), look)
}

/// The same, and below it the unverified rows that are not good.
pub(super) fn drawn(checked: &Checked, look: Look) -> String {
    let mut lines = drawn_alone(checked, look);
    for (head, text) in checked.part.as_ref().map(wording_loose::below).unwrap_or_default() {
        let head = format!("  {head}: ");
        style::wrapped(&mut lines, &head, head.len(), &text, look.width);
    }
    if !checked.unverified.is_empty() {
        let head = format!("  {}: ", wording::UNVERIFIED);
        style::wrapped(&mut lines, &head, head.len(), &checked.unverified.join(", "), look.width);
    }
    lines
}

/// The line of a record that was not judged because of its rulebooks.
pub(super) fn drawn_unsound(file: &str, look: Look) -> String {
    let name = file.rsplit('/').next().unwrap_or(file);
    let build = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
    in_columns(build, file, None, wording::BOOKS_UNSOUND, look)
}

fn in_columns(build: &str, file: &str, grade: Option<Grade>, remarks: &str, look: Look) -> String {
    let room = look.width.saturating_sub(48).clamp(24, 60);
    let build = padded(&clean(build), 8);
    let file = padded(&shortened(&clean(file), room, look), room);
    let word = look.paint(ink(grade), &padded(grade.map_or(wording::NOT_JUDGED, Grade::word), 10));
    format!("{build}  {file}  {word}  {remarks}\n")
}

/// One line that begins with the file: `k-0147.yaml: out: K-0147, 132 rows: 3 out`.
pub(super) fn plain(checked: &Checked) -> String {
    let grade = checked.grade.map_or(wording::NOT_JUDGED, Grade::word);
    let below = checked.part.as_ref().map(wording_loose::below).unwrap_or_default();
    let below: String = below.iter().map(|(head, text)| format!("; {head} {text}")).collect();
    format!("{}: {grade}: {}, {}{}\n", clean(&checked.file), clean(&checked.build), remarks(checked), clean(&below))
}

pub(super) fn plain_unsound(file: &str) -> String {
    format!("{}: {}: {}\n", clean(file), wording::NOT_JUDGED, wording::BOOKS_UNSOUND)
}

fn padded(text: &str, columns: usize) -> String {
    let missing = columns.saturating_sub(style::width(text));
    format!("{text}{}", " ".repeat(missing))
}

/// A path with folders in the middle left out until it fits; its first folder and its name always stay.
fn shortened(path: &str, columns: usize, look: Look) -> String {
    let steps: Vec<&str> = path.split('/').collect();
    if style::width(path) <= columns || steps.len() < 4 {
        return path.to_string();
    }
    let first = steps.first().copied().unwrap_or("");
    let mut shortest = path.to_string();
    for left_out in 1..steps.len() - 1 {
        let rest = steps.get(1 + left_out..).unwrap_or_default().join("/");
        shortest = format!("{first}/{}/{rest}", look.ellipsis());
        if style::width(&shortest) <= columns {
            break;
        }
    }
    shortest
}

/// The lines a run ends with.
pub(super) fn summary(tally: &Tally, look: Look) -> String {
    let mut out = String::new();
    if tally.judged() + tally.parts_judged() + tally.scrapped > 0 {
        if tally.judged() > 0 {
            let builds = wording::number_of(tally.judged(), "build");
            out.push_str(&format!("{builds}: {}\n", wording::grades(&tally.builds)));
        }
        if tally.loose > 0 {
            out.push_str(&format!("{}\n", wording_loose::parts(&tally.parts, tally.parts_judged(), tally.scrapped)));
        }
        let rows = wording::number_of(tally.rows.total(), "row");
        let skipped = if tally.skipped > 0 { format!(", {} skipped", tally.skipped) } else { String::new() };
        out.push_str(&format!("{rows}: {}{skipped}\n", wording::grades(&tally.rows)));
    } else {
        out.push_str(&format!("{}\n", wording::NOTHING_JUDGED));
    }
    if tally.unjudged > 0 {
        out.push_str(&format!("{}\n", look.paint(Ink::Fail, &wording::unjudged(tally.unjudged))));
    }
    if tally.failing > tally.unjudged {
        out.push_str(&format!("{}\n", look.paint(Ink::Fail, &failing(tally))));
    } else if tally.failing == 0 && tally.judged() + tally.parts_judged() > 0 {
        let passes = if tally.judged() > 0 {
            wording::passes(tally.judged())
        } else {
            wording_loose::passes(tally.parts_judged())
        };
        out.push_str(&format!("{}\n", look.paint(Ink::Good, &passes)));
    }
    out
}

/// How many fail; of one build whose readings pass, why.
fn failing(tally: &Tally) -> String {
    if tally.records == 1 && tally.loose == 1 {
        return wording_loose::FAILS.into();
    }
    let fails = wording::fails(tally.failing, tally.records);
    if tally.records != 1 || tally.errors == 0 {
        return fails;
    }
    let all_good = tally.builds.of(Grade::Good) == 1;
    format!("{fails}: {}", wording::good_but_for_errors(all_good, tally.errors, tally.error_line))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_keeps_its_beginning_and_its_name() {
        assert_eq!(shortened("a/b.yaml", 3, Look::PLAIN), "a/b.yaml");
        let long = "examples/kestrel/builds/spring/K-0147.yaml";
        assert_eq!(shortened(long, 60, Look::PLAIN), long);
        assert_eq!(shortened(long, 36, Look::PLAIN), "examples/…/builds/spring/K-0147.yaml");
        assert_eq!(shortened(long, 30, Look::PLAIN), "examples/…/spring/K-0147.yaml");
        assert_eq!(shortened(long, 5, Look::PLAIN), "examples/…/K-0147.yaml");
    }
}
