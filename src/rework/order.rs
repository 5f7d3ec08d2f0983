//! The parts that a plan needs: which, of which generation and size, how many, for which build. Refuses to know prices.

use super::{Action, Reworked, Step};
use crate::book::Book;

/// Parts of one kind to be ordered.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Order {
    /// The build.
    pub build: Option<String>,
    /// The part, or of a set of sizes the reading that says its size, as a path without positions.
    pub part: String,
    /// The generation it is for.
    pub generation: String,
    /// Its size, if it is one of a set.
    pub size: Option<String>,
    /// Its mark, if it has one.
    pub mark: Option<String>,
    /// How many.
    pub count: usize,
    /// Where they go, as paths.
    pub places: Vec<String>,
}

/// The parts that a plan needs, in its order.
#[must_use]
pub fn orders(book: &Book, reworked: &Reworked) -> Vec<Order> {
    let mut orders: Vec<Order> = Vec::new();
    for step in &reworked.steps {
        let (size, mark) = match &step.action {
            Action::Change { .. } => continue,
            Action::Size { size, mark, .. } => (Some(size.clone()), mark.clone()),
            Action::New => (None, None),
        };
        let part = named(book, step);
        match orders.iter_mut().find(|order| order.part == part && order.size == size && order.mark == mark) {
            Some(order) => {
                order.count += 1;
                order.places.push(step.path.clone());
            }
            None => orders.push(Order {
                build: reworked.build.clone(),
                part,
                generation: book.generations.get(reworked.generation).name.to_string(),
                size,
                mark,
                count: 1,
                places: vec![step.path.clone()],
            }),
        }
    }
    orders
}

fn named(book: &Book, step: &Step) -> String {
    match step.action {
        Action::Size { .. } => step.operation.path.to_string(),
        _ => book.part_path(step.part, &[], "."),
    }
}
