//! The keys said so far in each open map: finds a key said twice, in few maps of many keys and many maps of few.

use std::collections::BTreeMap;

use super::sheet::TextRef;
use crate::text::Span;

/// Up to this many keys are compared one by one; more are sorted.
const FEW: usize = 16;

/// One key said: its text and its place.
type Said = (TextRef, Span);

/// The keys of all open maps, innermost last.
#[derive(Default)]
pub(super) struct Keys {
    said: Vec<Said>,
}

/// The keys of one open map.
#[derive(Default)]
pub(super) struct Map {
    begin: usize,
    many: Option<BTreeMap<Box<str>, Span>>,
}

impl Keys {
    /// Begins a map inside the ones open.
    pub(super) fn open(&self) -> Map {
        Map { begin: self.said.len(), many: None }
    }

    /// Takes a key; gives the place where the map said it before, if it did. `text` gives what a reference stands for.
    pub(super) fn say<'t>(
        &mut self,
        map: &mut Map,
        key: TextRef,
        span: Span,
        text: impl Fn(TextRef) -> &'t str,
    ) -> Option<Span> {
        let written = text(key);
        if let Some(many) = &mut map.many {
            if let Some(first) = many.get(written) {
                return Some(*first);
            }
            many.insert(written.into(), span);
            return None;
        }
        let here = self.said.get(map.begin..).unwrap_or(&[]);
        let same = |said: TextRef| said.len() == key.len() && text(said) == written;
        if let Some((_, first)) = here.iter().find(|(said, _)| same(*said)) {
            return Some(*first);
        }
        let few = here.len() < FEW;
        self.said.push((key, span));
        if !few {
            map.many = Some(self.said.drain(map.begin..).map(|(said, span)| (text(said).into(), span)).collect());
        }
        None
    }

    /// Ends the innermost map.
    pub(super) fn close(&mut self, map: &Map) {
        self.said.truncate(map.begin);
    }
}
