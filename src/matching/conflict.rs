//! Why nothing goes together: the fewest places that cannot be filled together, and the fewest rows that refuse them. Refuses
//! to say it in words.

use super::search::{Problem, Scores};
use rustc_hash::FxHashMap;
use std::cell::RefCell;
use std::collections::BTreeSet;
use std::rc::Rc;

/// A row by the number of its group and its own number in the group.
pub type RowNumber = (usize, usize);

/// Which rows of a group refuse parts.
pub trait Refusals {
    /// The rows that refuse the parts at the places of a group, by their numbers in the group, each once and in order.
    fn refusing(&self, group: usize, parts: &[usize]) -> Rc<[usize]>;
}

/// Places that cannot be filled together.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Conflict {
    /// The places, in order: no fewer places conflict. None if rows that rest on no place are out whatever is taken.
    pub places: Vec<usize>,
    /// Rows among these places that no choice of parts meets all of. None if there are not enough parts.
    pub rows: Vec<RowNumber>,
    /// Whether these rows refuse every choice, and no fewer do; if the time was up, they are those seen to refuse one.
    pub fewest_rows: bool,
}

/// A search that was told to stop.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Stopped;

/// The smallest group of places that cannot be filled together, the first in order among those of its size; `None` if all places
/// can be. A part that must be in the set has to be in these places if it can be nowhere else.
///
/// # Errors
/// [`Stopped`] if `go_on` said no before the places were known.
pub fn conflict(
    problem: &Problem,
    refusals: &impl Refusals,
    go_on: &impl Fn() -> bool,
) -> Result<Option<Conflict>, Stopped> {
    let finder = Finder { problem, refusals, go_on };
    let all: Vec<usize> = (0..problem.domains.len()).collect();
    if finder.filled(&all, None)?.is_some() {
        return Ok(None);
    }
    for size in 0..=all.len() {
        let mut chosen = Vec::new();
        if let Some(places) = finder.of_size(size, 0, &mut chosen)? {
            let (rows, fewest_rows) = finder.rows(&places);
            return Ok(Some(Conflict { places, rows, fewest_rows }));
        }
    }
    Ok(None)
}

struct Finder<'a, R, G> {
    problem: &'a Problem,
    refusals: &'a R,
    go_on: &'a G,
}

impl<R: Refusals, G: Fn() -> bool> Finder<'_, R, G> {
    /// The first group of so many places, beginning with those chosen, that cannot be filled.
    fn of_size(&self, size: usize, next: usize, chosen: &mut Vec<usize>) -> Result<Option<Vec<usize>>, Stopped> {
        if chosen.len() == size {
            // Places that have nothing to do with each other conflict only if fewer of them do.
            let conflicts = self.is_connected(chosen) && self.filled(chosen, None)?.is_none();
            return Ok(conflicts.then(|| chosen.clone()));
        }
        for place in next..self.problem.domains.len() {
            chosen.push(place);
            let found = self.of_size(size, place + 1, chosen)?;
            chosen.pop();
            if found.is_some() {
                return Ok(found);
            }
        }
        Ok(None)
    }

    fn is_connected(&self, places: &[usize]) -> bool {
        let mut reached: Vec<usize> = places.first().copied().into_iter().collect();
        let mut at = 0;
        while let Some(one) = reached.get(at).copied() {
            for other in places {
                if !reached.contains(other) && self.have_in_common(one, *other, places) {
                    reached.push(*other);
                }
            }
            at += 1;
        }
        reached.len() == places.len()
    }

    /// Whether two places have a row among these places, or a part, in common.
    fn have_in_common(&self, one: usize, other: usize, places: &[usize]) -> bool {
        let row = self.problem.groups.iter().any(|group| {
            let at = &group.places;
            at.contains(&one) && at.contains(&other) && at.iter().all(|place| places.contains(place))
        });
        row || match (self.problem.domains.get(one), self.problem.domains.get(other)) {
            (Some(one), Some(other)) => one.iter().any(|part| other.contains(part)),
            _ => false,
        }
    }

    /// The groups of rows that lie within some places.
    fn groups(&self, places: &[usize]) -> Vec<usize> {
        let groups = self.problem.groups.iter().enumerate();
        groups
            .filter(|(_, group)| group.places.iter().all(|place| places.contains(place)))
            .map(|(number, _)| number)
            .collect()
    }

    /// The parts that must be in some places, since they can be nowhere else.
    fn needed(&self, places: &[usize]) -> Vec<usize> {
        let mut needed: Vec<usize> = Vec::new();
        for part in &self.problem.with {
            let mut domains = self.problem.domains.iter().enumerate();
            let inside = domains.all(|(place, domain)| places.contains(&place) || !domain.contains(part));
            if inside && !needed.contains(part) {
                needed.push(*part);
            }
        }
        needed
    }

    /// Parts for some places, in their order, that none of the rows refuses; of all rows if none are named.
    fn filled(&self, places: &[usize], rows: Option<&[RowNumber]>) -> Result<Option<Vec<usize>>, Stopped> {
        let groups = self.groups(places);
        let order = self.order(places, &groups);
        // Each group is looked at when the last of its places is filled.
        let last = |group: &usize| {
            let at = self.problem.groups.get(*group).map_or(&[][..], |group| group.places.as_slice());
            at.iter().filter_map(|place| order.iter().position(|one| one == place)).max()
        };
        let mut due: Vec<Vec<usize>> = vec![Vec::new(); order.len()];
        for group in &groups {
            match last(group) {
                Some(at) => due.get_mut(at).into_iter().for_each(|due| due.push(*group)),
                None if self.refuses(*group, &[], rows) => return Ok(None),
                None => {}
            }
        }
        let mut filling = Filling {
            finder: self,
            rows,
            order: &order,
            due: &due,
            needed: self.needed(places),
            taken: vec![None; self.problem.domains.len()],
            steps: 0,
        };
        if !filling.fill(0)? {
            return Ok(None);
        }
        let taken = filling.taken;
        Ok(places.iter().map(|place| taken.get(*place).copied().flatten()).collect())
    }

    /// The places in the order they are filled: the fewest parts first, then those that have rows with what is filled already.
    fn order(&self, places: &[usize], groups: &[usize]) -> Vec<usize> {
        let mut open = places.to_vec();
        let mut order: Vec<usize> = Vec::new();
        while !open.is_empty() {
            let rows_with_filled = |place: &usize| {
                let touches = |group: &&usize| {
                    self.problem.groups.get(**group).is_some_and(|group| {
                        group.places.contains(place) && group.places.iter().any(|other| order.contains(other))
                    })
                };
                groups.iter().filter(touches).count()
            };
            let count = |place: &usize| self.problem.domains.get(*place).map_or(0, Vec::len);
            let next = open.iter().copied().min_by_key(|place| (usize::MAX - rows_with_filled(place), count(place)));
            let Some(next) = next else { break };
            open.retain(|place| *place != next);
            order.push(next);
        }
        order
    }

    fn refuses(&self, group: usize, parts: &[usize], rows: Option<&[RowNumber]>) -> bool {
        match rows {
            None => !self.refusals.refusing(group, parts).is_empty(),
            // Only groups that have one of the rows are judged.
            Some(rows) if !rows.iter().any(|(of, _)| *of == group) => false,
            Some(rows) => self.refusals.refusing(group, parts).iter().any(|row| rows.contains(&(group, *row))),
        }
    }

    /// The fewest rows that refuse every choice for some places, and whether it is known that there are no fewer.
    fn rows(&self, places: &[usize]) -> (Vec<RowNumber>, bool) {
        let groups = self.groups(places);
        // Every choice seen so far, each with the rows that refuse it: the rows wanted refuse all of these.
        let mut seen: Vec<Vec<RowNumber>> = Vec::new();
        loop {
            let rows = fewest_of_each(&seen);
            match self.filled(places, Some(&rows)) {
                Ok(None) => return (rows, true),
                Ok(Some(parts)) => {
                    let mut refusing = Vec::new();
                    for group in &groups {
                        let at = |place: &usize| {
                            places.iter().position(|one| one == place).and_then(|at| parts.get(at).copied())
                        };
                        let own = self.problem.groups.get(*group).map_or(&[][..], |group| group.places.as_slice());
                        let parts: Vec<usize> = own.iter().filter_map(at).collect();
                        refusing.extend(self.refusals.refusing(*group, &parts).iter().map(|row| (*group, *row)));
                    }
                    if refusing.is_empty() || seen.contains(&refusing) {
                        return (rows, false);
                    }
                    seen.push(refusing);
                }
                Err(Stopped) => {
                    let every: BTreeSet<RowNumber> = seen.into_iter().flatten().collect();
                    return (every.into_iter().collect(), false);
                }
            }
        }
    }
}

/// The fewest rows of which every list has one, the first in the order of the lists among those of their number.
fn fewest_of_each(lists: &[Vec<RowNumber>]) -> Vec<RowNumber> {
    fn choose(lists: &[Vec<RowNumber>], chosen: &mut Vec<RowNumber>, left: usize) -> bool {
        let Some(open) = lists.iter().find(|list| !list.iter().any(|row| chosen.contains(row))) else { return true };
        if left == 0 {
            return false;
        }
        for row in open {
            chosen.push(*row);
            if choose(lists, chosen, left - 1) {
                return true;
            }
            chosen.pop();
        }
        false
    }
    for count in 0..=lists.len() {
        let mut chosen = Vec::new();
        if choose(lists, &mut chosen, count) {
            chosen.sort_unstable();
            return chosen;
        }
    }
    Vec::new()
}

struct Filling<'a, R, G> {
    finder: &'a Finder<'a, R, G>,
    rows: Option<&'a [RowNumber]>,
    order: &'a [usize],
    /// For each place in order, the groups that are complete with it.
    due: &'a [Vec<usize>],
    needed: Vec<usize>,
    taken: Vec<Option<usize>>,
    steps: u32,
}

impl<R: Refusals, G: Fn() -> bool> Filling<'_, R, G> {
    /// Fewer steps than this between two looks at the clock.
    const STEPS: u32 = 64;

    fn fill(&mut self, number: usize) -> Result<bool, Stopped> {
        self.steps += 1;
        if self.steps.is_multiple_of(Self::STEPS) && !(self.finder.go_on)() {
            return Err(Stopped);
        }
        let lacking = self.needed.iter().filter(|part| !self.taken.contains(&Some(**part))).count();
        if lacking > self.order.len() - number.min(self.order.len()) {
            return Ok(false);
        }
        let Some(place) = self.order.get(number).copied() else { return Ok(true) };
        let problem = self.finder.problem;
        for part in problem.domains.get(place).map_or(&[][..], Vec::as_slice) {
            if self.taken.contains(&Some(*part)) {
                continue;
            }
            self.put(place, Some(*part));
            let refused = self.due.get(number).is_some_and(|due| due.iter().any(|group| self.refuses(*group)));
            if !refused && self.fill(number + 1)? {
                return Ok(true);
            }
            self.put(place, None);
        }
        Ok(false)
    }

    fn refuses(&self, group: usize) -> bool {
        let places = self.finder.problem.groups.get(group).map_or(&[][..], |group| group.places.as_slice());
        let parts: Vec<usize> = places.iter().filter_map(|place| self.taken.get(*place).copied().flatten()).collect();
        self.finder.refuses(group, &parts, self.rows)
    }

    fn put(&mut self, place: usize, part: Option<usize>) {
        if let Some(taken) = self.taken.get_mut(place) {
            *taken = part;
        }
    }
}

/// A group with the parts at its places.
type Choice = (usize, Vec<usize>);

/// Refusals calculated once. Rows are judged one by one only where their group's score says that one of them refuses.
pub struct Refused<'a, S, F> {
    scores: &'a S,
    complete: bool,
    rows: F,
    known: RefCell<FxHashMap<Choice, Rc<[usize]>>>,
}

impl<'a, S: Scores, F: Fn(usize, &[usize]) -> Vec<usize>> Refused<'a, S, F> {
    /// The refusals behind some scores; `rows` gives the rows of a group that refuse parts. `complete`: a row that lacks a reading
    /// refuses too.
    pub fn new(scores: &'a S, complete: bool, rows: F) -> Refused<'a, S, F> {
        Refused { scores, complete, rows, known: RefCell::default() }
    }
}

impl<S: Scores, F: Fn(usize, &[usize]) -> Vec<usize>> Refusals for Refused<'_, S, F> {
    fn refusing(&self, group: usize, parts: &[usize]) -> Rc<[usize]> {
        let score = self.scores.score(group, parts);
        if score.out == 0 && (!self.complete || score.open == 0) {
            return Rc::default();
        }
        let key = (group, parts.to_vec());
        if let Some(known) = self.known.borrow().get(&key) {
            return Rc::clone(known);
        }
        let rows: Rc<[usize]> = (self.rows)(group, parts).into();
        self.known.borrow_mut().insert(key, Rc::clone(&rows));
        rows
    }
}
