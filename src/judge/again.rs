//! Tells a record again after a small change: what rests on nothing that changed keeps its words. Refuses to judge.

use super::reporter::Reporter;
use super::{Ruling, RulingReport, Verdict};
use crate::bind::{Moved, Readings};
use crate::plan::{Leaves, SlotSet};
use rustc_hash::FxHashMap;
use std::sync::Arc;

/// What was told of one state of a record. Whatever a ruling rests on, where it stands in the text is not told: it would move with
/// every change before it.
#[derive(Clone, Debug)]
pub struct ReportedBefore {
    readings: Readings,
    rulings: Vec<(Ruling, Arc<RulingReport>)>,
    /// For each check of the plan every reading it rests on.
    rests_on: Arc<Vec<SlotSet>>,
}

impl ReportedBefore {
    /// Everything told, in the order of the rulings.
    pub fn told(&self) -> impl Iterator<Item = &Arc<RulingReport>> {
        self.rulings.iter().map(|(_, told)| told)
    }
}

/// What was told, by its check and by which reading of several.
type ByCheck<'a> = FxHashMap<(usize, Option<usize>), &'a (Ruling, Arc<RulingReport>)>;

impl Reporter<'_> {
    /// Every ruling in words, as [`Reporter::tell`] says it but for the place of the reading. `before` is a state of the same record,
    /// told by the same plan: what rests on the same readings is not worked out again.
    #[must_use]
    pub fn report_again(&self, verdict: &Verdict, leaves: &Leaves, before: Option<&ReportedBefore>) -> ReportedBefore {
        let before = before.filter(|before| before.readings.is_judged_alike(self.readings));
        let rests_on = match before {
            Some(before) => before.rests_on.clone(),
            None => Arc::new(self.rests_on(leaves)),
        };
        let known = before.map(|before| (before.changed_to(self.readings), before.by_check()));
        let mut rulings = Vec::with_capacity(verdict.rulings.len());
        for ruling in &verdict.rulings {
            let kept = known.as_ref().and_then(|(changed, by_check)| {
                let (old, told) = by_check.get(&(ruling.check, ruling.reading))?;
                let rests_on = rests_on.get(ruling.check)?;
                (old == ruling && !rests_on.meets(changed)).then(|| told.clone())
            });
            let told = kept.or_else(|| {
                let told = self.tell(ruling)?;
                Some(Arc::new(RulingReport { place: None, ..told }))
            });
            rulings.extend(told.map(|told| (ruling.clone(), told)));
        }
        ReportedBefore { readings: self.readings.clone(), rulings, rests_on }
    }

    fn rests_on(&self, leaves: &Leaves) -> Vec<SlotSet> {
        let of_check = |check: &crate::plan::Check| {
            let mut slots = leaves.of_slots(self.plan, &check.slots());
            if let Some(condition) = &check.condition {
                slots.add_all(&leaves.of_program(self.plan, &condition.program));
            }
            slots
        };
        self.plan.checks.iter().map(of_check).collect()
    }
}

impl ReportedBefore {
    /// The readings that are not what they were.
    fn changed_to(&self, readings: &Readings) -> SlotSet {
        let moved = Moved::new(self.readings.source().text(), readings.source().text());
        let mut changed = SlotSet::default();
        for slot in (0..readings.slot_count()).filter(|slot| !self.readings.says_still(readings, &moved, *slot)) {
            changed.add(slot);
        }
        changed
    }

    fn by_check(&self) -> ByCheck<'_> {
        self.rulings.iter().map(|one| ((one.0.check, one.0.reading), one)).collect()
    }
}
