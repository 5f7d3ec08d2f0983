//! Every sentence this room says. Refuses to know when it is said.

use super::about::About;
use super::cells::Mangled;
use crate::disk::{is_record_name, safe_name};
use crate::finding::{Code, Finding, did_you_mean, list, nearest};
use crate::text::Place;

/// What stands at the top of an empty column map.
pub(super) const MAP_HEAD: &str = "\
# A column map: before each colon the heading of a column as your table has it, after it what the column is.
# Write your own headings over those before the colons, and delete the lines of columns you do not have. `unit` is the
# unit of the numbers in the column, `gauge` (where you add it) what they were taken with; a column that is to be left
# out is `Heading: skip`. A reading taken several times has a line for each of its columns.
";

/// Where a record comes from.
pub(super) fn origin(file: &str, lines: &[usize]) -> String {
    let file: String = file.chars().map(|letter| if letter.is_control() { '?' } else { letter }).collect();
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for line in lines {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == *line => *last = *line,
            _ => runs.push((*line, *line)),
        }
    }
    let words: Vec<String> = runs
        .iter()
        .map(|(first, last)| if first == last { first.to_string() } else { format!("{first} to {last}") })
        .collect();
    let noun = if lines.len() == 1 { "line" } else { "lines" };
    format!("Imported from {file}, {noun} {}.", words.join(", "))
}

/// Whether a build's name can be the name of a record anywhere: plain on every system, and no file of the shop's own.
pub(super) fn is_file_name(name: &str) -> bool {
    safe_name(name) == name && is_record_name(&format!("{name}.yaml"))
}

fn table(place: Place, message: String, help: &str) -> Finding {
    Finding::new(Code::TableUnreadable, message).at(place, "read here").help(help)
}

pub(super) fn empty_table(place: Place) -> Finding {
    table(place, "the table has no headings".into(), "write a heading above each column, `build` above the builds")
}

pub(super) fn no_columns(place: Place) -> Finding {
    let help = "save the table as text with commas, semicolons or tabs between its cells";
    table(place, "no comma, semicolon or tab separates the headings".into(), help)
}

pub(super) fn which_separator<'a>(place: Place, names: impl Iterator<Item = &'a str>) -> Finding {
    let message = format!("more than one character may separate the headings: {}", list(names, "and"));
    table(place, message, "say which with --separator")
}

pub(super) fn quote_open(place: Place) -> Finding {
    table(
        place,
        "a cell begins with a quotation mark that is not closed".into(),
        "close it, or write it twice if it belongs to the text",
    )
}

pub(super) fn no_name_column(about: About, place: Place) -> Finding {
    let message = format!("there is no column for the {}", about.name);
    let help = if about == About::BUILD {
        "write `build` above the column with the names of the builds, or say which it is in a column map"
    } else {
        "write `tag` above the column with the tags of the parts, or say which it is in a column map"
    };
    table(place, message, help)
}

pub(super) fn column_twice(place: Place, what: &str) -> Finding {
    table(place, format!("two columns are the {what}"), "leave one out with `skip` in a column map")
}

fn refused(place: Place, message: String) -> Finding {
    Finding::new(Code::LineRefused, message).at(place, "read here")
}

pub(super) fn uneven(place: Place, cells: usize, headings: usize) -> Finding {
    let message = format!("this line has {cells} cells, and there are {headings} headings");
    refused(place, message).help("put text that holds the separator between quotation marks")
}

pub(super) fn no_name(about: About, place: Place) -> Finding {
    let help = format!("write the {} in its column", about.named());
    refused(place, format!("this line does not say its {}", about.name)).help(help)
}

pub(super) fn no_path(place: Place) -> Finding {
    refused(place, "this line does not say which reading it is".into())
        .help("write the path of the reading, such as `rotor.front.width`")
}

pub(super) fn two_units(place: Place, text: &str, unit: &str) -> Finding {
    refused(place, format!("`{text}` has its own unit, and the column `unit` says {unit}"))
        .help("leave one of them out, the wrong one")
}

pub(super) fn no_file_name(about: About, place: Place, name: &str) -> Finding {
    let noun = about.noun;
    let help = format!("use letters, digits, spaces, - and _ in the {}s of {noun}s", about.kind_of_name());
    refused(place, format!("{noun} {name}: no file can have this name")).help(help)
}

pub(super) fn name_twice(about: About, place: Place, name: &str, before: Place) -> Finding {
    let (noun, kind) = (about.noun, about.kind_of_name());
    refused(place, format!("{noun} {name}: another line is about a {noun} of that {kind}"))
        .since(before, "said here")
        .help(format!("write a {noun} on one line, and give each its own {kind}"))
}

pub(super) fn says_otherwise(about: About, place: Place, word: &str, before: Option<&str>) -> Finding {
    let noun = about.noun;
    let message = match before {
        Some(before) => format!("this line gives its {noun} another {word} than {before}"),
        None => format!("the first line of this {noun} gives no {word}"),
    };
    refused(place, message).help(format!("write the same {word} in every line of a {noun}"))
}

pub(super) fn nothing_measured(about: About, place: Place, name: &str) -> Finding {
    refused(place, format!("{} {name}: it has no readings", about.noun))
        .help("leave the line out until there is a reading")
}

pub(super) fn generation_missing(place: Place) -> Finding {
    refused(place, "this build has no generation".into()).help("say it with --generation, or in a column `generation`")
}

pub(super) fn no_generation<'a>(place: Place, name: &str, known: impl Iterator<Item = &'a str>) -> Finding {
    let known: Vec<&str> = known.collect();
    refused(place, format!("there is no generation called `{name}`")).help(
        did_you_mean(nearest(name, known.iter().copied()))
            .unwrap_or_else(|| format!("write one of {}", list(known.iter().copied(), "or"))),
    )
}

fn unknown(place: Place, message: String) -> Finding {
    Finding::new(Code::ColumnUnknown, message).at(place, "written here")
}

pub(super) fn column_unknown<'a>(
    place: Place,
    what: &str,
    paths: impl Iterator<Item = &'a str>,
    long: bool,
) -> Finding {
    let message = match (what.is_empty(), long) {
        (true, _) => "a column has readings and no heading".to_string(),
        (false, true) => format!("a table with one reading per line has no column `{what}`"),
        (false, false) => format!("there is no reading called `{what}`"),
    };
    let otherwise = "say what the column is in a column map; `skip` leaves it out";
    unknown(place, message).help(did_you_mean(near(what, paths)).unwrap_or_else(|| otherwise.to_string()))
}

pub(super) fn path_unknown<'a>(
    about: About,
    place: Place,
    path: &str,
    generation: &str,
    paths: impl Iterator<Item = &'a str>,
) -> Finding {
    let command = match about {
        About::BUILD => format!("trochoid import --columns-for {generation}"),
        _ => "trochoid import --part PART --columns-for GENERATION".to_owned(),
    };
    let help = did_you_mean(near(path, paths)).unwrap_or_else(|| format!("write it as `{command}` prints it"));
    let of = if generation.is_empty() { format!("the {}", about.noun) } else { generation.to_owned() };
    unknown(place, format!("there is no reading of {of} called `{path}`")).help(help)
}

fn near<'a>(path: &str, paths: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    nearest(path.trim(), paths)
}

pub(super) fn no_map(place: Place) -> Finding {
    unknown(place, "a column map has one heading on each line, and after it what the column is".into())
        .help("begin with what `trochoid import --columns-for GENERATION` prints")
}

pub(super) fn map_key(place: Place, key: &str) -> Finding {
    unknown(place, format!("`{key}` has no meaning here"))
        .help("write `reading`, `unit` and `gauge` of a column, each with one text")
}

pub(super) fn map_says_nothing(place: Place, heading: &str) -> Finding {
    unknown(place, format!("column `{heading}`: nothing says what it is"))
        .help("write the path of a reading after it, or `skip` to leave the column out")
}

pub(super) fn no_such_heading(place: Place, heading: &str, headings: &[&str]) -> Finding {
    let near = nearest(heading.trim(), headings.iter().copied());
    unknown(place, format!("the table has no column `{heading}`"))
        .help(did_you_mean(near).unwrap_or_else(|| "take the line out of the column map".into()))
}

/// A cell that a spreadsheet made over.
pub(super) fn mangled(place: Place, text: &str, mangled: Mangled) -> Finding {
    let (what, help) = match mangled {
        Mangled::Blanks => ("has spaces before, after or inside it that cannot be seen", "take them out"),
        Mangled::Apostrophe => (
            "begins with the apostrophe that keeps a spreadsheet from calculating",
            "take it out, and format the column as text",
        ),
        Mangled::Reckoned => ("is a formula, or its error", "write the value itself"),
        Mangled::Day => ("is not a day as records write it", "write it as year-month-day, such as 2026-03-01"),
        Mangled::Date => (
            "is a day where a number is needed: spreadsheets turn what was typed into days",
            "format the column as text, and write the reading as it was taken",
        ),
        Mangled::Power => {
            ("is written with a power of ten", "write the number out, and format the column as text before it is typed")
        }
        Mangled::Thousands => (
            "has separators between its thousands",
            "write the digits without separators; only the decimals have a separator",
        ),
        Mangled::Comma => {
            ("has a comma, which may stand for decimals or for thousands", "write a point, or say --decimal-comma")
        }
    };
    Finding::new(Code::CellMangled, format!("`{text}` {what}")).at(place, "written here").help(help)
}
