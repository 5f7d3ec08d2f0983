//! Operations: what a shop can do to a reading or a part, how far, and what changes with it. Refuses to say when one is needed.

use super::compile::Draft;
use super::evaluate::{Impossible, evaluate};
use super::expression::{Expression, Kind, Reach};
use super::{Book, Generation, Id, Origin, Part, Texts, scope, wording, wording_rework};
use crate::quantity::{Dimension, Value};
use crate::syntax::tree::{self, ReworkAction, ReworkLine};
use crate::text::{Place, Source};
use std::cmp::Ordering;
use std::sync::Arc;

/// An operation of a generation.
#[derive(Clone, Debug)]
pub struct Rework {
    /// Its name.
    pub name: Box<str>,
    /// What it does, and to what.
    pub target: ReworkTarget,
    /// Readings that change with it.
    pub followers: Vec<ReworkFollower>,
    /// Why, what to do, what to mind, where it comes from.
    pub texts: Texts,
    /// The reading or part as the book writes it.
    pub path: Box<str>,
    /// Where it is declared.
    pub place: Place,
}

/// What an operation does.
#[derive(Clone, Debug)]
pub enum ReworkTarget {
    /// A reading becomes more, or less.
    Change {
        /// The reading.
        reading: Reach,
        /// Whether it becomes more.
        more: bool,
        /// The most it may change by; as much as it needs if not said.
        most: Option<Expression>,
    },
    /// A reading becomes one of a set of sizes.
    Sizes {
        /// The reading.
        reading: Reach,
        /// The smallest size.
        first: Expression,
        /// The largest size.
        last: Expression,
        /// From one size to the next.
        step: Expression,
    },
    /// A part is replaced by a new one.
    Part(Id<Part>),
}

/// A reading that an operation changes besides its own.
#[derive(Clone, Debug)]
pub struct ReworkFollower {
    /// The reading.
    pub reading: Reach,
    /// How many times as much as the operation's own reading it changes; not known if not said.
    pub by: Option<Value>,
}

/// The operations of a generation being made, each with whether it is inherited.
pub(super) type Operations = Vec<(Arc<Rework>, bool)>;

/// The operations of the generation followed, as its follower has them.
pub(super) fn inherited(generation: Option<&Generation>) -> Operations {
    generation.map_or_else(Vec::new, |generation| generation.reworks.iter().map(|it| (it.clone(), true)).collect())
}

impl Book {
    /// A value of an operation in base units; `None` if a constant it needs is not given.
    #[must_use]
    pub fn rework_figure(&self, generation: &Generation, figure: &Expression) -> Option<Value> {
        evaluate(self, Some(generation), figure).ok()
    }
}

impl Draft {
    /// Takes one operation in, beside or in place of those already there.
    pub(super) fn rework(
        &mut self,
        generation: &Generation,
        operations: &mut Operations,
        line: &ReworkLine,
        source: &Source,
    ) {
        let Some(checked) = self.checked_rework(line, source) else { return };
        let old = operations.iter_mut().find(|(other, _)| other.name == checked.name);
        let finding = match (line.replace, old) {
            (Some(_), Some(old)) => {
                *old = (Arc::new(checked), false);
                return;
            }
            (None, None) => {
                operations.push((Arc::new(checked), false));
                return;
            }
            (Some(word), None) => wording_rework::replaces_nothing(&checked, source.place(word)),
            (None, Some((old, true))) => wording_rework::silent(&checked, &generation.name, old),
            (None, Some((old, false))) => wording_rework::twice(&checked, old),
        };
        self.say(finding);
    }

    fn checked_rework(&mut self, line: &ReworkLine, source: &Source) -> Option<Rework> {
        let Some(root) = self.book.root() else {
            let finding = wording::no_root(source.place(line.span));
            self.say(finding);
            return None;
        };
        let texts = self.texts(&line.texts, source);
        let target = match &line.action {
            ReworkAction::Replaced(_) => ReworkTarget::Part(self.replaced(root, &line.path, source)?),
            ReworkAction::Change { more, most, .. } => {
                let (reading, dimension) = self.reworked_reading(root, &line.path, source)?;
                let most = match most {
                    Some(most) => Some(self.rework_quantity(most, dimension.difference(), &line.name.text, source)?),
                    None => None,
                };
                ReworkTarget::Change { reading, more: *more, most }
            }
            ReworkAction::Sizes { first, last, step, .. } => {
                let (reading, dimension) = self.reworked_reading(root, &line.path, source)?;
                let mut figure = |expr, of| self.rework_quantity(expr, of, &line.name.text, source);
                let (first, last) = (figure(first, dimension)?, figure(last, dimension)?);
                let step = figure(step, dimension.difference())?;
                ReworkTarget::Sizes { reading, first, last, step }
            }
        };
        let mut followers = Vec::new();
        for follower in &line.followers {
            followers.push(self.follower(root, follower, &target, source)?);
        }
        let path = line.path.segments.iter().map(|segment| &*segment.text).collect::<Vec<_>>().join(".");
        let place = source.place(line.span);
        Some(Rework { name: line.name.text.clone(), target, followers, texts, path: path.into(), place })
    }

    fn replaced(&mut self, root: Id<Part>, path: &tree::Path, source: &Source) -> Option<Id<Part>> {
        let part = self.checker(source, Some(root), &[]).part_named(path)?;
        if scope::steps(&self.book, root, path).iter().any(|step| matches!(step, scope::Step::Position(..))) {
            let finding = wording_rework::position_named(&self.book.parts.get(part).name, source.place(path.span));
            self.say(finding);
            return None;
        }
        Some(part)
    }

    /// The reading that an operation changes, which must be a quantity that is read.
    fn reworked_reading(&mut self, root: Id<Part>, path: &tree::Path, source: &Source) -> Option<(Reach, Dimension)> {
        let reading = self.checker(source, Some(root), &[]).subject(path)?;
        let characteristic = self.book.characteristics.get(reading.characteristic);
        let derived = matches!(characteristic.origin, Origin::Derived(_));
        match characteristic.kind {
            Kind::Quantity(dimension) if !derived => Some((reading, dimension)),
            _ => {
                let finding = wording_rework::not_a_measurement(&characteristic.name, derived, source.place(path.span));
                self.say(finding);
                None
            }
        }
    }

    fn rework_quantity(
        &mut self,
        expr: &tree::Expr,
        wanted: Dimension,
        name: &str,
        source: &Source,
    ) -> Option<Expression> {
        let (figure, dimension) = self.checker(source, None, &[]).quantity(expr)?;
        if dimension != wanted {
            let finding = wording_rework::dimension(name, wanted, dimension, source.place(expr.span));
            self.say(finding);
            return None;
        }
        Some(figure)
    }

    fn follower(
        &mut self,
        root: Id<Part>,
        follower: &tree::Follower,
        target: &ReworkTarget,
        source: &Source,
    ) -> Option<ReworkFollower> {
        let reading = self.checker(source, Some(root), &[]).subject(&follower.path)?;
        let place = source.place(follower.path.span);
        let characteristic = self.book.characteristics.get(reading.characteristic);
        let name = characteristic.name.clone();
        let (kind, derived) = (characteristic.kind, matches!(characteristic.origin, Origin::Derived(_)));
        let part_of = |reach: &Reach| self.book.characteristics.get(reach.characteristic).part;
        let (ReworkTarget::Change { reading: own, .. } | ReworkTarget::Sizes { reading: own, .. }) = target else {
            return None;
        };
        let own_kind = self.book.characteristics.get(own.characteristic).kind;
        let finding = if derived {
            wording_rework::follower_derived(&name, place)
        } else if part_of(own) != part_of(&reading) {
            wording_rework::follower_elsewhere(&name, &self.book.parts.get(part_of(own)).name, place)
        } else if own.characteristic == reading.characteristic {
            wording_rework::follows_itself(&name, place)
        } else {
            let Some(by) = &follower.by else { return Some(ReworkFollower { reading, by: None }) };
            let place = source.place(by.span);
            let (by, dimension) = self.checker(source, None, &[]).quantity(by)?;
            if dimension != Dimension::NUMBER {
                wording_rework::dimension(&name, Dimension::NUMBER, dimension, place)
            } else if kind != own_kind {
                wording_rework::follower_of_another_kind(&name, source.place(follower.path.span))
            } else {
                let by = self.constant_value(None, &by)?;
                return Some(ReworkFollower { reading, by: Some(by) });
            }
        };
        self.say(finding);
        None
    }

    /// What can be proved of a generation's operations without a record: every figure is known, bounds and steps are above
    /// zero, and no set of sizes is empty.
    pub(super) fn check_reworks(&mut self, generation: &Generation) {
        for rework in generation.reworks.clone() {
            let positive = |value: &Value| value.compare(&Value::ZERO) == Some(Ordering::Greater);
            match &rework.target {
                ReworkTarget::Change { most: Some(most), .. } => {
                    if self.rework_value(generation, most).is_some_and(|most| !positive(&most)) {
                        let finding = wording_rework::not_above_zero(&rework.name, most.place.clone());
                        self.say(finding);
                    }
                }
                ReworkTarget::Sizes { first, last, step, .. } => {
                    let first_value = self.rework_value(generation, first);
                    let last_value = self.rework_value(generation, last);
                    let Some(step_value) = self.rework_value(generation, step) else { continue };
                    if !positive(&step_value) {
                        let finding = wording_rework::not_above_zero(&rework.name, step.place.clone());
                        self.say(finding);
                    }
                    if let (Some(low), Some(high)) = (first_value, last_value)
                        && low.compare(&high) == Some(Ordering::Greater)
                    {
                        let finding = wording_rework::sizes_fall(&rework.name, first.place.clone());
                        self.say(finding);
                    }
                }
                ReworkTarget::Change { .. } | ReworkTarget::Part(_) => {}
            }
        }
    }

    fn rework_value(&mut self, generation: &Generation, figure: &Expression) -> Option<Value> {
        // What a basis leaves to those that follow it is asked of them.
        if generation.basis && matches!(evaluate(&self.book, Some(generation), figure), Err(Impossible::NoConstant(_)))
        {
            return None;
        }
        self.constant_value(Some(generation), figure)
    }
}
