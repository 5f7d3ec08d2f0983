//! Every sentence of the room `bind` about gauges that are wrong together.

use super::wording::short;
use super::wording_gauge::NOTHING_KNOWN;
use super::{Correlated, Gauge};
use crate::finding::{Code, Finding, NoteKind, did_you_mean, list, nearest};
use crate::text::Place;

/// What becomes of gauges whose certificates do not go together.
const NONE_KNOWN: &str = "until it is corrected, the uncertainty of these gauges counts as not known";

pub(super) fn shape(place: Place) -> Finding {
    Finding::new(Code::ShapeWrong, "`correlated` names other gauges, each with its correlation coefficient")
        .at(place, "not a coefficient")
        .help("write `correlated: { mic-25-50: 0.6 }`")
        .note(NoteKind::Remark, NOTHING_KNOWN)
}

pub(super) fn with_itself(gauge: &str, place: Place) -> Finding {
    Finding::new(Code::ShapeWrong, format!("gauge {} is correlated with itself", short(gauge)))
        .at(place, "the same gauge")
        .help("name the other gauge; what the readings of one gauge share is counted already")
        .note(NoteKind::Remark, NOTHING_KNOWN)
}

pub(super) fn coefficient(place: Place) -> Finding {
    let message =
        format!("a correlation coefficient is a number from -1 to 1, and `{}` is not", short(place.text().trim()));
    Finding::new(Code::NumberUnreadable, message)
        .at(place, "not from -1 to 1")
        .help("write what the certificate says, such as `0.6`")
        .note(NoteKind::Remark, NOTHING_KNOWN)
}

/// `correlated` beside no uncertainty.
pub(super) fn nothing_correlated(gauge: &str, place: Place) -> Finding {
    Finding::new(Code::ShapeWrong, format!("gauge {} says `correlated` and no uncertainty", short(gauge)))
        .at(place, "no uncertainty")
        .help("add `uncertainty: …`, which is correlated; or take it away")
}

pub(super) fn unknown(gauge: &str, said: &Correlated, names: &[&str]) -> Finding {
    let others = names.iter().copied().filter(|name| *name != gauge);
    let help = did_you_mean(nearest(&said.gauge, others))
        .unwrap_or_else(|| "correct the name; a gauge that is not used any more may be left out".to_owned());
    let message = format!(
        "gauge {} is correlated with `{}`, and no gauge of that name is listed",
        short(gauge),
        short(&said.gauge)
    );
    Finding::new(Code::GaugeUnknown, message).at(said.place.clone(), "not listed").help(help)
}

pub(super) fn contradiction((one, other): (&str, &str), said: &Correlated, before: &Correlated) -> Finding {
    let message = format!(
        "the correlation of gauges {} and {} is given twice, as {} and as {}",
        short(other),
        short(one),
        before.coefficient,
        said.coefficient
    );
    Finding::new(Code::GaugeCorrelation, message)
        .at(said.place.clone(), "another")
        .since(before.place.clone(), "stated here")
        .help("it is enough to state it with one of the two: take the wrong one away")
        .note(NoteKind::Remark, NONE_KNOWN)
}

/// Coefficients that cannot hold together; `None` if nobody states any.
pub(super) fn impossible(gauges: &[&Gauge]) -> Option<Finding> {
    let message = format!("the correlations of {} cannot all be true", names(gauges));
    let finding = at_statements(Finding::new(Code::GaugeCorrelation, message), gauges)?;
    let finding = finding
        .help("check the coefficients and their signs: two gauges that both go with a third also go with each other");
    Some(
        finding
            .note(NoteKind::Remark, "with them, some values would have a variance below zero (JCGM 100:2008, 5.2.2)")
            .note(NoteKind::Remark, NONE_KNOWN),
    )
}

pub(super) fn too_many(gauges: &[&Gauge], most: usize) -> Option<Finding> {
    let message = format!("{} gauges are correlated with each other, and at most {most} can be checked", gauges.len());
    let finding = at_statements(Finding::new(Code::GaugeCorrelation, message), gauges)?;
    Some(finding.help("state the strongest correlations only").note(NoteKind::Remark, NONE_KNOWN))
}

/// With the first statement as its place, and the others, as far as people read them, since.
fn at_statements(finding: Finding, gauges: &[&Gauge]) -> Option<Finding> {
    let mut statements = gauges.iter().flat_map(|gauge| &gauge.correlated);
    let first = statements.next()?;
    let finding = finding.at(first.place.clone(), format!("with {}", short(&first.gauge)));
    Some(
        statements
            .take(2)
            .fold(finding, |finding, said| finding.since(said.place.clone(), format!("with {}", short(&said.gauge)))),
    )
}

fn names(gauges: &[&Gauge]) -> String {
    let shown: Vec<String> = gauges.iter().take(4).map(|gauge| short(&gauge.name)).collect();
    match gauges.len().saturating_sub(shown.len()) {
        0 => list(shown.iter().map(String::as_str), "and"),
        more => format!("{} and {more} more", shown.join(", ")),
    }
}
