//! Which rows of a plan lie within one part at one position, and which reach beyond it.

use crate::book::{Book, Id, Part};
use crate::plan::{Leaves, Plan, SlotSet};

/// The rows of a plan as seen from one part at one position.
#[derive(Clone, Debug)]
pub struct Scope {
    /// The checks that rest on nothing but the part, by their numbers in the plan.
    pub within: Vec<usize>,
    /// The checks that rest on the part and on other parts too.
    pub waiting: Vec<Waiting>,
    /// Every slot of the part.
    pub slots: SlotSet,
}

/// A row that cannot be judged on the part alone.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Waiting {
    /// The check, by its number in the plan.
    pub check: usize,
    /// The parts it waits for, in the order of the book: each of those right below the whole machine, or the whole machine.
    pub parts: Vec<Id<Part>>,
    /// Whether it waits for another part of the same kind.
    pub another: bool,
}

impl Scope {
    /// Looks at every row of a plan from a part at some positions.
    #[must_use]
    ///
    /// `with` are the parts within it that are there; what rests on the others waits for them.
    pub fn new(
        book: &Book,
        (plan, leaves): (&Plan, &Leaves),
        (part, with): (Id<Part>, &[Id<Part>]),
        positions: &[u16],
    ) -> Scope {
        let slots = slots_of_part(book, part, positions, |inner| is_with(book, inner, part, with));
        let whole = slots_of_part(book, part, positions, |inner| belongs_to(book, inner, part));
        let mut scope = Scope { within: Vec::new(), waiting: Vec::new(), slots };
        for (number, check) in plan.checks.iter().enumerate() {
            let rests_on = leaves.of_slots(plan, &check.slots());
            if !rests_on.meets(&scope.slots) {
                continue;
            }
            let beyond = rests_on.without(&scope.slots);
            if beyond.is_empty() {
                scope.within.push(number);
                continue;
            }
            let mut waiting = Waiting { check: number, parts: Vec::new(), another: false };
            for slot in beyond {
                let Some((characteristic, _, _)) = book.slot_owner(slot) else { continue };
                let owner = book.characteristics.get(characteristic).part;
                let top = below_machine(book, owner);
                if top == below_machine(book, part) {
                    // A part within a part may wait for the one it belongs to, and that for one within it.
                    let another = belongs_to(book, owner, part) && !whole.has(slot);
                    waiting.another |= another;
                    if !another && !waiting.parts.contains(&owner) {
                        waiting.parts.push(owner);
                    }
                } else if !waiting.parts.contains(&top) {
                    waiting.parts.push(top);
                }
            }
            waiting.parts.sort_unstable_by_key(|part| part.index());
            scope.waiting.push(waiting);
        }
        scope
    }
}

/// The part right below the whole machine that a part belongs to; the whole machine for what belongs to no other part.
fn below_machine(book: &Book, part: Id<Part>) -> Id<Part> {
    let mut at = part;
    while let Some(parent) = book.parts.get(at).parent {
        if book.parts.get(parent).parent.is_none() {
            break;
        }
        at = parent;
    }
    at
}

/// Whether a part is another or belongs to it.
fn belongs_to(book: &Book, part: Id<Part>, other: Id<Part>) -> bool {
    part == other || book.is_inside(part, other)
}

/// Whether a part is another, or within it by way of parts that are there.
fn is_with(book: &Book, inner: Id<Part>, part: Id<Part>, with: &[Id<Part>]) -> bool {
    let mut at = Some(inner);
    while let Some(id) = at {
        if id == part {
            return true;
        }
        if !with.contains(&id) {
            return false;
        }
        at = book.parts.get(id).parent;
    }
    false
}

/// Every slot of a part at some positions, of those parts within it that count.
fn slots_of_part(book: &Book, part: Id<Part>, positions: &[u16], counts: impl Fn(Id<Part>) -> bool) -> SlotSet {
    let mut slots = SlotSet::default();
    let instance = book.instance(part, positions);
    let instances = book.parts.get(part).instances.max(1);
    for characteristic in book.characteristics.iter().filter(|one| counts(one.part)) {
        // The instances of a part within it follow each other.
        let each = book.parts.get(characteristic.part).instances / instances;
        for inner in instance * each..(instance + 1) * each {
            let first = characteristic.slot(inner, 0);
            (first..first + characteristic.slots_each()).for_each(|slot| slots.add(slot));
        }
    }
    slots
}

/// Every slot of a part at some positions: of those parts within it that are there, or of all of them.
#[must_use]
pub fn slots_of(book: &Book, (part, with): (Id<Part>, Option<&[Id<Part>]>), positions: &[u16]) -> SlotSet {
    slots_of_part(book, part, positions, |inner| match with {
        Some(with) => is_with(book, inner, part, with),
        None => belongs_to(book, inner, part),
    })
}

/// The book as a loose part of one kind sees it: nobody knows yet where the part will go, so its positions, and those of
/// the parts it belongs to, have no names.
#[must_use]
pub fn without_positions(book: &Book, part: Id<Part>) -> Book {
    let mut book = book.clone();
    let mut at = Some(part);
    while let Some(id) = at {
        let part = book.parts.get_mut(id);
        part.positions.iter_mut().for_each(|name| *name = "".into());
        at = part.parent;
    }
    book
}
