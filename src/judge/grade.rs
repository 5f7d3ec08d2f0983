//! From values to grades: the tiers of each row, then concessions, then the build.

use super::evaluate::{Bench, Outcome, Seen};
use super::uncertainty::{
    Apart, Ceilings, Coarse, Decided, Guards, Memory, Uncertainty, Weighing, apart, coarse, decide,
};
use super::{
    Counts, Found, Grade, Ruling, Side, Verdict, inputs, ranges, rounding, swapped, wording, wording_uncertainty,
};
use crate::bind::{Concession, Readings, State};
use crate::book::decision::Rule;
use crate::book::{Book, Datum};
use crate::plan::{Check, CheckRange, Condition, Plain, Plan, Subject};
use crate::quantity::{Band, Number, Side as BandSide, Value};

/// Judges; without `keep_good`, good rulings are only counted, unless something in the record asks for each of them.
pub(super) fn judge(book: &Book, plan: &Plan, readings: &Readings, keep_good: bool) -> Verdict {
    verdict(book, plan, readings, (keep_good, true))
}

/// The rulings alone, for those who judge many sets of readings and say nothing about any.
pub(super) fn rulings(book: &Book, plan: &Plan, readings: &Readings) -> Vec<Ruling> {
    verdict(book, plan, readings, (true, false)).rulings
}

fn verdict(book: &Book, plan: &Plan, readings: &Readings, (keep_good, with_findings): (bool, bool)) -> Verdict {
    let bench = Bench::new(plan, readings);
    let decision = &book.decision;
    let guard = match &decision.rule {
        Rule::SimpleAcceptance => None,
        Rule::GuardBand(factor) => Some(factor),
    };
    // Where nobody said how well anything was measured there is nothing to weigh.
    let memory = Memory::default();
    let scales = (guard.is_some() || readings.are_weighed()).then(|| Scales {
        weighing: Weighing { book, bench: &bench, memory: &memory },
        ceilings: Ceilings::new(&bench, guard.is_some()),
        guard,
    });
    // What weighs a ruling goes by its number, and a concession may turn out to be for a good one.
    let keep_good = keep_good || scales.is_some() || !readings.concessions.is_empty();
    let kept = Vec::with_capacity(if keep_good { plan.checks.len() } else { 0 });
    let rulings = Rulings { kept, keep_good, good: 0 };
    let met = vec![None; plan.condition_count];
    let mut judging = Judging { bench: &bench, scales, weighed: Weighed::default(), rulings, met };
    let mut skipped = 0;
    for (number, ((check, gate), plain)) in plan.checks.iter().zip(&plan.gates).zip(&plan.plain).enumerate() {
        if plan.dated && !check.row.days.holds(readings.judged_on) {
            continue;
        }
        if bench.is_shut(*gate) {
            skipped += 1;
            continue;
        }
        if !keep_good && plain.as_ref().is_some_and(|plain| judging.is_good(plain)) {
            judging.rulings.good += 1;
            continue;
        }
        skipped += judging.rule(number, check);
    }
    let Judging { scales, weighed, rulings: Rulings { kept: mut rulings, good, .. }, .. } = judging;
    let mut findings = concede(book, plan, &bench, &mut rulings);
    if !with_findings {
        return Verdict { grade: Grade::Good, rulings, counts: Counts::default(), skipped, findings };
    }
    if let Some(Scales { weighing, .. }) = &scales {
        findings.extend(wording_uncertainty::unweighed(weighing, plan, &rulings, &weighed.incomplete));
        findings.extend(wording_uncertainty::coarse(weighing, plan, &rulings, &weighed.coarse));
    }
    let swapped = swapped::swapped(book, readings);
    // Two swapped digits say why it lies apart.
    let explained = |apart: &Apart| swapped.iter().any(|it| (it.slot, it.number) == (apart.slot, apart.number));
    let apart = apart(readings).into_iter().filter(|apart| !explained(apart));
    findings.extend(apart.map(|apart| wording_uncertainty::apart(book, readings, &apart)));
    findings.extend(swapped.into_iter().map(|swapped| wording_uncertainty::swapped(book, readings, &swapped)));
    // A day that cannot be read was said where it was read.
    if plan.dated && readings.judged_on.is_none() && readings.finished_span.is_none() {
        findings.push(wording::finished_missing(readings));
    }
    let mut counts = Counts::good(good);
    let mut grade = Grade::Good;
    for ruling in &rulings {
        counts.count_ruling(ruling);
        grade = grade.max(ruling.weight());
    }
    // Also one that no row needs: nobody knows what the part is like.
    if readings.are_set_aside() {
        grade = grade.max(Grade::Unmeasured);
    }
    Verdict { grade, rulings, counts, skipped, findings }
}

/// What values near an end are weighed by.
struct Scales<'a> {
    weighing: Weighing<'a>,
    /// A first look, enough for most values.
    ceilings: Ceilings<'a>,
    /// How many times the expanded uncertainty a value must lie inside; none where the value decides.
    guard: Option<&'a Number>,
}

/// The guards of both tiers of a row.
#[derive(Default)]
pub(super) struct TierGuards {
    standard: Guards,
    limit: Guards,
}

/// What weighing brought to light.
#[derive(Default)]
struct Weighed {
    coarse: Vec<Coarse>,
    /// Rulings that rest on readings of unknown uncertainty though a guard band was asked for.
    incomplete: Vec<usize>,
}

impl Scales<'_> {
    /// The guards of a value that becomes the next ruling; none where the value decides.
    fn guards(
        &self,
        check: &Check,
        reading: Option<usize>,
        datum: &Datum,
        ruling: usize,
        weighed: &mut Weighed,
    ) -> Option<TierGuards> {
        let Datum::Quantity(value) = datum else { return None };
        // By simple acceptance only the span of a range asks how finely the value is measured.
        if self.guard.is_none() && check.span.is_none() {
            return None;
        }
        if let Some(unknown) = self.ceilings.clears(check, reading, value, self.guard) {
            if unknown && self.guard.is_some() {
                weighed.incomplete.push(ruling);
            }
            return None;
        }
        let form = self.weighing.subject(&check.subject, reading);
        if let Some(span) = &check.span
            && let Some(uncertainty) = self.weighing.uncertainty(&form)
        {
            weighed.coarse.extend(coarse(span, ruling, &uncertainty.expanded_squared()));
        }
        let factor = Value::from(self.guard?.clone()).squared();
        let mut unknown = form.unknown;
        let mut tier = |range: &Option<CheckRange>| {
            let Some(range) = range else { return Guards::default() };
            let ends = self.weighing.ends(&form, range);
            unknown |= ends.low.0.unknown || ends.high.0.unknown;
            let guard = |uncertainty: Option<Uncertainty>| {
                uncertainty.map(|uncertainty| uncertainty.expanded_squared().multiply(&factor))
            };
            let boundless = ends.low.0.boundless || ends.high.0.boundless;
            Guards { low: guard(ends.low.1), high: guard(ends.high.1), boundless }
        };
        let guards = TierGuards { standard: tier(&check.standard), limit: tier(&check.limit) };
        if unknown {
            weighed.incomplete.push(ruling);
        }
        Some(guards)
    }
}

/// The rulings so far.
struct Rulings {
    kept: Vec<Ruling>,
    keep_good: bool,
    /// How many good ones were not kept.
    good: usize,
}

impl Rulings {
    fn add(
        &mut self,
        (number, check): (usize, &Check),
        reading: Option<usize>,
        (grade, found): (Grade, Found),
        value: Option<&Datum>,
    ) {
        if grade == Grade::Good && !self.keep_good {
            self.good += 1;
            return;
        }
        let (value, advisory) = (value.cloned(), check.row.advisory);
        self.kept.push(Ruling { check: number, reading, grade, found, value, concession: None, advisory });
    }
}

/// The judging of one record.
struct Judging<'a> {
    bench: &'a Bench<'a>,
    scales: Option<Scales<'a>>,
    weighed: Weighed,
    rulings: Rulings,
    /// For each condition of the plan, whether it is met, once somebody asked.
    met: Vec<Option<Met>>,
}

/// Whether a row applies.
#[derive(Clone, Copy)]
enum Met {
    Yes,
    No,
    /// It depends on a reading that may be left out, and was.
    Skipped,
    /// What the row comes to instead.
    Unknown(Grade, Found),
}

impl<'a> Judging<'a> {
    /// Whether a check is plainly good: it is known to apply, and what lies in its slot to be inside.
    #[inline]
    fn is_good(&self, plain: &Plain) -> bool {
        let applies =
            plain.condition.is_none_or(|number| matches!(self.met.get(number as usize), Some(Some(Met::Yes))));
        applies && matches!(self.bench.look(plain.slot as usize), Seen::Known(datum) if plain.is_good(datum))
    }

    /// Judges one check and gives how many rows it skipped.
    fn rule(&mut self, number: usize, check: &Check) -> usize {
        let about = (number, check);
        let bench = self.bench;
        match check.condition.as_ref().map_or(Met::Yes, |condition| self.met(condition)) {
            Met::Yes => {}
            // A row that does not apply is no ruling at all.
            Met::No => return 0,
            Met::Skipped => return 1,
            Met::Unknown(grade, found) => {
                self.rulings.add(about, None, (grade, found), None);
                return 0;
            }
        }
        match &check.subject {
            Subject::Slot { slot, .. } => self.one(about, bench.look(*slot)),
            Subject::Made(program) => self.one(about, bench.run(program).seen()),
            Subject::Each { slot, .. } => self.each(about, *slot),
            Subject::Group(slots) => self.group(about, slots),
        }
    }

    /// Whether a condition is met, worked out once a record.
    fn met(&mut self, condition: &Condition) -> Met {
        let kept = self.met.get_mut(condition.number);
        if let Some(Some(met)) = kept {
            return *met;
        }
        let met = match self.bench.run(&condition.program) {
            Outcome::Known(Datum::YesNo(true)) => Met::Yes,
            Outcome::Known(_) => Met::No,
            Outcome::Skipped => Met::Skipped,
            Outcome::Missing => Met::Unknown(Grade::Unmeasured, Found::ConditionMissing),
            Outcome::Undecided | Outcome::Impossible => Met::Unknown(Grade::Unsettled, Found::ConditionUndecided),
        };
        if let Some(kept) = kept {
            *kept = Some(met);
        }
        met
    }

    /// One value.
    fn one(&mut self, about: (usize, &Check), seen: Seen<'_>) -> usize {
        let graded = match seen {
            Seen::Known(datum) => {
                self.value(about, None, None, datum);
                return 0;
            }
            Seen::Skipped => return 1,
            Seen::Missing => (Grade::Unmeasured, Found::Missing),
            Seen::Impossible => (Grade::Unsettled, Found::Impossible),
            Seen::Undecided => (Grade::Unsettled, Found::Undecided { limit: true }),
        };
        self.rulings.add(about, None, graded, None);
        0
    }

    /// Grades a value; `at` says which of its slot's readings it is, `reading` which the ruling names.
    #[inline]
    fn value(&mut self, about: (usize, &Check), at: Option<usize>, reading: Option<usize>, datum: &Datum) {
        let guards = match &self.scales {
            Some(scales) => scales.guards(about.1, at, datum, self.rulings.kept.len(), &mut self.weighed),
            None => None,
        };
        let graded = grade(self.bench, about.1, datum, guards.as_ref());
        self.rulings.add(about, reading, graded, Some(datum));
    }

    /// Every reading of a slot by itself.
    fn each(&mut self, about: (usize, &Check), slot: usize) -> usize {
        let bench = self.bench;
        let taken = bench.readings.taken(slot);
        if taken.is_empty() {
            return self.one(about, bench.empty(slot));
        }
        for (at, reading) in taken.iter().enumerate() {
            let datum = bench.seen(slot, at, &reading.datum);
            self.value(about, Some(at), (taken.len() > 1).then_some(at), datum);
        }
        0
    }

    /// Values that must all be the same.
    fn group(&mut self, about: (usize, &Check), slots: &[(usize, Box<[u16]>)]) -> usize {
        let mut first: Option<Datum> = None;
        let mut same = true;
        let mut missing = false;
        for (slot, _) in slots {
            for datum in values(self.bench, *slot, &mut missing) {
                same &= first.get_or_insert_with(|| datum.clone()) == &datum;
            }
        }
        let graded = match (same, missing, first) {
            (false, _, _) => (Grade::Out, Found::Outside { limit: true, side: Side::Beside }),
            (true, true, _) => (Grade::Unmeasured, Found::Missing),
            (true, false, Some(_)) => (Grade::Good, Found::Inside),
            (true, false, None) => return 1,
        };
        self.rulings.add(about, None, graded, None);
        0
    }
}

/// The values of a slot; `missing` is set where a required one is not there.
fn values(bench: &Bench<'_>, slot: usize, missing: &mut bool) -> Vec<Datum> {
    let taken = bench.readings.taken(slot);
    if taken.is_empty() {
        return match bench.look(slot) {
            Seen::Known(datum) => vec![datum.clone()],
            Seen::Skipped => Vec::new(),
            _ => {
                *missing = true;
                Vec::new()
            }
        };
    }
    taken.iter().enumerate().map(|(at, reading)| bench.seen(slot, at, &reading.datum).clone()).collect()
}

/// Where a value lies in a range.
enum Lies {
    Inside,
    Outside(Side),
    /// Nearer to that end than the guard.
    Guarded(Side),
    Undecided,
    Missing,
}

/// The grade of a value by the tiers of a row: the limit first, then the standard. With guards it must lie that far inside a
/// tier to be inside, and further outside to be outside. Surely inside the limit, a value too near its standard is worn at
/// worst: which of the two it is does not make a build fail.
pub(super) fn grade(bench: &Bench<'_>, check: &Check, datum: &Datum, guards: Option<&TierGuards>) -> (Grade, Found) {
    let mut beyond = Grade::Out;
    if let Some(range) = &check.limit {
        match lies(bench, check, range, datum, guards.map(|guards| &guards.limit)) {
            Lies::Inside => beyond = Grade::Worn,
            elsewhere => return elsewhere.graded(true, Grade::Out),
        }
    }
    match &check.standard {
        Some(range) => lies(bench, check, range, datum, guards.map(|guards| &guards.standard)).graded(false, beyond),
        None => (Grade::Good, Found::Inside),
    }
}

impl Lies {
    /// What it comes to at one tier, with the grade of what is outside it.
    fn graded(self, limit: bool, outside: Grade) -> (Grade, Found) {
        match self {
            Lies::Inside => (Grade::Good, Found::Inside),
            Lies::Outside(side) => (outside, Found::Outside { limit, side }),
            Lies::Guarded(side) => {
                let grade = if outside == Grade::Worn { Grade::Worn } else { Grade::Unsettled };
                (grade, Found::Guarded { limit, side })
            }
            Lies::Undecided => (Grade::Unsettled, Found::Undecided { limit }),
            Lies::Missing => (Grade::Unmeasured, Found::Missing),
        }
    }
}

fn lies(bench: &Bench<'_>, check: &Check, range: &CheckRange, datum: &Datum, guards: Option<&Guards>) -> Lies {
    let beside = |inside: bool| if inside { Lies::Inside } else { Lies::Outside(Side::Beside) };
    match (range, datum) {
        (CheckRange::Known(band), Datum::Quantity(value)) => within(check, band, (datum, value), guards),
        (CheckRange::Worked { .. }, Datum::Quantity(value)) => match ranges::band(bench, range) {
            Ok(band) => within(check, &band, (datum, value), guards),
            Err(Outcome::Missing | Outcome::Skipped) => Lies::Missing,
            Err(_) => Lies::Undecided,
        },
        (CheckRange::Names(names), Datum::Name(name)) => beside(names.binary_search(name).is_ok()),
        (CheckRange::YesNo(wanted), Datum::YesNo(yes)) => beside(wanted == yes),
        // The checker lets no other pair through.
        _ => Lies::Undecided,
    }
}

fn within(check: &Check, band: &Band, (datum, value): (&Datum, &Value), guards: Option<&Guards>) -> Lies {
    match guards {
        None if !check.rounds => decided(Decided::Plainly(band.locate(value))),
        None => {
            let rounded = rounding::rounded(check, datum);
            let value = if let Datum::Quantity(rounded) = &*rounded { rounded } else { value };
            decided(Decided::Plainly(band.locate(value)))
        }
        // How far the true value may lie from the measured one is not changed by rounding: the guard stands before the band
        // of values that round into the range.
        Some(guards) => decided(decide(&rounding::accepted(check, band), value, guards)),
    }
}

fn decided(decided: Decided) -> Lies {
    match decided {
        Decided::Plainly(BandSide::Inside) => Lies::Inside,
        Decided::Plainly(BandSide::Below) => Lies::Outside(Side::Below),
        Decided::Plainly(BandSide::Above) => Lies::Outside(Side::Above),
        Decided::Guarded(BandSide::Below) => Lies::Guarded(Side::Below),
        Decided::Guarded(_) => Lies::Guarded(Side::Above),
        Decided::Plainly(BandSide::Undecided) => Lies::Undecided,
    }
}

/// Lets through what a signed concession covers, and says what is wrong with those that cover nothing.
fn concede(book: &Book, plan: &Plan, bench: &Bench<'_>, rulings: &mut [Ruling]) -> Vec<crate::finding::Finding> {
    let readings = bench.readings;
    let mut findings = Vec::new();
    for (number, concession) in readings.concessions.iter().enumerate() {
        if let Some(until) = concession.until
            && readings.finished.is_none_or(|finished| finished > until)
        {
            findings.push(wording::concession_ended(readings, concession, until));
            continue;
        }
        let covered = |ruling: &Ruling| plan.checks.get(ruling.check).filter(|check| covers(book, concession, check));
        let refused = rulings
            .iter()
            .filter(|ruling| ruling.grade != Grade::Good)
            .find_map(|ruling| covered(ruling).filter(|check| check.row.never_excused));
        if let Some(check) = refused {
            findings.push(wording::concession_refused(readings, concession, &check.row));
            continue;
        }
        let mut judged = false;
        let mut needed = false;
        for ruling in rulings.iter_mut() {
            let Some(check) = covered(ruling) else { continue };
            judged = true;
            // A concession is for a part as it is, and what was measured of this one cannot be so.
            if rests_on_set_aside(bench, check, ruling.found) {
                needed = true;
                continue;
            }
            if ruling.grade != Grade::Good && ruling.grade != Grade::Excused {
                ruling.grade = Grade::Excused;
                ruling.concession = Some(number);
                needed = true;
            }
        }
        if !needed {
            findings.push(wording::concession_idle(readings, concession, judged));
        }
    }
    findings
}

/// Whether a ruling lacks a reading because what is written there cannot be.
fn rests_on_set_aside(bench: &Bench<'_>, check: &Check, found: Found) -> bool {
    let lacks = matches!(found, Found::Missing | Found::ConditionMissing) && bench.readings.are_set_aside();
    lacks
        && inputs::lacking(bench, &inputs::needed(check, found))
            .iter()
            .any(|slot| matches!(bench.readings.state(*slot), State::SetAside(_)))
}

/// Whether a concession is for what a check judges.
fn covers(book: &Book, concession: &Concession, check: &Check) -> bool {
    let subject = &check.row.subject;
    if concession.row.characteristic != subject.characteristic {
        return false;
    }
    let characteristic = book.characteristics.get(subject.characteristic);
    match &check.subject {
        Subject::Group(slots) => slots.iter().any(|(slot, _)| {
            concession.row.instance.is_none_or(|instance| {
                let first = characteristic.slot(instance, 0);
                (first..first + characteristic.slots_each()).contains(slot)
            })
        }),
        Subject::Slot { station, .. } | Subject::Each { station, .. } => {
            concession.row.instance == Some(check.instance)
                && (concession.row.station.is_none() || concession.row.station == *station)
        }
        Subject::Made(_) => concession.row.station.is_none() && concession.row.instance == Some(check.instance),
    }
}
