//! A plan cut down to some of its checks, with only the derived values they need. Refuses to change what any of them asks.

use super::{Check, CheckRange, Gate, Plan, Program, Step, Subject, slots_of};
use rustc_hash::FxHashSet;

impl Check {
    /// Every slot its subject and its ranges take values from themselves, each once; not those of its condition.
    #[must_use]
    pub fn slots(&self) -> Vec<usize> {
        let mut slots: Vec<usize> = match &self.subject {
            Subject::Slot { slot, .. } | Subject::Each { slot, .. } => vec![*slot],
            Subject::Made(program) => slots_of(program),
            Subject::Group(group) => group.iter().map(|(slot, _)| *slot).collect(),
        };
        for range in [&self.standard, &self.limit] {
            if let Some(CheckRange::Worked { low, high }) = range {
                slots.extend([low, high].into_iter().flatten().flat_map(|(program, _)| slots_of(program)));
            }
        }
        slots.sort_unstable();
        slots.dedup();
        slots
    }

    /// The same with those of its condition.
    #[must_use]
    pub fn all_slots(&self) -> Vec<usize> {
        let mut slots = self.slots();
        slots.extend(self.condition.iter().flat_map(|condition| slots_of(&condition.program)));
        slots
    }
}

impl Plan {
    /// Every slot that some slots rest on, themselves included, as far down as readings; in their order.
    #[must_use]
    pub fn below(&self, slots: Vec<usize>) -> Vec<usize> {
        let mut open = slots;
        let mut seen = FxHashSet::default();
        while let Some(slot) = open.pop() {
            if !seen.insert(slot) {
                continue;
            }
            let step = self.step_of.get(slot).copied().flatten().and_then(|step| self.steps.get(step as usize));
            open.extend(step.into_iter().flat_map(|step| slots_of(&step.program)));
        }
        let mut all: Vec<usize> = seen.into_iter().collect();
        all.sort_unstable();
        all
    }

    /// The same with only these checks, by their numbers, in the order given.
    #[must_use]
    pub fn only(&self, checks: &[usize]) -> Plan {
        let mut needed = vec![false; self.steps.len()];
        let kept: Vec<&Check> = checks.iter().filter_map(|number| self.checks.get(*number)).collect();
        let step_of = |slot: usize| self.step_of.get(slot).copied().flatten().map(|step| step as usize);
        let mark = |slots: Vec<usize>, needed: &mut Vec<bool>| {
            for step in slots.into_iter().filter_map(step_of) {
                if let Some(needed) = needed.get_mut(step) {
                    *needed = true;
                }
            }
        };
        for check in &kept {
            mark(check.slots(), &mut needed);
            if let Some(condition) = &check.condition {
                mark(slots_of(&condition.program), &mut needed);
            }
        }
        // A step comes after those it needs: one pass from the back finds them all.
        for number in (0..self.steps.len()).rev() {
            if needed.get(number).copied().unwrap_or(false)
                && let Some(step) = self.steps.get(number)
            {
                mark(slots_of(&step.program), &mut needed);
            }
        }
        let numbers: Vec<usize> = needed.iter().enumerate().filter(|(_, needed)| **needed).map(|(at, _)| at).collect();
        let new_of = |old: u32| numbers.binary_search(&(old as usize)).ok().and_then(|at| u32::try_from(at).ok());
        let gate = |gate: Option<&Gate>| match gate {
            Some(Gate::Slot(slot)) => Gate::Slot(*slot),
            Some(Gate::Step(step)) => new_of(*step).map_or(Gate::Open, Gate::Step),
            Some(Gate::Open) | None => Gate::Open,
        };
        Plan {
            generation: self.generation,
            slot_count: self.slot_count,
            optional: self.optional.clone(),
            measured: self.measured.clone(),
            plausible: self.plausible.clone(),
            step_of: self.step_of.iter().map(|step| step.and_then(new_of)).collect(),
            steps: numbers.iter().filter_map(|number| self.steps.get(*number).cloned()).collect(),
            spanned: numbers.iter().map(|number| self.spanned.get(*number).copied().unwrap_or(false)).collect(),
            dated: self.dated,
            checks: kept.into_iter().cloned().collect(),
            gates: checks.iter().filter(|at| **at < self.checks.len()).map(|at| gate(self.gates.get(*at))).collect(),
            plain: checks
                .iter()
                .filter(|at| **at < self.checks.len())
                .map(|at| self.plain.get(*at).cloned().flatten())
                .collect(),
            condition_count: self.condition_count,
            tellings: self.tellings.clone(),
            value_tellings: self.value_tellings.clone(),
        }
    }

    /// The same with some checks, by their numbers here, applying whatever their condition says.
    #[must_use]
    pub fn unconditional(mut self, checks: &[usize]) -> Plan {
        for number in checks {
            if let Some(check) = self.checks.get_mut(*number) {
                check.condition = None;
            }
            if let Some(gate) = self.gates.get_mut(*number) {
                *gate = Gate::Open;
            }
            if let Some(plain) = self.plain.get_mut(*number) {
                *plain = None;
            }
        }
        self
    }
}

/// For each step of a plan, the readings it comes down to, a bit for each slot.
#[derive(Clone, Debug)]
pub struct Leaves {
    of_steps: Vec<SlotSet>,
}

/// A set of slots.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct SlotSet(Vec<u64>);

impl SlotSet {
    /// Adds a slot.
    pub fn add(&mut self, slot: usize) {
        let (word, bit) = (slot / 64, slot % 64);
        if self.0.len() <= word {
            self.0.resize(word + 1, 0);
        }
        if let Some(word) = self.0.get_mut(word) {
            *word |= 1 << bit;
        }
    }

    /// Adds every slot of another set.
    pub fn add_all(&mut self, other: &SlotSet) {
        if self.0.len() < other.0.len() {
            self.0.resize(other.0.len(), 0);
        }
        self.0.iter_mut().zip(&other.0).for_each(|(ours, theirs)| *ours |= theirs);
    }

    /// Whether a slot is in it.
    #[must_use]
    pub fn has(&self, slot: usize) -> bool {
        self.0.get(slot / 64).is_some_and(|word| word & (1 << (slot % 64)) != 0)
    }

    /// Whether it shares a slot with another.
    #[must_use]
    pub fn meets(&self, other: &SlotSet) -> bool {
        self.0.iter().zip(&other.0).any(|(ours, theirs)| ours & theirs != 0)
    }

    /// The slots of it that are not in another, in order.
    #[must_use]
    pub fn without(&self, other: &SlotSet) -> Vec<usize> {
        self.slots().into_iter().filter(|slot| !other.has(*slot)).collect()
    }

    /// Its slots in order.
    #[must_use]
    pub fn slots(&self) -> Vec<usize> {
        let bits = |(at, word): (usize, &u64)| {
            let word = *word;
            (0..64).filter(move |bit| word & (1 << bit) != 0).map(move |bit| at * 64 + bit)
        };
        self.0.iter().enumerate().flat_map(bits).collect()
    }

    /// Whether it is empty.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.iter().all(|word| *word == 0)
    }
}

impl Leaves {
    /// The readings of every step of a plan.
    #[must_use]
    pub fn new(plan: &Plan) -> Leaves {
        let mut leaves = Leaves { of_steps: Vec::with_capacity(plan.steps.len()) };
        for Step { program, .. } in &plan.steps {
            let set = leaves.of_program(plan, program);
            leaves.of_steps.push(set);
        }
        leaves
    }

    /// The readings that some slots come down to.
    #[must_use]
    pub fn of_slots(&self, plan: &Plan, slots: &[usize]) -> SlotSet {
        let mut set = SlotSet::default();
        for slot in slots {
            match plan.step_of.get(*slot).copied().flatten() {
                Some(step) => {
                    if let Some(leaves) = self.of_steps.get(step as usize) {
                        set.add_all(leaves);
                    }
                }
                None => set.add(*slot),
            }
        }
        set
    }

    /// The readings that a program comes down to.
    #[must_use]
    pub fn of_program(&self, plan: &Plan, program: &Program) -> SlotSet {
        self.of_slots(plan, &slots_of(program))
    }
}
