//! Rows of which one look tells that a value is good: most are about one value, with ends known from the book. Refuses to tell
//! anything else: what is not plainly good is worked through.

use super::{Check, CheckRange, Subject};
use crate::book::Datum;
use crate::quantity::{Band, ShortBand};

/// A row about the one value of a slot, at one position.
#[derive(Clone, Debug)]
pub struct Plain {
    /// The slot.
    pub slot: u32,
    /// The condition the row applies under, by its number.
    pub condition: Option<u32>,
    inside: Inside,
}

/// What is good.
#[derive(Clone, Debug)]
enum Inside {
    Band(ShortBand),
    YesNo(bool),
}

impl Plain {
    /// The look at a check; none where one look does not tell.
    pub(super) fn of(check: &Check) -> Option<Plain> {
        let Subject::Slot { slot, .. } = check.subject else { return None };
        if check.rounds {
            return None;
        }
        let tiers: Vec<&CheckRange> = [&check.limit, &check.standard].into_iter().flatten().collect();
        let inside = match tiers.as_slice() {
            [CheckRange::YesNo(yes)] => Inside::YesNo(*yes),
            tiers => {
                let known = |tier: &&'_ CheckRange| matches!(tier, CheckRange::Known(_));
                if tiers.is_empty() || !tiers.iter().all(known) {
                    return None;
                }
                Inside::Band(ShortBand::within_all(tiers.iter().filter_map(|tier| band(tier)))?)
            }
        };
        let condition = check.condition.as_ref().map(|condition| u32::try_from(condition.number));
        Some(Plain { slot: u32::try_from(slot).ok()?, condition: condition.transpose().ok()?, inside })
    }

    /// Whether a value of the slot is good for certain, where the row applies.
    #[must_use]
    #[inline]
    pub fn is_good(&self, datum: &Datum) -> bool {
        match (&self.inside, datum) {
            (Inside::Band(band), Datum::Quantity(value)) => band.holds(value),
            (Inside::YesNo(wanted), Datum::YesNo(yes)) => wanted == yes,
            _ => false,
        }
    }
}

fn band(range: &CheckRange) -> Option<&Band> {
    if let CheckRange::Known(band) = range { Some(band) } else { None }
}
