//! What may be written at the cursor in the entry of a gauge, in a record or in a shop's list; and where the cursor is in a line with
//! braces.

use super::complete::{self, Offer};
use super::complete_record::{gauges, key_of};
use super::document::Kind;
use super::seen::Seen;
use crate::bind::GAUGE_KEYS;
use lsp_types::CompletionItemKind;

/// Where the cursor is in a line whose braces are still open.
#[derive(PartialEq, Eq, Debug)]
pub(super) struct Braces<'l> {
    /// The keys that lead there.
    pub(super) keys: Vec<String>,
    /// The keys before it in the same braces.
    pub(super) written: Vec<&'l str>,
    /// What is begun.
    pub(super) begun: &'l str,
}

/// A level of braces: the key they belong to, and the keys in them so far.
type Level<'l> = (&'l str, Vec<&'l str>);

/// Where a line ends within braces; `None` if none are open.
pub(super) fn braces(line: &str) -> Option<Braces<'_>> {
    let mut levels: Vec<Level<'_>> = Vec::new();
    let (mut from, mut quoted) = (0, None);
    for (at, letter) in line.char_indices() {
        let token = || line.get(from..at).unwrap_or("");
        match (letter, quoted) {
            (_, Some(quote)) => {
                if letter == quote {
                    quoted = None;
                }
                continue;
            }
            ('"' | '\'', None) if token().trim_end().ends_with(':') || token().trim().is_empty() => {
                quoted = Some(letter);
                continue;
            }
            ('{', None) => {
                let key = key_before(token()).unwrap_or("");
                levels.last_mut().into_iter().for_each(|(_, written)| written.push(key));
                levels.push((key, Vec::new()));
            }
            ('}', None) => {
                levels.pop();
            }
            (',', None) => {
                let key = key_before(token());
                levels.last_mut().into_iter().for_each(|(_, written)| written.extend(key));
            }
            ('[' | ']', None) => {}
            _ => continue,
        }
        from = at + letter.len_utf8();
    }
    let keys = levels.iter().map(|(key, _)| (*key).to_owned()).filter(|key| !key.is_empty()).collect();
    let (_, written) = levels.pop()?;
    Some(Braces { keys, written, begun: line.get(from..).unwrap_or("").trim_start() })
}

fn key_before(token: &str) -> Option<&str> {
    let (key, _) = token.split_once(':')?;
    Some(key.trim_start_matches([' ', '-']).trim().trim_matches(['"', '\'']))
}

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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cursor_in_braces_has_keys_and_what_is_written() {
        for (line, keys, written, begun) in [
            ("mic-1: { unc", &["mic-1"][..], &[][..], "unc"),
            ("  mic-1: { uncertainty: 2 um, k", &["mic-1"], &["uncertainty"], "k"),
            ("  - { uncertainty: 2 um, k: 2, ", &[], &["uncertainty", "k"], ""),
            ("mic-1: { uncertainty: \"(2 + L/300) um, L in mm\", co", &["mic-1"], &["uncertainty"], "co"),
            ("mic-1: { uncertainty: 2 um, correlated: { mic-2: 0.6, mi", &["mic-1", "correlated"], &["mic-2"], "mi"),
            ("mic-1: { correlated: { mic-2: 0.6 }, ", &["mic-1"], &["correlated"], ""),
            ("width: { value: [79.8 mm, 79.9 mm], gauge: m", &["width"], &[], "gauge: m"),
        ] {
            let found = braces(line).unwrap_or(Braces { keys: Vec::new(), written: Vec::new(), begun: "none" });
            assert_eq!(
                (found.keys.as_slice(), found.begun),
                (keys.iter().map(|it| (*it).to_owned()).collect::<Vec<_>>().as_slice(), begun),
                "{line}"
            );
            for key in written {
                assert!(found.written.contains(key), "{line}: {:?}", found.written);
            }
        }
        assert_eq!(braces("width: 79.8 mm"), None);
        assert_eq!(braces("width: { value: 79.8 mm }"), None);
    }
}
