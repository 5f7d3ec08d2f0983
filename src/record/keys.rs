//! The keys said so far in each open map: finds a key said twice, in few maps of many keys and many maps of few.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::text::Span;

/// Up to this many keys are compared one by one; more are sorted.
const FEW: usize = 16;

/// One key said: its text and its place.
type Said<'a> = (Cow<'a, str>, Span);

/// The keys of all open maps, innermost last.
#[derive(Default)]
pub(super) struct Keys<'a> {
    said: Vec<Said<'a>>,
}

/// The keys of one open map.
#[derive(Default)]
pub(super) struct Map<'a> {
    begin: usize,
    many: Option<BTreeMap<Cow<'a, str>, Span>>,
}

impl<'a> Keys<'a> {
    /// Begins a map inside the ones open.
    pub(super) fn open(&self) -> Map<'a> {
        Map { begin: self.said.len(), many: None }
    }

    /// Takes a key; gives the place where the map said it before, if it did.
    pub(super) fn say(&mut self, map: &mut Map<'a>, key: Cow<'a, str>, span: Span) -> Option<Span> {
        if let Some(many) = &mut map.many {
            if let Some(first) = many.get(&key) {
                return Some(*first);
            }
            many.insert(key, span);
            return None;
        }
        let here = self.said.get(map.begin..).unwrap_or(&[]);
        if let Some((_, first)) = here.iter().find(|(said, _)| *said == key) {
            return Some(*first);
        }
        let few = here.len() < FEW;
        self.said.push((key, span));
        if !few {
            map.many = Some(self.said.drain(map.begin..).collect());
        }
        None
    }

    /// Ends the innermost map.
    pub(super) fn close(&mut self, map: &Map<'a>) {
        self.said.truncate(map.begin);
    }
}
