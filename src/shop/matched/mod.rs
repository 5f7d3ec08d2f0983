//! What a match of the shelf comes to, as plain data: the sets with their rows, why other parts are left, why nothing goes together.
//! Refuses to know how it is printed.

mod best;
mod conflict;
mod machines;
mod sets;
mod wording;

pub use best::best_sets;
pub use machines::Machines;
pub use sets::{MatchReport, Scored};

use super::{Choosing, Given, Planned, Prepared, Shop};
use crate::finding::Finding;
use crate::judge::Grade;
use crate::matching::{Found, Limits, Problem, search};
use crate::record::Record;
use crate::record::edit::{Change, EditFault, Step, Written, by_list, edit};
use crate::text::Source;

/// What a match found, in plain words and numbers.
#[derive(Clone, Debug, Default)]
pub struct Matched {
    /// The generation.
    pub generation: String,
    /// How many parts of each kind were looked at, as "9 rotors".
    pub looked_at: Vec<String>,
    /// The sets, the best first; with several machines each is one of them.
    pub sets: Vec<MatchSet>,
    /// Whether the sets are machines to be built at once, not sets to choose from.
    pub machines: bool,
    /// Why there is no set, if there is none: for each place how many parts pass alone.
    pub alone: Vec<(String, usize, usize)>,
    /// The smallest group of places that cannot be filled together, if there is no set.
    pub conflict: Option<Conflict>,
    /// The set that comes nearest if there is none.
    pub nearest: Option<MatchSet>,
    /// What would put that one right.
    pub rework: Option<Planned>,
    /// What the sets come to in all, if the least was asked for.
    pub least: Option<Least>,
    /// No machines at once can be better than this, in words, if it is not proved that there are no better.
    pub bound: Option<String>,
    /// Parts that are in no set, each with why.
    pub left: Vec<(String, String)>,
    /// Parts not looked at, each with why.
    pub left_out: Vec<(String, String)>,
    /// Files of the shelf that could not be read whole.
    pub unread: Vec<String>,
    /// Whether it is proved that no better set exists.
    pub proved: bool,
    /// What is wrong with the shelf.
    pub findings: Vec<Finding>,
}

/// Places that cannot be filled together: no fewer conflict.
#[derive(Clone, Debug, Default)]
pub struct Conflict {
    /// The places.
    pub places: Vec<String>,
    /// For each place how many parts may be there.
    pub parts: Vec<usize>,
    /// Parts that were insisted on and can only be there.
    pub with: Vec<String>,
    /// The rows that no choice of parts meets all of; none if there are not enough parts.
    pub rows: Vec<RefusingRow>,
    /// How many choices of parts there are for one or two places; more are not counted.
    pub sets: Option<usize>,
    /// Whether these rows refuse every choice, and no fewer do.
    pub fewest_rows: bool,
}

/// A row that refuses parts.
#[derive(Clone, Debug, Default)]
pub struct RefusingRow {
    /// What is judged, as a record's keys say it.
    pub path: String,
    /// The range: "its limit of at least 0.10 mm".
    pub range: Option<String>,
    /// How many choices of parts it refuses, if they are counted.
    pub refused: Option<usize>,
}

/// A value that comes to the least in all.
#[derive(Clone, Debug)]
pub struct Least {
    /// Its path.
    pub path: String,
    /// What it comes to over all sets, with its unit.
    pub sum: String,
    /// Whether there are as many sets as there can be, not as many as were asked for.
    pub most: bool,
}

/// One set of parts.
#[derive(Clone, Debug)]
pub struct MatchSet {
    /// Each place with the tag of its part.
    pub parts: Vec<(String, String)>,
    /// The worst grade of its rows; unmeasured if it lacks a reading.
    pub grade: Grade,
    /// How many rows were judged.
    pub rows: usize,
    /// How many wait for parts that are not in the set.
    pub waiting: usize,
    /// Rows that are worn, and advisory rows that are not good.
    pub worn: u32,
    /// The second of the two.
    pub advisory: u32,
    /// What is not good, in words.
    pub not_good: Vec<String>,
    /// The readings it lacks, as paths with their tags.
    pub needs: Vec<String>,
    /// The smallest room of any of its rows, in thousandths of its range; nought if one is worn. `None` if no row has any.
    pub least_room: Option<i64>,
    /// The good rows with the least room.
    pub tight: Vec<Tight>,
    /// Values that were asked for, each with its path.
    pub values: Vec<(String, String)>,
}

/// A row with little room.
#[derive(Clone, Debug)]
pub struct Tight {
    /// What is judged, as a record's keys say it.
    pub path: String,
    /// Its value.
    pub value: String,
    /// The range: "limit of 0.10 to 0.20 mm".
    pub range: String,
    /// The room, in thousandths of the range.
    pub permille: i64,
}

/// The keys at the top of a record that its parts stand behind.
const HEAD_KEYS: [&str; 5] = ["build", "finished", "generation", "gauges", "parts"];

impl Prepared<'_> {
    /// What is to be chosen for one machine, with parts that must be in the set.
    #[must_use]
    pub fn problem(&self, with: Vec<usize>) -> Problem {
        Problem {
            domains: (0..self.evaluator.places.len()).map(|place| self.evaluator.domain(place)).collect(),
            groups: self.evaluator.groups(),
            in_order: Vec::new(),
            with,
        }
    }

    /// "9 rotors", "8 housings": how many parts of each kind were looked at.
    #[must_use]
    pub fn looked_at(&self, shop: &Shop) -> Vec<String> {
        let mut kinds = Vec::new();
        for (number, place) in self.evaluator.places.iter().enumerate() {
            if !kinds.iter().any(|(kind, _)| *kind == place.part) {
                kinds.push((place.part, self.evaluator.domain(number).len()));
            }
        }
        kinds
            .into_iter()
            .map(|(kind, count)| {
                let name = shop.book.parts.get(kind).name.replace('_', " ");
                if count == 1 { format!("1 {name}") } else { format!("{count} {name}s") }
            })
            .collect()
    }
}

impl Matched {
    /// Nothing found yet.
    #[must_use]
    pub fn begin(shop: &Shop, choosing: &Choosing<'_>, prepared: &Prepared<'_>) -> Matched {
        let shelf = shop.shelf();
        let errors = shelf.iter().flat_map(|shelf| &shelf.findings).filter(|finding| finding.is_error());
        Matched {
            generation: shop.book.generations.get(choosing.generation).name.to_string(),
            looked_at: prepared.looked_at(shop),
            left_out: prepared.left_out.iter().map(|one| (one.tag.clone(), one.because.clone())).collect(),
            unread: shelf.map(|shelf| shelf.left_out.clone()).unwrap_or_default(),
            findings: errors.cloned().collect(),
            proved: true,
            ..Matched::default()
        }
    }
}

impl MatchReport<'_> {
    /// The best sets for one machine; if there is none, why, and what comes nearest. Gives what was found, and how many parts are
    /// left of which nothing is said.
    pub fn choose(
        &self,
        (limits, choosing): (Limits, &Choosing<'_>),
        scores: &Scored<'_>,
        go_on: &dyn Fn() -> bool,
        matched: &mut Matched,
    ) -> (Vec<Found>, usize) {
        let (found, whole) = search(self.one, scores, limits, go_on);
        matched.proved = whole.is_ok();
        matched.sets = found.iter().map(|found| self.set(&found.parts, found.score)).collect();
        let mut more = 0;
        if found.is_empty() && whole.is_ok() {
            matched.alone = self.alone(scores);
            matched.conflict = self.conflict(scores, !limits.allow_open, go_on);
            let limits = Limits { best: 1, allow_out: true, allow_open: true };
            let (nearest, _) = search(self.one, scores, limits, go_on);
            matched.nearest = nearest.first().map(|found| self.set(&found.parts, found.score));
            matched.rework = matched.nearest.as_ref().and_then(|set| self.put_right(choosing, set));
        } else if let (Some(best), true) = (found.first(), whole.is_ok()) {
            more = self.left(best, scores, go_on, matched);
        }
        (found, more)
    }

    /// What would put a set right that nearly goes together: planned as for a build of these parts, with what is said about the
    /// machine. `None` if nothing helps.
    fn put_right(&self, choosing: &Choosing<'_>, set: &MatchSet) -> Option<Planned> {
        let name = set.parts.iter().map(|(_, tag)| tag.as_str()).collect::<Vec<_>>().join(" with ");
        let generation = &self.shop.book.generations.get(choosing.generation).name;
        let build = choosing.build.map(|record| &record.source);
        let text = record_of_set(&name, (generation, choosing.given), build, &set.parts).ok()?;
        let record = Record::of(Source::new("the nearest miss", text));
        let (mut planned, _) = self.shop.rework_build(&record).ok()?;
        // Every part of the shelf was tried.
        planned.exchanges.clear();
        (!planned.found.steps.is_empty()).then_some(planned)
    }
}

/// The record of a build that takes the parts of a set, each with its place: a new one with what is said about the machine, or the
/// text of the build with its parts added and nothing else changed.
///
/// # Errors
/// Why the parts cannot be added.
pub fn record_of_set(
    name: &str,
    (generation, given): (&str, &Given),
    build: Option<&Source>,
    parts: &[(String, String)],
) -> Result<String, EditFault> {
    let new = || {
        let mut text = format!("build: {}\ngeneration: {generation}\n", crate::record::scalar(name));
        // What lies deeper than the machine itself may lie in one of the parts.
        for (name, value) in given.iter().filter(|(name, _)| !name.contains('.')) {
            text.push_str(&format!("{name}: {}\n", crate::record::scalar(value)));
        }
        Source::new(name, text)
    };
    let mut source = build.cloned().unwrap_or_else(new);
    let order = |map: &[Step], keys: &[&str], new: &str| {
        if map.is_empty() { by_list(&HEAD_KEYS, keys, new) } else { keys.len() }
    };
    for (place, tag) in parts {
        let path = vec![Step::from("parts"), Step::from(place.as_str())];
        let change = Change::Set { path, value: Written::from(tag.as_str()) };
        let edited = edit(&source, &change, &order)?;
        source = Source::new(source.name(), edited.text);
    }
    Ok(source.text().to_owned())
}
