//! The sentences that say what would put a record right. Refuses to know when they are said.

use crate::finding::list;
use crate::judge::Grade;
use crate::rework::{Action, Exchange, Fault, LeastChange, Order, Refused, Reworked, Step};
use crate::shop::PlannedPart;

pub(super) const PREDICTION: &str = "Every value after an operation is a prediction: measure again before it is used.";

pub(super) const PREDICTION_OF_SHELF: &str =
    "What a part of the shelf would do is a prediction: measure again when it is fitted.";

/// What stands over a record.
pub(super) fn head(name: &str, found: &Reworked, part: Option<&PlannedPart>) -> String {
    let named = match (part, &found.build) {
        (Some(part), _) if part.planned_as.is_empty() => format!("{} {} ", part_words(part), part.tag),
        (Some(part), _) => format!("{} {} as {} ", part_words(part), part.tag, part.planned_as),
        (None, Some(build)) => format!("{build} "),
        (None, None) => String::new(),
    };
    let wait = part.filter(|part| part.waiting > 0);
    let wait = wait.map_or_else(String::new, |part| format!("; {} for other parts", rows_wait(part.waiting)));
    match found.faults.len() {
        0 if found.unmeasured == 0 => format!("{name}: {named}is {}, nothing needs rework{wait}", found.grade.word()),
        0 => format!("{name}: {named}has nothing to rework in what was measured{wait}"),
        count => format!("{name}: {named}is {}, {} not good", found.grade.word(), rows_are(count)),
    }
}

pub(super) fn scrapped(name: &str, tag: &str) -> String {
    format!("{name}: {tag} is scrapped, nothing is planned for it")
}

/// A row that depends on the machine.
pub(super) fn depends(words: &str) -> String {
    format!("{words}; say what the machine is with --given")
}

/// A part as it is said: "main bearing".
fn part_words(part: &PlannedPart) -> String {
    part.part.rsplit('.').next().unwrap_or_default().replace('_', " ")
}

/// The rows that a loose part does not decide by itself; `None` if there are none.
pub(super) fn waits(part: &PlannedPart) -> Option<String> {
    let rows = (part.waiting > 0).then(|| format!("{} for other parts", rows_wait(part.waiting)))?;
    Some(if part.waits.is_empty() { rows } else { format!("{rows}: {}", part.waits.join("; ")) })
}

fn rows_wait(count: usize) -> String {
    if count == 1 { "1 row waits".to_owned() } else { format!("{count} rows wait") }
}

fn rows_are(count: usize) -> String {
    if count == 1 { "1 row is".to_owned() } else { format!("{count} rows are") }
}

/// A row that is not good.
pub(super) fn fault(fault: &Fault) -> String {
    let advisory = if fault.advisory { " (advisory)" } else { "" };
    match &fault.value {
        Some(value) => format!("{} is {value}{advisory}", fault.path),
        None => format!("{}{advisory}", fault.path),
    }
}

/// That nothing puts a row right, and what its books say to do.
pub(super) fn not_helped(fault: &Fault) -> String {
    let nothing = if fault.has_operations {
        "no plan was found that puts this right"
    } else {
        "no operation of the rulebooks puts this right"
    };
    let needs: Vec<String> =
        fault.needs.iter().map(|(name, path)| format!("measure {path} first, then {} may help", words(name))).collect();
    let nothing = if needs.is_empty() { nothing.to_owned() } else { list(needs.iter().map(String::as_str), "or") };
    match &fault.row.texts.remedy {
        Some(remedy) => format!("{nothing}; remedy: {remedy}"),
        None if needs.is_empty() => format!("{nothing}: measure again, then replace the part"),
        None => nothing,
    }
}

/// The least changes that put a row right, one of them enough.
pub(super) fn least(changes: &[LeastChange]) -> Option<String> {
    let one =
        |change: &LeastChange, by: &str| format!("{} {by} {}", change.path, if change.more { "more" } else { "less" });
    let limit: Vec<String> =
        changes.iter().filter_map(|change| change.to_limit.as_deref().map(|by| one(change, by))).collect();
    let good: Vec<String> =
        changes.iter().filter_map(|change| change.to_good.as_deref().map(|by| one(change, by))).collect();
    let words = |all: &[String]| list(all.iter().map(String::as_str), "or");
    match (limit.is_empty(), good.is_empty()) {
        (true, true) => None,
        (true, false) => Some(format!("good with {}", words(&good))),
        (false, true) => Some(format!("inside the limit with {}", words(&limit))),
        (false, false) if limit == good => Some(format!("good with {}", words(&good))),
        (false, false) => Some(format!("inside the limit with {}; good with {}", words(&limit), words(&good))),
    }
}

/// Why an operation that would put a row right is not enough by itself.
pub(super) fn refused(refused: &Refused) -> String {
    let Refused { path, row, value, would_be, .. } = refused;
    let operation = words(&refused.operation);
    let grade = would_be.word();
    match value {
        Some(value) => format!("{operation} at {path} alone would bring {row} to {value}: {grade}"),
        None => format!("with {operation} at {path} alone {row} would be {grade}"),
    }
}

/// The parts of the shelf that put a row right; `None` if there are none.
pub(super) fn take(exchanges: &[&Exchange]) -> Option<String> {
    const MOST_NAMED: usize = 3;
    let tags = exchanges.iter().take(MOST_NAMED).map(|one| format!("{} as {}", one.tag, one.path));
    let tags: Vec<String> = tags.collect();
    (!tags.is_empty()).then(|| format!("or take from the shelf {}", list(tags.iter().map(String::as_str), "or")))
}

/// A part of the shelf and what it puts right.
pub(super) fn exchange(exchange: &Exchange) -> String {
    // Rows without a value that come to the same are named together.
    let mut rows: Vec<(Vec<&str>, String)> = Vec::new();
    for mended in &exchange.mends {
        let comes_to = match (&mended.value, mended.would_be) {
            (_, None) => "would no longer apply".to_owned(),
            (Some(value), Some(Grade::Good)) => format!("would be {value}"),
            (Some(value), Some(grade)) => format!("would be {value}: {}", grade.word()),
            (None, Some(grade)) => format!("would be {}", grade.word()),
        };
        match rows.iter_mut().find(|(_, known)| *known == comes_to) {
            Some((paths, _)) => paths.push(&mended.path),
            None => rows.push((vec![&mended.path], comes_to)),
        }
    }
    let rows: Vec<String> =
        rows.into_iter().map(|(paths, comes_to)| format!("{} {comes_to}", list(paths, "and"))).collect();
    let numbers: Vec<String> = exchange.instead_of.iter().map(usize::to_string).collect();
    let instead = match &numbers[..] {
        [] => String::new(),
        [one] => format!(" in place of step {one}"),
        several => format!(" in place of steps {}", list(several.iter().map(String::as_str), "and")),
    };
    let Exchange { tag, path, .. } = exchange;
    format!("take {tag} as {path}{instead}: {}", list(rows.iter().map(String::as_str), "and"))
}

/// What else such a part would bring.
pub(super) fn beside(exchange: &Exchange) -> Vec<String> {
    let mut lines = Vec::new();
    if !exchange.worse.is_empty() {
        let rows: Vec<String> =
            exchange.worse.iter().map(|(path, grade)| format!("{path} would be {}", grade.word())).collect();
        lines.push(format!("with it {}", some(&rows)));
    }
    if !exchange.open.is_empty() {
        lines.push(format!("{} cannot be judged before it is measured", some(&exchange.open)));
    }
    if exchange.waiting > 0 {
        lines.push(format!("{} for what is fitted to it later", rows_wait(exchange.waiting)));
    }
    lines
}

/// The name of an operation as it is said: "cut ends".
fn words(name: &str) -> String {
    name.replace('_', " ")
}

/// What is done in one step.
pub(super) fn step(step: &Step) -> String {
    let name = words(&step.operation.name);
    match &step.action {
        Action::Change { more, by, to } => {
            let way = if *more { "more" } else { "less" };
            format!("{name}: {} {by} {way}, it would be {}", step.path, list(to.iter().map(String::as_str), "and"))
        }
        Action::Size { size, mark, follows } => {
            let mark = mark.as_deref().map_or_else(String::new, |mark| format!(", marked {mark}"));
            let follows: Vec<String> =
                follows.iter().map(|(path, value)| format!("; {path} would be {value}")).collect();
            format!("{name}: {} would be {size}{mark}{}", step.path, follows.concat())
        }
        Action::New => format!("{name}: a new {}", step.path),
    }
}

/// What is measured afterwards: the readings of one part together.
pub(super) fn measure(paths: &[String]) -> String {
    let mut parts: Vec<(&str, Vec<&str>)> = Vec::new();
    for path in paths {
        let (part, reading) = path.rsplit_once('.').unwrap_or(("", path));
        match parts.iter_mut().find(|(known, _)| *known == part) {
            Some((_, readings)) => readings.push(reading),
            None => parts.push((part, vec![reading])),
        }
    }
    let readings: Vec<String> = parts
        .into_iter()
        .map(|(part, readings)| match part {
            "" => list(readings, "and"),
            part => format!("{} of {part}", list(readings, "and")),
        })
        .collect();
    format!("then measure {}", some(&readings))
}

/// Paths, the first of them named.
fn some(paths: &[String]) -> String {
    const MOST_NAMED: usize = 8;
    let more = paths.len().saturating_sub(MOST_NAMED);
    let named: Vec<&str> = paths.iter().take(MOST_NAMED).map(String::as_str).collect();
    if more == 0 { list(named, "and") } else { format!("{} and {more} more", named.join(", ")) }
}

/// What the record would be after the plan.
pub(super) fn would_be(found: &Reworked, part: Option<&PlannedPart>) -> String {
    let whole = if part.is_some() { "part" } else { "build" };
    let what = if found.open.is_empty() {
        let verb = if found.steps.is_empty() { "stays" } else { "would be" };
        format!("the {whole} {verb} {}", found.would_be.word())
    } else {
        let (grade, count) = (found.would_be.word(), found.open.len());
        let rows = if count == 1 { "1 row".to_owned() } else { format!("{count} rows") };
        format!("what can be judged would be {grade}; {rows} must be measured again")
    };
    let proved = match (found.steps.is_empty(), found.is_fewest, found.is_least) {
        (true, ..) => return what,
        (_, true, true) => "no smaller plan does as much",
        (_, true, false) => "no plan with fewer operations does as much, but not all of as many were tried",
        (_, false, _) => "a smaller plan may exist: not all were tried",
    };
    format!("{what}; {proved}")
}

pub(super) fn unmeasured(count: usize) -> String {
    let rows = if count == 1 { "1 row lacks".to_owned() } else { format!("{count} rows lack") };
    format!("{rows} a reading: nothing is planned for what was not measured")
}

/// A part to order.
pub(super) fn order(order: &Order) -> String {
    let size = order.size.as_deref().map_or_else(String::new, |size| format!(" {size}"));
    let mark = order.mark.as_deref().map_or_else(String::new, |mark| format!(", marked {mark}"));
    let places: Vec<&str> = order.places.iter().map(String::as_str).collect();
    let what = format!("{} × {}{size}{mark} for {}", order.count, order.part, order.generation);
    // A place that says no more than the part is not said again.
    match &places[..] {
        [place] if order.part == *place || order.part.ends_with(&format!(".{place}")) => what,
        places => format!("{what}: {}", list(places.iter().copied(), "and")),
    }
}

/// How a row stands after the plan.
pub(super) fn after(fault: &Fault) -> Option<&'static str> {
    if fault.changes {
        return Some("measure again, another operation changes it by an unknown amount");
    }
    if !fault.is_helped() {
        return None;
    }
    match (fault.open, fault.would_be) {
        (true, _) => Some("judged when the new part is measured"),
        (false, None) => Some("would no longer apply"),
        (false, Some(Grade::Good)) => Some("would be good"),
        (false, Some(Grade::Worn)) => Some("would be worn"),
        (false, Some(Grade::Excused)) => Some("would be excused"),
        (false, Some(_)) => None,
    }
}
