//! Every sentence of the room `judge` about how well something was measured.

use super::ruling_report::ReportContext;
use super::swapped::Swapped;
use super::uncertainty::{Apart, Coarse, Uncertainty, Weighing, settles};
use super::{Found, Ruling, Side, rounding, warmth, weighed, wording};
use crate::bind::{Reading, Readings};
use crate::book::{Book, Datum};
use crate::finding::{Code, Finding, NoteKind};
use crate::plan::{Plan, Subject};
use crate::quantity::{Number, Rounded, Side as BandSide, Unit, Value, shown, shown_significant};

/// An expanded uncertainty as text: two digits, rounded up.
pub(super) fn expanded(uncertainty: &Uncertainty, unit: &Unit) -> String {
    shown_significant(&uncertainty.expanded(), unit, 2, Rounded::Up)
}

/// "is 0.098 mm ± 0.006 mm, too near an end of its limit of at least 0.10 mm to be settled by guard band 1 U", or "is
/// 0.121 mm ± 0.003 mm, inside its limit; good or worn: too near an end of its standard range of … to tell by guard band 1 U".
pub(super) fn guarded(context: &ReportContext<'_>) -> String {
    let value = context.numbers().map_or_else(String::new, wording::value_words);
    let doubt = weighed::uncertainty(context)
        .map(|uncertainty| format!(" ± {}", expanded(&uncertainty, &context.unit().difference())))
        .unwrap_or_default();
    // Not by the grade: a concession may excuse it.
    let good_or_worn =
        matches!(context.ruling.found, Found::Guarded { limit: false, .. }) && context.row().limit.is_some();
    if weighed::is_boundless(context) {
        let still = if good_or_worn { "; it is inside its limit, and good or worn" } else { "" };
        return format!(
            "is {value}, but its uncertainty cannot be calculated: it comes from a root or an angle right at the end of its range{still}"
        );
    }
    let (tier, range) = match context.tier() {
        Some((limit, range, check)) => (
            if limit { context.row().limit_word() } else { "standard range" },
            wording::range_and_ends(context, range, check),
        ),
        None => ("range", String::new()),
    };
    let rule = context.book.decision.rule.words();
    let (value, at) = match value.strip_suffix(warmth::AT_REFERENCE) {
        Some(value) => (value, warmth::AT_REFERENCE),
        None => (value.as_str(), ""),
    };
    if good_or_worn {
        return format!(
            "is {value}{doubt}{at}, inside its {}; good or worn: too near an end of its {tier} of {range} to tell by {rule}",
            context.row().limit_word()
        );
    }
    format!("is {value}{doubt}{at}, too near an end of its {tier} of {range} to be settled by {rule}")
}

/// What would settle a value that is too near an end.
pub(super) fn settled_by(context: &ReportContext<'_>) -> Option<String> {
    let Found::Guarded { side, .. } = context.ruling.found else { return None };
    let (_, range, check) = context.tier()?;
    let band = context.band(check)?;
    let band = rounding::accepted(context.check, &band);
    let Some(Datum::Quantity(value)) = &context.ruling.value else { return None };
    let ends = weighed::ends(context, check)?;
    if weighed::is_boundless(context) {
        return Some(
            "measure again; if it stays at the end, write a row that judges the value the root or angle is taken of"
                .into(),
        );
    }
    let (form, uncertainty) = if side == Side::Below { ends.low } else { ends.high };
    let uncertainty = uncertainty?;
    let at = if side == Side::Below { BandSide::Below } else { BandSide::Above };
    let factor = weighed::factor(context);
    let settles = settles(&context.weighing, (&band, value, at), (&form, &uncertainty, &factor))?;
    let unit = context.unit();
    let difference = unit.difference();
    let finest = |value: &Value| shown_significant(value, &difference, 2, Rounded::Down);
    let then = if settles.inside { "inside" } else { "outside" };
    let finer = match (&settles.gauge, &settles.finer) {
        (Some(gauge), _) => {
            Some(format!("with a gauge whose uncertainty is {} or better (it would then be {then})", finest(gauge)))
        }
        (None, Some(finer)) => Some(format!("by measuring to ± {} or better (it would then be {then})", finest(finer))),
        (None, None) => None,
    };
    let direct = matches!(context.check.subject, Subject::Slot { .. } | Subject::Each { .. }) && context.is_reading();
    let what = if direct { "a reading".to_string() } else { format!("a {}", context.name_words()) };
    let wide = {
        let guard = uncertainty.expanded().multiply(&Value::from(factor.clone()));
        shown_significant(&guard, &difference, 2, Rounded::Up)
    };
    let other = match &settles.room {
        None => {
            let text = wording::range_text(range);
            return Some(match finer {
                Some(finer) => format!(
                    "settle it {finer}; as it is measured now, no value can be inside: {text} is too narrow for a guard band of {wide} at each end"
                ),
                None => format!(
                    "measure it with a finer gauge: no value can be inside, because {text} is too narrow for a guard band of {wide} at each end"
                ),
            });
        }
        // Rounded to the side where it is surely inside.
        Some((Some(low), _)) if side == Side::Below => format!("{what} of at least {}", inward(low, &unit, true)),
        Some((_, Some(high))) if side != Side::Below => format!("{what} of at most {}", inward(high, &unit, false)),
        Some(_) => return finer.map(|finer| format!("settle it {finer}")),
    };
    Some(match finer {
        Some(finer) => format!("settle it {finer}, or with {other} (inside)"),
        None => format!("settle it with {other} (inside); at the very end no gauge is fine enough"),
    })
}

/// A value rounded up, or down, to a step that is small beside a guard.
fn inward(value: &Value, unit: &Unit, up: bool) -> String {
    const PLACES: u32 = 5;
    let inside = unit.from_base(value).enclosure();
    let exact = if up { inside.high } else { inside.low };
    for places in 0..PLACES {
        let text = exact.to_decimal(places);
        let rounded = Number::parse(&text).unwrap_or_default();
        let off = (&rounded - &exact).abs();
        let on_its_side = if up { rounded >= exact } else { rounded <= exact };
        // A hundredth of a value's last figure is nothing to a gauge; nearer is not asked for.
        if on_its_side && off <= Number::ratio(1, 2_000).unwrap_or_default() {
            return shown(&unit.to_base(&rounded), unit, places);
        }
    }
    let scale = Number::from_integer(10_i64.pow(PLACES));
    let text = exact.to_decimal(PLACES);
    let rounded = Number::parse(&text).unwrap_or_default();
    let step = Number::ONE.checked_div(&scale).unwrap_or_default();
    let safe = match up {
        true if rounded < exact => &rounded + &step,
        false if rounded > exact => &rounded - &step,
        _ => rounded,
    };
    shown(&unit.to_base(&safe), unit, PLACES)
}

/// Rows under a guard band that rest on readings of unknown uncertainty; one finding for all.
pub(super) fn unweighed(
    weighing: &Weighing<'_>,
    plan: &Plan,
    rulings: &[Ruling],
    incomplete: &[usize],
) -> Option<Finding> {
    let first = rulings.get(*incomplete.first()?)?;
    let check = plan.checks.get(first.check)?;
    let context = weighing.context(check, first);
    let rule = weighing.book.decision.rule.words();
    let subject = context.subject_words();
    let message = match incomplete.len() {
        1 => format!("{subject} is not fully judged by {rule}: the uncertainty of a reading is missing"),
        rows => format!(
            "{subject} and {} more are not fully judged by {rule}: the uncertainty of some readings is missing",
            rows - 1
        ),
    };
    let mut finding = Finding::new(Code::UncertaintyMissing, message);
    if let Some(place) = context.unweighed_place() {
        finding = finding.at(place, "by which gauge?");
    }
    if let Some(place) = &weighing.book.decision.place {
        finding = finding.since(place.clone(), "required here");
    }
    Some(finding.help(
        "write the gauge beside the value, `{ value: VALUE, gauge: NAME }`, and give that gauge its `uncertainty` in the record or in gauges.yaml; or give the reading an `uncertainty` of its own",
    ))
}

/// Ranges too narrow for what they judge: one finding a row, the coarsest position told.
pub(super) fn coarse(weighing: &Weighing<'_>, plan: &Plan, rulings: &[Ruling], found: &[Coarse]) -> Vec<Finding> {
    let mut rows: Vec<(&Coarse, usize)> = Vec::new();
    let row = |coarse: &Coarse| {
        let check = plan.checks.get(rulings.get(coarse.ruling)?.check)?;
        Some(std::sync::Arc::as_ptr(&check.row))
    };
    for coarse in found {
        match rows.iter_mut().find(|(other, _)| row(other) == row(coarse)) {
            Some((worst, count)) => {
                *count += 1;
                if worst.is_finer_than(coarse) {
                    *worst = coarse;
                }
            }
            None => rows.push((coarse, 1)),
        }
    }
    rows.into_iter().filter_map(|(coarse, count)| one_coarse(weighing, plan, rulings, coarse, count)).collect()
}

fn one_coarse(
    weighing: &Weighing<'_>,
    plan: &Plan,
    rulings: &[Ruling],
    coarse: &Coarse,
    count: usize,
) -> Option<Finding> {
    let ruling = rulings.get(coarse.ruling)?;
    let check = plan.checks.get(ruling.check)?;
    let context = weighing.context(check, ruling);
    let unit = context.unit().difference();
    let root = crate::quantity::function::sqrt(&coarse.expanded_squared)?;
    let expanded = shown_significant(&root, &unit, 2, Rounded::Up);
    let width = exactly(&coarse.width, &unit);
    let tier = if coarse.limit { context.row().limit_word() } else { "standard range" };
    let range = if coarse.limit { context.row().limit.as_ref() } else { context.row().standard.as_ref() }?;
    let wanted = &weighing.book.decision.gauge_ratio;
    let also = if count > 1 { format!("; this is the coarsest of {count} positions") } else { String::new() };
    let ratio = coarse.ratio()?.to_decimal(1);
    let ratio = ratio.strip_suffix(".0").unwrap_or(&ratio);
    let twice = shown_significant(&root.multiply(&Value::from(Number::from_integer(2))), &unit, 2, Rounded::Up);
    let message = format!(
        "{} is measured to ± {expanded}, a span of {twice}, but its {tier} is only {width} wide: {ratio} : 1, where {wanted} : 1 \
         is required{also}",
        context.subject_words(),
    );
    let needed = coarse.width.divide(&Value::from(wanted * &Number::from_integer(2)))?;
    let needed = shown_significant(&needed, &unit, 2, Rounded::Down);
    let mut finding = Finding::new(Code::GaugeCoarse, message);
    if let Some(place) = context.first_place() {
        finding = finding.at(place, "measured here");
    }
    Some(finding.since(range.place.clone(), "for this range").help(format!(
        "measure it to ± {needed} or better; to require another ratio, write `gauges at least RATIO : 1` in the house"
    )))
}

/// A reading that stands apart from the others of its slot.
pub(super) fn apart(book: &Book, readings: &Readings, apart: &Apart) -> Finding {
    let taken = readings.taken(apart.slot);
    let path = path_words(book, apart.slot);
    let written = taken.get(apart.number).map(|reading| warmth::written(readings, reading)).unwrap_or_default();
    let others = the_others(readings, taken, apart.number);
    let mut finding = Finding::new(
        Code::ReadingApart,
        format!("{path}: one of {} readings is an outlier: {written}; the others are {others}", taken.len()),
    );
    if let Some(reading) = taken.get(apart.number) {
        finding = finding.at(readings.place(reading.span), "outlier");
    }
    finding
        .help("check whether it was misread or mistyped, and measure there again; if the part really is like that, leave the reading in: it counts")
        .note(
            NoteKind::Remark,
            format!("Grubbs' test at 5 %: G = {:.2}, more than {:.2}", apart.statistic, apart.critical),
        )
}

/// A reading far from all its like that would be among them with two digits swapped.
pub(super) fn swapped(book: &Book, readings: &Readings, swapped: &Swapped) -> Finding {
    let written = |(slot, number): (usize, usize)| {
        readings.taken(slot).get(number).map(|reading| warmth::written(readings, reading)).unwrap_or_default()
    };
    let value = written((swapped.slot, swapped.number));
    let (least, greatest) = (written(swapped.least), written(swapped.greatest));
    let others = if least == greatest { least } else { format!("{least} to {greatest}") };
    let mut finding = Finding::new(
        Code::DigitsSwapped,
        format!(
            "{}: {value} may have two digits swapped; the other {} are {others}",
            path_words(book, swapped.slot),
            swapped.others
        ),
    );
    if let Some(reading) = readings.taken(swapped.slot).get(swapped.number) {
        finding = finding.at(readings.place(reading.span), format!("{}?", swapped.instead));
    }
    finding.help(format!(
        "measure there again: if it is {}, write that; if {value} is right, leave it (it counts) and write `confirmed: NAME` beside it",
        swapped.instead
    ))
}

/// "rotor front apex seal 2: height at middle".
fn path_words(book: &Book, slot: usize) -> String {
    book.slot_owner(slot).map_or_else(String::new, |(id, positions, station)| {
        let characteristic = book.characteristics.get(id);
        let words = book.part_path(characteristic.part, &positions, " ").replace('_', " ");
        let mut name = characteristic.name.replace('_', " ");
        if let Some(station) = station.and_then(|number| characteristic.stations().get(usize::from(number))) {
            name = format!("{name} at {}", station.replace('_', " "));
        }
        if words.is_empty() { name } else { format!("{words}: {name}") }
    })
}

/// From the smallest to the largest of the readings but one, as they are written.
fn the_others(readings: &Readings, taken: &[Reading], but: usize) -> String {
    let mut rest: Vec<(&Value, String)> = taken
        .iter()
        .enumerate()
        .filter(|(number, _)| *number != but)
        .filter_map(|(_, reading)| match &reading.datum {
            Datum::Quantity(value) => Some((value, warmth::written(readings, reading))),
            _ => None,
        })
        .collect();
    rest.sort_by(|(one, _), (other, _)| one.compare(other).unwrap_or(std::cmp::Ordering::Equal));
    match (rest.first(), rest.last()) {
        (Some((_, first)), Some((_, last))) if first == last => first.clone(),
        (Some((_, first)), Some((_, last))) => format!("{first} to {last}"),
        _ => String::new(),
    }
}

/// A width with as many digits as it has, to six.
fn exactly(value: &Value, unit: &Unit) -> String {
    const MOST: u32 = 6;
    let places = unit.from_base(value).is_exact_rational().and_then(Number::decimal_places);
    shown(value, unit, places.unwrap_or(MOST).min(MOST))
}
