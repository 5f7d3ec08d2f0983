//! What is said about the sets of `trochoid match`: their rows, why parts are left, several machines. Refuses to read records.

use super::wording_match;
use crate::judge::{Grade, Teller};
use crate::matching::{
    Evaluator, Found, Left, Limits, NoMore, Problem, ROOM_STEPS, Remembered, RowAt, Score, Scores, Stopped,
    most_machines, repeated, search,
};
use crate::plan::{CheckRange, Plan};
use crate::report::matching::{Matched, Set, Tight};
use crate::shop::{Prepared, Shop};
use std::time::{Duration, Instant};

/// Rows with the least room that are named.
const MOST_TIGHT: usize = 3;

/// Parts left over of which each is said why.
const MOST_LEFT: usize = 12;

/// What is needed to say something of a set.
pub(super) struct Telling<'a> {
    pub(super) shop: &'a Shop,
    pub(super) prepared: &'a Prepared<'a>,
    pub(super) one: &'a Problem,
}

/// Scores of sets of one machine.
pub(super) type Scored<'a> = Remembered<'a, Evaluator<'a>>;

impl Telling<'_> {
    pub(super) fn set(&self, parts: &[usize], score: Score) -> Set {
        let evaluator = &self.prepared.evaluator;
        let tag = |part: &usize| evaluator.choices.get(*part).map(|choice| choice.tag.clone()).unwrap_or_default();
        let mut set = Set {
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
            let teller = Teller::new(&self.shop.book, plan, &readings);
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
                self.row(&mut set, (&teller, plan), &row);
            }
        }
        set.tight.sort_by_key(|tight| tight.permille);
        set.tight.truncate(MOST_TIGHT);
        set
    }

    fn row(&self, set: &mut Set, (teller, plan): (&Teller<'_>, &Plan), row: &RowAt) {
        if row.ruling.grade > Grade::Good && row.ruling.grade != Grade::Unmeasured {
            let finding = teller.finding(&row.ruling).map(|finding| finding.message);
            // What refuses the set comes first.
            let at = if row.score().out > 0 { 0 } else { set.not_good.len() };
            finding.into_iter().for_each(|message| set.not_good.insert(at, message));
        }
        let Some(room) = row.room.filter(|_| !row.ruling.advisory && row.ruling.grade == Grade::Good) else { return };
        let Some(told) = teller.tell(&row.ruling) else { return };
        let (mut range, ends) = match (&told.standard, &told.limit) {
            (Some(standard), _) => (format!("its standard of {standard}"), &told.figures.standard),
            (None, Some(limit)) => (format!("its limit of {limit}"), &told.figures.limit),
            (None, None) => return,
        };
        let check = plan.checks.get(row.ruling.check);
        let judged = check.and_then(|check| check.standard.as_ref().or(check.limit.as_ref()));
        if let Some(CheckRange::Worked { .. }) = judged {
            range.push_str(&wording_match::here(ends, told.unit.as_deref()));
        }
        set.tight.push(Tight {
            path: told.path.clone(),
            value: told.value.clone().unwrap_or_default(),
            range,
            permille: room / (ROOM_STEPS / 1000),
        });
    }

    /// For each place how many parts pass alone: no row that rests on this place and no other is out.
    pub(super) fn alone(&self, scores: &Scored<'_>) -> Vec<(String, usize, usize)> {
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

    /// Why the parts that are in no set are not.
    pub(super) fn left(&self, best: &Found, scores: &Scored<'_>, go_on: &dyn Fn() -> bool, matched: &mut Matched) {
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
                Ok(Some(found)) => wording_match::cost(best.score, found.score),
            };
            matched.left.push((choice.tag.clone(), because));
        }
        if shown.len() > MOST_LEFT {
            matched.left.push(("…".into(), wording_match::more_left(shown.len() - MOST_LEFT)));
        }
    }

    /// As many machines at once as were asked for, or as there can be. Gives the parts of each.
    pub(super) fn machines(
        &self,
        asked: &str,
        scores: &Scored<'_>,
        (go_on, left): (&dyn Fn() -> bool, &dyn Fn(Instant) -> Duration),
        matched: &mut Matched,
    ) -> Result<Vec<Found>, String> {
        matched.machines = true;
        let most = most_machines(self.one);
        let wanted: Vec<usize> = match asked {
            "all" => (1..=most).rev().collect(),
            number => vec![wording_match::number(number)?],
        };
        let limits = Limits { best: 1, allow_out: false, allow_open: true };
        // One after the other, each the best of what is left: what there is to say if the search is broken off.
        let first = self.one_by_one(wanted.iter().copied().max().unwrap_or(0).min(most), scores, limits, go_on);
        let cost = |machines: &[Found]| machines.iter().fold(Score::NOTHING, |sum, one| sum.with(one.score)).cost();
        for count in wanted {
            if count > most {
                continue;
            }
            // Each number of machines gets half of the time that is left.
            let until = Instant::now() + left(Instant::now()) / 2;
            let (found, whole) =
                search(&repeated(self.one, count), scores, limits, || go_on() && Instant::now() < until);
            matched.proved &= whole.is_ok();
            let known = first.get(..count).filter(|_| whole.is_err() && count > 0);
            let found = found.into_iter().next();
            if found.is_none() && whole.is_err() && matched.bound.is_none() && known.is_none() {
                matched.bound = Some(wording_match::as_many(count));
            }
            let better = known.filter(|known| found.as_ref().is_none_or(|found| cost(known) < found.score.cost()));
            if let (Some(machines), Err(NoMore { bound })) = (better, &whole) {
                let all = machines.iter().fold(Score::NOTHING, |sum, one| sum.with(one.score));
                matched.bound.get_or_insert_with(|| wording_match::bound(count, *bound, all));
                matched.sets = machines.iter().map(|found| self.set(&found.parts, found.score)).collect();
                return Ok(machines.to_vec());
            }
            let Some(found) = found else { continue };
            if let Err(NoMore { bound }) = whole {
                matched.bound = Some(wording_match::bound(count, bound, found.score));
            }
            let places = self.one.domains.len().max(1);
            let one = |parts: &[usize]| {
                let score = self.one.groups.iter().enumerate().fold(Score::NOTHING, |sum, (number, group)| {
                    let at: Vec<usize> = group.places.iter().filter_map(|place| parts.get(*place).copied()).collect();
                    sum.with(scores.score(number, &at))
                });
                Found { parts: parts.to_vec(), score }
            };
            let machines: Vec<Found> = found.parts.chunks(places).map(one).collect();
            matched.sets = machines.iter().map(|found| self.set(&found.parts, found.score)).collect();
            return Ok(machines);
        }
        Ok(Vec::new())
    }

    /// Machines one after the other, each the best that the parts left over give.
    fn one_by_one(&self, most: usize, scores: &Scored<'_>, limits: Limits, go_on: &dyn Fn() -> bool) -> Vec<Found> {
        let mut rest = self.one.clone();
        let mut machines: Vec<Found> = Vec::new();
        // What must be in the set is for the search to place.
        while machines.len() < most && rest.with.is_empty() {
            let (found, _) = search(&rest, scores, limits, go_on);
            let Some(found) = found.into_iter().next() else { break };
            rest.domains.iter_mut().for_each(|domain| domain.retain(|part| !found.parts.contains(part)));
            machines.push(found);
        }
        machines
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
