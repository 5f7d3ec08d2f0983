//! What a record holds and what it must hold after a change, without any text. Refuses to know how it is written.

use super::{Step, Written, alike};
use crate::record::Node;

/// What a record holds.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Tree {
    /// Nothing: not written, an empty text, map or list, whichever it is.
    Empty,
    /// Nothing behind a colon.
    Unwritten,
    Text(String),
    List(Vec<Tree>),
    Map(Vec<(String, Tree)>),
}

/// Which of a map's keys a step leads to.
fn at_key(entries: &[(String, Tree)], key: &str) -> Option<usize> {
    alike(entries.iter().map(|(name, _)| name.as_str()), key)
}

impl Tree {
    pub(super) fn of(node: Node<'_>) -> Tree {
        match node {
            Node::Map(map) => {
                Tree::Map(map.entries().map(|(key, value)| (key.text().to_owned(), Tree::of(value))).collect())
            }
            Node::List(list) => Tree::List(list.items().map(Tree::of).collect()),
            unwritten if unwritten.is_unwritten() => Tree::Unwritten,
            Node::Scalar(scalar) => Tree::Text(scalar.text().to_owned()),
        }
    }

    pub(super) fn written(value: &Written) -> Tree {
        match value {
            Written::Nothing => Tree::Empty,
            Written::Text(text) => Tree::Text(text.clone()),
            Written::List(items) => Tree::List(items.iter().map(Tree::written).collect()),
            Written::Map(entries) => {
                Tree::Map(entries.iter().map(|(key, value)| (key.clone(), Tree::written(value))).collect())
            }
        }
    }

    fn is_nothing(&self) -> bool {
        match self {
            Tree::Empty | Tree::Unwritten => true,
            Tree::Text(text) => text.is_empty(),
            Tree::List(items) => items.is_empty(),
            Tree::Map(entries) => entries.is_empty(),
        }
    }

    /// Whether what was found is what this says.
    pub(super) fn agrees(&self, found: &Tree) -> bool {
        match (self, found) {
            (Tree::Empty, found) => found.is_nothing(),
            (Tree::List(items), Tree::List(found)) => {
                items.len() == found.len() && items.iter().zip(found).all(|(item, found)| item.agrees(found))
            }
            (Tree::Map(entries), Tree::Map(found)) => {
                entries.len() == found.len()
                    && entries
                        .iter()
                        .zip(found)
                        .all(|((key, value), (found_key, found))| key == found_key && value.agrees(found))
            }
            _ => self == found,
        }
    }

    pub(super) fn at(&self, path: &[Step]) -> Option<&Tree> {
        path.iter().try_fold(self, |tree, step| match (tree, step) {
            (Tree::Map(entries), Step::Key(key)) => {
                at_key(entries, key).and_then(|at| entries.get(at)).map(|(_, tree)| tree)
            }
            (Tree::List(items), Step::Item(at)) => items.get(*at),
            _ => None,
        })
    }

    /// Puts a value at a path; a key that is new comes before the key of that number. Whether there was a way.
    pub(super) fn put(&mut self, path: &[Step], value: Tree, new_at: usize) -> bool {
        let Some((step, rest)) = path.split_first() else {
            *self = value;
            return true;
        };
        if self.is_nothing() {
            *self = match step {
                Step::Key(_) => Tree::Map(Vec::new()),
                Step::Item(_) => Tree::List(Vec::new()),
            };
        }
        match (self, step) {
            (Tree::Map(entries), Step::Key(key)) => {
                let at = at_key(entries, key);
                let at = at.unwrap_or_else(|| {
                    let at = new_at.min(entries.len());
                    entries.insert(at, (key.clone(), Tree::Empty));
                    at
                });
                entries.get_mut(at).is_some_and(|(_, inner)| inner.put(rest, value, new_at))
            }
            (Tree::List(items), Step::Item(at)) => {
                if *at == items.len() {
                    items.push(Tree::Empty);
                }
                items.get_mut(*at).is_some_and(|inner| inner.put(rest, value, new_at))
            }
            _ => false,
        }
    }

    /// Takes away what is at a path; a map or list that loses its last value is nothing.
    pub(super) fn take(&mut self, path: &[Step]) -> bool {
        let (step, rest) = match path.split_first() {
            Some(split) => split,
            None => return false,
        };
        let taken = match (&mut *self, step) {
            (Tree::Map(entries), Step::Key(key)) => {
                let Some(at) = at_key(entries, key) else { return false };
                if rest.is_empty() {
                    entries.remove(at);
                    true
                } else {
                    entries.get_mut(at).is_some_and(|(_, inner)| inner.take(rest))
                }
            }
            (Tree::List(items), Step::Item(at)) if *at < items.len() => {
                if rest.is_empty() {
                    items.remove(*at);
                    true
                } else {
                    items.get_mut(*at).is_some_and(|inner| inner.take(rest))
                }
            }
            _ => false,
        };
        if taken && self.is_nothing() {
            *self = Tree::Empty;
        }
        taken
    }
}

/// One change of one place.
#[derive(Clone, Debug)]
pub(super) enum Stroke {
    /// A value written over what is there, or new; then before the key of that number, if that is said.
    Put { path: Vec<Step>, value: Written, at: Option<usize> },
    /// A key or an item taken away.
    Take { path: Vec<Step> },
}

/// The changes that turn a value that is there into another of its kind, so that as little as can be is written over.
pub(super) fn strokes(old: &Tree, path: &[Step], value: &Written, into: &mut Vec<Stroke>) {
    let below = |step: Step| path.iter().cloned().chain([step]).collect::<Vec<_>>();
    match (old, value) {
        (Tree::List(old), Written::List(new)) if !old.is_empty() && !new.is_empty() => {
            for (at, (old, new)) in old.iter().zip(new).enumerate() {
                strokes(old, &below(Step::Item(at)), new, into);
            }
            for at in (new.len()..old.len()).rev() {
                into.push(Stroke::Take { path: below(Step::Item(at)) });
            }
            for (at, value) in new.iter().enumerate().skip(old.len()) {
                into.push(Stroke::Put { path: below(Step::Item(at)), value: value.clone(), at: None });
            }
        }
        (Tree::Map(old), Written::Map(new)) if !old.is_empty() && !new.is_empty() => {
            let mut keys: Vec<&str> = old.iter().map(|(key, _)| key.as_str()).collect();
            let mut kept: Vec<&str> = Vec::new();
            let mut behind = 0;
            for (key, value) in new {
                let path = below(Step::Key(key.clone()));
                if let Some((name, old)) = at_key(old, key).and_then(|at| old.get(at)) {
                    kept.push(name);
                    strokes(old, &path, value, into);
                    behind = keys.iter().position(|key| key == name).map_or(behind, |at| at + 1);
                } else {
                    into.push(Stroke::Put { path, value: value.clone(), at: Some(behind) });
                    keys.insert(behind.min(keys.len()), key);
                    behind += 1;
                }
            }
            for (key, _) in old.iter().filter(|(key, _)| !kept.contains(&key.as_str())) {
                into.push(Stroke::Take { path: below(Step::Key(key.clone())) });
            }
        }
        (old, new) if Tree::written(new) == *old || (*old == Tree::Unwritten && *new == Written::Nothing) => {}
        (_, new) => into.push(Stroke::Put { path: path.to_vec(), value: new.clone(), at: None }),
    }
}
