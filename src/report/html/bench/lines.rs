//! One line of a list at the bench: a build or a loose part, how it stands, what is wrong with it first. Refuses to judge.

use super::words;
use crate::bind::PartState;
use crate::blank::Taken;
use crate::finding::{Finding, Severity};
use crate::judge::Grade;
use crate::quantity::Date;
use crate::report::html::bar;
use crate::report::{wording, wording_loose};
use crate::shop::{Checked, CheckedPart};
use maud::{Markup, html};

/// How far a build is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Standing {
    /// It may not leave the shop.
    Held,
    /// It is being measured.
    Started,
    /// It may leave the shop.
    Passes,
}

/// A build in the list.
#[derive(Clone, PartialEq, Debug)]
pub struct BuildLine {
    /// The name of its record, as addresses have it.
    pub record: String,
    /// Its name.
    pub build: String,
    /// Its grade; `None` if it could not be judged.
    pub grade: Option<Grade>,
    /// How far it is.
    pub standing: Standing,
    /// The generation its record says.
    pub generation: Option<String>,
    /// The day it was finished.
    pub finished: Option<Date>,
    /// How many of its readings are taken, if its generation is known.
    pub taken: Option<Taken>,
    /// What is wrong first.
    pub wrong: Option<String>,
    /// How many more things are wrong.
    pub more: usize,
}

impl BuildLine {
    /// A build that was looked at.
    #[must_use]
    pub fn new(record: &str, checked: &Checked, taken: Option<Taken>) -> BuildLine {
        let (wrong, more) = first_wrong(checked);
        let open = checked.finished.is_none() || checked.grade == Some(Grade::Unmeasured);
        let standing = match (checked.grade.is_some() && open, checked.passes()) {
            (true, _) => Standing::Started,
            (false, true) => Standing::Passes,
            (false, false) => Standing::Held,
        };
        BuildLine {
            record: record.to_owned(),
            build: checked.build.clone(),
            grade: checked.grade,
            standing,
            generation: checked.generation.clone(),
            finished: checked.finished,
            taken,
            wrong: wrong.or_else(|| not_judged(checked)),
            more,
        }
    }

    /// A record whose rulebooks have errors: it was not even opened.
    #[must_use]
    pub fn unsound(record: &str) -> BuildLine {
        let name = record.rsplit('/').next().unwrap_or(record);
        BuildLine {
            record: record.to_owned(),
            build: name.rsplit_once('.').map_or(name, |(stem, _)| stem).to_owned(),
            grade: None,
            standing: Standing::Held,
            generation: None,
            finished: None,
            taken: None,
            wrong: Some(wording::BOOKS_UNSOUND.to_owned()),
            more: 0,
        }
    }

    /// Whether every word that is looked for stands in its line.
    #[must_use]
    pub fn says(&self, find: &str) -> bool {
        let finished = self.finished.map(|day| day.to_string()).unwrap_or_default();
        let grade = grade_word(self.grade);
        let texts = [&self.build, &self.record, self.generation.as_ref().unwrap_or(&finished), &finished];
        let text = texts.into_iter().chain(&self.wrong).map(String::as_str).chain([grade]).collect::<Vec<_>>();
        let text = text.join("\n").to_lowercase();
        find.to_lowercase().split_whitespace().all(|word| text.contains(word))
    }

    /// The order in the list: those held first, in each group the worst first, then by the last day, then by name.
    #[must_use]
    pub fn rank(&self) -> impl Ord + use<> {
        let worst = std::cmp::Reverse(self.grade.map_or(u8::MAX, |grade| grade as u8));
        // Of those that pass, the last one finished is looked for most.
        let worst = (self.standing != Standing::Passes).then_some(worst);
        (self.standing, worst, std::cmp::Reverse(self.finished), self.build.clone())
    }
}

/// A loose part in the list.
#[derive(Clone, PartialEq, Debug)]
pub struct PartLine {
    /// The name of its record, as addresses have it.
    pub record: String,
    /// Its tag, or what it is called without one.
    pub tag: String,
    /// Which part it is, as a record names it.
    pub part: String,
    /// Its grade; `None` if it could not be judged.
    pub grade: Option<Grade>,
    /// Whether it may be used.
    pub passes: bool,
    /// Whether it is scrapped.
    pub scrapped: bool,
    /// Whether it is there to be taken.
    pub free: bool,
    /// The generations it may be of.
    pub generations: Vec<String>,
    /// The day it was measured.
    pub measured: Option<Date>,
    /// Where it is, what it was judged as, what waits: each under its word.
    pub below: Vec<(&'static str, String)>,
    /// What is wrong first.
    pub wrong: Option<String>,
    /// How many more things are wrong.
    pub more: usize,
}

impl PartLine {
    /// A loose part that was looked at.
    #[must_use]
    pub fn new(record: &str, checked: &Checked, part: &CheckedPart) -> PartLine {
        let (wrong, more) = first_wrong(checked);
        let mut generations: Vec<String> = Vec::new();
        for one in &part.alternatives {
            if !generations.contains(&one.generation) {
                generations.push(one.generation.clone());
            }
        }
        PartLine {
            record: record.to_owned(),
            tag: checked.build.clone(),
            part: part.part.clone(),
            grade: checked.grade,
            passes: checked.passes(),
            scrapped: checked.is_scrapped(),
            free: part.state == PartState::InStock,
            generations,
            measured: checked.finished,
            below: wording_loose::below(part),
            wrong,
            more,
        }
    }
}

/// The first of the worst findings, and how many more there are as bad.
fn first_wrong(checked: &Checked) -> (Option<String>, usize) {
    let least = checked.findings.iter().map(|one| one.severity).max().unwrap_or(Severity::Note).max(Severity::Warning);
    let worst: Vec<&Finding> = checked.findings.iter().filter(|one| one.severity >= least).collect();
    (worst.first().map(|one| one.message.clone()), worst.len().saturating_sub(1))
}

fn not_judged(checked: &Checked) -> Option<String> {
    let because = if checked.unreadable { wording::CANNOT_READ } else { wording::GENERATION_NEEDED };
    checked.grade.is_none().then(|| because.to_owned())
}

pub(super) fn grade_word(grade: Option<Grade>) -> &'static str {
    grade.map_or(wording::NOT_JUDGED, Grade::word)
}

/// A grade as its mark and its word.
pub(super) fn grade(grade: Option<Grade>) -> Markup {
    html! {
        @if let Some(grade) = grade { (bar::mark(grade)) " " }
        span class="word" { (grade_word(grade)) }
    }
}

/// What is wrong first, and how much more there is.
pub(super) fn wrong(first: Option<&String>, more: usize) -> Markup {
    html! {
        @if let Some(first) = first { (crate::report::html::frame::said(first)) }
        @if more > 0 { " " span class="small" { (words::and_more(more)) } }
    }
}
