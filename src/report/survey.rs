//! Puts on paper what an owner asks of all builds: which values pass at the edge, which rows fail most often. Refuses to judge.

use super::history;
use super::json::{counts, place};
use super::style::{self, Ink, Look};
use super::wording;
use crate::judge::{Conversion, Counts, Edge, Grade};
use crate::shop::History;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// What the records of a run said.
#[derive(Debug, Default)]
pub struct Survey {
    /// Values near an end of their range, each with its build and its record's name.
    pub edges: Vec<(String, String, Edge)>,
    /// Rows that a conversion would have decided, each with its build and its record's name.
    pub conversions: Vec<(String, String, Conversion)>,
    /// For each row that does not pass somewhere, in how many builds, and how its rulings are graded.
    pub rows: BTreeMap<String, (usize, Counts)>,
    /// What became of parts and engines from build to build, each once.
    pub histories: Vec<History>,
}

impl Survey {
    /// Adds what one record said.
    pub fn add(
        &mut self,
        build: &str,
        file: &str,
        edges: Vec<Edge>,
        conversions: Vec<Conversion>,
        rows: BTreeMap<String, Counts>,
    ) {
        self.conversions.extend(conversions.into_iter().map(|one| (build.to_owned(), file.to_owned(), one)));
        self.edges.extend(edges.into_iter().map(|edge| (build.to_owned(), file.to_owned(), edge)));
        for (row, counts) in rows {
            let (builds, all) = self.rows.entry(row).or_default();
            *builds += 1;
            all.add(&counts);
        }
    }

    /// Adds the history of parts and engines that a record is about.
    pub fn remember(&mut self, histories: Vec<History>) {
        for history in histories {
            if !self.histories.iter().any(|known| (&known.of, &known.part) == (&history.of, &history.part)) {
                self.histories.push(history);
            }
        }
    }

    /// The values near an end, the nearest first.
    fn nearest(&self) -> Vec<&(String, String, Edge)> {
        let mut edges: Vec<&(String, String, Edge)> = self.edges.iter().collect();
        edges.sort_by_key(|(_, _, edge)| edge.permille);
        edges
    }

    /// The rows that fail, the most often first.
    fn most_often(&self) -> Vec<(&String, &(usize, Counts))> {
        let mut rows: Vec<(&String, &(usize, Counts))> = self.rows.iter().collect();
        rows.sort_by(|(one, (_, first)), (other, (_, second))| {
            second.total().cmp(&first.total()).then_with(|| one.cmp(other))
        });
        rows
    }
}

/// What was asked of all records.
#[derive(Clone, Copy, Debug)]
pub struct Asked {
    /// Values that pass within so many thousandths of an end.
    pub within: Option<u16>,
    /// Rows that a conversion would have decided.
    pub conversions: bool,
    /// Rows that fail, counted.
    pub count: bool,
    /// What became of parts and engines.
    pub history: bool,
}

impl Asked {
    /// Whether anything was.
    #[must_use]
    pub fn anything(self) -> bool {
        self.within.is_some() || self.conversions || self.count || self.history
    }
}

/// What was asked for, as a member of a JSON document; null where nothing was asked.
pub(super) fn value(survey: &Survey, asked: Asked) -> Value {
    if !asked.anything() {
        return Value::Null;
    }
    let within = asked.within.map(|permille| {
        let values = survey.nearest().into_iter().map(|(build, file, edge)| {
            json!({
                "build": build, "file": file, "subject": edge.subject, "value": edge.value, "room": edge.room,
                "range": edge.range, "permille": edge.permille, "place": edge.place.as_ref().map(place),
            })
        });
        json!({ "permille": permille, "values": values.collect::<Vec<_>>() })
    });
    let conversions = asked.conversions.then(|| {
        let rows = survey.conversions.iter().map(|(build, file, one)| {
            json!({
                "build": build, "file": file, "path": one.path, "value": one.value, "grade": one.grade.word(),
                "unit": one.unit, "decimals": one.decimals, "on_paper": one.on_paper, "grade_on_paper": one.grade_on_paper.word(),
                "place": one.place.as_ref().map(place),
            })
        });
        rows.collect::<Vec<_>>()
    });
    let count = asked.count.then(|| {
        let rows = survey.most_often().into_iter();
        rows.map(|(row, (builds, all))| json!({ "row": row, "builds": builds, "counts": counts(all) }))
            .collect::<Vec<_>>()
    });
    let histories = asked.history.then(|| history::value(&survey.histories));
    json!({ "within": within, "conversions": conversions, "count": count, "history": histories })
}

/// What was asked for as text, nearest and most frequent first; nothing where nothing was asked.
#[must_use]
pub fn text(survey: &Survey, Asked { within, conversions, count, history: with_history }: Asked, look: Look) -> String {
    let mut out = String::new();
    if let Some(permille) = within {
        let edges = survey.nearest();
        out.push_str(&format!("\n{}\n", look.paint(Ink::Mind, &wording::edges(edges.len(), permille))));
        for (build, file, edge) in edges {
            let place = edge.place.as_ref().map_or_else(|| file.clone(), ToString::to_string);
            style::wrapped(&mut out, "  ", 4, &wording::edge(build, edge, &place), look.width);
        }
    }
    if conversions {
        out.push_str(&format!("\n{}\n", look.paint(Ink::Mind, &wording::conversions(survey.conversions.len()))));
        for (build, file, one) in &survey.conversions {
            let place = one.place.as_ref().map_or_else(|| file.clone(), ToString::to_string);
            style::wrapped(&mut out, "  ", 4, &wording::conversion(build, one, &place), look.width);
        }
    }
    if count {
        let rows = survey.most_often();
        out.push_str(&format!("\n{}\n", look.paint(Ink::Mind, &wording::most_often(rows.len()))));
        for (row, (builds, counts)) in rows {
            let grades: Vec<String> = [Grade::Out, Grade::Unmeasured, Grade::Unsettled]
                .into_iter()
                .filter(|grade| counts.of(*grade) > 0)
                .map(|grade| format!("{} {}", counts.of(grade), grade.word()))
                .collect();
            let words = format!("{row}: {}, in {}", grades.join(", "), wording::number_of(*builds, "build"));
            style::wrapped(&mut out, "  ", 4, &words, look.width);
        }
    }
    if with_history {
        out.push_str(&history::text(&survey.histories, look));
    }
    out
}
