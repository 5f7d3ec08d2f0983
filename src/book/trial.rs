//! The examples a book carries with it: readings, and the grades they are expected to get. Refuses to run them.

use super::compile::Draft;
use super::rows::path_words;
use super::{Generation, Id, Reach, wording, wording_house};
use crate::quantity::Date;
use crate::syntax::tree::{Item, Name, RowWord, Tree, TryDeclaration, TryMember};
use crate::text::{Place, Source};

/// The words for grades, as `expect` takes them.
const GRADES: [&str; 6] = ["good", "worn", "excused", "unsettled", "unmeasured", "out"];

/// `try "TITLE" { … }`, its generation found and its rows known.
#[derive(Clone, Debug)]
pub struct Trial {
    /// What it shows.
    pub title: Box<str>,
    /// The generation its readings are judged as.
    pub generation: Id<Generation>,
    /// The day it is judged as of, if it says one.
    pub finished: Option<Date>,
    /// Its readings.
    pub given: Vec<Given>,
    /// The grades it expects.
    pub expected: Vec<Expected>,
    /// Where it is.
    pub place: Place,
}

/// One reading of a trial.
#[derive(Clone, Debug)]
pub struct Given {
    /// The keys a record would have it under, outermost first, the whole machine left out.
    pub keys: Vec<Box<str>>,
    /// Its values as written, with where.
    pub values: Vec<(Box<str>, Place)>,
    /// All of it.
    pub place: Place,
}

/// One expectation of a trial.
#[derive(Clone, Debug)]
pub struct Expected {
    /// What is judged: every position that is meant.
    pub subject: Reach,
    /// How several values are dealt with, if it is said; else any row on the subject is meant.
    pub word: Option<RowWord>,
    /// Whether its outer limit is meant, or the rows beside it.
    pub outer: bool,
    /// The path as written, word included.
    pub path: Box<str>,
    /// Whether the grade must be none of these.
    pub negated: bool,
    /// The words of grades.
    pub grades: Vec<Box<str>>,
    /// All of it.
    pub place: Place,
}

impl Draft {
    pub(super) fn trials(&mut self, trees: &[&Tree]) {
        for tree in trees {
            for item in &tree.items {
                if let Item::Try(example) = item {
                    self.trial(example, &tree.source);
                }
            }
        }
    }

    fn trial(&mut self, example: &TryDeclaration, source: &Source) {
        let place = source.place(example.title.span);
        let Some(root) = self.book.root() else { return };
        let root_name = self.book.parts.get(root).name.clone();
        let mut generation: Option<&Name> = None;
        let mut finished: Option<(Date, Place)> = None;
        let mut given: Vec<Given> = Vec::new();
        let mut expected = Vec::new();
        for member in &example.members {
            match member {
                TryMember::Generation(name) => {
                    if let Some(first) = generation.replace(name) {
                        let finding =
                            wording::name_taken("generation", source.place(name.span), &source.place(first.span));
                        self.say(finding);
                    }
                }
                TryMember::Finished(date, span) => {
                    if let Some((_, first)) = finished.replace((*date, source.place(*span))) {
                        let finding = wording::name_taken("finished", source.place(*span), &first);
                        self.say(finding);
                    }
                }
                TryMember::Given { path, values, span } => {
                    let mut keys: Vec<Box<str>> = path.segments.iter().map(|step| step.text.clone()).collect();
                    if keys.len() > 1 && keys.first() == Some(&root_name) {
                        keys.remove(0);
                    }
                    let place = source.place(*span);
                    if let Some(first) = given.iter().find(|other| other.keys == keys) {
                        let finding = wording::name_taken(&keys.join("."), place, &first.place);
                        self.say(finding);
                        continue;
                    }
                    let values = values.iter().map(|value| (value.text.clone(), source.place(value.span))).collect();
                    given.push(Given { keys, values, place });
                }
                TryMember::Expect { word, path, outer, negated, grades, span } => {
                    let subject = self.checker(source, Some(root), &[]).subject(path);
                    let mut known = true;
                    for grade in grades {
                        if !GRADES.contains(&&*grade.text) {
                            let finding = wording_house::grade_unknown(&grade.text, &GRADES, source.place(grade.span));
                            self.say(finding);
                            known = false;
                        }
                    }
                    let Some(subject) = subject.filter(|_| known) else { continue };
                    expected.push(Expected {
                        subject,
                        word: word.map(|(word, _)| word),
                        outer: *outer,
                        path: path_words(word.map(|(word, _)| word), path).into(),
                        negated: *negated,
                        grades: grades.iter().map(|grade| grade.text.clone()).collect(),
                        place: source.place(*span),
                    });
                }
            }
        }
        let nothing_expected = !example.members.iter().any(|member| matches!(member, TryMember::Expect { .. }));
        if generation.is_none() || nothing_expected {
            let finding = wording_house::try_incomplete(&example.title.text, generation.is_none(), place);
            self.say(finding);
            return;
        }
        let Some(name) = generation else { return };
        let found = self.book.generation(&name.text).filter(|id| !self.book.generations.get(*id).basis);
        let Some(generation) = found else {
            let names: Vec<String> = self
                .book
                .generations
                .iter()
                .filter(|generation| !generation.basis)
                .map(|generation| generation.name.to_string())
                .collect();
            let finding = wording::generation_unknown(&names, &name.text, source.place(name.span));
            self.say(finding);
            return;
        };
        let finished = finished.map(|(date, _)| date);
        self.book.trials.push(Trial {
            title: example.title.text.clone(),
            generation,
            finished,
            given,
            expected,
            place,
        });
    }
}
