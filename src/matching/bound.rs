//! How good a set can become when some places are filled: places are eliminated one after another from the last, each with the best
//! part for what it has rows with (mini-bucket elimination: Dechter and Rish, Journal of the ACM 50 (2003), 107-153). That a part
//! is in one place only is kept between places of one row, and where a place has rows with no other. Refuses to search.

use super::measure::Measure;
use super::search::Scores;
use super::tables::Tables;

/// The most sums that are looked at to eliminate a place together with two others.
const MOST_SUMS: usize = 60_000_000;

/// What the places from one on can come to, as far as it rests on places before.
struct Message<V> {
    /// The place eliminated, by its number in the order.
    from: usize,
    /// The places it rests on: all before `from`; two at most.
    scope: Vec<usize>,
    /// For each part at the first of these, then at the second; `None` where nothing goes.
    values: Vec<Option<V>>,
    /// If it rests on no place: the parts of the place eliminated, the best first.
    parts: Vec<(V, usize)>,
}

impl<V> Message<V> {
    /// From which number of filled places on it counts.
    fn to(&self, position: &[usize]) -> usize {
        self.scope.iter().filter_map(|place| position.get(*place)).map(|at| at + 1).max().unwrap_or(0)
    }
}

/// The parts that may be at places of one kind, and the messages of these places.
type Kind<'a, V> = (&'a [usize], Vec<&'a Message<V>>);

/// One thing that is added up where a place is eliminated.
#[derive(Clone, Copy)]
enum Term {
    Group(usize),
    Message(usize),
    Tag,
}

/// Places of one kind that have rows with no other place still open, and the best of their parts.
struct Alone<V> {
    count: usize,
    parts: Vec<(V, usize)>,
}

/// Bounds for places that are filled in an order.
pub(super) struct Bounds<'a, S, M: Measure> {
    tables: &'a Tables<'a, S>,
    pub(super) measure: &'a M,
    pub(super) order: &'a [usize],
    /// For each place, its number in the order.
    position: Vec<usize>,
    /// For each place the number of each part among those that may be there.
    rank: Vec<Vec<usize>>,
    /// For each number in the order, the groups that are complete with it.
    due: Vec<Vec<usize>>,
    /// Groups on so many places, or parts, that no message holds them.
    unbounded: Vec<usize>,
    messages: Vec<Message<M::Value>>,
    /// For each count of filled places, the messages that count there.
    alive: Vec<Vec<usize>>,
    alone: Vec<Vec<Alone<M::Value>>>,
    /// For each count of filled places, the groups that are open and not known before.
    unknown: Vec<usize>,
}

impl<'a, S: Scores, M: Measure> Bounds<'a, S, M> {
    pub(super) fn new(
        tables: &'a Tables<'a, S>,
        measure: &'a M,
        order: &'a [usize],
        groups: &[usize],
    ) -> Bounds<'a, S, M> {
        let places = tables.problem.domains.len();
        let mut position = vec![usize::MAX; places];
        order.iter().enumerate().for_each(|(at, place)| {
            if let Some(entry) = position.get_mut(*place) {
                *entry = at;
            }
        });
        let rank = (0..places)
            .map(|place| {
                let domain = tables.domain(place);
                let mut rank = vec![usize::MAX; domain.iter().max().map_or(0, |most| most + 1)];
                for (number, part) in domain.iter().enumerate() {
                    if let Some(entry) = rank.get_mut(*part) {
                        *entry = number;
                    }
                }
                rank
            })
            .collect();
        let mut due = vec![Vec::new(); order.len()];
        for group in groups {
            let own = tables.problem.groups.get(*group).map_or(&[][..], |group| group.places.as_slice());
            let last = own.iter().filter_map(|place| position.get(*place).copied()).max();
            if let Some(due) = last.and_then(|last| due.get_mut(last)) {
                due.push(*group);
            }
        }
        let mut bounds = Bounds {
            tables,
            measure,
            order,
            position,
            rank,
            due,
            unbounded: Vec::new(),
            messages: Vec::new(),
            alive: Vec::new(),
            alone: Vec::new(),
            unknown: Vec::new(),
        };
        bounds.eliminate();
        bounds.lay_out();
        bounds
    }

    fn places(&self, group: usize) -> &'a [usize] {
        self.tables.problem.groups.get(group).map_or(&[], |group| group.places.as_slice())
    }

    fn domain(&self, place: usize) -> &'a [usize] {
        self.tables.domain(place)
    }

    fn eliminate(&mut self) {
        let mut buckets: Vec<Vec<Term>> = vec![Vec::new(); self.order.len()];
        for number in (0..self.order.len()).rev() {
            let Some(place) = self.order.get(number).copied() else { continue };
            let mut terms: Vec<(Vec<usize>, Term)> = vec![(Vec::new(), Term::Tag)];
            for group in self.due.get(number).into_iter().flatten().filter(|group| self.tables.is_known(**group)) {
                let others = self.places(*group).iter().copied().filter(|other| *other != place).collect();
                terms.push((others, Term::Group(*group)));
            }
            for term in buckets.get(number).cloned().unwrap_or_default() {
                let Term::Message(message) = term else { continue };
                let scope = self.messages.get(message).map_or(&[][..], |message| message.scope.as_slice());
                terms.push((scope.iter().copied().filter(|other| *other != place).collect(), term));
            }
            terms.sort_by_key(|(others, _)| usize::MAX - others.len());
            // Those together that rest on the same two places; what rests on more is looked at when it is complete.
            let mut together: Vec<(Vec<usize>, Vec<Term>)> = Vec::new();
            for (others, term) in terms {
                let joined = |scope: &[usize]| {
                    let mut scope = scope.to_vec();
                    scope.extend(others.iter().copied().filter(|other| !scope.contains(other)).collect::<Vec<_>>());
                    let sums = scope.iter().map(|place| self.domain(*place).len()).fold(1, usize::saturating_mul);
                    let fits = scope.len() <= 2 && sums.saturating_mul(self.domain(place).len()) <= MOST_SUMS;
                    fits.then_some(scope)
                };
                match together.iter_mut().find_map(|entry| joined(&entry.0).map(|scope| (entry, scope))) {
                    Some((entry, scope)) => {
                        entry.0 = scope;
                        entry.1.push(term);
                    }
                    None => match (term, joined(&[])) {
                        (Term::Group(group), None) => self.unbounded.push(group),
                        _ => together.push((others, vec![term])),
                    },
                }
            }
            for (scope, terms) in together {
                let message = self.message(number, scope, &terms);
                let to = message.to(&self.position);
                let at = self.messages.len();
                self.messages.push(message);
                if let Some(bucket) = to.checked_sub(1).and_then(|to| buckets.get_mut(to)) {
                    bucket.push(Term::Message(at));
                }
            }
        }
    }

    /// The best part at a place for each choice at the places of a scope.
    fn message(&self, from: usize, mut scope: Vec<usize>, terms: &[Term]) -> Message<M::Value> {
        scope.sort_unstable();
        let place = self.order.get(from).copied().unwrap_or_default();
        let mut taken: Vec<Option<usize>> = vec![None; self.position.len()];
        let mut message = Message { from, scope, values: Vec::new(), parts: Vec::new() };
        let best = |taken: &mut Vec<Option<usize>>| {
            let mut best: Option<M::Value> = None;
            for part in self.domain(place) {
                if message.scope.iter().any(|other| taken.get(*other) == Some(&Some(*part))) {
                    continue;
                }
                put(taken, place, Some(*part));
                let Some(value) = self.sum(terms, place, *part, taken) else { continue };
                best = Some(best.map_or(value, |best| M::better(best, value)));
            }
            put(taken, place, None);
            best
        };
        match message.scope.as_slice() {
            [] => {
                for part in self.domain(place) {
                    put(&mut taken, place, Some(*part));
                    let value = self.sum(terms, place, *part, &taken);
                    message.parts.extend(value.map(|value| (value, *part)));
                }
                message.parts.sort_by_key(|(value, part)| (M::cost(*value), *part));
            }
            [one] => {
                let mut values = Vec::with_capacity(self.domain(*one).len());
                for part in self.domain(*one) {
                    put(&mut taken, *one, Some(*part));
                    values.push(best(&mut taken));
                }
                message.values = values;
            }
            [one, other, ..] => {
                let mut values = Vec::with_capacity(self.domain(*one).len() * self.domain(*other).len());
                for first in self.domain(*one) {
                    put(&mut taken, *one, Some(*first));
                    for second in self.domain(*other) {
                        put(&mut taken, *other, Some(*second));
                        values.push(if first == second { None } else { best(&mut taken) });
                    }
                }
                message.values = values;
            }
        }
        message
    }

    fn sum(&self, terms: &[Term], place: usize, part: usize, taken: &[Option<usize>]) -> Option<M::Value> {
        let mut sum = M::NOTHING;
        for term in terms {
            let value = match term {
                Term::Group(group) => self.of_group(*group, taken)?,
                Term::Message(message) => self.of_message(*message, taken)?,
                Term::Tag => match self.tag(place, part) {
                    Some(value) => value,
                    None => continue,
                },
            };
            sum = M::join(sum, value);
        }
        Some(sum)
    }

    fn tag(&self, place: usize, part: usize) -> Option<M::Value> {
        self.measure.tag(place, self.rank_of(place, part)?)
    }

    fn rank_of(&self, place: usize, part: usize) -> Option<usize> {
        self.rank.get(place)?.get(part).copied()
    }

    /// What a group comes to with its places filled; `None` if that is of no use.
    fn of_group(&self, group: usize, taken: &[Option<usize>]) -> Option<M::Value> {
        let mut parts = [0_usize; 8];
        let places = self.places(group);
        if places.len() > parts.len() {
            let parts: Vec<usize> = places.iter().filter_map(|place| taken.get(*place).copied().flatten()).collect();
            return self.measure.value(self.tables.score(group, &parts));
        }
        for (part, place) in parts.iter_mut().zip(places) {
            *part = taken.get(*place).copied().flatten()?;
        }
        self.measure.value(self.tables.score(group, parts.get(..places.len())?))
    }

    fn of_message(&self, message: usize, taken: &[Option<usize>]) -> Option<M::Value> {
        let message = self.messages.get(message)?;
        let rank = |place: usize| self.rank_of(place, taken.get(place).copied().flatten()?);
        let at = match message.scope.as_slice() {
            [] => return message.parts.first().map(|(value, _)| *value),
            [one] => rank(*one)?,
            [one, other, ..] => rank(*one)? * self.domain(*other).len() + rank(*other)?,
        };
        message.values.get(at).copied().flatten()
    }

    /// What counts for each count of filled places.
    fn lay_out(&mut self) {
        for filled in 0..=self.order.len() {
            let counts = |message: &&Message<M::Value>| message.from >= filled && message.to(&self.position) <= filled;
            let numbers = |(at, message): (usize, &Message<M::Value>)| {
                (counts(&message) && !message.scope.is_empty()).then_some(at)
            };
            let alive = self.messages.iter().enumerate().filter_map(numbers).collect();
            // Places of one kind by the parts that may be there.
            let mut kinds: Vec<Kind<'_, M::Value>> = Vec::new();
            for message in self.messages.iter().filter(counts).filter(|message| message.scope.is_empty()) {
                let place = self.order.get(message.from).copied().unwrap_or_default();
                let domain = self.tables.problem.domains.get(place).map_or(&[][..], Vec::as_slice);
                match kinds.iter_mut().find(|(known, _)| *known == domain) {
                    Some((_, messages)) => messages.push(message),
                    None => kinds.push((domain, vec![message])),
                }
            }
            let alone = |(_, messages): Kind<'_, M::Value>| {
                let mut parts: Vec<(usize, M::Value)> = Vec::new();
                let mut all: Vec<(usize, M::Value)> =
                    messages.iter().flat_map(|message| &message.parts).map(|(value, part)| (*part, *value)).collect();
                all.sort_by_key(|(part, _)| *part);
                for (part, value) in all {
                    match parts.last_mut().filter(|(last, _)| *last == part) {
                        Some((_, best)) => *best = M::better(*best, value),
                        None => parts.push((part, value)),
                    }
                }
                let mut parts: Vec<(M::Value, usize)> = parts.into_iter().map(|(part, value)| (value, part)).collect();
                parts.sort_by_key(|(value, part)| (M::cost(*value), *part));
                if !M::IN_ORDER {
                    // Each place at its best in every respect.
                    let best = parts.iter().map(|(value, _)| *value).reduce(M::better);
                    parts = best.map(|best| vec![(best, usize::MAX); messages.len()]).unwrap_or_default();
                }
                Alone { count: messages.len(), parts }
            };
            let alone = kinds.into_iter().map(alone).collect();
            let is_open = |group: &&usize| !self.tables.is_known(**group) || self.unbounded.contains(*group);
            let unknown = self.due.iter().skip(filled).flatten().filter(is_open).count();
            self.alive.push(alive);
            self.alone.push(alone);
            self.unknown.push(unknown);
        }
    }

    /// What a part adds at a place that is filled after those taken; `None` if that is of no use.
    pub(super) fn step(&self, number: usize, part: usize, taken: &[Option<usize>]) -> Option<M::Value> {
        let place = self.order.get(number).copied()?;
        let mut sum = self.tag(place, part).unwrap_or(M::NOTHING);
        for group in self.due.get(number).into_iter().flatten() {
            sum = M::join(sum, self.of_group(*group, taken)?);
        }
        Some(sum)
    }

    /// What parts for all places come to, in their order; `None` if that is of no use.
    pub(super) fn of_set(&self, parts: &[usize]) -> Option<M::Value> {
        let mut taken = vec![None; self.position.len()];
        let mut sum = M::NOTHING;
        for (number, (place, part)) in self.order.iter().zip(parts).enumerate() {
            put(&mut taken, *place, Some(*part));
            sum = M::join(sum, self.step(number, *part, &taken)?);
        }
        Some(sum)
    }

    /// At least as good as anything the places still open can come to; `None` if they cannot be filled.
    pub(super) fn rest(&self, filled: usize, taken: &[Option<usize>], used: &[bool]) -> Option<M::Value> {
        let mut sum = M::NOTHING;
        for message in self.alive.get(filled).into_iter().flatten() {
            sum = M::join(sum, self.of_message(*message, taken)?);
        }
        for Alone { count, parts } in self.alone.get(filled).into_iter().flatten() {
            let mut free = parts.iter().filter(|(_, part)| !used.get(*part).copied().unwrap_or(false));
            for _ in 0..*count {
                sum = M::join(sum, free.next()?.0);
            }
        }
        for _ in 0..self.unknown.get(filled).copied().unwrap_or(0) {
            sum = M::join(sum, M::UNKNOWN);
        }
        Some(sum)
    }
}

fn put(taken: &mut [Option<usize>], place: usize, part: Option<usize>) {
    if let Some(entry) = taken.get_mut(place) {
        *entry = part;
    }
}
