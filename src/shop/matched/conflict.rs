//! Why nothing goes together: the smallest group of places that cannot be filled, with its rows. Refuses to
//! search.

use super::{Conflict, MatchReport, RefusingRow, Scored};
use crate::judge::Reporter;
use crate::matching::{self, Refusals, Refused, RowNumber};

impl MatchReport<'_> {
    /// The smallest group of places that cannot be filled together; `None` if there is none, or the time was up.
    #[must_use]
    pub fn conflict(&self, scores: &Scored<'_>, complete: bool, go_on: &dyn Fn() -> bool) -> Option<Conflict> {
        let evaluator = &self.prepared.evaluator;
        let rows = |group: usize, parts: &[usize]| evaluator.refusing(group, parts, complete);
        let refusals = Refused::new(scores, complete, rows);
        let found = matching::conflict(self.one, &refusals, &|| go_on()).ok()??;
        let choices = self.choices(&found.places);
        let mut needed: Vec<String> = Vec::new();
        for part in &self.one.with {
            let only_here =
                |(place, domain): (usize, &Vec<usize>)| found.places.contains(&place) || !domain.contains(part);
            if self.one.domains.iter().enumerate().all(only_here)
                && let Some(choice) = evaluator.choices.get(*part)
            {
                needed.push(choice.tag.clone());
            }
        }
        let parts = found.places.iter().map(|place| self.one.domains.get(*place).map_or(0, Vec::len)).collect();
        let name = |place: &usize| self.prepared.places.get(*place).cloned().unwrap_or_default();
        Some(Conflict {
            places: found.places.iter().map(name).collect(),
            parts,
            with: needed,
            rows: found
                .rows
                .iter()
                .map(|row| self.refusing_row(&refusals, (&found.places, choices.as_deref()), *row))
                .collect(),
            sets: choices.map(|choices| choices.len()),
            fewest_rows: found.fewest_rows,
        })
    }

    /// Every choice of parts for one or two places; `None` for more, which are not counted.
    fn choices(&self, places: &[usize]) -> Option<Vec<Vec<usize>>> {
        let domain = |place: &usize| self.one.domains.get(*place).map_or(&[][..], Vec::as_slice);
        match places {
            [place] => Some(domain(place).iter().map(|part| vec![*part]).collect()),
            [one, other] => {
                let pairs = |part: &usize| {
                    let part = *part;
                    domain(other).iter().filter(move |with| **with != part).map(move |with| vec![part, *with])
                };
                Some(domain(one).iter().flat_map(pairs).collect())
            }
            _ => None,
        }
    }

    /// A row of a conflict in words, with how many of the choices it refuses.
    fn refusing_row(
        &self,
        refusals: &impl Refusals,
        (places, choices): (&[usize], Option<&[Vec<usize>]>),
        (group, row): RowNumber,
    ) -> RefusingRow {
        let own = self.one.groups.get(group).map_or(&[][..], |group| group.places.as_slice());
        let parts_of = |choice: &Vec<usize>| -> Vec<usize> {
            let at = |place: &usize| places.iter().position(|one| one == place).and_then(|at| choice.get(at).copied());
            own.iter().filter_map(at).collect()
        };
        let refuses = |choice: &&Vec<usize>| refusals.refusing(group, &parts_of(choice)).contains(&row);
        let refused = choices.map(|choices| choices.iter().filter(refuses).count());
        // Any choice that it judges has its words; those that it refuses are sure to.
        let example = match choices {
            Some(choices) => choices.iter().find(refuses).map(parts_of),
            None => own
                .iter()
                .map(|place| self.one.domains.get(*place).and_then(|domain| domain.first().copied()))
                .collect(),
        };
        let mut words = RefusingRow { refused, ..RefusingRow::default() };
        if let (Some(plan), rows, readings) = self.prepared.evaluator.rows(group, &example.unwrap_or_default())
            && let Some(at) = rows.iter().find(|at| at.ruling.check == row)
            && let Some(told) = Reporter::new(&self.shop.book, plan, &readings).tell(&at.ruling)
        {
            words.path = told.path;
            words.range = match (told.limit, told.standard) {
                (Some(limit), _) => Some(format!("its limit of {limit}")),
                (None, Some(standard)) => Some(format!("its standard of {standard}")),
                (None, None) => None,
            };
        }
        words
    }
}
