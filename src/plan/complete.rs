//! Whether a generation has all that its rows need, found out without writing its plan. Refuses to say what it lacks: the plan
//! itself does.

use crate::book::circles::walk;
use crate::book::{
    Book, Bound, Characteristic, Constant, Expression, ExpressionKind, Formula, Generation, Id, Origin, Part, Range,
    RangeKind, Row, Selector,
};
use rustc_hash::FxHashMap;
use std::sync::Arc;

/// For each generation of a book, in its order, whether it is certain to have every constant and every position that its rows
/// need, so that nothing is to be said of its plan. Where this is not certain the plan tells.
#[must_use]
pub fn complete(book: &Book) -> Vec<bool> {
    let of_characteristics = book.characteristics.iter().map(|one| Needs::of_derivation(book, one)).collect();
    let mut needing = Needing { book, of_characteristics, of_rows: FxHashMap::default() };
    book.generations.iter().map(|generation| needing.is_complete(generation)).collect()
}

/// What some expressions need besides the readings of a record.
#[derive(Default)]
struct Needs {
    constants: Vec<Id<Constant>>,
    positions: Vec<(Id<Part>, Wanted)>,
    characteristics: Vec<Id<Characteristic>>,
}

/// Which positions of a part are needed.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Wanted {
    /// This one.
    At(u16),
    /// Every one that another part has.
    AllOf(Id<Part>),
}

struct Needing<'a> {
    book: &'a Book,
    of_characteristics: Vec<Needs>,
    /// What each row needs, by where it lies: generations that follow one another share their rows.
    of_rows: FxHashMap<*const Row, Needs>,
}

impl<'a> Needing<'a> {
    fn is_complete(&mut self, generation: &'a Generation) -> bool {
        let book = self.book;
        let told = generation.telltales.iter().chain(&generation.value_telltales);
        let mut open: Vec<Id<Characteristic>> = told.map(|telltale| telltale.subject.characteristic).collect();
        for row in &generation.rows {
            let needs = self.of_rows.entry(Arc::as_ptr(row)).or_insert_with(|| Needs::of_row(book, row));
            if !needs.are_met(book, generation) {
                return false;
            }
            open.extend(&needs.characteristics);
        }
        // Its own stack: a chain of derivations may be longer than any stack is deep.
        let mut seen = vec![false; self.of_characteristics.len()];
        while let Some(id) = open.pop() {
            let Some(seen) = seen.get_mut(id.index()).filter(|seen| !**seen) else { continue };
            *seen = true;
            let Some(needs) = self.of_characteristics.get(id.index()) else { return false };
            if !needs.are_met(book, generation) {
                return false;
            }
            open.extend(&needs.characteristics);
        }
        true
    }
}

impl Needs {
    fn of_derivation(book: &Book, characteristic: &Characteristic) -> Needs {
        let mut needs = Needs::default();
        if let Origin::Derived(Some(body)) = &characteristic.origin {
            needs.add(book, characteristic.part, body);
        }
        needs
    }

    fn of_row(book: &Book, row: &Row) -> Needs {
        let mut needs = Needs::default();
        let part = book.characteristics.get(row.subject.characteristic).part;
        needs.characteristics.push(row.subject.characteristic);
        for Range { kind, .. } in [&row.standard, &row.limit].into_iter().flatten() {
            if let RangeKind::Band { low, high } = kind {
                let ends = [low, high].into_iter().flatten();
                ends.for_each(|Bound { value, .. }| needs.add(book, part, value));
            }
        }
        if let Some(condition) = &row.condition {
            needs.add(book, part, condition);
        }
        needs
    }

    /// Takes in what an expression of a part needs.
    fn add(&mut self, book: &Book, owner: Id<Part>, expression: &Expression) {
        let mut formulas: Vec<Id<Formula>> = Vec::new();
        self.add_nodes(book, owner, expression, &mut formulas);
        let mut unfolded = 0;
        while let Some(id) = formulas.get(unfolded).copied() {
            self.add_nodes(book, owner, &book.formulas.get(id).body, &mut formulas);
            unfolded += 1;
        }
    }

    fn add_nodes(&mut self, book: &Book, owner: Id<Part>, expression: &Expression, formulas: &mut Vec<Id<Formula>>) {
        walk(expression, &mut |node| match &node.kind {
            ExpressionKind::Constant(id) => note(&mut self.constants, *id),
            ExpressionKind::Formula(id, _) => note(formulas, *id),
            ExpressionKind::Reach(reach) => {
                note(&mut self.characteristics, reach.characteristic);
                let chain = &book.parts.get(book.characteristics.get(reach.characteristic).part).positioned;
                for (part, selector) in chain.iter().zip(&reach.selectors) {
                    let wanted = match selector {
                        Selector::All => None,
                        Selector::At(position) => Some(Wanted::At(*position)),
                        Selector::Same(depth) => {
                            let same = book.parts.get(owner).positioned.get(usize::from(*depth));
                            same.filter(|same| *same != part).map(|same| Wanted::AllOf(*same))
                        }
                    };
                    if let Some(wanted) = wanted {
                        note(&mut self.positions, (*part, wanted));
                    }
                }
            }
            _ => {}
        });
    }

    fn are_met(&self, book: &Book, generation: &Generation) -> bool {
        let given = |id: &Id<Constant>| generation.constants.get(id.index()).is_some_and(Option::is_some);
        let fitted = |(part, wanted): &(Id<Part>, Wanted)| match wanted {
            Wanted::At(position) => generation.has(*part, *position),
            Wanted::AllOf(other) => {
                let declared = book.parts.get(*other).positions.len();
                generation.positions(*other, declared).iter().all(|position| generation.has(*part, *position))
            }
        };
        self.constants.iter().all(given) && self.positions.iter().all(fitted)
    }
}

/// Takes one in that is not there yet; there are few of each.
fn note<T: PartialEq>(all: &mut Vec<T>, one: T) {
    if !all.contains(&one) {
        all.push(one);
    }
}
