//! Part of a plan: some of its checks and the derived values they need. Refuses to leave out what one of them rests on.

use super::{Check, CheckRange, Gate, Plan, Subject, slots_of};
use rustc_hash::FxHashSet;

impl Check {
    /// Every slot it takes values from itself: its own, those of its ends, and those of its condition.
    #[must_use]
    pub fn slots(&self) -> Vec<usize> {
        let mut slots: Vec<usize> = match &self.subject {
            Subject::Slot { slot, .. } | Subject::Each { slot, .. } => vec![*slot],
            Subject::Made(program) => slots_of(program),
            Subject::Group(group) => group.iter().map(|(slot, _)| *slot).collect(),
        };
        for range in [&self.standard, &self.limit].into_iter().flatten() {
            if let CheckRange::Worked { low, high } = range {
                slots.extend([low, high].into_iter().flatten().flat_map(|(program, _)| slots_of(program)));
            }
        }
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

    /// The plan with these checks alone, numbered anew in the order given.
    #[must_use]
    pub fn only(&self, checks: &[usize]) -> Plan {
        let kept: Vec<Check> = checks.iter().filter_map(|check| self.checks.get(*check).cloned()).collect();
        let needed = self.below(kept.iter().flat_map(Check::slots).collect());
        let mut wanted: Vec<usize> = needed
            .iter()
            .filter_map(|slot| self.step_of.get(*slot).copied().flatten())
            .map(|step| step as usize)
            .collect();
        wanted.sort_unstable();
        let mut part = Plan {
            step_of: vec![None; self.step_of.len()],
            steps: Vec::with_capacity(wanted.len()),
            spanned: Vec::with_capacity(wanted.len()),
            gates: vec![Gate::Open; kept.len()],
            plain: vec![None; kept.len()],
            checks: kept,
            tellings: Vec::new(),
            optional: self.optional.clone(),
            measured: self.measured.clone(),
            plausible: self.plausible.clone(),
            ..*self
        };
        for number in wanted {
            let (Some(step), Some(spanned)) = (self.steps.get(number), self.spanned.get(number)) else { continue };
            if let Some(entry) = part.step_of.get_mut(step.slot) {
                *entry = u32::try_from(part.steps.len()).ok();
            }
            part.steps.push(step.clone());
            part.spanned.push(*spanned);
        }
        part
    }
}
