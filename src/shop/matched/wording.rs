//! The sentences about sets of parts. Refuses to know when they are said.

use crate::finding::list;
use crate::matching::{ROOM_STEPS, Score};
use crate::quantity::Number;

/// What the best set with a part costs beside the best of all.
pub(super) fn cost(best: Score, with: Score) -> String {
    let more = |now: u32, before: u32, one: &str, several: &str| {
        let count = now.saturating_sub(before);
        (count > 0).then(|| if count == 1 { format!("1 {one} more") } else { format!("{count} {several} more") })
    };
    let costs = [
        more(with.open, best.open, "row open", "rows open"),
        more(with.worn, best.worn, "row worn", "rows worn"),
        more(with.advisory, best.advisory, "unverified row not good", "unverified rows not good"),
    ];
    let costs: Vec<String> = costs.into_iter().flatten().collect();
    if !costs.is_empty() {
        return format!("the best set with it has {}", costs.join(" and "));
    }
    let percent = |room: i64| format!("{} %", room / (ROOM_STEPS / 100));
    match (best.least_room != with.least_room, with.least_room == i64::MAX) {
        (true, false) => format!(
            "the best set with it has {} of room at the tightest row, not {}",
            percent(with.least_room),
            percent(best.least_room)
        ),
        _ if with.room < best.room => "the best set with it has less room in all".into(),
        _ => "as good as the one taken, and its tag comes later".into(),
    }
}

/// What the ends of a calculated range come to: " (here 0.10 to 0.20 mm)", to four places.
pub(super) fn here(ends: &[Option<String>; 2], unit: Option<&str>) -> String {
    let end = |text: &Option<String>| {
        text.as_deref().map(|text| Number::parse(text).map_or_else(|_| text.to_owned(), |number| number.to_text(4)))
    };
    let unit = unit.map(|unit| format!(" {unit}")).unwrap_or_default();
    match (end(&ends[0]), end(&ends[1])) {
        (Some(low), Some(high)) => format!(" (here {low} to {high}{unit})"),
        (Some(low), None) => format!(" (here at least {low}{unit})"),
        (None, Some(high)) => format!(" (here at most {high}{unit})"),
        (None, None) => String::new(),
    }
}

/// What is not known of so many machines at once.
pub(super) fn as_many(machines: usize) -> String {
    format!("no {machines} sets at once were found, and it is not proved that there are none")
}

/// What is proved of so many machines at once if the best is not.
pub(super) fn bound(machines: usize, bound: Score, found: Score) -> String {
    let number = match machines {
        1 => "one".to_owned(),
        2 => "two".to_owned(),
        3 => "three".to_owned(),
        4 => "four".to_owned(),
        more => more.to_string(),
    };
    let percent = |room: i64| format!("{} %", room / (ROOM_STEPS / 100));
    let mut can = Vec::new();
    for (bound, found, one, several) in [
        (bound.open, found.open, "row open", "rows open"),
        (bound.worn, found.worn, "row worn", "rows worn"),
        (bound.advisory, found.advisory, "unverified row not good", "unverified rows not good"),
    ] {
        if bound < found {
            can.push(format!("fewer than {bound} {}", if bound == 1 { one } else { several }));
        }
    }
    if can.is_empty() && bound.least_room > found.least_room && bound.least_room < i64::MAX {
        can.push(format!("more than {} of room at the tightest row", percent(bound.least_room)));
    }
    if can.is_empty() {
        return format!("no set of {number} is better, except perhaps in the room in all: only that is not proved");
    }
    format!("no set of {number} can have {}", list(can.iter().map(String::as_str), "or"))
}
