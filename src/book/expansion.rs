//! How much the material of a part grows as it warms, as a book declares it.

use super::compile::Draft;
use super::{Id, Part, Texts, wording_figures};
use crate::quantity::{Dimension, Value};
use crate::syntax::tree::{ExpansionDeclaration, Expr};
use crate::text::{Place, Source};
use std::cmp::Ordering;

/// A coefficient of linear expansion.
#[derive(Clone, Debug)]
pub struct Expansion {
    /// By how much of itself a length grows for each kelvin, in 1/K.
    pub coefficient: Value,
    /// How far the true one may lie from it, either way, everything between alike (JCGM 100:2008, 4.3.7), in 1/K.
    pub half_width: Value,
    /// Where it comes from.
    pub texts: Texts,
    /// Where it is declared.
    pub place: Place,
}

impl Draft {
    /// Gives a part its expansion; a second one is a mistake.
    pub(super) fn expansion_of(&mut self, part: Id<Part>, written: &ExpansionDeclaration, source: &Source) {
        if let Some(first) = &self.book.parts.get(part).expansion {
            let finding = wording_figures::expansion_twice(source.place(written.span), &first.place);
            self.findings.push(finding);
            return;
        }
        let expansion = self.expansion(written, source);
        self.book.parts.get_mut(part).expansion = expansion;
    }

    /// `expansion …`; none, with a finding, where it is no share of a length for each kelvin.
    fn expansion(&mut self, written: &ExpansionDeclaration, source: &Source) -> Option<Expansion> {
        let texts = self.texts(&written.texts, source);
        let coefficient = self.share(&written.coefficient, source)?;
        let half_width = self.share(&written.half_width, source)?;
        Some(Expansion { coefficient, half_width, texts, place: source.place(written.span) })
    }

    fn share(&mut self, figure: &Expr, source: &Source) -> Option<Value> {
        let place = source.place(figure.span);
        let (expression, found) = self.checker(source, None, &[]).quantity(figure)?;
        if Dimension::NUMBER.quotient(Dimension::TEMPERATURE) != Some(found) {
            self.findings.push(wording_figures::expansion_dimension(found, place));
            return None;
        }
        let value = super::evaluate::evaluate(&self.book, None, &expression).ok()?;
        if value.compare(&Value::ZERO) == Some(Ordering::Less) {
            self.findings.push(wording_figures::expansion_below_zero(place));
            return None;
        }
        Some(value)
    }
}
