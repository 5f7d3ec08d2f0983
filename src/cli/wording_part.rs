//! The sentences that commands say about loose parts.

use crate::finding::{Code, Finding, did_you_mean, list, nearest};
use crate::report::clean;
use crate::shop::Alternative;

/// Names of parts that are listed where one must be chosen.
const MOST_NAMES: usize = 8;

/// A file has several parts and nobody said which, or not this one.
pub(super) fn which_part(file: &str, tag: Option<&str>, names: &[String]) -> Finding {
    let message = match tag {
        Some(tag) => format!("there is no part tagged `{tag}` in {file}"),
        None if names.is_empty() => format!("no part in {file} can be read"),
        None => format!("{file} has {} parts: say which is meant", names.len()),
    };
    let finding = Finding::new(Code::TagUnknown, message);
    let near = tag.and_then(|tag| nearest(tag, names.iter().map(String::as_str)));
    match (near, names.first()) {
        (Some(near), _) => finding.help(format!("write `--tag {near}`")),
        (None, Some(_)) => {
            let shown = names.iter().take(MOST_NAMES).map(String::as_str);
            let more = if names.len() > MOST_NAMES {
                format!(" and {} more", names.len() - MOST_NAMES)
            } else {
                String::new()
            };
            finding.help(format!("write `--tag` with one of {}{more}", shown.collect::<Vec<_>>().join(", ")))
        }
        (None, None) => finding,
    }
}

/// A position that the part cannot take.
pub(super) fn no_position(positions: &[&str], known: &Alternative) -> Finding {
    let message = format!("the part has no place at {}", positions.join("."));
    let finding = Finding::new(Code::PositionUnknown, message);
    if known.positions.is_empty() {
        return finding;
    }
    finding.help(format!("its places are {}", list(known.positions.iter().map(String::as_str), "and")))
}

/// A row that cannot be judged on the part alone.
pub(super) fn row_waits(row: &str, words: &[String]) -> Finding {
    Finding::new(
        Code::NameUnknown,
        format!(
            "`{row}` cannot be judged on the part alone: {} must be measured too",
            list(words.iter().map(|one| one.split_once(" for ").map_or(one.as_str(), |(_, part)| part)), "and")
        ),
    )
    .help("judge it in the record of a build that takes this part: `parts: { … }`")
}

/// A name that several parts have.
pub(super) fn several_parts(name: &str, paths: &[String]) -> String {
    format!("trochoid: `{}` may be {}: write the whole path", clean(name), list(paths.iter().map(String::as_str), "or"))
}

/// A word that is no part's name.
pub(super) fn no_part(name: &str, parts: &[&str]) -> String {
    let near = did_you_mean(nearest(name, parts.iter().copied())).map(|help| format!("; {help}")).unwrap_or_default();
    format!("trochoid: there is no part called `{}`{near}", clean(name))
}

/// A part of which no row and no reading is known.
pub(super) fn nothing_of_part(part: &str, generation: Option<&str>) -> String {
    let of = generation.map(|name| format!(" of generation {}", clean(name))).unwrap_or_default();
    format!("trochoid: the rulebooks ask for nothing about a {}{of}", clean(part))
}
