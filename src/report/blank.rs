//! Writes an empty record as YAML that a mechanic fills in: a key for each reading, and beside it, as comments, what it may
//! be. Refuses to know where any of it comes from.

use super::style::{clean, width};
use crate::blank::{Blank, Derived, Entry, Reading};
use crate::quantity::Date;
use crate::record::scalar;
use std::collections::BTreeSet;

/// What is known of the build or the part beforehand.
#[derive(Clone, Copy, Debug, Default)]
pub struct Head<'a> {
    /// Its name; the tag of a part.
    pub build: Option<&'a str>,
    /// The day it is finished; that a part is measured.
    pub finished: Option<Date>,
}

/// Columns a line takes at most, where its words can be parted.
const MOST_COLUMNS: usize = 118;

/// Comments begin in this column of their part at most; room for a value lies before them.
const MOST_BEFORE: usize = 44;

/// The record, ended by a line end.
#[must_use]
pub fn write(blank: &Blank, head: &Head<'_>) -> String {
    let mut sheet = Sheet::default();
    sheet.remark(0, &title(blank));
    sheet.remark(
        0,
        "Write each value after its colon; write `unknown` if it cannot be read. Lines that begin with # may stay as they \
         are: a reading that may be left out (take its # away to write it), or a value calculated from others.",
    );
    match blank.day {
        Some(day) if blank.dated => sheet.remark(0, &format!("The ranges are those in force on {day}.")),
        None if blank.dated => sheet.remark(0, "The ranges are the newest: no day was given."),
        _ => {}
    }
    if blank.part.is_some() && blank.entries.iter().any(|entry| matches!(entry, Entry::Part(_))) {
        sheet.remark(
            0,
            "Take out the parts that are not with it: a part left in the record is expected to be measured.",
        );
    }
    for caution in &blank.cautions {
        sheet.remark(0, &format!("Caution: {caution}"));
    }
    let keys = if blank.part.is_some() { part_keys(blank, head) } else { build_keys(blank, head) };
    sheet.group(0, longest(&keys), keys);
    if !matches!(blank.entries.first(), Some(Entry::Part(_))) {
        sheet.text.push('\n');
    }
    sheet.entries(0, &blank.entries);
    sheet.text
}

/// What the record is of.
pub(super) fn title(blank: &Blank) -> String {
    let Blank { generation, description, .. } = blank;
    match &blank.part {
        Some((_, part)) if generation.is_empty() => {
            format!("An empty record of a loose part: {part}, of any generation.")
        }
        Some((_, part)) => format!("An empty record of a loose part: {part} of {generation}, {description}."),
        None => format!("An empty record of {generation}: {description}."),
    }
}

/// The text of a value that is known, and what stands beside one that is not.
fn known(value: Option<String>, note: &str) -> (String, String) {
    value.map_or_else(|| (String::new(), note.to_owned()), |value| (format!(" {value}"), String::new()))
}

const GAUGES: &str = "optional: what was measured with, where no gauges.yaml lists it";

fn build_keys(blank: &Blank, head: &Head<'_>) -> Vec<Key> {
    let (build, of_build) = known(head.build.map(scalar), "the name of the build");
    let (finished, of_finished) = known(head.finished.map(|day| day.to_string()), "the day, as year-month-day");
    vec![
        Key::new(format!("build:{build}"), of_build),
        Key::new(format!("finished:{finished}"), of_finished),
        Key::new(format!("generation: {}", blank.generation), String::new()),
        Key::new("# gauges:".into(), GAUGES.into()),
    ]
}

fn part_keys(blank: &Blank, head: &Head<'_>) -> Vec<Key> {
    let part = blank.part.as_ref().map_or("", |(name, _)| name);
    let (tag, of_tag) = known(head.build.map(scalar), "what is painted on it");
    let (measured, of_measured) = known(head.finished.map(|day| day.to_string()), "the day, as year-month-day");
    let generation = Some(blank.generation.clone()).filter(|name| !name.is_empty());
    let (generation, of_generation) =
        known(generation, "leave it out if nobody knows: `trochoid identify` says what is left");
    let sign = if generation.is_empty() { "# " } else { "" };
    vec![
        Key::new(format!("part: {part}"), String::new()),
        Key::new(format!("tag:{tag}"), of_tag),
        Key::new(format!("measured:{measured}"), of_measured),
        Key::new(format!("{sign}generation:{generation}"), of_generation),
        Key::new(
            "# state:".into(),
            "optional: in stock, reserved for BUILD, fitted in BUILD, or { scrapped: DAY, because: WHY }".into(),
        ),
        Key::new("# gauges:".into(), GAUGES.into()),
    ]
}

#[derive(Default)]
struct Sheet {
    text: String,
    /// The parts inside each other at this place, positions left out.
    inside: Vec<String>,
    /// What was said of measuring: once for all positions of a part.
    said: BTreeSet<String>,
}

/// A key, what stands beside it, and how it is measured.
struct Key {
    key: String,
    beside: String,
    measure: Option<String>,
}

impl Key {
    fn new(key: String, beside: String) -> Key {
        Key { key, beside, measure: None }
    }
}

impl Sheet {
    fn entries(&mut self, depth: usize, entries: &[Entry]) {
        // The comments of a part stand under each other, whatever stands between its readings.
        let all =
            entries.iter().filter_map(|entry| if let Entry::Reading(reading) = entry { Some(reading) } else { None });
        let longest = longest(&all.flat_map(keys).collect::<Vec<_>>());
        let keys = |sheet: &mut Sheet, reading: &Reading| {
            let mut keys = keys(reading);
            let path = format!("{}.{}", sheet.inside.join("."), reading.name);
            if let (Some(first), Some(measure)) = (keys.first_mut(), &reading.measure)
                && sheet.said.insert(path)
            {
                first.measure = Some(measure.clone());
            }
            keys
        };
        let mut group = Vec::new();
        for entry in entries {
            match entry {
                Entry::Reading(reading) => group.extend(keys(self, reading)),
                Entry::Derived(derived) => {
                    self.group(depth, longest, std::mem::take(&mut group));
                    self.derived(depth, derived);
                }
                Entry::Part(part) => {
                    self.group(depth, longest, std::mem::take(&mut group));
                    if depth == 0 {
                        self.text.push('\n');
                    }
                    self.line(depth, &format!("{}:", part.name));
                    self.inside.push(part.name.clone());
                    if let Some(measure) = &part.measure
                        && self.said.insert(self.inside.join("."))
                    {
                        self.remark(depth + 1, measure);
                    }
                    for (position, entries) in &part.instances {
                        match position {
                            Some(position) => {
                                self.line(depth + 1, &format!("{position}:"));
                                self.entries(depth + 2, entries);
                            }
                            None => self.entries(depth + 1, entries),
                        }
                    }
                    self.inside.pop();
                }
            }
        }
        self.group(depth, longest, group);
    }

    /// Keys that stand together, their comments under each other, behind the longest key there is.
    fn group(&mut self, depth: usize, longest: usize, keys: Vec<Key>) {
        let indent = 2 * depth;
        let before = (indent + longest + 2).min(MOST_BEFORE.max(indent + 2));
        for Key { key, beside, measure } in keys {
            self.text.extend(std::iter::repeat_n(' ', indent));
            self.text.push_str(&key);
            if !beside.is_empty() {
                let at = indent + width(&key);
                self.text.extend(std::iter::repeat_n(' ', before.saturating_sub(at).max(2)));
                self.comment(before, 0, &beside);
            }
            if let Some(measure) = measure {
                self.text.push('\n');
                self.text.extend(std::iter::repeat_n(' ', before));
                self.comment(before, 2, &measure);
            }
            self.text.push('\n');
        }
    }

    /// A comment from here on. Its further lines begin in a column, their words set in by `hang` more.
    fn comment(&mut self, column: usize, hang: usize, text: &str) {
        const LEAST_ROOM: usize = 40;
        let text = clean(text);
        let mut room = MOST_COLUMNS.saturating_sub(column + 1).max(LEAST_ROOM);
        let mut used = 0;
        self.text.push('#');
        for word in text.split_whitespace() {
            if used > 0 && used + 1 + width(word) > room {
                self.text.push('\n');
                self.text.extend(std::iter::repeat_n(' ', column));
                self.text.push('#');
                self.text.extend(std::iter::repeat_n(' ', hang));
                room = MOST_COLUMNS.saturating_sub(column + 1 + hang).max(LEAST_ROOM);
                used = 0;
            }
            self.text.push(' ');
            self.text.push_str(word);
            used += 1 + width(word);
        }
    }

    fn derived(&mut self, depth: usize, derived: &Derived) {
        let Derived { name, formula, rows } = derived;
        self.text.extend(std::iter::repeat_n(' ', 2 * depth));
        self.comment(2 * depth, 2, &format!("{name} = {formula}: {}", rows.join("; ")));
        self.text.push('\n');
    }

    /// A remark of its own.
    fn remark(&mut self, depth: usize, text: &str) {
        self.text.extend(std::iter::repeat_n(' ', 2 * depth));
        self.comment(2 * depth, 0, text);
        self.text.push('\n');
    }

    fn line(&mut self, depth: usize, text: &str) {
        self.text.extend(std::iter::repeat_n(' ', 2 * depth));
        self.text.push_str(text);
        self.text.push('\n');
    }
}

/// Columns that the longest key takes.
fn longest(keys: &[Key]) -> usize {
    keys.iter().map(|one| width(&one.key)).max().unwrap_or(0)
}

/// The keys of a reading with what stands beside them; of one that may be left out each line is a comment.
fn keys(reading: &Reading) -> Vec<Key> {
    let sign = if reading.optional { "# " } else { "" };
    let mut what = reading.what.clone();
    if reading.optional {
        what.push_str(", optional");
    }
    let said = std::iter::once(what).chain(reading.rows.iter().cloned()).collect::<Vec<_>>().join("; ");
    let mut keys = vec![Key::new(format!("{sign}{}:", reading.name), said)];
    keys.extend(reading.stations.iter().map(|(name, rows)| Key::new(format!("{sign}  {name}:"), rows.join("; "))));
    keys
}
