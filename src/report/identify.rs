//! Puts on paper which generation a machine is of: what fits, what is ruled out by what, what does not belong together,
//! what to look at next. Refuses to weigh anything.
//!
//! As JSON it is one document: `format` (`trochoid identify`), `version`, `machines` and `status`, the exit status. A
//! **machine** has `name`, `stated` (the generation its record says, or null), `left` (names of the generations that fit),
//! `seen` (each with `path`, `value` as written and `place` or null), `generations` (each with `name`, `description`,
//! `fits`, `agree` and `against`: `seen`, a number in that list, `has`, `source` or null, and `place`), `parts` (each with
//! `path`, `seen` and `fits`), `mixed` (pairs of paths of parts that no generation has together), `different` (each with
//! `path`, `row`: the place of the row that asks for it, or null where telltales do, `seen`, `because`, `remedy`,
//! `caution`), `skipped` (readings that would tell something and could not be taken, each with `path` and `place`) and `questions`, the
//! best first (each with `path`, `answers`: `value` and
//! `generations`, `silent`: generations it says nothing of, `leaves`, how many generations it leaves on average, and
//! `by_eye`, whether no gauge is needed). The module beside it, `identify_values`, adds `values`, `unlike` and `value_questions`.

pub use super::identify_values::{value_question, values_known};
use super::style::{self, Ink, Look, clean};
use super::{identify_values as values, json, wording_identify as wording};
use crate::book::{Book, Generation, Id, Telltale};
use crate::finding::list;
use crate::identify::{Against, Candidate, Different, Identification, Question};
use crate::judge::source_words;
use serde_json::{Value, json};

/// How far what belongs to a generation stands in.
const INDENT: usize = 14;

/// Paths named one by one before the rest is counted.
const MOST_PATHS: usize = 3;

/// One machine to be put on paper.
#[derive(Clone, Copy, Debug)]
pub struct Machine<'a> {
    /// What it is called: its record's file, or none for features said in words.
    pub name: Option<&'a str>,
    /// The books it was looked up in.
    pub book: &'a Book,
    /// What is known of its generation.
    pub found: &'a Identification,
}

/// A machine as text, ended by a line end.
#[must_use]
pub fn text(machine: Machine<'_>, look: Look) -> String {
    let Machine { name, book, found } = machine;
    let mut out = String::new();
    let left = found.left();
    out.push_str(&clean(&wording::head(name, found.seen.len())));
    out.push('\n');
    let mut fits: Vec<&Candidate> = found.candidates.iter().filter(|candidate| candidate.fits()).collect();
    fits.sort_by_key(|candidate| std::cmp::Reverse(candidate.agree));
    for candidate in fits {
        let words = wording::agree(book.generations.get(candidate.generation), candidate.agree);
        entry(&mut out, look, Ink::Good, "fits", &words);
    }
    if left.is_empty() {
        let nearest: Vec<&str> =
            found.nearest().iter().map(|candidate| &*book.generations.get(candidate.generation).name).collect();
        entry(&mut out, look, Ink::Fail, "fits", &wording::nothing(&nearest));
    }
    if let Some(stated) = found.stated {
        let name = &book.generations.get(stated).name;
        match left.contains(&stated) {
            true => entry(&mut out, look, Ink::Good, "stated", &wording::stated(name)),
            false => entry(&mut out, look, Ink::Fail, "stated", &wording::misstated(name)),
        }
    }
    if !found.skipped.is_empty() {
        let paths: Vec<&str> = found.skipped.iter().map(|skipped| skipped.path.as_str()).collect();
        entry(&mut out, look, Ink::Mind, "skipped", &wording::skipped(&paths));
    }
    for (one, other) in &found.mixed {
        if let (Some(one), Some(other)) = (found.groups.get(*one), found.groups.get(*other)) {
            let words = wording::mixed((&one.path, &names(book, &one.fits)), (&other.path, &names(book, &other.fits)));
            entry(&mut out, look, Ink::Fail, "mixed", &words);
        }
    }
    for different in &found.different {
        unlike(&mut out, look, found, different);
    }
    for told in &found.told {
        values::told(&mut out, look, book, found, told);
    }
    for unlike in &found.unlike {
        values::unlike(&mut out, look, book, found, unlike);
    }
    for candidate in found.candidates.iter().filter(|candidate| !candidate.fits()) {
        let generation = book.generations.get(candidate.generation);
        entry(&mut out, look, Ink::Faint, "ruled out", &wording::generation(generation));
        for (telltale, against) in by_telltale(candidate) {
            let words = speaks_against(book, found, telltale, &against);
            style::wrapped(&mut out, &" ".repeat(INDENT + 2), INDENT + 2, &words, look.width);
        }
    }
    next(&mut out, look, book, found);
    values::next(&mut out, look, book, found);
    out
}

/// Machines as one JSON document, ended by a line end.
#[must_use]
pub fn document(machines: &[Machine<'_>], status: u8) -> String {
    let machines: Vec<Value> = machines.iter().map(|machine| value(*machine)).collect();
    json::document(&json!({
        "format": "trochoid identify",
        "version": env!("CARGO_PKG_VERSION"),
        "machines": machines,
        "status": status,
    }))
}

/// A question as it is asked, ended by a line end.
#[must_use]
pub fn question(book: &Book, question: &Question, answers: &str, look: Look) -> String {
    let mut out = String::new();
    let characteristic = book.characteristics.get(question.characteristic);
    let path = book.path(question.characteristic, &[], None);
    style::wrapped(&mut out, "", 0, &wording::question(&path, answers), look.width);
    if let Some(because) = question.telltale.texts.because.as_ref().or(characteristic.texts.because.as_ref()) {
        style::wrapped(&mut out, "  ", 2, because, look.width);
    }
    out
}

/// A word, and what belongs to it.
pub(super) fn entry(out: &mut String, look: Look, ink: Ink, word: &str, text: &str) {
    let head = format!("  {}{}", look.paint(ink, word), " ".repeat(INDENT.saturating_sub(word.len() + 2)));
    style::wrapped(out, &head, INDENT, text, look.width);
}

fn names<'a>(book: &'a Book, generations: &[Id<Generation>]) -> Vec<&'a str> {
    generations.iter().map(|generation| &*book.generations.get(*generation).name).collect()
}

/// What speaks against a generation, by the telltale it contradicts.
pub(super) fn by_telltale(candidate: &Candidate) -> Vec<(&Telltale, Vec<&Against>)> {
    let mut telltales: Vec<(&Telltale, Vec<&Against>)> = Vec::new();
    for against in &candidate.against {
        match telltales.iter_mut().find(|(telltale, _)| telltale.place == against.telltale.place) {
            Some((_, all)) => all.push(against),
            None => telltales.push((&against.telltale, vec![against])),
        }
    }
    telltales
}

pub(super) fn speaks_against(book: &Book, found: &Identification, telltale: &Telltale, against: &[&Against]) -> String {
    let seen: Vec<(&str, &str)> = against
        .iter()
        .filter_map(|against| found.seen.get(against.seen))
        .map(|seen| (seen.path.as_str(), seen.written.as_str()))
        .collect();
    let source = telltale.texts.provenance.as_ref().map(|provenance| source_words(book, provenance));
    wording::against(&seen, MOST_PATHS, &range_words(telltale), source.as_deref())
}

pub(super) fn range_words(telltale: &Telltale) -> String {
    telltale.range.place.text().split_whitespace().collect::<Vec<_>>().join(" ")
}

fn unlike(out: &mut String, look: Look, found: &Identification, different: &Different) {
    let seen: Vec<(&str, &str)> = different
        .seen
        .iter()
        .filter_map(|number| found.seen.get(*number))
        .map(|seen| (seen.path.as_str(), seen.written.as_str()))
        .collect();
    entry(out, look, Ink::Fail, "not alike", &wording::different(different, &seen));
    let Some(row) = &different.row else { return };
    let texts = &row.texts;
    for (word, text) in [("because", &texts.because), ("remedy", &texts.remedy), ("caution", &texts.caution)] {
        if let Some(text) = text {
            let head = format!("{}{word}: ", " ".repeat(INDENT + 2));
            style::wrapped(out, &head, INDENT + 2, text, look.width);
        }
    }
}

fn next(out: &mut String, look: Look, book: &Book, found: &Identification) {
    let Some(question) = found.questions.first() else {
        if found.left().len() > 1 {
            entry(out, look, Ink::Mind, "look next", wording::NO_QUESTION);
        }
        return;
    };
    let path = book.path(question.characteristic, &[], None);
    let leaves = question.leaves.to_text(1);
    entry(out, look, Ink::Mind, "look next", &wording::next(&path, &leaves, found.left().len()));
    let mut say = |text: String| {
        style::wrapped(out, &" ".repeat(INDENT + 2), INDENT + 2, &text, look.width);
    };
    for answer in &question.answers {
        say(format!("{}: {}", answer.words, list(names(book, &answer.generations), "and")));
    }
    if !question.silent.is_empty() {
        say(wording::silent(&list(names(book, &question.silent), "and")));
    }
    if let Some(provenance) = &question.telltale.texts.provenance {
        say(format!("source: {}", source_words(book, provenance)));
    }
}

fn value(machine: Machine<'_>) -> Value {
    let Machine { name, book, found } = machine;
    let seen: Vec<Value> = found
        .seen
        .iter()
        .map(|seen| json!({ "path": seen.path, "value": seen.written, "place": seen.place.as_ref().map(json::place) }))
        .collect();
    let generations: Vec<Value> = found
        .candidates
        .iter()
        .map(|candidate| {
            let generation = book.generations.get(candidate.generation);
            let against: Vec<Value> = candidate
                .against
                .iter()
                .map(|against| {
                    json!({
                        "seen": against.seen,
                        "has": range_words(&against.telltale),
                        "source": against.telltale.texts.provenance.as_ref().map(|from| source_words(book, from)),
                        "place": json::place(&against.telltale.place),
                    })
                })
                .collect();
            json!({
                "name": &*generation.name,
                "description": &*generation.description,
                "fits": candidate.fits(),
                "agree": candidate.agree,
                "against": against,
            })
        })
        .collect();
    let parts: Vec<Value> = found
        .groups
        .iter()
        .map(|group| json!({ "path": group.path, "seen": group.seen, "fits": names(book, &group.fits) }))
        .collect();
    let mixed: Vec<Value> = found
        .mixed
        .iter()
        .filter_map(|(one, other)| Some(json!([found.groups.get(*one)?.path, found.groups.get(*other)?.path])))
        .collect();
    let different: Vec<Value> = found
        .different
        .iter()
        .map(|different| {
            let texts = different.row.as_ref().map(|row| &row.texts);
            json!({
                "path": different.path,
                "row": different.row.as_ref().map(|row| json::place(&row.place)),
                "seen": different.seen,
                "because": texts.and_then(|texts| texts.because.as_deref()),
                "remedy": texts.and_then(|texts| texts.remedy.as_deref()),
                "caution": texts.and_then(|texts| texts.caution.as_deref()),
            })
        })
        .collect();
    let questions: Vec<Value> = found.questions.iter().map(|question| question_value(book, question)).collect();
    json!({
        "name": name,
        "stated": found.stated.map(|stated| &*book.generations.get(stated).name),
        "left": names(book, &found.left()),
        "seen": seen,
        "generations": generations,
        "parts": parts,
        "mixed": mixed,
        "different": different,
        "skipped": found.skipped.iter().map(|one| json!({ "path": one.path, "place": json::place(&one.place) })).collect::<Vec<_>>(),
        "questions": questions,
        "values": found.told.iter().map(|told| values::told_value(book, told)).collect::<Vec<_>>(),
        "unlike": found.unlike.iter().map(|unlike| values::unlike_value(found, unlike)).collect::<Vec<_>>(),
        "value_questions": found.value_questions.iter().map(|one| values::question_value(book, one)).collect::<Vec<_>>(),
    })
}

fn question_value(book: &Book, question: &Question) -> Value {
    let answers: Vec<Value> = question
        .answers
        .iter()
        .map(|answer| json!({ "value": answer.words, "generations": names(book, &answer.generations) }))
        .collect();
    json!({
        "path": book.path(question.characteristic, &[], None),
        "answers": answers,
        "silent": names(book, &question.silent),
        "leaves": question.leaves.to_f64(),
        "by_eye": question.by_eye,
    })
}
