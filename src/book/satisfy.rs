//! Decides whether conditions can all be true of one record, and shows such a record. Refuses to know what the conditions
//! are for.
//!
//! Choices, classes, yes/no and numbers against known bounds are decided exactly: every value a condition asks about is an
//! axis with finitely many cells (a name; below, at or above each bound), and the cells are tried. A bound that needs the
//! record is compared on an axis of its own, so that `at least x` and `below x` exclude each other whatever `x` is.
//! A yes/no value that is derived is written out first. Of a derived quantity it is asked whether what is chosen of the
//! readings it is calculated from leaves it room, range by range: that can make an answer [`Answer::Yes`] that is no
//! record's, which [`Example::certain`] then says, and never a false [`Answer::No`].

mod axes;
mod bounds;
mod expand;

use super::{Book, Datum, Expression, ExpressionKind, Generation, Kind, RangeKind, Reach, circles};
use crate::syntax::tree::Operator;
use axes::{Axes, Cells};

/// More axes than this are not tried.
const MOST_AXES: usize = 64;

/// Conditions of more tests than this in all are not looked into: each may cut an axis once more.
const MOST_TESTS: usize = 1_000;

/// More partial assignments than this are not tried.
const MOST_TRIES: usize = 1 << 16;

/// Of more choices than this it is not asked whether derived values allow them.
const MOST_LOOKS: usize = 2_000;

/// Whether conditions can all be true at once.
#[derive(Clone, Debug)]
pub enum Answer {
    /// They can, for example so.
    Yes(Example),
    /// Proved: no record makes all of them true.
    No,
    /// There were too many cases to try.
    NotDecided,
}

impl Answer {
    /// Whether it is proved that they cannot all be true.
    #[must_use]
    pub fn is_no(&self) -> bool {
        matches!(self, Answer::No)
    }
}

/// A case in which the conditions hold.
#[derive(Clone, PartialEq, Debug)]
pub struct Example {
    /// What is the case, each in words: `duty is race`, `boost above 0.5 bar`. Empty where anything will do.
    pub facts: Vec<String>,
    /// Whether a record can be like this for certain: all facts are of different readings against known bounds.
    pub certain: bool,
    /// The same as values of readings, as far as the facts are about one plain value against known bounds.
    pub picks: Vec<(Reach, Datum)>,
}

impl Example {
    /// The facts in one phrase; `always` where there are none.
    #[must_use]
    pub fn words(&self) -> String {
        if self.facts.is_empty() { "always".into() } else { self.facts.join(" and ") }
    }
}

/// Whether conditions looked up from one part of the machine can all be true at one place of one record.
#[must_use]
pub fn satisfiable(book: &Book, conditions: &[&Expression]) -> Answer {
    let wanted: Vec<(&Expression, bool)> = conditions.iter().map(|condition| (*condition, true)).collect();
    satisfiable_as(book, None, &wanted)
}

/// As [`satisfiable`], with the constants of a generation, and for each condition whether it is to be true.
#[must_use]
pub fn satisfiable_as(book: &Book, generation: Option<&Generation>, conditions: &[(&Expression, bool)]) -> Answer {
    let mut written = Vec::new();
    for (condition, _) in conditions.iter().take(MOST_TESTS) {
        circles::walk(condition, &mut |node| written.push(node.place.clone()));
    }
    let expanded: Vec<(Expression, bool)> = conditions
        .iter()
        .take(MOST_TESTS + 1)
        .map(|(condition, wanted)| (expand::expanded(book, condition), *wanted))
        .collect();
    let conditions: Vec<(&Expression, bool)> =
        expanded.iter().map(|(condition, wanted)| (condition, *wanted)).collect();
    let mut tests = 0_usize;
    for (condition, _) in &conditions {
        circles::walk(condition, &mut |node| tests += usize::from(matches!(node.kind, ExpressionKind::Test { .. })));
    }
    if tests > MOST_TESTS || conditions.len() > MOST_TESTS {
        return Answer::NotDecided;
    }
    let mut axes = Axes::new(book, generation, written);
    for (condition, _) in &conditions {
        axes.collect_points(condition);
    }
    let logic = Logic::All(conditions.iter().map(|(condition, wanted)| build(&mut axes, condition, *wanted)).collect());
    if axes.len() > MOST_AXES {
        return Answer::NotDecided;
    }
    let mut search = Search { logic: &logic, axes: &axes, cells: vec![None; axes.len()], tries: 0, looks: 0 };
    match search.run(0) {
        Some(true) => {
            let cells = search.needed_only();
            Answer::Yes(Example { facts: axes.facts(&cells), certain: axes.certain(&cells), picks: axes.picks(&cells) })
        }
        Some(false) => Answer::No,
        None => Answer::NotDecided,
    }
}

/// A condition over cells, with every `not` moved down to the cells.
enum Logic {
    Known(bool),
    Cell(Cells),
    All(Vec<Logic>),
    Any(Vec<Logic>),
}

fn build<'a>(axes: &mut Axes<'a>, expression: &'a Expression, wanted: bool) -> Logic {
    match &expression.kind {
        ExpressionKind::YesNo(yes) => Logic::Known(*yes == wanted),
        ExpressionKind::Not(inner) => build(axes, inner, !wanted),
        ExpressionKind::Binary(operator @ (Operator::And | Operator::Or), left, right) => {
            let both = vec![build(axes, left, wanted), build(axes, right, wanted)];
            if (*operator == Operator::And) == wanted { Logic::All(both) } else { Logic::Any(both) }
        }
        ExpressionKind::Test { subject, negated, range } => {
            let wanted = wanted != *negated;
            match &range.kind {
                RangeKind::YesNo(yes) => build(axes, subject, wanted == *yes),
                RangeKind::Names(names) => {
                    Logic::Cell(axes.names(subject, names, expression, *negated).turned(!wanted))
                }
                RangeKind::AllTheSame { .. } => Logic::Cell(axes.free(expression).turned(!wanted)),
                RangeKind::Band { low, high } => {
                    let mut ends = Vec::new();
                    for (bound, lower) in [(low, true), (high, false)] {
                        if let Some(bound) = bound {
                            ends.push(match axes.side(subject, bound, lower) {
                                Ok(inside) => Logic::Known(inside == wanted),
                                Err(cells) => Logic::Cell(cells.turned(!wanted)),
                            });
                        }
                    }
                    if wanted { Logic::All(ends) } else { Logic::Any(ends) }
                }
            }
        }
        _ => Logic::Cell(axes.free(expression).turned(!wanted)),
    }
}

impl Logic {
    /// Whether it holds whatever the cells not yet chosen are; `None` where it depends on them.
    fn holds(&self, chosen: &[Option<usize>]) -> Option<bool> {
        match self {
            Logic::Known(known) => Some(*known),
            Logic::Cell(cells) => cells.holds(chosen.get(cells.axis).copied().flatten()),
            Logic::All(parts) => Logic::over(parts, chosen, false),
            Logic::Any(parts) => Logic::over(parts, chosen, true),
        }
    }

    /// One part that is `settles` settles it; otherwise all must be known.
    fn over(parts: &[Logic], chosen: &[Option<usize>], settles: bool) -> Option<bool> {
        let mut answer = Some(!settles);
        for part in parts {
            match part.holds(chosen) {
                Some(holds) if holds == settles => return Some(settles),
                Some(_) => {}
                None => answer = None,
            }
        }
        answer
    }
}

struct Search<'a> {
    logic: &'a Logic,
    axes: &'a Axes<'a>,
    cells: Vec<Option<usize>>,
    tries: usize,
    looks: usize,
}

impl Search<'_> {
    /// Tries the cells of this axis and those after it; `None` where there were too many tries. No deeper than
    /// [`MOST_AXES`].
    fn run(&mut self, axis: usize) -> Option<bool> {
        self.tries += 1;
        if self.tries > MOST_TRIES {
            return None;
        }
        if let Some(known) = self.logic.holds(&self.cells) {
            // What a few cells rule out, more cells rule out too.
            return Some(known && self.can_be());
        }
        for cell in 0..self.axes.cells(axis) {
            self.choose(axis, Some(cell));
            if self.run(axis + 1)? {
                return Some(true);
            }
        }
        self.choose(axis, None);
        Some(false)
    }

    /// Whether the chosen cells are not known to rule each other out.
    fn can_be(&mut self) -> bool {
        self.looks += 1;
        self.looks > MOST_LOOKS || self.axes.certain(&self.cells) || self.axes.leave_room(&self.cells)
    }

    fn choose(&mut self, axis: usize, cell: Option<usize>) {
        if let Some(entry) = self.cells.get_mut(axis) {
            *entry = cell;
        }
    }

    /// The cells found, without those that make no difference.
    fn needed_only(mut self) -> Vec<Option<usize>> {
        for axis in 0..self.cells.len() {
            let cell = self.cells.get(axis).copied().flatten();
            self.choose(axis, None);
            if self.logic.holds(&self.cells) != Some(true) {
                self.choose(axis, cell);
            }
        }
        self.cells
    }
}

/// Whether two expressions looked up from one part are written the same, and so have the same value in every record.
#[must_use]
pub fn same(one: &Expression, other: &Expression) -> bool {
    let all = |one: &[Expression], other: &[Expression]| {
        one.len() == other.len() && one.iter().zip(other).all(|(one, other)| same(one, other))
    };
    let bounds = |one: &Option<super::Bound>, other: &Option<super::Bound>| match (one, other) {
        (None, None) => true,
        (Some(one), Some(other)) => one.closed == other.closed && same(&one.value, &other.value),
        _ => false,
    };
    match (&one.kind, &other.kind) {
        (ExpressionKind::Quantity(one), ExpressionKind::Quantity(other)) => one == other,
        (ExpressionKind::YesNo(one), ExpressionKind::YesNo(other)) => one == other,
        (ExpressionKind::Name(one), ExpressionKind::Name(other)) => one == other,
        (ExpressionKind::Constant(one), ExpressionKind::Constant(other)) => one == other,
        (ExpressionKind::Parameter(one), ExpressionKind::Parameter(other)) => one == other,
        (ExpressionKind::Reach(one), ExpressionKind::Reach(other)) => one == other,
        (ExpressionKind::Negate(one), ExpressionKind::Negate(other))
        | (ExpressionKind::Not(one), ExpressionKind::Not(other)) => same(one, other),
        (ExpressionKind::Binary(first, left, right), ExpressionKind::Binary(second, other_left, other_right)) => {
            first == second && same(left, other_left) && same(right, other_right)
        }
        (ExpressionKind::Power(one, first), ExpressionKind::Power(other, second)) => {
            first == second && same(one, other)
        }
        (ExpressionKind::Function(first, one), ExpressionKind::Function(second, other)) => {
            first == second && all(one, other)
        }
        (ExpressionKind::Formula(first, one), ExpressionKind::Formula(second, other)) => {
            first == second && all(one, other)
        }
        (ExpressionKind::Collect(first, one), ExpressionKind::Collect(second, other)) => {
            first == second && all(one, other)
        }
        (
            ExpressionKind::Test { subject: one, negated: first, range: one_range },
            ExpressionKind::Test { subject: other, negated: second, range: other_range },
        ) => {
            let ranges = match (&one_range.kind, &other_range.kind) {
                (RangeKind::Names(one), RangeKind::Names(other)) => one == other,
                (RangeKind::YesNo(one), RangeKind::YesNo(other)) => one == other,
                (RangeKind::Band { low, high }, RangeKind::Band { low: other_low, high: other_high }) => {
                    bounds(low, other_low) && bounds(high, other_high)
                }
                (RangeKind::AllTheSame { across: one }, RangeKind::AllTheSame { across: other }) => one == other,
                _ => false,
            };
            first == second && ranges && same(one, other)
        }
        _ => false,
    }
}

/// The kind of a plain characteristic, or of one picked out of several.
fn kind_of(book: &Book, expression: &Expression) -> Option<Kind> {
    match &expression.kind {
        ExpressionKind::Reach(reach) => Some(book.characteristics.get(reach.characteristic).kind),
        // Of a class, the smallest or largest is one of its names.
        ExpressionKind::Collect(_, values) => values.first().and_then(|value| kind_of(book, value)),
        _ => None,
    }
}

#[cfg(test)]
mod tests;
