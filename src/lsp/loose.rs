//! Files of loose parts in the editor: which part the cursor is in, where its keys lead, and what its rows come to.

use super::keys::{Keys, Led, lead, lead_from};
use super::seen::Seen;
use crate::bind::{self, LoosePart};
use crate::finding::Finding;
use crate::judge::{GradeSet, RulingReport};
use crate::record::{self, Record};
use crate::shop::{Ask, Checked};

impl Seen {
    /// The parts of an open file of loose parts; `None` for any other file.
    fn loose_parts(&self) -> Option<Vec<LoosePart>> {
        let source = &self.document.source;
        let sheet = record::read(source).0?;
        bind::is_loose(&self.shop.book, &sheet).then(|| bind::loose_parts(&self.shop.book, &sheet, source).0)
    }

    /// The part that a byte is in, and its number in the file.
    fn part_at(&self, offset: usize) -> Option<(usize, LoosePart)> {
        let at = u32::try_from(offset).ok()?;
        let parts = self.loose_parts()?;
        let found = parts.into_iter().enumerate();
        found.into_iter().find(|(_, part)| part.number.is_none() || part.span.start <= at && at <= part.span.end)
    }

    /// Where keys of a record lead.
    pub(super) fn led(&self, keys: &Keys) -> Option<Led> {
        let steps = keys.steps.iter().map(|(key, _)| key.as_str());
        match self.part_of(keys) {
            Some((_, part)) => {
                lead_from(&self.shop.book, Led::Part(part.part, false), steps.skip(usize::from(part.number.is_some())))
            }
            None => lead(&self.shop.book, steps),
        }
    }

    /// Keys of a record as the path of a reading, that of its part before them.
    pub(super) fn path(&self, keys: &Keys) -> String {
        let Some((_, part)) = self.part_of(keys) else { return keys.path() };
        let steps = keys.steps.iter().map(|(key, _)| key.as_str()).skip(usize::from(part.number.is_some()));
        let above = self.shop.book.part_path(part.part, &[], ".");
        std::iter::once(above.as_str()).chain(steps).collect::<Vec<_>>().join(".")
    }

    /// The loose part that keys belong to.
    pub(super) fn part_of(&self, keys: &Keys) -> Option<(usize, LoosePart)> {
        self.part_at(keys.steps.last()?.1.start as usize)
    }

    /// What an open record comes to: a build, or each of its loose parts.
    pub(super) fn checked(&self, rulings: bool) -> Vec<Checked> {
        let ask = Ask { tell: GradeSet::NONE, rulings, as_of: None };
        self.shop.check_all(&Record::of(self.document.source.clone()), &ask, &[])
    }

    /// What is wrong with how an open record is written.
    pub(super) fn mistakes(&self) -> Vec<Finding> {
        self.checked(false).into_iter().flat_map(|checked| checked.findings).collect()
    }

    /// Every ruling on a loose part, by its number in the file, or on all of them; `None` if the file is about no loose part.
    pub(super) fn rulings_of_parts(&self, number: Option<usize>) -> Option<Vec<RulingReport>> {
        self.loose_parts()?;
        let parts = self.checked(true).into_iter().enumerate();
        let meant = parts.filter(|(at, _)| number.is_none_or(|number| number == *at));
        Some(meant.flat_map(|(_, checked)| checked.rulings).collect())
    }
}
