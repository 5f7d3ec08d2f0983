//! Puts on paper what is still to be measured of a build: a heading for each kind, then a line a part. Refuses to know how the list was
//! made.

use super::style::{self, Look, clean, width};
use super::{terminal, wording};
use crate::finding::{Code, Severity};
use crate::judge::{MissingReading, ToMeasure, Wanted};
use serde_json::{Value, json};

/// The columns a part's name may take beside its readings.
const WIDEST_PART: usize = 28;
/// With fewer columns than this the readings stand under the part's name.
const NARROW: usize = 60;

/// The list drawn for a terminal; nothing where nothing is missing.
pub(super) fn drawn(list: &[ToMeasure], look: Look) -> String {
    let widest = list.iter().map(|line| width(&line.on)).max().unwrap_or(0).min(WIDEST_PART);
    let mut out = String::new();
    for (wanted, lines) in kinds(list) {
        if !out.is_empty() {
            out.push('\n');
        }
        let count = wording::number_of(readings(&lines), "reading");
        let said = format!("{}: {count}", wording::to_measure(wanted));
        terminal::heading(&mut out, severity(wanted), &said, look);
        for line in lines {
            let (on, words) = (clean(&line.on), words(line));
            if look.width < NARROW {
                style::wrapped(&mut out, "    ", 6, &format!("{on}: {words}"), look.width);
            } else {
                let pad = " ".repeat(widest.saturating_sub(width(&on)));
                style::wrapped(&mut out, &format!("    {on}{pad}  "), 6 + widest.max(width(&on)), &words, look.width);
            }
        }
        terminal::sentence(&mut out, wording::HELP, wording::to_measure_help(wanted), look);
        terminal::sentence(&mut out, wording::CODE, Code::RowUnmeasured.name(), look);
    }
    out
}

/// The list in lines that `grep` takes apart: one a part, each beginning with the file.
pub(super) fn plain(list: &[ToMeasure], file: &str) -> String {
    let mut out = String::new();
    for line in list {
        let severity = wording::severity(severity(line.wanted));
        let said = format!("{}: {}: {}", line.on, wording::to_measure(line.wanted), words(line));
        let said = clean(&said);
        out.push_str(&format!("{}: {severity}, {}: {said}\n", clean(file), Code::RowUnmeasured.name()));
    }
    out
}

/// The list as a member of a record's document.
pub(super) fn value(list: &[ToMeasure]) -> Value {
    let line = |line: &ToMeasure| {
        let readings = line.readings.iter().map(|one| {
            json!({
                "name": one.name, "missing": one.missing, "of": one.of, "words": one.words, "reasons": one.reasons,
            })
        });
        json!({ "part": line.part, "wanted": line.wanted.word(), "readings": readings.collect::<Vec<Value>>() })
    };
    list.iter().map(line).collect()
}

/// The lines of each kind there is.
pub(super) fn kinds(list: &[ToMeasure]) -> impl Iterator<Item = (Wanted, Vec<&ToMeasure>)> {
    Wanted::ALL.into_iter().filter_map(|wanted| {
        let lines: Vec<&ToMeasure> = list.iter().filter(|line| line.wanted == wanted).collect();
        (!lines.is_empty()).then_some((wanted, lines))
    })
}

/// How many readings some lines ask for.
pub(super) fn readings(lines: &[&ToMeasure]) -> usize {
    lines.iter().flat_map(|line| &line.readings).map(|reading| reading.missing).sum()
}

/// The readings of a part in a row, each `unknown` with its place in the record.
pub(super) fn words(line: &ToMeasure) -> String {
    let words = |reading: &MissingReading| match &reading.place {
        Some(place) => format!("{} [{place}]", reading.words),
        None => reading.words.clone(),
    };
    line.readings.iter().map(words).collect::<Vec<String>>().join(", ")
}

fn severity(wanted: Wanted) -> Severity {
    if wanted == Wanted::Advice { Severity::Warning } else { Severity::Error }
}
