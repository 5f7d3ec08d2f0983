//! Where the members of a book begin, by its tree. Refuses to know what is inside them.

use super::token::{Shape, Token};
use crate::syntax::tree::{
    FitsMember, GenerationMember, HouseMember, Item, PartDeclaration, PartMember, Tree, TryMember,
};
use std::collections::BTreeSet;

/// The first bytes of everything that gets a line of its own.
pub(super) fn starts(tree: &Tree, tokens: &[Token]) -> BTreeSet<usize> {
    let mut starts = Starts { tokens, set: BTreeSet::new() };
    if let Some(header) = &tree.header {
        starts.add(header.span.start);
    }
    for item in &tree.items {
        starts.item(item);
    }
    starts.set
}

struct Starts<'a> {
    tokens: &'a [Token],
    set: BTreeSet<usize>,
}

impl Starts<'_> {
    fn add(&mut self, start: u32) {
        self.set.insert(start as usize);
    }

    /// For what the tree knows only by what stands after its word.
    fn add_word_before(&mut self, start: u32) {
        let place = self.tokens.partition_point(|token| token.start < start as usize);
        let before = self.tokens.get(..place).unwrap_or(&[]);
        if let Some(word) = before.iter().rfind(|token| token.shape != Shape::Comment) {
            self.set.insert(word.start);
        }
    }

    fn item(&mut self, item: &Item) {
        let span = match item {
            Item::Use(it) => it.span,
            Item::Unit(it) => it.span,
            Item::Set(it) => it.span,
            Item::Constant(it) => it.span,
            Item::Formula(it) => it.span,
            Item::Table(it) => it.span,
            Item::Extend(it) => it.span,
            Item::Source(it) => it.span,
            Item::Caution(it) => it.span,
            Item::PlausibleGauges(it) => it.span,
            Item::Part(part) => return self.part(part),
            Item::Generation(it) => {
                for member in &it.members {
                    let span = match member {
                        GenerationMember::Constant { span, .. } | GenerationMember::Fitted { span, .. } => *span,
                        GenerationMember::Telltale(line) | GenerationMember::Plausible(line) => line.span,
                        GenerationMember::Rework(line) => line.span,
                        GenerationMember::Row(row) => row.span,
                    };
                    self.add(span.start);
                }
                it.span
            }
            Item::House(it) => {
                it.members.iter().for_each(|member| self.house(member));
                it.span
            }
            Item::Try(it) => {
                it.members.iter().for_each(|member| self.tried(member));
                it.span
            }
            Item::Fits(it) => {
                for member in &it.members {
                    let (FitsMember::Sizes { span, .. }
                    | FitsMember::Grade { span, .. }
                    | FitsMember::Deviations { span, .. }) = member;
                    self.add(span.start);
                }
                it.span
            }
        };
        self.add(span.start);
    }

    /// Parts nest no deeper than brackets may.
    fn part(&mut self, part: &PartDeclaration) {
        self.add(part.span.start);
        if let Some(measure) = &part.measure {
            self.add(measure.span.start);
        }
        for member in &part.members {
            match member {
                PartMember::Reading(reading) => self.add(reading.span.start),
                PartMember::Derive(derive) => self.add(derive.span.start),
                PartMember::Expansion(expansion) => self.add(expansion.span.start),
                PartMember::Part(part) => self.part(part),
            }
        }
    }

    fn house(&mut self, member: &HouseMember) {
        match member {
            HouseMember::Judge(judge) => self.add(judge.span.start),
            HouseMember::Gauges { span, .. } => self.add(span.start),
            HouseMember::For(block) => {
                // One that is retired for some generations has its word first, and that is where both begin.
                self.add(block.span.start);
                block.overlays.iter().for_each(|overlay| self.add(overlay.word.start));
                block.narrowed.iter().for_each(|line| self.add(line.span.start));
            }
        }
    }

    fn tried(&mut self, member: &TryMember) {
        match member {
            TryMember::Generation(name) => self.add_word_before(name.span.start),
            TryMember::Finished(_, span) | TryMember::Given { span, .. } | TryMember::Expect { span, .. } => {
                self.add(span.start)
            }
        }
    }
}
