//! Every sentence about a gauge study, and about means and ranges of small groups. Refuses to know when it is said.

use super::super::wording::number_of;
use super::figures::Figures;
use crate::finding::list;
use crate::quantity::{Number, Value, function};
use crate::statistics::control::Subgroups;
use crate::statistics::study::POOLED_ABOVE;
use crate::trend::{Chart, GaugeStudy, Subgrouped, Unfit};
use std::cmp::Ordering;

/// Of what is beyond so many sentences are told, the latest; the table shows all.
const MOST_TOLD: usize = 10;

/// More names than this are counted.
const MOST_NAMED: usize = 6;

pub(super) const METHOD: &str = "The parts of the scatter are found by a two-way analysis of variance with interaction, people and \
    parts taken at random (AIAG, Measurement Systems Analysis, 4th edition 2010, chapter III; from memory, unverified). Shares \
    of the variance add up; deviations do not. What a study finds holds for these people, this gauge and parts like these; of \
    fewer than ten parts and three people it is a first guess.";

pub(super) const SUBGROUPS: &str = "The limits come from how much the values within one record differ (NIST/SEMATECH e-Handbook of \
    Statistical Methods, 6.3.2.1; constants of ISO 7870-2:2013, Table 2). Where those are one part measured again, they show the \
    gauge, and every real difference between parts lies beyond them. They are not a tolerance: `trochoid check` judges.";

pub(super) fn unfit(unfit: &Unfit) -> String {
    match unfit {
        Unfit::Nameless(1, build) => format!("no study: {build} does not say who measured it"),
        Unfit::Nameless(count, build) => {
            format!("no study: {count} values do not say who measured them, {build} the first")
        }
        Unfit::OnePerson(None) => "no study: there are no values".to_owned(),
        Unfit::OnePerson(Some(name)) => {
            format!("no study: only {name} measured; it takes two at least, and the same parts")
        }
        Unfit::OnePart(name) => format!("no study: only {name} was measured; it takes two parts at least"),
        Unfit::Once => {
            "no study: everybody measured each part once; it takes twice at least, without looking at the first"
                .to_owned()
        }
        Unfit::Uneven(lacking, often) => {
            let cells =
                lacking.iter().take(MOST_NAMED).map(|(person, part, count)| format!("{person} {part} ({count})"));
            let cells: Vec<String> = cells.collect();
            let more = lacking.len().saturating_sub(MOST_NAMED);
            let more = if more > 0 { format!(" and {more} more") } else { String::new() };
            format!(
                "no study: everybody must measure every part equally often, here {often} times; too few: {}{more}",
                cells.join(", ")
            )
        }
    }
}

pub(super) fn heading(found: &GaugeStudy, by: &str) -> String {
    let study = &found.study;
    format!(
        "gauge study by {by}: {} measured {} {} times each ({})",
        list(found.people.iter().map(String::as_str), "and"),
        number_of(study.parts, "part"),
        study.repeats,
        number_of(study.people * study.parts * study.repeats, "reading")
    )
}

fn root(variance: &Value) -> Value {
    function::sqrt(variance).unwrap_or_default()
}

fn share(part: &Value, whole: &Value) -> f64 {
    part.divide(whole).map_or(0.0, |share| share.midpoint().to_f64())
}

/// Where the scatter comes from: what, its deviation, its share of the variance.
pub(super) fn rows(found: &GaugeStudy, figures: &Figures) -> Vec<Vec<String>> {
    let of = &found.study.components;
    let total = of.total();
    let row = |what: &str, variance: &Value| {
        let deviation = if *variance == Value::ZERO { "none".to_owned() } else { figures.distance(&root(variance)) };
        vec![what.to_owned(), deviation, format!("{:.1} %", 100.0 * share(variance, &total))]
    };
    let head = ["where the scatter comes from", "deviation", "share of the variance"].map(str::to_owned).to_vec();
    let mut rows = vec![head, row("the same person again (repeatability)", &of.repeat)];
    rows.push(row("one person and another", &of.person));
    rows.push(row("some people with some parts", &of.interaction));
    rows.push(row("between people in all (reproducibility)", &of.reproducibility()));
    rows.push(row("measuring in all", &of.measuring()));
    rows.push(row("one part and another", &of.part));
    rows.push(row("everything", &total));
    rows
}

/// The mean of each, and how far it lies from that of all.
pub(super) fn people(found: &GaugeStudy, figures: &Figures) -> Vec<Vec<String>> {
    let study = &found.study;
    let each = found.people.iter().zip(&study.means).map(|(name, mean)| {
        let off = mean.subtract(&study.mean);
        let side = match off.compare(&Value::ZERO) {
            Some(Ordering::Less) => format!("{} below the mean of all", figures.distance(&off.absolute())),
            Some(Ordering::Greater) => format!("{} above the mean of all", figures.distance(&off)),
            _ => "the mean of all".to_owned(),
        };
        vec![name.clone(), format!("mean {}", figures.value(mean)), side]
    });
    each.collect()
}

/// What that means.
pub(super) fn sentences(found: &GaugeStudy, figures: &Figures) -> Vec<String> {
    let study = &found.study;
    let of = &study.components;
    let mut said = Vec::new();
    let two = |variance: &Value| figures.distance(&root(variance).multiply(&Value::from(Number::from_integer(2))));
    if of.repeat != Value::ZERO {
        said.push(format!(
            "one person who measures one part again gets the same to within {} (two deviations), and two people to within {}",
            two(&of.repeat.add(&of.repeat)),
            two(&of.measuring().add(&of.measuring()))
        ));
    }
    let (above, below) = (study.interaction.freedom, study.by_repeat.freedom);
    match &study.test {
        None => {
            said.push("no repeat differs from the one before: is the gauge's step too coarse to see it?".to_owned())
        }
        Some((ratio, p)) => {
            let about = format!(
                "F = {:.3} with {above} and {below} degrees of freedom, p = {}",
                ratio.midpoint().to_f64(),
                if *p < 0.001 { "less than 0.001".to_owned() } else { format!("{p:.3}") }
            );
            said.push(if study.pooled {
                format!(
                    "that some people measure some parts differently does not show ({about}, more than {POOLED_ABOVE}): it \
                     counts with the repeats"
                )
            } else if *p < 0.05 {
                format!("some people measure some parts differently ({about}): watch how each of them takes hold")
            } else {
                format!("some people may measure some parts differently ({about}): it counts by itself")
            });
        }
    }
    let whole = root(&of.total());
    let percent = 100.0 * share(&root(&of.measuring()), &whole);
    let verdict = if percent < 10.0 {
        "under 10 % is held to be good"
    } else if percent <= 30.0 {
        "10 to 30 % may do, by what the part is for and what a better gauge costs"
    } else {
        "over 30 % is held to be too much"
    };
    said.push(format!("measuring has {percent:.1} % of the whole deviation: {verdict}"));
    if let Some(categories) = of.categories() {
        let enough = if categories < 5 { "fewer than the five that are wanted" } else { "five are wanted" };
        said.push(format!(
            "{} of part can be told apart (1.41 times the deviation of parts over that of measuring, cut off): {enough}",
            number_of(usize::try_from(categories).unwrap_or(usize::MAX), "kind")
        ));
    }
    said
}

pub(super) fn subgroups(chart: &Chart, grouped: &Subgrouped) -> String {
    let size = grouped.groups.first().map_or(0, |group| group.values.len());
    let all = format!("{}: {} of {}", chart.path, number_of(grouped.groups.len(), "group"), number_of(size, "value"));
    match &grouped.chart {
        Some(_) => all,
        None if !(2..=10).contains(&size) => {
            format!(
                "{all}: means and ranges take 2 to 10 values in each; `--together` makes one group of all positions"
            )
        }
        None => format!("{all}: one group is too few for limits"),
    }
}

/// Groups of other sizes.
pub(super) fn other_sizes(grouped: &Subgrouped) -> Vec<String> {
    if grouped.left_out.is_empty() {
        return Vec::new();
    }
    let named = grouped.left_out.iter().take(MOST_NAMED).map(|(build, count)| format!("{build} ({count})"));
    let more = grouped.left_out.len().saturating_sub(MOST_NAMED);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    vec![format!("left out, with another number of values: {}{more}", named.collect::<Vec<_>>().join(", "))]
}

fn constant(thousandths: i64) -> String {
    Number::ratio(thousandths, 1_000).unwrap_or_default().to_text(3)
}

pub(super) fn limits(found: &Subgroups, figures: &Figures) -> Vec<String> {
    let of = found.constants;
    vec![
        format!(
            "means: centre {}, limits {} (A2 = {})",
            figures.value(&found.centre),
            figures.between(&found.low, &found.high),
            constant(of.a2)
        ),
        format!(
            "ranges: mean {}, limits {} (D3 = {}, D4 = {})",
            figures.distance(&found.mean_range),
            figures.distances(&found.range_low, &found.range_high),
            constant(of.low),
            constant(of.high)
        ),
        format!(
            "deviation within a group {} (mean range over d2 = {})",
            figures.distance(&found.deviation),
            constant(of.d2)
        ),
    ]
}

/// A line for each group: its day, its build, mean and range, what is beyond.
pub(super) fn table(grouped: &Subgrouped, found: &Subgroups, figures: &Figures) -> Vec<Vec<String>> {
    let mut rows = vec![["finished", "build", "mean", "range", ""].map(str::to_owned).to_vec()];
    for (at, group) in grouped.groups.iter().enumerate() {
        let beyond: Vec<&str> = [(found.side_of_mean(at), "mean"), (found.side_of_range(at), "range")]
            .into_iter()
            .filter(|(side, _)| side.is_ne())
            .map(|(_, what)| what)
            .collect();
        let beyond = if beyond.is_empty() { String::new() } else { format!("beyond: {}", beyond.join(", ")) };
        let (mean, range) = (found.means.get(at), found.ranges.get(at));
        rows.push(vec![
            group.finished.to_string(),
            group.build.clone(),
            mean.map(|mean| figures.value(mean)).unwrap_or_default(),
            range.map(|range| figures.distance(range)).unwrap_or_default(),
            beyond,
        ]);
    }
    rows
}

/// A sentence for each mean and range beyond its limits.
pub(super) fn beyond(grouped: &Subgrouped, found: &Subgroups, figures: &Figures) -> Vec<String> {
    let mut said = Vec::new();
    for (at, group) in grouped.groups.iter().enumerate() {
        let (Some(mean), Some(range)) = (found.means.get(at), found.ranges.get(at)) else { continue };
        let bound =
            |side: Ordering, low, high| if side.is_lt() { ("below", "lower", low) } else { ("above", "upper", high) };
        let side = found.side_of_mean(at);
        if side.is_ne() {
            let (word, limit, bound) = bound(side, &found.low, &found.high);
            let (value, bound) = figures.beside(mean, bound);
            said.push(format!("{}: its mean of {value} is {word} the {limit} limit of {bound}", group.build));
        }
        let side = found.side_of_range(at);
        if side.is_ne() {
            let (word, limit, bound) = bound(side, &found.range_low, &found.range_high);
            let (value, bound) = figures.distance_beside(range, bound);
            said.push(format!("{}: its range of {value} is {word} the {limit} limit of {bound}", group.build));
        }
    }
    let more = said.len().saturating_sub(MOST_TOLD);
    if more > 0 {
        said.drain(..more);
        said.insert(0, format!("{more} earlier, and the latest:"));
    }
    said
}
