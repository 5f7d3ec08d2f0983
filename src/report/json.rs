//! A run as one JSON document, written record by record. Refuses to hold more than one record, and to round anything.
//!
//! The document is an object. Members come in the order given here; every member is always there, and what is not
//! known is `null`. Later versions may add members; `version` grows when one changes its meaning or goes.
//!
//! | member | what it is |
//! | --- | --- |
//! | `format` | `"trochoid check"` |
//! | `version` | `2` |
//! | `records` | one object a record, in the order they were read, each on a line of its own |
//! | `shops` | one object for each set of rulebooks the records were judged by |
//! | `paths` | findings outside the records: on the paths given (nothing there, no records below), in lists of gauges |
//! | `survey` | what `--within`, `--conversions`, `--count` and `--history` asked of all records; `null` without them |
//! | `summary` | the numbers of the run |
//!
//! A **record** has `file` (as it was named), `build`, `generation`, `finished` (`YYYY-MM-DD`), `grade` (`good`, `worn`,
//! `excused`, `unsettled`, `unmeasured`, `out`; `null` where it could not be judged), `passes`, `readable`, `sound`
//! (whether its rulebooks were; if not, nothing was judged), `record_errors` (errors in the record itself),
//! `counts` (rulings by grade, and `advisory`: those of advisory rows that were judged and are not good,
//! `advisory_unmeasured`: those without a reading), `skipped` (rows on readings
//! that may be left out and were), `unverified` (the advisory rows that were judged and are not good, by path), `contradicted` (whether what was
//! measured rules out the generation it states), `findings`, `rulings` and `to_measure`: the readings that the unmeasured rows lack, a member a part
//! and position in the order of the books, with `part` (`rotor.front`, empty for the whole machine), `wanted` (`missing`; `unknown`, where
//! the record says so; `advice`, where only advisory rows ask for it) and `readings`: `name`, `missing` and `of` (at how many places of
//! how many), `words`, `reasons` (why it does not count).
//!
//! The record of a **loose part** has `build` `null` and `part`, which a build has `null`: `tag`, `part` (`rotor`, as a record names
//! it), `state` (`word`: `in stock`, `reserved`, `fitted`, `scrapped`; `build`, `on` and `because` where they are said), `as` (what it was
//! judged as: `generation`, `positions`, `grade`, `counts`, `skipped`, `record_errors`, `conditional`: rows that are not good if a
//! condition on the machine holds), `waiting` (how many rows wait for other parts) and `waits` (what they wait for, in words).
//! `generation`, `grade`, `counts` and `rulings` are those of the best of `as`.
//!
//! A **ruling** is one row judged at one position: `path` (`rotor.front.side_clearance`), `grade` (of an advisory row that is not
//! good, the grade after the word `advisory`: `advisory out`), `advisory`, `outer` (whether the row is an outer limit), `never_excused` (whether no concession lets it through), `value`,
//! `rounded` (what the value is rounded to before it is compared, where the row says so and that is another number),
//! `standard`, `limit`, `beyond`, `room` (how far inside the limit, or the standard where there is no limit), `unit`, `figures` (the
//! numbers alone), `reading` (a place in the record), `row` (a place in a rulebook), `source`,
//! `because`, `remedy`, `caution`, `slip`, `concession`, `missing` (paths of readings that are not there), `history` (who
//! says so: the row's declaration, then each change, each with `words` and `place`) and `uncertainty` (`null` where
//! nobody said how well it was measured). Quantities
//! are texts with their unit, exactly as they are printed for people (`"0.09 mm"`): no number is turned into binary.
//!
//! The **figures** are the same as decimals in `unit`, of at most twelve places, as text: `value`, `rounded`, `standard` and `limit`
//! (each the low end and the high end), `beyond` and `room`. A value that passes near an end has a `room` that is small beside the
//! distance of the two ends.
//!
//! An **uncertainty** has `expanded`, the `factor` it is expanded by for 95.45 %, `degrees_of_freedom` (`null` for as good as
//! without end), `complete` (whether of every reading in it somebody said how well it was taken), `rule` (the decision rule
//! with its factor), `limit` and `standard` (each `null`, or `zone`: `pass`, `conditional pass`, `conditional fail` or `fail`,
//! and `probability`, that the true value is inside, as text) and `settled_by` (what would settle it).
//!
//! A **finding** has `code`, `severity` (`error`, `warning`, `note`), `message`, `place` and `because` (places with a
//! `label`), `help`, and `notes` (`kind` and `text`). With `--only`, findings, rulings and `to_measure` are those of the grades named;
//! `counts` and the summary still count all.
//!
//! A **place** has `file`, `line` and `column` of its beginning, `end_line` and `end_column` of the letter after its
//! end (lines and columns count from 1, columns count letters), and `start` and `end` as bytes of the file, from 0.
//!
//! A **shop** has `name`, `books` (files, in the order they were read), `sound` and `findings`. The **summary** has
//! `records`, `builds` and `parts` (by grade), `scrapped` (parts not counted among them), `rows` (as a record's `counts`), `skipped`, `failing`, `unjudged`, `troubles` (what makes the exit
//! status 2) and `status`.
//!
//! The **survey** has `within`, `conversions`, `count` and `history`, each `null` where it was not asked for. `within` has `permille` (of the
//! range, as asked) and `values`, the nearest first: `build`, `file`, `subject`, `value`, `room`, `range`, `permille` (how near), `place`.
//! `conversions` are rows that rounding in a conversion would have decided: `build`, `file`, `path`, `value`, `grade`, `unit` (the range's), `decimals`,
//! `on_paper`, `grade_on_paper`, `place`. `count` are the rows that fail somewhere, the most often first: `row`, `builds`, `counts`.
//!
//! Letters that would steer a terminal are written as `\u` escapes, so that the document may be printed.

use super::style::is_hidden;
use super::tally::Tally;
use super::{to_measure, wording};
use crate::bind::PartState;
use crate::finding::Finding;
use crate::judge::{Counts, Figures, Grade, RulingReport, TierWeighed, Weighed};
use crate::shop::{Alternative, Checked, CheckedPart, Shop};
use crate::text::Place;
use serde_json::{Map, Value, json};
use std::io;

pub(super) const BEGIN: &str = "{\"format\":\"trochoid check\",\"version\":2,\"records\":[";

/// One record, on one line.
pub(super) fn record(checked: &Checked) -> String {
    written(&record_value(checked))
}

pub(super) fn record_value(checked: &Checked) -> Value {
    json!({
        "file": checked.file,
        "build": checked.part.is_none().then_some(&checked.build),
        "part": checked.part.as_ref().map(|part| part_value(checked, part)),
        "generation": checked.generation,
        "finished": checked.finished.map(|date| date.to_string()),
        "grade": checked.grade.map(Grade::word),
        "passes": checked.passes(),
        "readable": !checked.unreadable,
        "sound": true,
        "record_errors": checked.record_errors,
        "counts": counts(&checked.counts),
        "skipped": checked.skipped,
        "unverified": checked.unverified,
        "contradicted": checked.contradicted,
        "findings": checked.findings.iter().map(finding_value).collect::<Vec<_>>(),
        "rulings": checked.rulings.iter().map(ruling).collect::<Vec<_>>(),
        "to_measure": to_measure::value(&checked.to_measure),
    })
}

/// A loose part: what it is, what it was judged as, what waits.
fn part_value(checked: &Checked, part: &CheckedPart) -> Value {
    let alternative = |one: &Alternative| {
        json!({
            "generation": one.generation,
            "positions": one.positions,
            "grade": one.grade.word(),
            "counts": counts(&one.counts),
            "skipped": one.skipped,
            "record_errors": one.errors,
            "conditional": one.conditional,
        })
    };
    let (build, on, because) = match &part.state {
        PartState::InStock => (None, None, None),
        PartState::Reserved(build) | PartState::Fitted(build) => (Some(build), None, None),
        PartState::Scrapped { on, because } => (None, on.map(|on| on.to_string()), because.as_ref()),
    };
    json!({
        "tag": checked.build,
        "part": part.part,
        "state": { "word": part.state.word(), "build": build, "on": on, "because": because },
        "as": part.alternatives.iter().map(alternative).collect::<Vec<_>>(),
        "waiting": part.waiting,
        "waits": part.waits,
    })
}

/// A record not judged because its rulebooks have errors: it was not even opened.
pub(super) fn unsound(file: &str) -> String {
    written(&unsound_value(file))
}

pub(super) fn unsound_value(file: &str) -> Value {
    json!({
        "file": file, "build": null, "part": null, "generation": null, "finished": null, "grade": null, "passes": false,
        "readable": null, "sound": false, "record_errors": 0, "counts": counts(&Counts::default()), "skipped": 0,
        "unverified": [], "contradicted": false,
        "findings": [], "rulings": [], "to_measure": [],
    })
}

pub(super) fn shop(shop: &Shop) -> String {
    written(&shop_value(shop))
}

pub(super) fn shop_value(shop: &Shop) -> Value {
    json!({
        "name": shop.name,
        "books": shop.books(),
        "sound": shop.is_sound(),
        "findings": shop.findings().iter().map(finding_value).collect::<Vec<_>>(),
    })
}

pub(super) fn finding(finding: &Finding) -> String {
    written(&finding_value(finding))
}

/// What closes the document; `survey` is what was asked of all records.
pub(super) fn end(shops: &[String], paths: &[String], survey: &Value, tally: &Tally) -> String {
    format!(
        "\n],\"shops\":[{}],\"paths\":[{}],\"survey\":{},\"summary\":{}}}\n",
        shops.join(",\n"),
        paths.join(",\n"),
        written(survey),
        written(&summary(tally))
    )
}

pub(super) fn summary(tally: &Tally) -> Value {
    json!({
        "records": tally.records,
        "builds": by_grade(&tally.builds),
        "parts": by_grade(&tally.parts),
        "scrapped": tally.scrapped,
        "rows": counts(&tally.rows),
        "skipped": tally.skipped,
        "failing": tally.failing,
        "unjudged": tally.unjudged,
        "troubles": tally.troubles,
        "status": tally.status(),
    })
}

fn by_grade(counts: &Counts) -> Map<String, Value> {
    Grade::ALL.into_iter().map(|grade| (grade.word().to_string(), counts.of(grade).into())).collect()
}

pub(super) fn counts(counts: &Counts) -> Value {
    let mut map = by_grade(counts);
    map.insert("advisory".to_string(), counts.advisory.into());
    map.insert("advisory_unmeasured".to_string(), counts.advisory_unmeasured.into());
    Value::Object(map)
}

fn ruling(told: &RulingReport) -> Value {
    json!({
        "path": told.path,
        "grade": wording::graded(told.grade, told.advisory),
        "advisory": told.advisory,
        "outer": told.outer,
        "never_excused": told.never_excused,
        "value": told.value,
        "rounded": told.rounded,
        "standard": told.standard,
        "limit": told.limit,
        "beyond": told.beyond,
        "room": told.room,
        "unit": told.unit,
        "figures": figures(&told.figures),
        "reading": told.place.as_ref().map(place),
        "row": place(&told.row),
        "source": told.source,
        "because": told.because,
        "remedy": told.remedy,
        "caution": told.caution,
        "slip": told.slip,
        "concession": told.concession,
        "missing": told.missing,
        "uncertainty": told.uncertainty.as_ref().map(uncertainty),
        "history": told.history.iter().map(|(words, at)| json!({ "words": words, "place": place(at) })).collect::<Vec<_>>(),
    })
}

fn figures(figures: &Figures) -> Value {
    json!({
        "value": figures.value,
        "rounded": figures.rounded,
        "standard": figures.standard,
        "limit": figures.limit,
        "beyond": figures.beyond,
        "room": figures.room,
    })
}

fn uncertainty(weighed: &Weighed) -> Value {
    let tier = |tier: &Option<TierWeighed>| {
        tier.as_ref().map(|tier| json!({ "zone": tier.zone.words(), "probability": tier.probability }))
    };
    json!({
        "expanded": weighed.expanded,
        "factor": weighed.factor,
        "degrees_of_freedom": weighed.degrees_of_freedom,
        "complete": !weighed.incomplete,
        "rule": weighed.rule,
        "limit": tier(&weighed.limit),
        "standard": tier(&weighed.standard),
        "settled_by": weighed.settled_by,
    })
}

pub(super) fn finding_value(finding: &Finding) -> Value {
    let labelled = |(at, label): &(Place, String)| {
        let mut value = place(at);
        if let Value::Object(map) = &mut value {
            map.insert("label".to_string(), label.as_str().into());
        }
        value
    };
    let notes: Vec<Value> =
        finding.notes.iter().map(|note| json!({ "kind": note.kind.word(), "text": note.text })).collect();
    json!({
        "code": finding.code.name(),
        "severity": wording::level(finding.severity),
        "message": finding.message,
        "place": finding.place.as_ref().map(labelled),
        "because": finding.because.iter().map(labelled).collect::<Vec<_>>(),
        "help": finding.help,
        "notes": notes,
    })
}

pub(super) fn place(place: &Place) -> Value {
    let (start, end) = (place.line_column(), place.source.line_column(place.span.end as usize));
    json!({
        "file": place.source.name(),
        "line": start.line,
        "column": start.column,
        "end_line": end.line,
        "end_column": end.column,
        "start": place.span.start,
        "end": place.span.end,
    })
}

/// JSON without a letter that a terminal would obey.
struct Printable;

impl serde_json::ser::Formatter for Printable {
    fn write_string_fragment<W: io::Write + ?Sized>(&mut self, writer: &mut W, fragment: &str) -> io::Result<()> {
        if !fragment.chars().any(is_hidden) {
            return writer.write_all(fragment.as_bytes());
        }
        let mut buffer = [0; 4];
        for letter in fragment.chars() {
            if is_hidden(letter) {
                for unit in letter.encode_utf16(&mut [0; 2]) {
                    write!(writer, "\\u{unit:04x}")?;
                }
            } else {
                writer.write_all(letter.encode_utf8(&mut buffer).as_bytes())?;
            }
        }
        Ok(())
    }
}

/// A whole document of its own.
pub(super) fn document(value: &Value) -> String {
    format!("{}\n", written(value))
}

pub(super) fn written(value: &Value) -> String {
    let mut bytes = Vec::new();
    let mut serializer = serde_json::Serializer::with_formatter(&mut bytes, Printable);
    match serde::Serialize::serialize(value, &mut serializer) {
        Ok(()) => String::from_utf8(bytes).unwrap_or_else(|_| "null".to_string()),
        // Texts, numbers and lists into memory: there is nothing that can fail.
        Err(_) => "null".to_string(),
    }
}

#[cfg(test)]
#[path = "json_tests.rs"]
mod tests;
