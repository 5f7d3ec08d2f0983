//! Every sentence about the risks of a row for a shop's own spread of parts. Refuses to know when it is said.

use super::figures::Figures;
use crate::quantity::{Number, Rounded, Unit, Value, shown_significant};
use crate::trend::Risk;

pub(super) const NONE: &str =
    "risk: no row with two known ends or one judges at least two of these values that say how well they were measured";

pub(super) const FOOT: &str = "Consumer's risk: a part is out of its limits and passes. Producer's risk: a part is within them and does not pass. \
    Both are shares of all parts, for parts that vary normally as these do, once what the measurement adds is taken off (JCGM 106:2012, 9). No \
    grade depends on them; of few builds they are a rough guess.";

/// A binary number in base units in the unit of the chart, to two digits.
pub(super) fn figure(value: f64, unit: &Unit) -> String {
    let exact = Value::from(Number::parse(&format!("{value:.30}")).unwrap_or_default());
    shown_significant(&exact, &unit.difference(), 2, Rounded::Nearest)
}

/// A probability: `2.3 %`, `under 0.01 %`.
pub(super) fn percent(probability: f64) -> String {
    let percent = 100.0 * probability;
    match percent {
        _ if percent < 0.01 => "under 0.01 %".to_owned(),
        _ if percent < 1.0 => format!("{percent:.2} %"),
        _ => format!("{percent:.1} %"),
    }
}

/// What the risks of a row rest on.
pub(super) fn heading(risk: &Risk, several: bool, figures: &Figures, unit: &Unit) -> String {
    let of = if several { format!(" of {}", risk.generation) } else { String::new() };
    let guard = if risk.guard > 0.0 {
        format!(", guard {}", figure(risk.guard, unit))
    } else {
        ", simple acceptance".to_owned()
    };
    let mean = figures.value(&risk.mean);
    let parts = match risk.deviation {
        Some(deviation) => format!("mean {mean}, deviation of the parts {}", figure(deviation, unit)),
        None => format!("mean {mean}"),
    };
    format!("risk{of} by {}{guard}: {} values, {parts}, u = {}", risk.written, risk.count, figure(risk.u, unit))
}

/// The risks, a line each.
pub(super) fn lines(risk: &Risk) -> Vec<String> {
    let mut said = Vec::new();
    match &risk.global {
        Some(global) => {
            said.push(format!("out of limits: {} of all parts", percent(global.out)));
            said.push(format!("consumer's risk: {} of all parts are out and pass", percent(global.consumer)));
            said.push(format!("producer's risk: {} of all parts are within and do not pass", percent(global.producer)));
        }
        None => said
            .push("the values scatter no more than the measurement does: how the parts vary is not known".to_owned()),
    }
    if let Some((build, probability)) = &risk.least_certain {
        said.push(format!(
            "of those that pass, {build} is the least certain: out with a probability of {}",
            percent(*probability)
        ));
    }
    if risk.unknown > 0 {
        let (values, say) = if risk.unknown == 1 { ("value is", "its") } else { ("values are", "their") };
        said.push(format!("{} more {values} left out: nobody said {say} uncertainty", risk.unknown));
    }
    said
}
