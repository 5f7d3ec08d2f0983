//! The keys said so far in each open map: finds a key said twice, in few maps of many keys and many maps of few.

use std::collections::BTreeMap;

use super::sheet::TextRef;
use crate::text::Span;

/// Up to this many keys are compared one by one; more are sorted.
const FEW: usize = 16;

/// One key said.
struct Said {
    /// The beginning of its text, and how long it is: what tells most keys apart.
    glance: u64,
    text: TextRef,
    span: Span,
}

/// What tells most texts apart: the first seven bytes and the length.
#[inline]
fn glance(text: &str) -> u64 {
    let bytes = text.as_bytes();
    let begins = match bytes.first_chunk::<8>() {
        Some(eight) => u64::from_be_bytes(*eight) & !0xff,
        None => bytes.iter().fold(0, |sum, byte| (sum | u64::from(*byte)) << 8),
    };
    begins | (text.len() as u64 & 0xff)
}

/// The keys of all open maps, innermost last.
#[derive(Default)]
pub(super) struct Keys {
    said: Vec<Said>,
}

/// The keys of one open map.
#[derive(Default)]
pub(super) struct Map {
    begin: usize,
    /// A bit for each key said, by its glance: a key whose bit is not set was not said.
    bits: u64,
    many: Option<BTreeMap<Box<str>, Span>>,
}

impl Keys {
    /// Begins a map inside the ones open.
    pub(super) fn open(&self) -> Map {
        Map { begin: self.said.len(), bits: 0, many: None }
    }

    /// Takes a key and where it is kept; gives the place where the map said it before, if it did. `text` gives what a reference stands for.
    pub(super) fn say<'t>(
        &mut self,
        map: &mut Map,
        (written, key): (&str, TextRef),
        span: Span,
        text: impl Fn(TextRef) -> &'t str,
    ) -> Option<Span> {
        if let Some(many) = &mut map.many {
            if let Some(first) = many.get(written) {
                return Some(*first);
            }
            many.insert(written.into(), span);
            return None;
        }
        let here = self.said.get(map.begin..).unwrap_or(&[]);
        let glance = glance(written);
        // Fibonacci hashing (Knuth, The Art of Computer Programming, vol. 3, 2nd ed., 6.4): the top six bits of a product.
        let bit = 1_u64 << (glance.wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 58);
        if map.bits & bit != 0
            && let Some(said) = here.iter().find(|said| said.glance == glance && text(said.text) == written)
        {
            return Some(said.span);
        }
        map.bits |= bit;
        let few = here.len() < FEW;
        self.said.push(Said { glance, text: key, span });
        if !few {
            map.many = Some(self.said.drain(map.begin..).map(|said| (text(said.text).into(), said.span)).collect());
        }
        None
    }

    /// Ends the innermost map.
    pub(super) fn close(&mut self, map: &Map) {
        self.said.truncate(map.begin);
    }
}
