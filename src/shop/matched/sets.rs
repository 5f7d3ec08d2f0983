//! What there is to report about the sets of a match: their rows, and why parts are left. Refuses to choose any, and to read records.

use super::wording;
use super::{MatchSet, Matched, Tight};
use crate::judge::{Grade, Reporter};
use crate::matching::{Evaluator, Found, Left, Limits, Problem, ROOM_STEPS, Remembered, RowAt, Score, Scores, Stopped};
use crate::plan::{CheckRange, Plan};
use crate::shop::{Prepared, Shop};

/// Rows with the least room that are named.
const MOST_TIGHT: usize = 3;

/// Parts left over of which each is said why.
const MOST_LEFT: usize = 12;

/// What is needed to report a set.
#[derive(Clone, Copy, Debug)]
pub struct MatchReport<'a> {
    /// The shop.
    pub shop: &'a Shop,
    /// The places and the parts.
    pub prepared: &'a Prepared<'a>,
    /// What is to be chosen for one machine.
    pub one: &'a Problem,
}

/// Scores of sets of one machine.
pub type Scored<'a> = Remembered<'a, Evaluator<'a>>;

impl MatchReport<'_> {
    /// A set with its rows.
    #[must_use]
    pub fn set(&self, parts: &[usize], score: Score) -> MatchSet {
        let evaluator = &self.prepared.evaluator;
        let tag = |part: &usize| evaluator.choices.get(*part).map(|choice| choice.tag.clone()).unwrap_or_default();
        let mut set = MatchSet {
            parts: self.prepared.places.iter().cloned().zip(parts.iter().map(tag)).collect(),
            grade: grade(score),
            rows: 0,
            waiting: 0,
            worn: score.worn,
            advisory: score.advisory,
            not_good: Vec::new(),
            needs: Vec::new(),
            least_room: (score.least_room < i64::MAX).then_some(score.least_room / (ROOM_STEPS / 1000)),
            tight: Vec::new(),
            values: Vec::new(),
        };
        for (number, group) in self.one.groups.iter().enumerate() {
            let at: Vec<usize> = group.places.iter().filter_map(|place| parts.get(*place).copied()).collect();
            let (Some(plan), rows, readings) = evaluator.rows(number, &at) else { continue };
            let reporter = Reporter::new(&self.shop.book, plan, &readings);
            for row in rows {
                if row.waits {
                    set.waiting += 1;
                    continue;
                }
                set.rows += 1;
                for slot in &row.lacks {
                    let path =
                        self.shop.book.slot_owner(*slot).map(|(id, at, station)| self.shop.book.path(id, &at, station));
                    set.needs.extend(path.filter(|path| !set.needs.contains(path)));
                }
                self.row(&mut set, (&reporter, plan), &row);
            }
        }
        set.tight.sort_by_key(|tight| tight.permille);
        set.tight.truncate(MOST_TIGHT);
        set
    }

    fn row(&self, set: &mut MatchSet, (reporter, plan): (&Reporter<'_>, &Plan), row: &RowAt) {
        if row.ruling.grade > Grade::Good && row.ruling.grade != Grade::Unmeasured {
            let finding = reporter.finding(&row.ruling).map(|finding| finding.message);
            // What refuses the set comes first.
            let at = if row.score().out > 0 { 0 } else { set.not_good.len() };
            finding.into_iter().for_each(|message| set.not_good.insert(at, message));
        }
        let Some(room) = row.room.filter(|_| !row.ruling.advisory && row.ruling.grade == Grade::Good) else { return };
        let Some(told) = reporter.tell(&row.ruling) else { return };
        let (mut range, ends) = match (&told.standard, &told.limit) {
            (Some(standard), _) => (format!("its standard of {standard}"), &told.figures.standard),
            (None, Some(limit)) => (format!("its limit of {limit}"), &told.figures.limit),
            (None, None) => return,
        };
        let check = plan.checks.get(row.ruling.check);
        let judged = check.and_then(|check| check.standard.as_ref().or(check.limit.as_ref()));
        if let Some(CheckRange::Worked { .. }) = judged {
            range.push_str(&wording::here(ends, told.unit.as_deref()));
        }
        set.tight.push(Tight {
            path: told.path.clone(),
            value: told.value.clone().unwrap_or_default(),
            range,
            permille: room / (ROOM_STEPS / 1000),
        });
    }

    /// For each place how many parts pass alone: no row that rests on this place and no other is out.
    #[must_use]
    pub fn alone(&self, scores: &Scored<'_>) -> Vec<(String, usize, usize)> {
        let places = self.prepared.places.iter().zip(&self.one.domains).enumerate();
        places
            .map(|(place, (name, domain))| {
                let passes = |part: &&usize| {
                    let mut groups = self.one.groups.iter().enumerate().filter(|(_, group)| group.places == [place]);
                    groups.all(|(number, _)| scores.score(number, &[**part]).out == 0)
                };
                (name.clone(), domain.iter().filter(passes).count(), domain.len())
            })
            .collect()
    }

    /// Why the parts that are in no set are not. Gives how many more there are of which nothing is said.
    pub fn left(&self, best: &Found, scores: &Scored<'_>, go_on: &dyn Fn() -> bool, matched: &mut Matched) -> usize {
        let evaluator = &self.prepared.evaluator;
        let shown: Vec<usize> = (0..evaluator.choices.len()).filter(|part| !best.parts.contains(part)).collect();
        let go_on = || go_on();
        let limits = |allow_out| Limits { best: 1, allow_out, allow_open: true };
        let beside = |allow_out| Left::new(self.one, scores, limits(allow_out), (best, &go_on));
        let mut good = beside(false);
        // Made only if some part goes with nothing.
        let mut any = None;
        for part in shown.iter().take(MOST_LEFT) {
            let Some(choice) = evaluator.choices.get(*part) else { continue };
            let mut found = good.as_mut().map_err(|stopped| *stopped).and_then(|good| good.with(*part, &go_on));
            if found == Ok(None) {
                let any = any.get_or_insert_with(|| beside(true));
                found = any.as_mut().map_err(|stopped| *stopped).and_then(|any| any.with(*part, &go_on));
            }
            let because = match found {
                Err(Stopped) => "not looked at: the time was up".to_owned(),
                Ok(None) => "goes in no place".to_owned(),
                Ok(Some(found)) if found.score.out > 0 => {
                    let set = self.set(&found.parts, found.score);
                    format!("goes with nothing: {}", set.not_good.first().cloned().unwrap_or_default())
                }
                Ok(Some(found)) => wording::cost(best.score, found.score),
            };
            matched.left.push((choice.tag.clone(), because));
        }
        shown.len().saturating_sub(MOST_LEFT)
    }
}

fn grade(score: Score) -> Grade {
    match score {
        Score { out: 1.., .. } => Grade::Out,
        Score { open: 1.., .. } => Grade::Unmeasured,
        Score { worn: 1.., .. } => Grade::Worn,
        _ => Grade::Good,
    }
}
