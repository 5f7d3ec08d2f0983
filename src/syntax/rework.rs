//! Makes operations of what pest matched. Refuses to look anything up.

use pest::iterators::Pair;

use super::expression::Lower;
use super::grammar::Rule;
use super::tree::{Expr, Follower, ReworkAction, ReworkLine, Texts};

impl Lower<'_> {
    /// `rework NAME : PATH …`, still without sentences.
    pub(super) fn rework_line(&mut self, pair: &Pair<'_, Rule>) -> Option<ReworkLine> {
        let mut action = None;
        let mut followers = Vec::new();
        for inner in pair.clone().into_inner() {
            let span = self.span(&inner);
            match inner.as_rule() {
                Rule::replaced_word => action = Some(ReworkAction::Replaced(span)),
                Rule::less_word | Rule::more_word => {
                    action = Some(ReworkAction::Change { more: inner.as_rule() == Rule::more_word, most: None, span });
                }
                Rule::sum => {
                    let bound = self.value(&inner)?;
                    if let Some(ReworkAction::Change { most, span, .. }) = &mut action {
                        (*most, *span) = (Some(bound), span.to(self.span(&inner)));
                    }
                }
                Rule::set_of_sizes => {
                    let mut figures = self.sums(&inner)?.into_iter();
                    let (first, last, step) = (figures.next()?, figures.next()?, figures.next()?);
                    action = Some(ReworkAction::Sizes { first, last, step, span });
                }
                Rule::follower => {
                    let by = match self.find(&inner, Rule::signed) {
                        Some(by) => Some(self.signed(&by)?),
                        None => None,
                    };
                    followers.push(Follower { path: self.path(&self.find(&inner, Rule::path)?), by, span });
                }
                _ => {}
            }
        }
        Some(ReworkLine {
            replace: self.find(pair, Rule::replace_word).map(|word| self.span(&word)),
            name: self.new_name(pair)?,
            path: self.path(&self.find(pair, Rule::path)?),
            action: action?,
            followers,
            texts: Texts::default(),
            span: self.span(pair),
        })
    }

    fn sums(&mut self, pair: &Pair<'_, Rule>) -> Option<Vec<Expr>> {
        let mut sums = Vec::new();
        for inner in pair.clone().into_inner().filter(|inner| inner.as_rule() == Rule::sum) {
            sums.push(self.value(&inner)?);
        }
        Some(sums)
    }
}
