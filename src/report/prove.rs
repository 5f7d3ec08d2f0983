//! Puts what was proved of rulebooks on paper: a table, then the findings; or everything about one generation. Refuses to
//! prove anything.
//!
//! As JSON it is one document: `format` (`trochoid prove`), `version`, `books` (files), `generations`, `examples` (each
//! with `title`, `generation`, `holds`, `place`), `findings` (as
//! those of `check`) and `status`, the exit status. A **generation** has `name`, `description`, `rows`, `advisory`, `undecided`,
//! `provenance` (`sources`, each with `name` and `rows`; `common_practice`, `memory`, `none`), `readings` (each with
//! `path`, `optional`, `judged`: `row`, `derived`, `condition` or null, and `place`) and `stack_ups`. A **stack-up** has
//! `path`, `row` (a place or null), `when`, `reaches` (what good parts can come to, as text), `as_new`,
//! `exact`, `loose` (why it is not), `missing` (readings without a range), `outcome` (`no row`, `fits`, `wider`,
//! `may be wider`, `impossible`, `open`, `not compared`), `allowed`, and `witnesses` of what is wider: sets of parts, each inside
//! its own rows, with `readings` (each `path` and `values`), the `path` and `value` they give, and whether that is `above` the row.

use super::style::{self, Ink, Look, clean};
use super::{Format, json, plain, terminal, wording};
use crate::finding::{Finding, Severity};
use crate::prove::{GenerationProof, How, Outcome, Proof, StackUp, TrialProof, Witness};
use serde_json::{Value, json};

/// Everything there is to put on paper.
#[derive(Clone, Copy, Debug)]
pub struct Sheet<'a> {
    /// The files the books were read from.
    pub books: &'a [String],
    /// What was established; none where the books have errors.
    pub proof: Option<&'a Proof>,
    /// What is to be said.
    pub findings: &'a [Finding],
    /// Whether everything about each generation is wanted, reading by reading.
    pub whole: bool,
    /// The exit status.
    pub status: u8,
}

/// The sheet as text, ended by a line end.
#[must_use]
pub fn write(sheet: &Sheet<'_>, format: Format, look: Look) -> String {
    if format == Format::Json {
        return document(sheet);
    }
    let mut out = String::new();
    let generations = sheet.proof.map_or(&[][..], |proof| &proof.generations);
    if format == Format::Plain {
        generations.iter().for_each(|generation| out.push_str(&line(generation)));
        if sheet.whole {
            generations.iter().for_each(|generation| whole(&mut out, generation, look));
        }
        sheet.findings.iter().for_each(|finding| out.push_str(&plain::write(finding)));
    } else {
        if !generations.is_empty() {
            table(&mut out, generations, look, !sheet.whole);
        }
        if sheet.whole {
            generations.iter().for_each(|generation| whole(&mut out, generation, look));
        }
        for finding in sheet.findings {
            if !out.is_empty() {
                out.push('\n');
            }
            out.push_str(&terminal::draw(finding, look));
        }
        out.push('\n');
    }
    if let Some(proof) = sheet.proof.filter(|proof| !proof.trials.is_empty()) {
        let holding = proof.trials.iter().filter(|trial| trial.holds).count();
        out.push_str(&format!("{}\n", wording::examples_hold(holding, proof.trials.len())));
    }
    out.push_str(&summary(sheet, look));
    out
}

fn summary(sheet: &Sheet<'_>, look: Look) -> String {
    let count = |severity: Severity| sheet.findings.iter().filter(|finding| finding.severity == severity).count();
    let (errors, warnings, notes) = (count(Severity::Error), count(Severity::Warning), count(Severity::Note));
    let mut said = Vec::new();
    for (count, one) in [(errors, "fault"), (warnings, "warning"), (notes, "note")] {
        if count > 0 {
            said.push(wording::number_of(count, one));
        }
    }
    let generations = sheet.proof.map_or(&[][..], |proof| &proof.generations);
    let undecided: usize = generations.iter().map(|generation| generation.undecided).sum();
    if undecided > 0 {
        said.push(format!("{} too large to decide", wording::number_of(undecided, "condition")));
    }
    let (ink, verdict) = match (sheet.proof, errors) {
        (None, _) => (Ink::Fail, "the rulebooks have errors: nothing was proved"),
        (Some(proof), 0) if proof.generations.is_empty() => (Ink::Mind, "there is no generation to prove anything of"),
        (Some(_), 0) => (Ink::Good, "nothing is proved wrong"),
        (Some(_), _) => (Ink::Fail, "something is proved wrong"),
    };
    let verdict = look.paint(ink, verdict);
    if said.is_empty() { format!("{verdict}\n") } else { format!("{verdict}: {}\n", said.join(", ")) }
}

/// The numbers of a generation that stand in the table and in its line.
struct Numbers {
    judged: usize,
    required_not: usize,
    optional_not: usize,
    fits: usize,
    wider: usize,
    never: usize,
    open: usize,
}

fn numbers(generation: &GenerationProof) -> Numbers {
    let not = |optional: bool| {
        let readings = generation.coverage.iter();
        readings.filter(|reading| reading.how == How::Nothing && reading.optional == optional).count()
    };
    let of =
        |wanted: fn(&Outcome) -> bool| generation.stack_ups.iter().filter(|stack_up| wanted(&stack_up.outcome)).count();
    let (required_not, optional_not) = (not(false), not(true));
    Numbers {
        judged: generation.coverage.len() - required_not - optional_not,
        required_not,
        optional_not,
        fits: of(|outcome| *outcome == Outcome::Fits),
        wider: of(|outcome| matches!(outcome, Outcome::Wider(_))),
        never: of(|outcome| matches!(outcome, Outcome::Impossible(_))),
        open: of(|outcome| matches!(outcome, Outcome::Open | Outcome::NotCompared | Outcome::MayBeWider(_))),
    }
}

/// The heads of the table: what each group and each column is called, and its columns on paper.
const HEADS: [(&str, &str, usize); 12] = [
    ("rows", "all", 4),
    ("", "advisory", 9),
    ("from", "source", 8),
    ("", "practice", 9),
    ("", "memory", 7),
    ("", "none", 5),
    ("readings", "judged", 8),
    ("", "not", 4),
    ("stack-ups", "fit", 5),
    ("", "wider", 6),
    ("", "never", 6),
    ("", "open", 5),
];

fn table(out: &mut String, generations: &[GenerationProof], look: Look, foot: bool) {
    let name = generations.iter().map(|generation| style::width(&clean(&generation.name))).max().unwrap_or(0).max(10);
    let (mut groups, mut heads) = (" ".repeat(name), format!("{:<name$}", "generation"));
    for (group, head, width) in HEADS {
        // A group's name stands over its first columns, from where the first begins.
        let begin = style::width(&heads) + width - head.len();
        if !group.is_empty() {
            groups.push_str(&" ".repeat(begin.saturating_sub(style::width(&groups))));
            groups.push_str(group);
        }
        heads.push_str(&format!("{head:>width$}"));
    }
    out.push_str(&format!("{}\n{}\n", look.paint(Ink::Faint, &groups), look.paint(Ink::Faint, &heads)));
    let mut optional = false;
    for generation in generations {
        let numbers = numbers(generation);
        optional |= numbers.optional_not > 0;
        let from = &generation.provenances;
        let cells = [
            (generation.rows, None),
            (generation.advisory, None),
            (from.from_sources(), None),
            (from.common_practice, None),
            (from.memory, None),
            (from.none, Some(Ink::Mind)),
            (numbers.judged, None),
            (numbers.required_not, Some(Ink::Mind)),
            (numbers.fits, None),
            (numbers.wider, Some(Ink::Aside)),
            (numbers.never, Some(Ink::Fail)),
            (numbers.open, None),
        ];
        let shown = clean(&generation.name);
        out.push_str(&format!("{shown}{}", " ".repeat(name.saturating_sub(style::width(&shown)))));
        for ((count, ink), (.., width)) in cells.into_iter().zip(HEADS) {
            let cell = format!("{count:>width$}");
            out.push_str(&ink.filter(|_| count > 0).map_or_else(|| cell.clone(), |ink| look.paint(ink, &cell)));
        }
        out.push('\n');
    }
    if !foot {
        return;
    }
    let mut foot =
        "not: required readings that no row judges; stack-ups: rows on calculated values beside what good parts add \
                    up to; never: cannot be met; open: a part of it has no range, the row depends on the record, or no parts were \
                    found that reach past it"
            .to_string();
    if optional {
        foot.push_str("; optional readings that no row judges are listed by --generation");
    }
    style::wrapped(out, "", 0, &foot, look.width);
}

/// A generation in one line.
fn line(generation: &GenerationProof) -> String {
    let numbers = numbers(generation);
    let from = &generation.provenances;
    format!(
        "{}: {}, {} advisory; from sources {}, common practice {}, memory {}, none {}; readings judged {}, not judged {}, \
         optional not judged {}; stack-ups fit {}, wider {}, never {}, open {}\n",
        clean(&generation.name),
        wording::number_of(generation.rows, "row"),
        generation.advisory,
        from.from_sources(),
        from.common_practice,
        from.memory,
        from.none,
        numbers.judged,
        numbers.required_not,
        numbers.optional_not,
        numbers.fits,
        numbers.wider,
        numbers.never,
        numbers.open
    )
}

/// Everything about a generation.
fn whole(out: &mut String, generation: &GenerationProof, look: Look) {
    let indent = "    ";
    out.push_str(&format!("\n{}: {}\n", clean(&generation.name), clean(&generation.description)));
    let sources: Vec<String> =
        generation.provenances.sources.iter().map(|(name, rows)| format!("{name} {rows}")).collect();
    if !sources.is_empty() {
        out.push_str("  rows by source\n");
        style::wrapped(out, indent, 4, &sources.join(", "), look.width);
    }
    let unverified = &generation.provenances.standards_from_memory;
    if !unverified.is_empty() {
        out.push_str(&format!("  standards from memory beside a limit that is not: {}\n", unverified.len()));
        style::wrapped(out, indent, 4, &unverified.join(", "), look.width);
    }
    let groups = [
        ("readings with a row of their own", How::Row, None),
        ("readings judged through a calculated value", How::Derived, None),
        ("readings only asked for by a row's condition or bound", How::Condition, None),
        ("readings no row judges", How::Nothing, Some(false)),
        ("optional readings no row judges", How::Nothing, Some(true)),
    ];
    for (head, how, optional) in groups {
        let readings = generation
            .coverage
            .iter()
            .filter(|reading| reading.how == how && optional.is_none_or(|optional| reading.optional == optional));
        let paths: Vec<&str> = readings.map(|reading| &*reading.path).collect();
        if !paths.is_empty() {
            out.push_str(&format!("  {head}: {}\n", paths.len()));
            style::wrapped(out, indent, 4, &paths.join(", "), look.width);
        }
    }
    if !generation.stack_ups.is_empty() {
        out.push_str("  calculated values, while all they are made of is good\n");
    }
    for stack_up in &generation.stack_ups {
        style::wrapped(out, indent, 6, &said(stack_up), look.width);
    }
}

fn said(stack_up: &StackUp) -> String {
    let condition = stack_up.condition.as_ref().map_or_else(String::new, |condition| format!(" {condition}"));
    let mut said = format!("{}{condition}: ", stack_up.path);
    let new = if stack_up.as_new { "as new " } else { "" };
    let missing = stack_up.missing.join(", ");
    said.push_str(&match &stack_up.outcome {
        Outcome::Open | Outcome::NoRow if !missing.is_empty() => format!("open, no full range for {missing}"),
        Outcome::NoRow => format!("{new}{}; no row", stack_up.reaches),
        Outcome::Fits => format!("{new}{}, inside its row", stack_up.reaches),
        Outcome::Wider(own) => format!("{new}{}, wider than {own}", stack_up.reaches),
        Outcome::MayBeWider(own) => format!("{new}{}, which may be wider than {own}", stack_up.reaches),
        Outcome::Impossible(own) => format!("{new}{}, never {own}", stack_up.reaches),
        Outcome::Open => format!("open, {}", stack_up.reaches),
        Outcome::NotCompared => format!("{new}{}; its row depends on the record", stack_up.reaches),
    });
    if let Some(loose) = stack_up.loose.as_ref().filter(|_| missing.is_empty()) {
        said.push_str(&format!(" ({loose})"));
    }
    said
}

fn document(sheet: &Sheet<'_>) -> String {
    let generations: Vec<Value> =
        sheet.proof.map_or_else(Vec::new, |proof| proof.generations.iter().map(generation_value).collect());
    json::document(&json!({
        "format": "trochoid prove",
        "version": 1,
        "books": sheet.books,
        "generations": generations,
        "examples": sheet.proof.map_or_else(Vec::new, |proof| proof.trials.iter().map(example_value).collect()),
        "findings": sheet.findings.iter().map(json::finding_value).collect::<Vec<_>>(),
        "status": sheet.status,
    }))
}

fn example_value(trial: &TrialProof) -> Value {
    json!({
        "title": trial.title,
        "generation": trial.generation,
        "holds": trial.holds,
        "place": json::place(&trial.place),
    })
}

fn generation_value(generation: &GenerationProof) -> Value {
    let sources: Vec<Value> =
        generation.provenances.sources.iter().map(|(name, rows)| json!({ "name": name, "rows": rows })).collect();
    let readings: Vec<Value> = generation
        .coverage
        .iter()
        .map(|reading| {
            let judged = match reading.how {
                How::Row => Some("row"),
                How::Derived => Some("derived"),
                How::Condition => Some("condition"),
                How::Nothing => None,
            };
            let place = json::place(&reading.place);
            json!({ "path": reading.path, "optional": reading.optional, "judged": judged, "place": place })
        })
        .collect();
    json!({
        "name": generation.name,
        "description": generation.description,
        "rows": generation.rows,
        "advisory": generation.advisory,
        "undecided": generation.undecided,
        "provenance": {
            "sources": sources,
            "common_practice": generation.provenances.common_practice,
            "memory": generation.provenances.memory,
            "none": generation.provenances.none,
            "standards_from_memory": generation.provenances.standards_from_memory,
        },
        "readings": readings,
        "stack_ups": generation.stack_ups.iter().map(stack_up_value).collect::<Vec<_>>(),
    })
}

fn witness_value(witness: &Witness) -> Value {
    let readings: Vec<Value> =
        witness.readings.iter().map(|(path, values)| json!({ "path": path, "values": values })).collect();
    let (path, value) = &witness.gives;
    json!({ "readings": readings, "path": path, "value": value, "above": witness.above })
}

fn stack_up_value(stack_up: &StackUp) -> Value {
    let (outcome, allowed) = match &stack_up.outcome {
        Outcome::NoRow => ("no row", None),
        Outcome::Fits => ("fits", None),
        Outcome::Wider(own) => ("wider", Some(own)),
        Outcome::MayBeWider(own) => ("may be wider", Some(own)),
        Outcome::Impossible(own) => ("impossible", Some(own)),
        Outcome::Open => ("open", None),
        Outcome::NotCompared => ("not compared", None),
    };
    json!({
        "path": stack_up.path,
        "row": stack_up.row.as_ref().map(json::place),
        "when": stack_up.condition,
        "reaches": stack_up.reaches,
        "as_new": stack_up.as_new,
        "exact": stack_up.loose.is_none(),
        "loose": stack_up.loose,
        "missing": stack_up.missing,
        "outcome": outcome,
        "allowed": allowed,
        "witnesses": stack_up.witnesses.iter().map(witness_value).collect::<Vec<_>>(),
    })
}
