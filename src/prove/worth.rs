//! What a value can be, and which readings it was made of, each with the direction it pulls in. Refuses to know rules.
//!
//! The range of an expression over freely varying inputs is exact where every input stands in it once, or where each of
//! its occurrences pulls the same way (R. E. Moore, R. B. Kearfott, M. J. Cloud, Introduction to Interval Analysis, 2009,
//! chapters 5 and 6); otherwise it only encloses.

use super::reach::meets;
use crate::book::interval::Around;
use crate::book::{Characteristic, Id, Reach, Selector};
use crate::quantity::Band;

/// Which way a value goes when an input rises.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Pull {
    Up,
    Down,
    Mixed,
}

impl Pull {
    pub(super) fn turned(self) -> Pull {
        match self {
            Pull::Up => Pull::Down,
            Pull::Down => Pull::Up,
            Pull::Mixed => Pull::Mixed,
        }
    }

    /// As seen through a factor.
    pub(super) fn times(self, factor: Around) -> Pull {
        match factor {
            Around::Above => self,
            Around::Below => self.turned(),
            Around::Both => Pull::Mixed,
        }
    }
}

/// One input, and how it is used.
#[derive(Clone, Debug)]
pub(super) struct Use {
    pub reach: Reach,
    pub pull: Pull,
    /// Whether it stands there more than once.
    pub often: bool,
}

/// Why a range may be wider than what there can be.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Loose {
    /// This reading stands in it more than once and pulls both ways.
    Repeated(Id<Characteristic>),
    /// What this reading may be differs from case to case.
    Cases(Id<Characteristic>),
    /// A function, or a number of readings, that is only bounded.
    Bounded,
}

/// What a value can be.
#[derive(Clone, Debug)]
pub(super) struct Worth {
    pub band: Band,
    pub uses: Vec<Use>,
    pub loose: Option<Loose>,
    pub as_new: bool,
    /// Whether it may be left out because a reading is.
    pub optional: bool,
    /// Whether the ends of the range are proved to be reached, however the readings stand in it.
    pub sharp: bool,
    /// Readings that no row gives a range.
    pub missing: Vec<(Id<Characteristic>, Option<u16>)>,
}

impl Worth {
    pub(super) fn of(band: Band) -> Worth {
        Worth { band, uses: Vec::new(), loose: None, as_new: true, optional: false, sharp: false, missing: Vec::new() }
    }

    /// Of these inputs, with a range of its own; `pulls` says how each of them pulls.
    pub(super) fn made(band: Band, exact: bool, parts: Vec<(Worth, impl Fn(Pull) -> Pull)>) -> Worth {
        let mut made = Worth::of(band);
        if !exact {
            made.loose = Some(Loose::Bounded);
        }
        for (part, pull) in parts {
            made.take(part, pull);
        }
        made
    }

    /// Takes over what another value was made of.
    pub(super) fn take(&mut self, part: Worth, pull: impl Fn(Pull) -> Pull) {
        self.loose = part.loose.or(self.loose.take());
        self.as_new &= part.as_new;
        self.optional |= part.optional;
        for missing in part.missing {
            if !self.missing.contains(&missing) {
                self.missing.push(missing);
            }
        }
        for used in part.uses {
            self.uses(used.reach, pull(used.pull), used.often);
        }
    }

    pub(super) fn uses(&mut self, reach: Reach, pull: Pull, often: bool) {
        match self.uses.iter_mut().find(|used| used.reach == reach && used.pull == pull) {
            Some(used) => used.often = true,
            None => self.uses.push(Use { reach, pull, often }),
        }
    }

    /// The same as seen from a part that reaches this one over `selectors`. `shared` is whether what does not differ
    /// from position to position counts as used more than once.
    pub(super) fn seen_over(mut self, selectors: &[Selector], shared: bool) -> Worth {
        let uses = std::mem::take(&mut self.uses);
        for used in uses {
            let mut reach = used.reach;
            // An input is there once for every position only if it is told apart by each of them.
            let varies = (0_u16..).zip(selectors).all(|(depth, selector)| {
                *selector != Selector::All || reach.selectors.contains(&Selector::Same(depth))
            });
            for selector in &mut reach.selectors {
                if let Selector::Same(depth) = selector {
                    *selector = selectors.get(usize::from(*depth)).copied().unwrap_or(Selector::All);
                }
            }
            self.uses(reach, used.pull, used.often || (shared && !varies));
        }
        self
    }

    /// Why the range may be wider than what there can be; `None` where its ends are reached.
    pub(super) fn looseness(&self) -> Option<Loose> {
        if self.sharp {
            return None;
        }
        if let Some(loose) = &self.loose {
            return Some(loose.clone());
        }
        for (number, one) in self.uses.iter().enumerate() {
            if one.often && one.pull == Pull::Mixed {
                return Some(Loose::Repeated(one.reach.characteristic));
            }
            for other in self.uses.iter().skip(number + 1) {
                let agree = one.pull == other.pull && one.pull != Pull::Mixed;
                if meets(&one.reach, &other.reach) && !agree {
                    return Some(Loose::Repeated(one.reach.characteristic));
                }
            }
        }
        None
    }
}
