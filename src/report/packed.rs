//! A page as a few bytes, to be kept and written again. Refuses to know where they are kept.

use super::stream::Page;
use super::tally::Tally;
use crate::finding::Code;
use crate::judge::{Counts, GRADES};

/// The most that any number of one page can be: no record has so many rows.
const MOST: usize = 1 << 24;

/// What is packed: the text, whether it stands apart, the numbers of the tally, the codes by name.
type Packed = (String, bool, ([usize; 9], [usize; GRADES + 2], [usize; GRADES + 2], [usize; GRADES + 2]), Vec<String>);

impl Page {
    /// The page as bytes.
    #[must_use]
    pub fn packed(&self) -> Vec<u8> {
        let Tally {
            records,
            builds,
            parts,
            loose,
            scrapped,
            rows,
            skipped,
            failing,
            unjudged,
            troubles,
            errors,
            error_line,
        } = self.tally;
        let alone = [records, loose, scrapped, skipped, failing, unjudged, troubles, errors, error_line];
        let numbers = (alone, builds.numbers(), parts.numbers(), rows.numbers());
        let codes = self.codes.iter().map(|code| code.name().to_owned()).collect();
        let packed: Packed = (self.text.clone(), self.apart, numbers, codes);
        // Texts and numbers into memory: there is nothing that can fail.
        postcard::to_allocvec(&packed).unwrap_or_default()
    }

    /// The page the bytes stand for; none where they are no page.
    #[must_use]
    pub fn unpacked(bytes: &[u8]) -> Option<Page> {
        let (text, apart, numbers, codes): Packed = postcard::from_bytes(bytes).ok()?;
        let (alone, builds, parts, rows) = numbers;
        let [records, loose, scrapped, skipped, failing, unjudged, troubles, errors, error_line] = alone;
        // So many there cannot be: they would run over when they are added up.
        if alone.iter().chain(&builds).chain(&parts).chain(&rows).any(|number| *number > MOST) {
            return None;
        }
        let (builds, parts, rows) = (Counts::of_numbers(builds), Counts::of_numbers(parts), Counts::of_numbers(rows));
        let named = |name: &String| Code::ALL.iter().copied().find(|code| code.name() == *name);
        Some(Page {
            text,
            tally: Tally {
                records,
                builds,
                parts,
                loose,
                scrapped,
                rows,
                skipped,
                failing,
                unjudged,
                troubles,
                errors,
                error_line,
            },
            apart,
            codes: codes.iter().map(named).collect::<Option<_>>()?,
        })
    }
}
