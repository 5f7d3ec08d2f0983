//! The text of an expression with each name replaced by its value. Refuses to know what the values are.

use super::wording::folded;
use crate::text::{Place, Span};

/// A negative number in brackets, so that no two signs meet.
pub(super) fn bracketed(text: &str) -> String {
    if text.trim_start_matches('≈').starts_with('-') { format!("({text})") } else { text.to_string() }
}

/// The text of an expression with each name replaced by its value; none where there is no name.
pub(super) fn replaced(place: &Place, mut swaps: Vec<(Span, String)>) -> Option<String> {
    if swaps.is_empty() {
        return None;
    }
    swaps.sort_by_key(|(span, _)| span.start);
    let text = place.source.text();
    let end = place.span.end as usize;
    let mut at = place.span.start as usize;
    let mut out = String::new();
    for (span, value) in swaps {
        let (start, stop) = (span.start as usize, span.end as usize);
        if start < at || stop > end {
            continue;
        }
        out.push_str(text.get(at..start)?);
        // `15 mm^2` would read as if only the unit were squared.
        let raised = text.get(stop..end).is_some_and(|rest| rest.trim_start().starts_with('^'));
        out.push_str(&if raised { format!("({value})") } else { bracketed(&value) });
        at = stop;
    }
    out.push_str(text.get(at..end)?);
    Some(folded(&out))
}
