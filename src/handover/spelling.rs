//! One spelling of each unit on one sheet: `N*m` and `Nm` stand as the `N·m` of the book. Refuses to change a number.

use super::{Group, Handover};
use crate::quantity::{Number, UnitTable};
use std::borrow::Cow;

/// A text with each unit that stands after a number spelt as its book spells it first: `132 N*m` becomes `132 N·m`.
#[must_use]
pub fn one_spelling<'a>(units: &UnitTable, text: &'a str) -> Cow<'a, str> {
    let mut after_number = false;
    let mut changed = false;
    let words: Vec<Cow<'_, str>> = text
        .split(' ')
        .map(|word| {
            let bare = word.trim_end_matches([',', ';', ':', ')', '.']);
            let unit = if after_number { units.find(bare) } else { None };
            after_number = is_number(word);
            match unit {
                Some(unit) if *unit.symbol != *bare => {
                    changed = true;
                    Cow::Owned(format!("{}{}", unit.symbol, word.get(bare.len()..).unwrap_or_default()))
                }
                _ => Cow::Borrowed(word),
            }
        })
        .collect();
    if changed { Cow::Owned(words.join(" ")) } else { Cow::Borrowed(text) }
}

/// Whether a word is a number and nothing else.
fn is_number(word: &str) -> bool {
    let bare = word.trim_start_matches(['(', '±', '[']);
    matches!(Number::parse_prefix(bare), Ok((_, taken)) if taken == bare.len())
}

/// Everything on it spelt so.
pub(super) fn spell(units: &UnitTable, handover: &mut Handover) {
    let spell = |text: &mut String| {
        if let Cow::Owned(spelt) = one_spelling(units, text) {
            *text = spelt;
        }
    };
    let each = |group: &mut Group| {
        for line in group.spots.iter_mut().flat_map(|spot| &mut spot.lines) {
            line.taken.iter_mut().for_each(|taken| spell(&mut taken.written));
            for told in line.rulings.iter_mut().map(|ruled| &mut ruled.told) {
                let texts = [&mut told.value, &mut told.rounded, &mut told.standard, &mut told.limit];
                texts.into_iter().chain([&mut told.beyond, &mut told.room]).flatten().for_each(spell);
            }
        }
    };
    handover.groups.iter_mut().for_each(each);
}
