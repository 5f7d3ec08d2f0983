//! How far a value may be off: every reading's own doubt carried through the derivations by the law of propagation, with the
//! part that readings by one gauge share kept apart (JCGM 100:2008, 5.1 and 5.2). Refuses to decide anything by it.
//!
//! A value is followed as a sum over influences, each with the value's derivative by it. Influences are independent of each
//! other, but for calibrations whose certificates state a correlation: a gauge's calibration, which all readings by it share; the resolution of one reading; repeats; a temperature; an
//! expansion. So what two readings share cancels in their difference and adds up in their sum, and the variance of a value
//! is the sum of the squares, exactly where the derivation is rational and as an enclosure where it is not.

mod apart;
mod budget;
mod ceiling;
mod coarse;
mod collect;
mod conformance;
mod correlated;
mod decide;
mod differentiate;
mod influence;
mod memory;
mod settle;
mod simulate;

pub use apart::APART;
pub(super) use apart::{Apart, apart};
pub use budget::{Budget, BudgetLine, budget};
pub(super) use ceiling::Ceilings;
pub(super) use coarse::{Coarse, coarse};
pub(super) use conformance::conformance;
pub use conformance::{Conformance, Zone};
pub use correlated::Together;
pub(super) use decide::{Decided, Guards, decide};
pub use influence::Influence;
pub(super) use memory::Memory;
pub(super) use settle::settles;
pub use simulate::{COVERAGE, DIGITS, Simulated, simulate};

use super::Ruling;
use super::evaluate::Bench;
use super::ruling_report::ReportContext;
use crate::book::Book;
use crate::plan::{Check, CheckRange, Program, Subject};
use crate::quantity::{Number, Value, function};
use crate::statistics::coverage;
use std::cell::OnceCell;

/// How a value follows what is not known exactly: each influence once, in order, with the value's derivative by it.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct Form {
    pub(super) terms: Vec<(Influence, Value)>,
    /// Whether a reading is in it whose uncertainty nobody said.
    pub(super) unknown: bool,
    /// Whether it hangs on something that has no tangent there, such as a root at nought: how far it may be off has no bound
    /// that a derivative gives.
    pub(super) boundless: bool,
}

impl Form {
    fn one(influence: Influence, sensitivity: Value) -> Form {
        Form { terms: vec![(influence, sensitivity)], ..Form::default() }
    }

    /// Whether nothing in it is uncertain, as far as anybody said.
    pub(super) fn is_exact(&self) -> bool {
        self.terms.is_empty() && !self.boundless
    }

    fn scaled(&self, factor: &Value) -> Form {
        if *factor == Value::ONE {
            return self.clone();
        }
        let terms = self.terms.iter().map(|(influence, by)| (*influence, by.multiply(factor))).collect();
        Form { terms, unknown: self.unknown, boundless: self.boundless }
    }

    /// The sum of two, or their difference.
    fn with(mut self, other: &Form, subtract: bool) -> Form {
        self.unknown |= other.unknown;
        self.boundless |= other.boundless;
        for (influence, by) in &other.terms {
            match self.terms.binary_search_by_key(influence, |(influence, _)| *influence) {
                Ok(at) => {
                    if let Some((_, sum)) = self.terms.get_mut(at) {
                        *sum = if subtract { sum.subtract(by) } else { sum.add(by) };
                    }
                }
                Err(at) => self.terms.insert(at, (*influence, if subtract { by.negate() } else { by.clone() })),
            }
        }
        self
    }
}

/// What a value's uncertainty comes to.
#[derive(Clone, PartialEq, Debug)]
pub struct Uncertainty {
    /// The square of the combined standard uncertainty, in base units.
    pub variance: Value,
    /// The effective degrees of freedom (JCGM 100:2008, G.4.1); none where they are as good as without end.
    pub degrees_of_freedom: Option<Number>,
    /// The coverage factor for 95.45 % (Table G.2 there): 2 without end.
    pub factor: Number,
    /// Whether a reading is in it whose uncertainty nobody said, so that the true one is larger.
    pub incomplete: bool,
}

impl Uncertainty {
    /// The square of the expanded uncertainty.
    #[must_use]
    pub fn expanded_squared(&self) -> Value {
        let factor = Value::from(self.factor.clone());
        self.variance.multiply(&factor).multiply(&factor)
    }

    /// The degrees of freedom that k is taken for, and with it every probability; `None` if they are as good as without end.
    #[must_use]
    pub fn freedom_of_factor(&self) -> Option<i64> {
        let freedom = self.degrees_of_freedom.as_ref()?;
        // Below one there is no factor, and that of one is taken.
        Some(coverage::freedom_of_factor(freedom).unwrap_or(1))
    }

    /// The combined standard uncertainty, as an enclosure where the root has no end.
    #[must_use]
    pub fn standard(&self) -> Value {
        function::sqrt(&self.variance).unwrap_or(Value::ZERO)
    }

    /// The expanded uncertainty, as an enclosure where the root has no end.
    #[must_use]
    pub fn expanded(&self) -> Value {
        self.standard().multiply(&Value::from(self.factor.clone()))
    }
}

/// The uncertainties that count at the two ends of a range: of how far the value is from each, where the end depends on the
/// record itself and may share what is not known with the value.
pub(super) struct Ends {
    pub(super) low: (Form, Option<Uncertainty>),
    pub(super) high: (Form, Option<Uncertainty>),
}

/// A record's values with how each follows what is not known exactly.
pub(super) struct Weighing<'a> {
    pub(super) book: &'a Book,
    pub(super) bench: &'a Bench<'a>,
    pub(super) memory: &'a Memory,
}

impl<'a> Weighing<'a> {
    /// How the value of a step follows; those it rests on are followed first, so that no chain goes deep.
    fn step(&self, slot: usize, number: usize) -> Form {
        if let Some(form) = self.memory.step(number) {
            return form;
        }
        for number in self.bench.steps_for(&[slot]) {
            if let (false, Some(step)) = (self.memory.holds(number), self.bench.plan.steps.get(number)) {
                let form = self.program(&step.program);
                self.memory.keep(number, form);
            }
        }
        self.memory.step(number).unwrap_or_default()
    }

    /// What counts at the two ends of a range, for a value that follows like `form`.
    pub(super) fn ends(&self, form: &Form, range: &CheckRange) -> Ends {
        let end = |bound: &Option<(Program, bool)>| {
            let form = match bound {
                Some((program, _)) => form.clone().with(&self.program(program), true),
                None => form.clone(),
            };
            let uncertainty = self.uncertainty(&form);
            (form, uncertainty)
        };
        match range {
            CheckRange::Worked { low, high } => Ends { low: end(low), high: end(high) },
            _ => {
                let same = end(&None);
                Ends { low: same.clone(), high: same }
            }
        }
    }

    /// How the value of a program follows.
    pub(super) fn program(&self, program: &Program) -> Form {
        differentiate::program(self, program)
    }

    /// How the one value of a slot follows.
    pub(super) fn slot(&self, slot: usize) -> Form {
        match self.bench.plan.step_of.get(slot) {
            Some(Some(step)) => self.step(slot, *step as usize),
            _ => self.reading(slot, 0),
        }
    }

    /// How the value that a check judges follows; `reading` says which where each is judged by itself.
    pub(super) fn subject(&self, subject: &Subject, reading: Option<usize>) -> Form {
        match subject {
            Subject::Slot { slot, .. } => self.slot(*slot),
            Subject::Each { slot, .. } => self.reading(*slot, reading.unwrap_or(0)),
            Subject::Made(program) => self.program(program),
            Subject::Group(_) => Form::default(),
        }
    }

    /// The variance of a form.
    pub(super) fn variance(&self, form: &Form) -> Value {
        let mut sum = Value::ZERO;
        for (influence, by) in &form.terms {
            sum = sum.add(&by.squared().multiply(&self.variance_of(*influence)));
        }
        self.with_correlated(form, sum)
    }

    /// What a form comes to; none where nothing in it is uncertain as far as anybody said, and where no derivative says.
    pub(super) fn uncertainty(&self, form: &Form) -> Option<Uncertainty> {
        if form.terms.is_empty() || form.boundless {
            return None;
        }
        let variance = self.variance(form);
        let few = form.terms.iter().any(|(influence, _)| self.freedom_of(*influence).is_some());
        let degrees_of_freedom = if few { coverage::effective_freedom(&self.independent_shares(form)) } else { None };
        // Below one degree of freedom there is no factor; nothing that small can be said of a reading.
        let factor = coverage::factor(degrees_of_freedom.as_ref())
            .or_else(|| coverage::factor(Some(&Number::ONE)))
            .unwrap_or(Number::ONE);
        Some(Uncertainty { variance, degrees_of_freedom, factor, incomplete: form.unknown })
    }

    /// All that a ruling's words are made from.
    pub(super) fn context<'b>(&'b self, check: &'b Check, ruling: &'b Ruling) -> ReportContext<'b> {
        let Weighing { book, bench, memory } = *self;
        let weighing = Weighing { book, bench, memory };
        ReportContext { book, readings: bench.readings, bench, weighing, check, ruling, numbers: OnceCell::new() }
    }
}
