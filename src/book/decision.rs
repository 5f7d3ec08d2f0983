//! By which rule a value near a limit is decided, and how fine a gauge must be beside a range. Refuses to decide anything.

use super::compile::Draft;
use super::wording_house;
use crate::quantity::{Number, Value};
use crate::syntax::tree::{DecisionRule, Expr, JudgeDeclaration};
use crate::text::{Place, Source};

/// How a shop decides.
#[derive(Clone, Debug)]
pub struct Decision {
    /// The rule.
    pub rule: Rule,
    /// Where the shop says so; none where it says nothing.
    pub place: Option<Place>,
    /// How many times wider than the expanded uncertainty to both sides (2 U) a range with two ends must be.
    pub gauge_ratio: Number,
    /// Where the shop says so.
    pub ratio_place: Option<Place>,
}

/// The decision rules.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Rule {
    /// The value decides.
    SimpleAcceptance,
    /// A value counts as inside where it is inside by the factor times its expanded uncertainty, and as outside where it is
    /// outside by more than that. The factor is always said, since the standards differ: ISO 14253-1:2013 and ILAC-G8:2009
    /// guard by U, ISO 14253-1:2017 by 0.83 U.
    GuardBand(Number),
}

impl Default for Decision {
    /// Simple acceptance and 4 : 1, which is common practice. It keeps false acceptance under 2.3 %, and 4.6 : 1 under 2 %
    /// (ANSI/NCSL Z540.3 Handbook, Method 6).
    fn default() -> Decision {
        Decision { rule: Rule::SimpleAcceptance, place: None, gauge_ratio: Number::from_integer(4), ratio_place: None }
    }
}

impl Rule {
    /// The rule as a book says it, the factor always with it.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Rule::SimpleAcceptance => "simple acceptance".into(),
            Rule::GuardBand(factor) => format!("guard band {factor} U"),
        }
    }
}

impl Draft {
    /// `judge by …`.
    pub(super) fn judged_by(&mut self, judge: &JudgeDeclaration, source: &Source) {
        let place = source.place(judge.span);
        if let Some(first) = &self.book.decision.place {
            self.findings.push(wording_house::decision_twice(place.clone(), first));
        }
        self.book.decision.rule = match &judge.rule {
            DecisionRule::SimpleAcceptance => Rule::SimpleAcceptance,
            DecisionRule::GuardBand(factor) => Rule::GuardBand(factor.clone().unwrap_or(Number::ONE)),
        };
        self.book.decision.place = Some(place);
    }

    /// `gauges at least …`.
    pub(super) fn gauges_by(&mut self, ratio: &Expr, span: crate::text::Span, source: &Source) {
        let place = source.place(span);
        if let Some(first) = &self.book.decision.ratio_place {
            self.findings.push(wording_house::gauges_twice(place, first));
            return;
        }
        let Some((expression, _)) = self.checker(source, None, &[]).quantity(ratio) else { return };
        let value = super::evaluate::evaluate(&self.book, None, &expression).ok();
        match value.as_ref().and_then(Value::is_exact_rational) {
            Some(number) if number.signum() > 0 => {
                self.book.decision.gauge_ratio = number.clone();
                self.book.decision.ratio_place = Some(place);
            }
            _ => self.findings.push(wording_house::ratio_of_nothing(place)),
        }
    }
}
