//! The sentences about the history of a part or an engine.

use super::wording;
use crate::shop::{Change, History, Occasion};

/// Nothing was seen before.
pub(super) const NONE: &str = "no history: no other build of this shop has such a tag or serial number";

/// "history of R-017 (rotor)", "history of serial number LG-31".
pub(super) fn heading(history: &History) -> String {
    match &history.part {
        Some(part) => format!("history of {} ({})", history.of, part.replace(['.', '_'], " ")),
        None => format!("history of serial number {}", history.of),
    }
}

/// Where it was: "K-0201 rotor.front", "by itself".
pub(super) fn occasion(occasion: &Occasion) -> String {
    match (&occasion.build, &occasion.place) {
        (Some(build), Some(place)) => format!("{build}, {place}"),
        (Some(build), None) => build.clone(),
        (None, _) => "by itself".to_owned(),
    }
}

/// "rotor.width: 79.85 mm, then 79.83 mm: 0.02 mm less; 0.05 mm left to its limit of at least 79.78 mm".
pub(super) fn change(change: &Change) -> String {
    let values: Vec<&str> = change.values.iter().map(|(_, value)| value.as_str()).collect();
    let mut said = format!("{}: {}: {}", change.path, values.join(", then "), change.by);
    if let Some((standard, beyond)) = &change.worn {
        said.push_str(&format!("; {beyond} its standard range of {standard}"));
    }
    if let Some(limit) = &change.limit {
        match (&change.beyond, &change.room) {
            (Some(beyond), _) => said.push_str(&format!("; {beyond} its limit of {limit}")),
            (None, Some(room)) => said.push_str(&format!("; {room} left to its limit of {limit}")),
            (None, None) => said.push_str(&format!("; its limit is {limit}")),
        }
    }
    said
}

/// How many values are as they were.
pub(super) fn same(same: usize, changed: usize) -> String {
    match (same, changed) {
        (0, 0) => "nothing was measured twice".to_owned(),
        (0, _) => "nothing else was measured twice".to_owned(),
        (1, _) => "1 value is as it was".to_owned(),
        _ => format!("{} are as they were", wording::number_of(same, "value")),
    }
}
