//! The sentences about parts that do not go together.

use super::wording::number_of;
use crate::finding::list;
use crate::shop::{Conflict, Least, RefusingRow};

/// Why some places cannot be filled together: a sentence, then a line for each row if there are several.
pub(super) fn conflict(conflict: &Conflict) -> Vec<String> {
    let Conflict { places, parts, with, rows, .. } = conflict;
    let row = |row: &RefusingRow| match &row.range {
        Some(range) => format!("{}, {range}", row.path),
        None => row.path.clone(),
    };
    let names = list(places.iter().map(String::as_str), "and");
    let insisted =
        if with.is_empty() { String::new() } else { format!(" with {}", list(with.iter().map(String::as_str), "and")) };
    let head = match (places.as_slice(), rows.is_empty()) {
        ([], true) => return vec![format!("there is no place for{}", insisted.replace(" with", ""))],
        ([], false) => "whatever is taken, a row of the build itself is out".to_owned(),
        ([place], true) if parts.iter().all(|count| *count == 0) => {
            return vec![format!("there is no part for {place}")];
        }
        (_, true) if with.is_empty() => return vec![format!("there are not enough parts for {names}")],
        (_, true) => return vec![format!("{names} cannot be filled{insisted}")],
        ([place], false) if with.is_empty() => format!("no part for {place} passes alone"),
        ([place], false) => format!("no part for {place} passes alone{insisted}"),
        ([one, other], false) => format!("no part for {one} goes with any part for {other}{insisted}"),
        (_, false) => format!("no parts for {names} go together{insisted}"),
    };
    let all = match parts.as_slice() {
        [one, other] if conflict.sets == Some(one * other) => Some(format!("all {one} × {other} pairs")),
        [_, _] => conflict.sets.map(|sets| format!("all {sets} pairs")),
        [_] => conflict.sets.map(|sets| if sets == 1 { "it".to_owned() } else { format!("all {sets}") }),
        _ => None,
    };
    let refused = |row: &RefusingRow| match (&all, row.refused) {
        (Some(all), Some(count)) if Some(count) == conflict.sets => format!(" refuses {all}"),
        (Some(all), Some(count)) => format!(" refuses {count} of {}", all.trim_start_matches("all ")),
        _ => String::new(),
    };
    if let [one] = rows.as_slice() {
        return vec![format!("{head}: {}{}", row(one), refused(one))];
    }
    let which = if !conflict.fewest_rows {
        "these rows were seen to refuse some (time ran out)"
    } else {
        "each choice is refused by one of these rows"
    };
    let mut lines = vec![format!("{head}: {which}")];
    lines.extend(rows.iter().map(|one| format!("{}{}", row(one), refused(one))));
    lines
}

/// What the sets come to in all.
pub(super) fn least(least: &Least, sets: usize) -> String {
    let many = if least.most { ", as many as there can be" } else { "" };
    format!(
        "{}{many}: {} comes to {} in all, and no other choice of as many comes to less",
        number_of(sets, "set"),
        least.path,
        least.sum
    )
}
