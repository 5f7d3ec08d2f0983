//! The files that readings were taken over from, their bytes numbered after those of the record, so that a reading's span
//! also says which file it is in.

use crate::text::{Source, Span};

/// Files after the record, each with the number its first byte has.
#[derive(Clone, Debug, Default)]
pub(super) struct Files {
    others: Vec<(u32, Source)>,
}

impl Files {
    /// Adds a file and gives the number of its first byte; `None` if the numbers do not suffice (4 GB in all).
    pub(super) fn add(&mut self, record: &Source, source: Source) -> Option<u32> {
        if let Some((base, _)) = self.others.iter().find(|(_, known)| *known == source) {
            return Some(*base);
        }
        let (last_base, last) = self.others.last().map_or((0, record), |(base, source)| (*base, source));
        // One more than the last byte: an empty span at the end of a file is in that file.
        let base = u32::try_from(last.text().len()).ok()?.checked_add(last_base)?.checked_add(1)?;
        base.checked_add(u32::try_from(source.text().len()).ok()?)?;
        self.others.push((base, source));
        Some(base)
    }

    /// The file a span is in, and where it is there.
    #[inline]
    pub(super) fn of<'a>(&'a self, record: &'a Source, span: Span) -> (&'a Source, Span) {
        let found = self.others.iter().rev().find(|(base, _)| *base <= span.start);
        found.map_or((record, span), |(base, source)| {
            (source, Span { start: span.start - base, end: span.end.saturating_sub(*base) })
        })
    }
}

/// A span of a file whose first byte has this number.
pub(super) fn moved(span: Span, base: u32) -> Span {
    Span { start: span.start.saturating_add(base), end: span.end.saturating_add(base) }
}
