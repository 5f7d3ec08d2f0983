//! What an owner asks of all builds: which records are meant, what passes at the edge, what fails most often. Refuses to judge.

use super::arguments::Check;
use super::history::Histories;
use super::wording;
use crate::bind::Readings;
use crate::book::{Book, Characteristic, Id};
use crate::disk;
use crate::identify::characteristic;
use crate::judge::{Conversion, Counts, Edge, Reporter, conversions};
use crate::quantity::Date;
use crate::record::Record;
use crate::report::plain;
use crate::report::survey::Asked;
use crate::shop::{History, Shop, Shops};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// What is asked of each record besides its verdict.
#[derive(Debug, Default)]
pub(super) struct Questions {
    /// Values that pass within so many thousandths of an end.
    within: Option<u16>,
    /// Whether rows that a conversion would have decided are named.
    conversions: bool,
    /// Whether the rows that do not pass are to be counted.
    count: bool,
    /// What became of parts and engines from build to build, if that is asked.
    histories: Option<Histories>,
    /// Only records in which this reading says this.
    having: Vec<(String, String)>,
    /// Only records with a reading by this gauge.
    gauge: Option<String>,
}

/// What one record says to them.
#[derive(Debug, Default)]
pub(super) struct Answers {
    /// Values near an end of their range.
    pub(super) edges: Vec<Edge>,
    /// Rows that a conversion would have decided.
    pub(super) conversions: Vec<Conversion>,
    /// For each row that does not pass, how its rulings are graded.
    pub(super) rows: BTreeMap<String, Counts>,
    /// What became of its parts or its engine.
    pub(super) histories: Vec<History>,
}

impl Questions {
    /// What was asked on the command line.
    ///
    /// # Errors
    /// What to say of a word that means nothing.
    pub(super) fn new(asked: &Check) -> Result<Questions, String> {
        let mut having = Vec::new();
        for word in &asked.having {
            let (path, value) = word.split_once('=').ok_or_else(|| wording::no_having(word))?;
            having.push((path.trim().to_owned(), value.trim().to_owned()));
        }
        let questions = Questions {
            within: asked.within,
            count: asked.count,
            conversions: asked.conversions,
            histories: asked.history.then(Histories::default),
            having,
            gauge: asked.gauge.clone(),
        };
        if questions.of_all().anything() && !asked.format.format().has_answers() {
            return Err(wording::no_answers_in(&asked.format.word()));
        }
        questions.understood(asked)?;
        Ok(questions)
    }

    /// Whether nothing is asked.
    pub(super) fn are_none(&self) -> bool {
        let Questions { within, conversions, count, histories, having, gauge } = self;
        within.is_none() && histories.is_none() && !conversions && !count && having.is_empty() && gauge.is_none()
    }

    /// Whether the books of the first path know what is asked for.
    fn understood(&self, asked: &Check) -> Result<(), String> {
        let Some(first) = asked.paths.first().filter(|_| !self.having.is_empty()) else { return Ok(()) };
        let record = if disk::is_folder(first) { first.join("record.yaml") } else { first.clone() };
        let shop = Shops::new(asked.books.clone()).of(&record);
        for (path, _) in self.having.iter().filter(|_| shop.is_sound()) {
            characteristic(&shop.book, path).map_err(|trouble| wording::no_feature(path, &trouble))?;
        }
        Ok(())
    }

    /// What is asked of all records together.
    pub(super) fn of_all(&self) -> Asked {
        Asked {
            within: self.within,
            conversions: self.conversions,
            count: self.count,
            history: self.histories.is_some(),
        }
    }

    /// Whether a record is one of those meant.
    pub(super) fn meant(&self, shop: &Shop, record: &Record) -> bool {
        if self.having.is_empty() && self.gauge.is_none() {
            return true;
        }
        let Some(sheet) = &record.sheet else { return false };
        let (readings, _) = shop.bind(sheet, &record.source);
        let by_gauge = self.gauge.as_ref().is_none_or(|gauge| {
            readings.all().any(|reading| readings.gauge_of(reading).is_some_and(|one| one.name == *gauge))
        });
        by_gauge && self.having.iter().all(|(path, value)| says(&shop.book, &readings, path, value))
    }

    /// What to say where no record was one of those meant; none where all were meant.
    pub(super) fn none_meant(&self) -> Option<String> {
        let mut asked: Vec<String> = self.having.iter().map(|(path, value)| format!("{path}={value}")).collect();
        asked.extend(self.gauge.iter().map(|gauge| format!("a reading by {gauge}")));
        (!asked.is_empty()).then(|| wording::none_meant(&asked))
    }

    /// What a record that is meant says to the other questions.
    pub(super) fn ask(&self, (shops, shop): (&Shops, &Shop), record: &Record, as_of: Option<Date>) -> Answers {
        if !self.of_all().anything() {
            return Answers::default();
        }
        let histories = self.histories.as_ref().map(|all| all.of(shops, shop, record)).unwrap_or_default();
        let answers = shop.look(record, as_of, |plan, readings, verdict| {
            let mut answers = Answers::default();
            if let Some(permille) = self.within {
                answers.edges = Reporter::new(&shop.book, plan, readings).edges(verdict, permille);
            }
            if self.conversions {
                answers.conversions = conversions(&shop.book, plan, readings, verdict);
            }
            for ruling in verdict.rulings.iter().filter(|ruling| self.count && !ruling.weight().passes()) {
                if let Some(check) = plan.checks.get(ruling.check) {
                    answers.rows.entry(check.row.path.to_string()).or_default().count(ruling.grade);
                }
            }
            answers
        });
        Answers { histories, ..answers.unwrap_or_default() }
    }
}

/// Whether a record says a value somewhere under a path, letter for letter as it is written.
fn says(book: &Book, readings: &Readings, path: &str, value: &str) -> bool {
    let Ok(id) = characteristic(book, path) else { return false };
    slots(book, id)
        .flat_map(|slot| readings.taken(slot))
        .any(|reading| readings.slice(reading.span).trim_matches(['"', '\'', ' ']) == value)
}

fn slots(book: &Book, id: Id<Characteristic>) -> std::ops::Range<usize> {
    let characteristic = book.characteristics.get(id);
    let count = book.parts.get(characteristic.part).instances * characteristic.slots_each();
    characteristic.first_slot..characteristic.first_slot + count
}

/// A reading of the machine and its value, as `--given` takes them.
pub(super) fn given(text: &str) -> Result<(String, String), String> {
    match text.split_once('=') {
        Some((name, value)) if !name.trim().is_empty() && !value.trim().is_empty() => {
            Ok((name.trim().to_owned(), value.trim().to_owned()))
        }
        _ => Err("write a reading and its value, such as duty=street".into()),
    }
}

/// What is wrong with what was said about the machine, by the books of the first path; `None` if nothing is.
pub(super) fn given_wrong(given: &[(String, String)], paths: &[PathBuf], shops: &Shops) -> Option<String> {
    let first = paths.first().filter(|_| !given.is_empty())?;
    let record = if disk::is_folder(first) { first.join("record.yaml") } else { first.clone() };
    let shop = shops.of(&record);
    let (_, findings) = if shop.is_sound() { shop.given(given) } else { return None };
    let said: String = findings.iter().filter(|one| one.is_error()).map(plain::write).collect();
    (!said.is_empty()).then_some(said)
}

impl Check {
    /// What is wrong with what was said about the machine, by the books of the first path; `None` if nothing is.
    pub(super) fn given_wrong(&self, shops: &Shops) -> Option<String> {
        given_wrong(&self.given, &self.paths, shops)
    }
}

/// A share of a range as `--within` takes it, in thousandths: `10%`, `2.5 %`, `0.1`.
pub(super) fn share(text: &str) -> Result<u16, String> {
    let refused = || "write a share of the range, such as 10%".to_string();
    let (number, hundred) = match text.trim().strip_suffix('%') {
        Some(number) => (number.trim(), true),
        None => (text.trim(), false),
    };
    let number = crate::quantity::Number::parse(number).map_err(|_| refused())?;
    let factor = crate::quantity::Number::from_integer(if hundred { 10 } else { 1000 });
    let permille = (&number * &factor).round().to_text(0);
    permille.parse::<u16>().ok().filter(|permille| (1..=1000).contains(permille)).ok_or_else(refused)
}

/// A record's name as it is shown.
pub(super) fn named(path: &Path) -> String {
    path.to_string_lossy().replace('\\', "/")
}
