//! Finds circles: formulas, derivations and generations that need themselves, with every step of the way round.

use super::expression::{Expression, ExpressionKind, RangeKind, Reach};
use super::{Book, Characteristic, Formula, Id, Origin, wording};
use crate::finding::Finding;
use crate::text::Place;

/// The work one call of a formula may ask for, in nodes once every formula in it is written out.
const MOST_WORK: usize = 100_000;

/// One step of a circle: the name of what needs the next one, and where it says so.
pub(super) type Step = (String, Place);

/// Formula circles, and formulas that unfold into more work than a book may ask for. A formula in a circle loses its
/// body, so that nothing can run round it.
pub(super) fn formulas(book: &mut Book) -> Vec<Finding> {
    let edges: Vec<Vec<(usize, Place)>> = book
        .formulas
        .iter()
        .map(|formula| {
            let mut calls = Vec::new();
            walk(&formula.body, &mut |node| {
                if let ExpressionKind::Formula(id, _) = &node.kind {
                    calls.push((id.index(), node.place.clone()));
                }
            });
            calls
        })
        .collect();
    let names: Vec<String> = book.formulas.iter().map(|formula| formula.name.to_string()).collect();
    let (circles, order) = find(&edges, &names);
    let mut findings: Vec<Finding> = circles.iter().map(|circle| wording::formula_circle(circle)).collect();
    let ids: Vec<Id<Formula>> = book.formulas.ids().collect();
    if circles.is_empty() {
        let mut work = vec![0_usize; ids.len()];
        for number in order {
            let Some(id) = ids.get(number) else { continue };
            let mut sum = 0_usize;
            walk(&book.formulas.get(*id).body, &mut |node| {
                let inner = match &node.kind {
                    ExpressionKind::Formula(id, _) => work.get(id.index()).copied().unwrap_or(0),
                    _ => 0,
                };
                sum = sum.saturating_add(1).saturating_add(inner);
            });
            if sum > MOST_WORK {
                findings.push(wording::formula_too_complex(
                    &book.formulas.get(*id).name,
                    book.formulas.get(*id).place.clone(),
                ));
                break;
            }
            if let Some(entry) = work.get_mut(number) {
                *entry = sum;
            }
        }
    }
    if !findings.is_empty() {
        for id in ids {
            let place = book.formulas.get(id).body.place.clone();
            let nothing = ExpressionKind::Quantity(crate::quantity::Value::default());
            book.formulas.get_mut(id).body = Expression { kind: nothing, place };
        }
    }
    findings
}

/// What each characteristic needs, by numbers.
fn derivation_edges(book: &Book) -> Vec<Vec<(usize, Place)>> {
    book.characteristics
        .iter()
        .map(|characteristic| {
            let mut needs = Vec::new();
            if let Origin::Derived(Some(body)) = &characteristic.origin {
                reaches(body, &mut |reach, place| needs.push((reach.characteristic.index(), place.clone())));
            }
            needs
        })
        .collect()
}

/// Every characteristic, each after those it is worked out from.
#[must_use]
pub fn derivation_order(book: &Book) -> Vec<Id<Characteristic>> {
    let ids: Vec<Id<Characteristic>> = book.characteristics.ids().collect();
    let names = vec![String::new(); ids.len()];
    let (_, order) = find(&derivation_edges(book), &names);
    order.into_iter().filter_map(|number| ids.get(number).copied()).collect()
}

/// Derivation circles. A derivation in a circle loses its body, so that nothing can run round it.
pub(super) fn derivations(book: &mut Book) -> Vec<Finding> {
    let edges = derivation_edges(book);
    let names: Vec<String> = book.characteristics.iter().map(|one| one.name.to_string()).collect();
    let (circles, _) = find(&edges, &names);
    if !circles.is_empty() {
        for id in book.characteristics.ids() {
            if let Origin::Derived(body) = &mut book.characteristics.get_mut(id).origin {
                *body = None;
            }
        }
    }
    circles.iter().map(|circle| wording::derivation_circle(circle)).collect()
}

/// Every circle in a graph, each once, and the nodes in an order in which each comes after those it needs.
///
/// Walks with its own stack: the depth of a chain of declarations is not bounded by the grammar.
pub(super) fn find(edges: &[Vec<(usize, Place)>], names: &[String]) -> (Vec<Vec<Step>>, Vec<usize>) {
    #[derive(Clone, Copy, PartialEq)]
    enum Mark {
        New,
        Open,
        Done,
    }
    let mut marks = vec![Mark::New; edges.len()];
    let mut circles = Vec::new();
    let mut order = Vec::with_capacity(edges.len());
    for start in 0..edges.len() {
        if marks.get(start) != Some(&Mark::New) {
            continue;
        }
        // Each entry: the node, and which of its edges comes next.
        let mut path: Vec<(usize, usize)> = vec![(start, 0)];
        if let Some(mark) = marks.get_mut(start) {
            *mark = Mark::Open;
        }
        while let Some((node, next)) = path.last_mut() {
            let node = *node;
            let edge = edges.get(node).and_then(|edges| edges.get(*next));
            *next += 1;
            let Some((to, _)) = edge else {
                path.pop();
                order.push(node);
                if let Some(mark) = marks.get_mut(node) {
                    *mark = Mark::Done;
                }
                continue;
            };
            match marks.get(*to) {
                Some(Mark::New) => {
                    if let Some(mark) = marks.get_mut(*to) {
                        *mark = Mark::Open;
                    }
                    path.push((*to, 0));
                }
                Some(Mark::Open) => {
                    let from = path.iter().position(|(node, _)| node == to).unwrap_or(0);
                    let circle = path
                        .iter()
                        .skip(from)
                        .filter_map(|(node, next)| {
                            let (_, place) = edges.get(*node)?.get(next.checked_sub(1)?)?;
                            Some((names.get(*node)?.clone(), place.clone()))
                        })
                        .collect();
                    circles.push(circle);
                }
                _ => {}
            }
        }
    }
    (circles, order)
}

/// Visits every node of an expression, outermost first.
pub fn walk<'a>(expression: &'a Expression, visit: &mut impl FnMut(&'a Expression)) {
    let mut open = vec![expression];
    while let Some(node) = open.pop() {
        visit(node);
        match &node.kind {
            ExpressionKind::Negate(inner)
            | ExpressionKind::Not(inner)
            | ExpressionKind::Power(inner, _)
            | ExpressionKind::Table(_, inner) => {
                open.push(inner);
            }
            ExpressionKind::Binary(_, left, right) => {
                open.push(right);
                open.push(left);
            }
            ExpressionKind::Function(_, inner)
            | ExpressionKind::Formula(_, inner)
            | ExpressionKind::Collect(_, inner) => {
                open.extend(inner.iter().rev());
            }
            ExpressionKind::Test { subject, range, .. } => {
                if let RangeKind::Band { low, high } = &range.kind {
                    open.extend([high, low].into_iter().flatten().map(|bound| &bound.value));
                }
                open.push(subject);
            }
            ExpressionKind::Quantity(_)
            | ExpressionKind::YesNo(_)
            | ExpressionKind::Name(_)
            | ExpressionKind::Constant(_)
            | ExpressionKind::Parameter(_)
            | ExpressionKind::Reach(_) => {}
        }
    }
}

/// Visits every characteristic an expression reaches.
pub fn reaches<'a>(expression: &'a Expression, visit: &mut impl FnMut(&'a Reach, &'a Place)) {
    walk(expression, &mut |node| {
        if let ExpressionKind::Reach(reach) = &node.kind {
            visit(reach, &node.place);
        }
    });
}
