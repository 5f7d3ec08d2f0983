//! The plans of a shop's generations, each written out when it is first asked for: most records are of one generation of many.
//! Refuses to let a mistake wait: what is to be said of a plan is known at once.

use super::together::together;
use crate::book::{Book, Generation, Id};
use crate::finding::Finding;
use crate::plan::{self, Plan};
use std::sync::{Arc, OnceLock};

/// One plan for each generation, in the book's order; none for a basis, which no record is judged by.
#[derive(Debug)]
pub(super) struct Plans {
    book: Arc<Book>,
    plans: Vec<Option<OnceLock<Plan>>>,
}

impl Plans {
    /// No plans, for books with errors: nothing is ever judged by them.
    pub(super) fn none(book: Arc<Book>) -> Plans {
        Plans { book, plans: Vec::new() }
    }

    /// The plans of sound books, and what is to be said of them. Only those of which something may be said are written out now.
    pub(super) fn new(book: Arc<Book>) -> (Plans, Vec<Finding>) {
        let judged = |id: &Id<Generation>| !book.generations.get(*id).basis;
        let complete = plan::complete(&book);
        let unsure: Vec<Id<Generation>> =
            book.generations.ids().filter(|id| judged(id) && complete.get(id.index()) != Some(&true)).collect();
        let mut plans: Vec<_> = book.generations.ids().map(|id| judged(&id).then(OnceLock::new)).collect();
        let mut findings = Vec::new();
        for (plan, said) in together(&unsure, |id| Plan::new(&book, *id)) {
            findings.extend(said);
            if let Some(entry) = plans.get_mut(plan.generation.index()) {
                *entry = Some(OnceLock::from(plan));
            }
        }
        (Plans { book, plans }, findings)
    }

    /// The plan of a generation.
    pub(super) fn of(&self, id: Id<Generation>) -> Option<&Plan> {
        let plan = self.plans.get(id.index())?.as_ref()?;
        Some(plan.get_or_init(|| Plan::new(&self.book, id).0))
    }

    /// Every plan, one after the other.
    pub(super) fn all(&self) -> impl Iterator<Item = &Plan> {
        self.book.generations.ids().filter_map(|id| self.of(id))
    }

    /// Every plan, those that nobody asked for yet written out by all cores.
    pub(super) fn all_together(&self) -> Vec<&Plan> {
        let ids: Vec<Id<Generation>> = self.book.generations.ids().collect();
        together(&ids, |id| self.of(*id)).into_iter().flatten().collect()
    }
}
