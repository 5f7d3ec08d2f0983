//! The rules of the shop for their pages. Refuses to change them.

use super::{about, words};
use crate::bench::{Answer, Workshop};
use crate::report::html::bench::{self, RuleList, Rules};

/// The list of the generations.
pub(in crate::bench) fn rule_list(workshop: &Workshop) -> Answer {
    let shop = workshop.shop();
    Answer::page(bench::rule_list(&RuleList { shop: about(workshop, &shop), book: &shop.book }))
}

/// The rules of one generation.
pub(in crate::bench) fn rules(workshop: &Workshop, generation: &str) -> Answer {
    let shop = workshop.shop();
    match shop.book.generation(generation).and_then(|id| shop.plan(id)) {
        Some(plan) => Answer::page(bench::rules(&Rules { shop: about(workshop, &shop), book: &shop.book, plan })),
        None => super::lost_to(workshop, &words::no_generation(generation), words::GO_TO_RULES),
    }
}
