//! What may be written at the cursor in the entry of a gauge, in a record or in a shop's list.

use super::complete::{self, Offer};
use super::complete_record::{gauges, key_of};
use super::document::Kind;
use super::seen::Seen;
use crate::bind::keys::GAUGE_KEYS;
use lsp_types::CompletionItemKind;

/// The keys below a gauge's name that lead to the cursor; `None` if it is in no gauge's entry.
fn below_gauge<'k>(seen: &Seen, keys: &'k [String]) -> Option<(&'k str, &'k [String])> {
    let keys = match (seen.document.kind, keys) {
        (Kind::Gauges, keys) => keys,
        (_, [first, rest @ ..]) if first == "gauges" => rest,
        _ => return None,
    };
    keys.split_first().map(|(name, rest)| (name.as_str(), rest))
}

/// Offers the keys that a gauge's entry has not yet, or the gauges that it may be correlated with; whether the cursor is in one.
pub(super) fn offer_keys(offer: &mut Offer, seen: &Seen, keys: &[String], written: &[&str]) -> bool {
    match below_gauge(seen, keys) {
        Some((_, [])) => {
            let missing = GAUGE_KEYS.iter().filter(|key| !written.contains(key));
            missing.for_each(|key| offer.say(*key, CompletionItemKind::KEYWORD, None));
        }
        Some((name, [key])) if key == "correlated" => {
            let mut others = Offer::default();
            if seen.document.kind == Kind::Gauges {
                let lines = seen.document.source.text().lines().filter(|line| !line.starts_with([' ', '-']));
                lines.filter_map(key_of).for_each(|(_, other, _)| others.say(other, CompletionItemKind::VALUE, None));
            } else {
                gauges(&mut others, seen);
            }
            others.labels().filter(|other| *other != name && !written.contains(other)).for_each(|other| {
                offer.say(other, CompletionItemKind::VALUE, None);
            });
        }
        Some(_) => {}
        None => return false,
    }
    true
}

/// Offers what may be the value of a key in a gauge's entry; whether the cursor is in one.
pub(super) fn offer_value(offer: &mut Offer, seen: &Seen, keys: &[String], value: &str) -> bool {
    let Some((_, below)) = below_gauge(seen, keys) else { return false };
    let begun = value.contains(|letter: char| letter.is_ascii_digit());
    match below {
        [key] if key == "coverage" => {
            ["95 %", "95.45 %", "99 %"].iter().for_each(|share| offer.say(*share, CompletionItemKind::VALUE, None));
        }
        [key] if begun && ["uncertainty", "error", "resolution", "range"].contains(&key.as_str()) => {
            complete::units(offer, &seen.shop.book, None);
        }
        _ => {}
    }
    true
}
