//! Puts on paper which parts of a shelf go together. Refuses to choose them.

use super::json::{document as whole, finding_value};
use super::rework::{self, Planned};
use super::style::{self, Ink, Look, clean};
use super::{cells, wording, wording_match};
use crate::judge::Grade;
use crate::shop::{Conflict, MatchSet, Matched};
use serde_json::{Value, json};

/// For people.
#[must_use]
pub fn text(matched: &Matched, look: Look) -> String {
    let mut out = String::new();
    let from = if matched.looked_at.is_empty() { "nothing".into() } else { matched.looked_at.join(", ") };
    out.push_str(&format!("{} from {from}\n", clean(&matched.generation)));
    for (number, set) in matched.sets.iter().enumerate() {
        let head = if matched.machines || matched.sets.len() > 1 { format!("{}  ", number + 1) } else { String::new() };
        set_text(&mut out, set, &head, look);
    }
    if matched.sets.is_empty() {
        let nothing = if matched.proved { NOTHING_GOES } else { NOTHING_YET };
        out.push_str(&format!("{}\n", look.paint(Ink::Fail, nothing)));
        for (place, pass, all) in &matched.alone {
            out.push_str(&format!("  {}: {pass} of {all} pass alone\n", clean(place)));
        }
        if let Some(conflict) = &matched.conflict {
            conflict_text(&mut out, conflict, look);
        }
        if let Some(nearest) = &matched.nearest {
            out.push_str(&format!("{NEAREST}\n"));
            set_text(&mut out, nearest, "", look);
        }
        if let Some(planned) = &matched.rework {
            out.push_str(&rework::text(Planned { name: NEAREST, planned }, look));
        }
    }
    list(&mut out, "left", &matched.left, look);
    list(&mut out, "not looked at", &by_reason(&matched.left_out), look);
    if !matched.unread.is_empty() {
        let files = matched.unread.iter().map(|file| clean(file)).collect::<Vec<_>>().join(", ");
        let said = format!("the shelf could not be read whole, so this may be incomplete: {files}");
        style::wrapped(&mut out, "", 0, &said, look.width);
    }
    let last = last(matched);
    if let Some(bound) = &matched.bound {
        style::wrapped(&mut out, "", 0, bound, look.width);
    }
    style::wrapped(&mut out, "", 0, &clean(&last), look.width);
    out
}

pub(super) const NOTHING_YET: &str = "no set was found in the time there was";

pub(super) const NOTHING_GOES: &str = "nothing goes together";

pub(super) const NEAREST: &str = "the nearest miss";
const PROVED: &str = "every set was compared: no better one exists";
const NONE: &str = "every set was compared: none passes";
const NOTHING_PROVED: &str = "it is not proved that nothing goes together";
const NOT_PROVED: &str = "this is the best found so far; it is not proved that no better one exists";

/// What the search proved.
pub(super) fn last(matched: &Matched) -> String {
    match (&matched.least, matched.proved, matched.sets.is_empty()) {
        (Some(least), _, _) => wording_match::least(least, matched.sets.len()),
        (None, true, false) => PROVED.to_owned(),
        (None, true, true) => NONE.to_owned(),
        (None, false, true) => NOTHING_PROVED.to_owned(),
        (None, false, false) => NOT_PROVED.to_owned(),
    }
}

fn conflict_text(out: &mut String, conflict: &Conflict, look: Look) {
    for (number, line) in wording_match::conflict(conflict).iter().enumerate() {
        let indent = if number == 0 { 2 } else { 4 };
        style::wrapped(out, &" ".repeat(indent), indent + 2, &clean(line), look.width);
    }
}

fn set_text(out: &mut String, set: &MatchSet, head: &str, look: Look) {
    let parts: Vec<String> = set.parts.iter().map(|(place, tag)| format!("{} {}", clean(place), clean(tag))).collect();
    let ink = match set.grade {
        Grade::Good => Ink::Good,
        Grade::Worn | Grade::Excused => Ink::Mind,
        _ => Ink::Fail,
    };
    let word = if set.needs.is_empty() { set.grade.word() } else { "open" };
    let begin = format!("  {head}{}  ", look.paint(ink, word));
    let column = 2 + head.len() + word.len() + 2;
    style::wrapped(out, &begin, column, &parts.join(", "), look.width);
    let inside = " ".repeat(4);
    style::wrapped(out, &inside, 4, &rows_of(set), look.width);
    if !set.needs.is_empty() {
        style::wrapped(out, &format!("{inside}needs: "), 11, &set.needs.join(", "), look.width);
    }
    for (path, value) in &set.values {
        style::wrapped(out, &inside, 6, &clean(&format!("{path} {value}")), look.width);
    }
    for line in &set.not_good {
        style::wrapped(out, &inside, 6, &clean(line), look.width);
    }
    for (number, tight) in set.tight.iter().enumerate() {
        let begin = if number == 0 { "    least room: " } else { "                " };
        let line = format!("{} {}, {} % inside {}", tight.path, tight.value, tenths(tight.permille), tight.range);
        style::wrapped(out, begin, 16, &clean(&line), look.width);
    }
}

/// "12 rows, 1 worn; 3 wait for other parts or readings".
pub(super) fn rows_of(set: &MatchSet) -> String {
    let mut rows = wording::number_of(set.rows, "row");
    if set.worn > 0 {
        rows.push_str(&format!(", {} worn", set.worn));
    }
    if set.advisory > 0 {
        rows.push_str(&format!(", {} unverified not good", set.advisory));
    }
    if set.waiting > 0 {
        rows.push_str(&format!(
            "; {} {} for other parts or readings",
            set.waiting,
            if set.waiting == 1 { "waits" } else { "wait" }
        ));
    }
    rows
}

/// The parts of one reason together: the reason, then their tags.
pub(super) fn by_reason(left_out: &[(String, String)]) -> Vec<(String, String)> {
    let mut reasons: Vec<(String, String)> = Vec::new();
    for (tag, because) in left_out {
        match reasons.iter_mut().find(|(known, _)| known == because) {
            Some((_, tags)) => {
                tags.push_str(", ");
                tags.push_str(tag);
            }
            None => reasons.push((because.clone(), tag.clone())),
        }
    }
    reasons
}

/// Thousandths as per cent.
pub(super) fn tenths(permille: i64) -> String {
    if permille % 10 == 0 { format!("{}", permille / 10) } else { format!("{}.{}", permille / 10, permille % 10) }
}

fn list(out: &mut String, head: &str, lines: &[(String, String)], look: Look) {
    let width = lines.iter().map(|(tag, _)| style::width(tag)).max().unwrap_or(0);
    for (number, (tag, because)) in lines.iter().enumerate() {
        let begin = if number == 0 { format!("{head}: ") } else { " ".repeat(head.len() + 2) };
        let tag = clean(tag);
        let pad = " ".repeat(width.saturating_sub(style::width(&tag)));
        let column = head.len() + 2 + width + 2;
        style::wrapped(out, &format!("{begin}{tag}{pad}  "), column, &clean(because), look.width);
    }
}

/// As one JSON document.
///
/// Members: `format`, `version`, `generation`, `sets` (each with `parts`: `place` and `tag`; `grade`, `rows`, `waiting`, `worn`,
/// `advisory`, `not_good`, `needs`, `least_room` in thousandths, `tight`: `path`, `value`, `range`, `permille`; `values`: `path`, `value`), `machines` (whether the sets are to be built at
/// once), `alone` (`place`, `pass`, `of`), `conflict` (`null`, or the smallest group of places that cannot be filled together:
/// `places` (`place`, `parts`), `with` (tags), `rows` (`path`, `range`, `refused` or `null`), `sets` or `null`, `fewest_rows`), `nearest` (a set, or `null`), `rework` (what would put that right, as a record of `trochoid rework`, or `null`), `least` (`null`, or `path` and
/// `sum`), `bound` (words, or `null`), `left` and `left_out` (`tag`, `because`), `unread` (files),
/// `proved`, `findings`.
#[must_use]
pub fn document(matched: &Matched) -> String {
    let pairs = |list: &[(String, String)]| -> Vec<Value> {
        list.iter().map(|(tag, because)| json!({ "tag": tag, "because": because })).collect()
    };
    whole(&json!({
        "format": "trochoid match",
        "version": 1,
        "generation": matched.generation,
        "sets": matched.sets.iter().map(set_value).collect::<Vec<_>>(),
        "machines": matched.machines,
        "alone": matched.alone.iter().map(|(place, pass, of)| json!({ "place": place, "pass": pass, "of": of })).collect::<Vec<_>>(),
        "conflict": matched.conflict.as_ref().map(conflict_value),
        "nearest": matched.nearest.as_ref().map(set_value),
        "rework": matched.rework.as_ref().map(|planned| rework::record(Planned { name: NEAREST, planned })),
        "least": matched.least.as_ref().map(|least| json!({ "path": least.path, "sum": least.sum })),
        "bound": matched.bound,
        "left": pairs(&matched.left),
        "left_out": pairs(&matched.left_out),
        "unread": matched.unread,
        "proved": matched.proved,
        "findings": matched.findings.iter().map(finding_value).collect::<Vec<_>>(),
    }))
}

fn conflict_value(conflict: &Conflict) -> Value {
    let places = conflict.places.iter().zip(&conflict.parts);
    json!({
        "places": places.map(|(place, parts)| json!({ "place": place, "parts": parts })).collect::<Vec<_>>(),
        "with": conflict.with,
        "rows": conflict.rows.iter().map(|row| json!({
            "path": row.path, "range": row.range, "refused": row.refused,
        })).collect::<Vec<_>>(),
        "sets": conflict.sets,
        "fewest_rows": conflict.fewest_rows,
    })
}

fn set_value(set: &MatchSet) -> Value {
    json!({
        "parts": set.parts.iter().map(|(place, tag)| json!({ "place": place, "tag": tag })).collect::<Vec<_>>(),
        "grade": set.grade.word(),
        "rows": set.rows,
        "waiting": set.waiting,
        "worn": set.worn,
        "advisory": set.advisory,
        "not_good": set.not_good,
        "needs": set.needs,
        "least_room": set.least_room,
        "tight": set.tight.iter().map(|tight| json!({
            "path": tight.path, "value": tight.value, "range": tight.range, "permille": tight.permille,
        })).collect::<Vec<_>>(),
        "values": set.values.iter().map(|(path, value)| json!({ "path": path, "value": value })).collect::<Vec<_>>(),
    })
}

/// As comma-separated text: a line for each part of each set.
#[must_use]
pub fn csv(matched: &Matched) -> String {
    let mut out = format!("{}{}", cells::MARK, cells::line(&["set", "grade", "place", "tag", "least_room_permille"]));
    for (number, set) in matched.sets.iter().enumerate() {
        let least = set.least_room.map(|room| room.to_string()).unwrap_or_default();
        for (place, tag) in &set.parts {
            out.push_str(&cells::line(&[
                (number + 1).to_string(),
                set.grade.word().to_owned(),
                place.clone(),
                tag.clone(),
                least.clone(),
            ]));
        }
    }
    out
}
