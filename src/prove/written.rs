//! Readings written out as a record, and which place of the book each piece stands for. Refuses to judge them.

use crate::book::Given;
use crate::finding::Finding;
use crate::text::Place;

/// A path of more steps than this leads into no machine.
const MOST_STEPS: usize = 40;

/// The readings of an example as the keys of a record.
enum Branch<'a> {
    Inner(Vec<(&'a str, Branch<'a>)>),
    Leaf(&'a Given),
}

/// Puts a reading under its keys; false where another reading stands in the way.
fn put<'a>(root: &mut Vec<(&'a str, Branch<'a>)>, given: &'a Given) -> bool {
    let Some((last, before)) = given.keys.split_last() else { return false };
    let mut here = root;
    for key in before {
        let at = match here.iter().position(|(name, _)| *name == &**key) {
            Some(at) => at,
            None => {
                here.push((&**key, Branch::Inner(Vec::new())));
                here.len() - 1
            }
        };
        match here.get_mut(at) {
            Some((_, Branch::Inner(inner))) => here = inner,
            _ => return false,
        }
    }
    if here.iter().any(|(name, _)| *name == &**last) {
        return false;
    }
    here.push((&**last, Branch::Leaf(given)));
    true
}

/// The first reading below some keys.
fn first_leaf<'a>(branches: &[(&str, Branch<'a>)]) -> Option<&'a Given> {
    let mut here = branches;
    loop {
        match here.first()? {
            (_, Branch::Leaf(given)) => return Some(given),
            (_, Branch::Inner(inner)) => here = inner,
        }
    }
}

/// A record as it is written, and which bytes of it stand for which place of the book.
pub(super) struct Written {
    pub(super) text: String,
    places: Vec<(std::ops::Range<usize>, Place)>,
}

impl Written {
    /// Readings under the keys of a head; also those that cannot stand beside the others.
    pub(super) fn new<'a>(head: &[(&str, String)], given: &'a [Given]) -> (Written, Vec<&'a Given>) {
        let mut written = Written { text: String::new(), places: Vec::new() };
        for (key, value) in head {
            written.text.push_str(&format!("{key}: {}\n", quoted(value)));
        }
        let mut root = Vec::new();
        let in_the_way = given.iter().filter(|given| given.keys.len() > MOST_STEPS || !put(&mut root, given)).collect();
        written.branches(&root, 0);
        (written, in_the_way)
    }

    /// No deeper than [`MOST_STEPS`].
    fn branches(&mut self, branches: &[(&str, Branch<'_>)], depth: usize) {
        for (key, branch) in branches {
            let start = self.text.len();
            self.text.push_str(&format!("{}{}:", "  ".repeat(depth), quoted(key)));
            match branch {
                Branch::Inner(inner) => {
                    if let Some(given) = first_leaf(inner) {
                        self.places.push((start..self.text.len(), given.place.clone()));
                    }
                    self.text.push('\n');
                    self.branches(inner, depth + 1);
                }
                Branch::Leaf(given) => {
                    self.places.push((start..self.text.len(), given.place.clone()));
                    self.text.push_str(if given.values.len() == 1 { " " } else { " [" });
                    for (number, (value, place)) in given.values.iter().enumerate() {
                        if number > 0 {
                            self.text.push_str(", ");
                        }
                        let start = self.text.len();
                        self.text.push_str(&quoted(value));
                        self.places.push((start..self.text.len(), place.clone()));
                    }
                    self.text.push_str(if given.values.len() == 1 { "\n" } else { "]\n" });
                }
            }
        }
    }

    /// What was said of the record, said of the book instead.
    pub(super) fn moved(&self, mut finding: Finding, whole: &Place) -> Finding {
        let of = |place: &Place| {
            let start = place.span.start as usize;
            let found = self.places.iter().find(|(range, _)| range.contains(&start));
            found.map_or_else(|| whole.clone(), |(_, place)| place.clone())
        };
        if let Some((place, _)) = &mut finding.place {
            *place = of(place);
        }
        for (place, _) in &mut finding.because {
            if place.source.name() == "example" {
                *place = of(place);
            }
        }
        finding
    }
}

/// A text as a YAML scalar that is never taken for anything else.
fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}
