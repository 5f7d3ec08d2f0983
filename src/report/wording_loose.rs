//! The sentences about loose parts.

use super::wording;
use crate::bind::PartState;
use crate::finding::list;
use crate::judge::{Counts, Grade};
use crate::shop::{Alternative, CheckedPart};

/// The one part of a run does not pass.
pub(super) const FAILS: &str = "the part fails";

pub(super) fn passes(parts: usize) -> String {
    if parts == 1 { "the part passes".into() } else { "every part passes".into() }
}

/// "40 parts: 30 good, 6 worn, 4 out; 3 more are scrapped".
pub(super) fn parts(counts: &Counts, judged: usize, scrapped: usize) -> String {
    let scrapped = |before: &str| match scrapped {
        0 => String::new(),
        1 => format!("{before}1 more is scrapped"),
        more => format!("{before}{more} more are scrapped"),
    };
    match judged {
        0 => format!("no part in use was judged{}", scrapped("; ")),
        _ => format!("{}: {}{}", wording::number_of(judged, "part"), wording::grades(counts), scrapped("; ")),
    }
}

/// "rotor of light_2mm, scrapped"; the generation only where there is one.
pub(super) fn kind(part: &CheckedPart) -> String {
    let name = part.part.replace(['.', '_'], " ");
    let mut generations: Vec<&str> = Vec::new();
    for one in &part.alternatives {
        if !generations.contains(&one.generation.as_str()) {
            generations.push(&one.generation);
        }
    }
    match generations.as_slice() {
        [one] => format!("{name} of {one}"),
        _ => name,
    }
}

/// The lines below a part's own: where it is, what it was judged as where that is several things, what waits.
pub(super) fn below(part: &CheckedPart) -> Vec<(&'static str, String)> {
    let mut lines = Vec::new();
    if let Some(state) = state(&part.state) {
        lines.push(("state", state));
    }
    // Positions that need other rows and come to the same are no news.
    let differ = |one: &Alternative| {
        part.alternatives
            .iter()
            .any(|other| (other.grade, other.errors, &other.generation) != (one.grade, one.errors, &one.generation))
    };
    if part.alternatives.iter().any(differ) {
        lines.push(("judged", alternatives(&part.alternatives)));
    }
    if part.waiting > 0 {
        let rows = match part.waiting {
            1 => "1 row waits".to_owned(),
            more => format!("{more} rows wait"),
        };
        lines.push(("waits", format!("{rows}: {}", part.waits.join("; "))));
    }
    lines
}

fn state(state: &PartState) -> Option<String> {
    match state {
        PartState::InStock => None,
        PartState::Reserved(build) => Some(format!("reserved for {build}")),
        PartState::Fitted(build) => Some(format!("fitted in {build}")),
        PartState::Scrapped { on, because } => {
            let on = on.map(|on| format!(" {on}")).unwrap_or_default();
            let because = because.as_ref().map(|because| format!(": {because}")).unwrap_or_default();
            Some(format!("scrapped{on}{because}"))
        }
    }
}

/// "as light_2mm good, as boosted_2mm front out"; those of one grade together.
fn alternatives(all: &[Alternative]) -> String {
    let several = all.iter().any(|one| all.iter().any(|other| other.generation != one.generation));
    let mut by_grade: Vec<(Grade, bool, Vec<String>)> = Vec::new();
    for one in all {
        let mut words = Vec::new();
        if several {
            words.push(one.generation.clone());
        }
        if !one.everywhere {
            words.push(one.positions.join(" or "));
        }
        let words = words.join(" ");
        match by_grade.iter_mut().find(|(grade, errors, _)| (*grade, *errors) == (one.grade, one.errors > 0)) {
            Some((_, _, names)) => names.push(words),
            None => by_grade.push((one.grade, one.errors > 0, vec![words])),
        }
    }
    let said = by_grade.iter().map(|(grade, errors, names)| {
        let names = list(names.iter().map(String::as_str), "or");
        let but = if *errors { ", with an error in the record" } else { "" };
        format!("as {names} {}{but}", grade.word())
    });
    said.collect::<Vec<_>>().join("; ")
}
