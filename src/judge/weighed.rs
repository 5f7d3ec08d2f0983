//! What the uncertainty of a ruling's value comes to, as text: how far it may be off, in which zone of each tier it lies, and
//! how probably the true value is inside.

use super::ruling_report::ReportContext;
use super::uncertainty::{Ends, Uncertainty, Zone, conformance};
use super::{rounding, wording_uncertainty};
use crate::book::Datum;
use crate::book::decision::Rule;
use crate::plan::CheckRange;
use crate::quantity::Number;

/// The uncertainty of a value, for machine output and sheets.
#[derive(Clone, PartialEq, Debug)]
pub struct Weighed {
    /// The expanded uncertainty with its unit, to two digits, rounded up.
    pub expanded: String,
    /// The coverage factor it is expanded by, for 95.45 %.
    pub factor: String,
    /// The effective degrees of freedom, rounded down; none where they are as good as without end.
    pub degrees_of_freedom: Option<String>,
    /// Whether a reading is in it of which nobody said how well it was taken.
    pub incomplete: bool,
    /// The decision rule, its factor always with it.
    pub rule: String,
    /// The value beside the limit.
    pub limit: Option<TierWeighed>,
    /// The value beside the standard range.
    pub standard: Option<TierWeighed>,
    /// What would settle it, where it is not settled.
    pub settled_by: Option<String>,
}

/// A value beside one tier.
#[derive(Clone, PartialEq, Debug)]
pub struct TierWeighed {
    /// The zone, guarded by the rule's factor, or by the uncertainty itself where the rule has none.
    pub zone: Zone,
    /// The probability that the true value is inside, as text.
    pub probability: String,
}

/// The ends of the tier that decided, weighed; none where the value is no quantity.
pub(super) fn ends(context: &ReportContext<'_>, range: &CheckRange) -> Option<Ends> {
    if !matches!(context.ruling.value, Some(Datum::Quantity(_))) || !context.readings.are_weighed() {
        return None;
    }
    let form = context.weighing.subject(&context.check.subject, context.ruling.reading);
    Some(context.weighing.ends(&form, range))
}

/// What a ruling's value comes to; none where nothing in it is uncertain as far as anybody said.
pub(super) fn uncertainty(context: &ReportContext<'_>) -> Option<Uncertainty> {
    if !matches!(context.ruling.value, Some(Datum::Quantity(_))) || !context.readings.are_weighed() {
        return None;
    }
    context.weighing.uncertainty(&context.weighing.subject(&context.check.subject, context.ruling.reading))
}

/// Whether the value of the tier that decided hangs on something whose derivative has no bound.
pub(super) fn is_boundless(context: &ReportContext<'_>) -> bool {
    let ends = context.tier().and_then(|(_, _, check)| ends(context, check));
    ends.is_some_and(|ends| ends.low.0.boundless || ends.high.0.boundless)
}

/// The factor the zones are guarded by.
pub(super) fn factor(context: &ReportContext<'_>) -> Number {
    match &context.book.decision.rule {
        Rule::GuardBand(factor) => factor.clone(),
        Rule::SimpleAcceptance => Number::ONE,
    }
}

/// What a ruling's uncertainty comes to.
pub(super) fn weighed(context: &ReportContext<'_>) -> Option<Weighed> {
    let Some(Datum::Quantity(value)) = &context.ruling.value else { return None };
    let factor = factor(context);
    let tier = |range: &Option<CheckRange>| {
        let range = range.as_ref()?;
        let ends = ends(context, range)?;
        let at = (ends.low.1.as_ref(), ends.high.1.as_ref());
        if at.0.is_none() && at.1.is_none() {
            return None;
        }
        let band = context.band(range)?;
        let weighed = conformance(&rounding::accepted(context.check, &band), value, at, &factor)?;
        Some(TierWeighed { zone: weighed.zone, probability: probability(weighed.probability) })
    };
    // A value known exactly may still have a bound that is not: that is what counts then.
    let of_bounds = || {
        let ranges = [&context.check.limit, &context.check.standard].into_iter().flatten();
        ranges.filter_map(|range| ends(context, range)).find_map(|ends| ends.low.1.or(ends.high.1))
    };
    let uncertainty = uncertainty(context).or_else(of_bounds)?;
    Some(Weighed {
        expanded: wording_uncertainty::expanded(&uncertainty, &context.unit().difference()),
        factor: uncertainty.factor.to_string(),
        degrees_of_freedom: uncertainty.degrees_of_freedom.as_ref().map(|freedom| freedom.floor_number().to_string()),
        incomplete: uncertainty.incomplete,
        rule: context.book.decision.rule.words(),
        limit: tier(&context.check.limit),
        standard: tier(&context.check.standard),
        settled_by: wording_uncertainty::settled_by(context),
    })
}

/// A probability as text: four places, and never a certainty that it is not.
fn probability(probability: f64) -> String {
    if probability > 0.9999 {
        "over 0.9999".into()
    } else if probability < 0.0001 {
        "under 0.0001".into()
    } else {
        format!("{probability:.4}")
    }
}
