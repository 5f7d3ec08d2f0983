//! How one value made of several follows them: the reading that is picked, or its share of each.

use super::{Form, Influence, Weighing};
use crate::book::Datum;
use crate::judge::evaluate::Outcome;
use crate::plan::{Element, Operation};
use crate::quantity::{Number, Value};
use crate::syntax::tree::Collector;
use std::cmp::Ordering;

/// One value of a collection.
#[derive(PartialEq)]
struct Member {
    value: Value,
    form: Form,
}

impl Weighing<'_> {
    /// How a collection's value follows.
    pub(super) fn collect(
        &self,
        collector: Collector,
        elements: &[Element],
        results: &[Outcome],
        forms: &[Form],
    ) -> Form {
        if collector == Collector::Count {
            return Form::default();
        }
        let (members, repeats) = self.members(elements, results, forms);
        match collector {
            Collector::Smallest => self.picked(&members, Ordering::Less),
            Collector::Largest => self.picked(&members, Ordering::Greater),
            Collector::Spread => self.spread(&members),
            Collector::Sum => shared(&members, &repeats, &Number::ONE),
            Collector::Mean => {
                let count = i64::try_from(members.len()).unwrap_or(i64::MAX);
                shared(&members, &repeats, &Number::ratio(1, count).unwrap_or(Number::ONE))
            }
            Collector::Count => Form::default(),
        }
    }

    /// How the largest of a collection less its smallest follows, in so many words: as its spread. None where the two
    /// operations are no such pair over the same values.
    pub(super) fn spread_in_words(
        &self,
        (largest, smallest): (&Operation, &Operation),
        results: &[Outcome],
        forms: &[Form],
    ) -> Option<Form> {
        let (largest, smallest) = (self.collection(largest), self.collection(smallest));
        let ((Collector::Largest, above), (Collector::Smallest, below)) = (largest?, smallest?) else { return None };
        let (members, _) = self.members(above, results, forms);
        (above == below || members == self.members(below, results, forms).0).then(|| self.spread(&members))
    }

    /// The collection an operation is, or that the derived value it takes is.
    fn collection<'p>(&'p self, operation: &'p Operation) -> Option<(Collector, &'p [Element])> {
        match operation {
            Operation::Collect(collector, elements) => Some((*collector, elements)),
            Operation::Slot(slot) => {
                let plan = self.bench.plan;
                let step = plan.step_of.get(*slot).copied().flatten()?;
                match plan.steps.get(step as usize)?.program.operations.as_slice() {
                    // Values worked out on the way there are not at hand here.
                    [Operation::Collect(collector, elements)] => Some((*collector, elements)),
                    _ => None,
                }
            }
            _ => None,
        }
    }

    /// The values of a collection, and its slots with repeats, with how many of each.
    fn members(&self, elements: &[Element], results: &[Outcome], forms: &[Form]) -> (Vec<Member>, Vec<(usize, usize)>) {
        let mut members: Vec<Member> = Vec::new();
        let mut repeats: Vec<(usize, usize)> = Vec::new();
        for element in elements {
            match element {
                Element::Value(earlier) => {
                    if let Some(Outcome::Known(Datum::Quantity(value))) = results.get(*earlier as usize) {
                        let form = forms.get(*earlier as usize).cloned().unwrap_or_default();
                        members.push(Member { value: value.clone(), form });
                    }
                }
                Element::Slot(slot) => {
                    let taken = self.bench.readings.quantities(*slot).unwrap_or_default();
                    if taken.is_empty() {
                        if let Outcome::Known(Datum::Quantity(value)) = self.bench.slot(*slot) {
                            members.push(Member { value, form: self.slot(*slot) });
                        }
                        continue;
                    }
                    if taken.len() > 1 {
                        repeats.push((*slot, taken.len()));
                    }
                    for (at, value) in taken.into_iter().enumerate() {
                        members.push(Member { value, form: self.reading(*slot, at) });
                    }
                }
            }
        }
        (members, repeats)
    }

    /// The form of the extreme member. Of those so near it that their expanded uncertainty covers the distance, any may truly
    /// be the extreme one: the one that is least sure counts.
    fn picked(&self, members: &[Member], wanted: Ordering) -> Form {
        let near = self.near(members, wanted);
        let Some(chosen) = self.least_sure(&near) else { return Form::default() };
        let unknown = near.iter().any(|member| member.form.unknown);
        Form { unknown, boundless: members.iter().any(|member| member.form.boundless), ..chosen.form.clone() }
    }

    /// The form of the largest less the smallest. Each is chosen as in [`Self::picked`], but no member stands at both ends,
    /// where its doubt would cancel: beside the least sure of one end, of the other the one that leaves most doubt.
    fn spread(&self, members: &[Member]) -> Form {
        let (low, high) = (self.near(members, Ordering::Less), self.near(members, Ordering::Greater));
        let unknown = low.iter().chain(&high).any(|member| member.form.unknown);
        let mut widest: Option<(Value, Form)> = None;
        for (one_end, other_end) in [(&low, &high), (&high, &low)] {
            let Some(one) = self.least_sure(one_end) else { continue };
            for other in other_end.iter().filter(|other| !std::ptr::eq(**other, one)) {
                let form = other.form.clone().with(&one.form, true);
                let variance = self.variance(&form);
                let wider = widest.as_ref().is_none_or(|(than, _)| variance.compare(than) == Some(Ordering::Greater));
                if wider {
                    widest = Some((variance, form));
                }
            }
        }
        let form = widest.map(|(_, form)| form).unwrap_or_default();
        let boundless = members.iter().any(|member| member.form.boundless);
        Form { unknown: unknown || form.unknown, boundless, ..form }
    }

    /// The members that may truly be the extreme one, the one that is as measured first: of the others those so near it
    /// that the expanded uncertainty of the distance covers it.
    fn near<'m>(&self, members: &'m [Member], wanted: Ordering) -> Vec<&'m Member> {
        let mut rest = members.iter();
        let Some(mut extreme) = rest.next() else { return Vec::new() };
        for member in rest {
            if member.value.compare(&extreme.value) == Some(wanted) {
                extreme = member;
            }
        }
        let mut near = vec![extreme];
        if members.iter().any(|member| !member.form.is_exact()) {
            let own = self.variance(&extreme.form);
            near.extend(members.iter().filter(|member| {
                let apart = member.value.subtract(&extreme.value);
                // 4 u² is the square of the expanded uncertainty, k = 2.
                let mut variance = self.variance(&member.form).add(&own);
                // What is correlated the other way round is further apart than that.
                if !self.correlations().pairs.is_empty() {
                    let apart = self.variance(&member.form.clone().with(&extreme.form, true));
                    if apart.compare(&variance) != Some(Ordering::Less) {
                        variance = apart;
                    }
                }
                let covered = variance.multiply(&Value::from(Number::from_integer(4)));
                !std::ptr::eq(*member, extreme) && apart.squared().compare(&covered) != Some(Ordering::Greater)
            }));
        }
        near
    }

    /// The member whose value is least sure; of those alike the first.
    fn least_sure<'m>(&self, near: &[&'m Member]) -> Option<&'m Member> {
        let mut all = near.iter();
        let mut chosen = *all.next()?;
        let mut widest = self.variance(&chosen.form);
        for member in all {
            let variance = self.variance(&member.form);
            if variance.compare(&widest) == Some(Ordering::Greater) {
                widest = variance;
                chosen = member;
            }
        }
        Some(chosen)
    }
}

/// The form of a sum, each member with the same share of it. Repeats of one slot bring their own scatter (type A).
fn shared(members: &[Member], repeats: &[(usize, usize)], share: &Number) -> Form {
    let by = Value::from(share.clone());
    let mut form = Form::default();
    for member in members {
        form = form.with(&member.form.scaled(&by), false);
    }
    for (slot, count) in repeats {
        // A slot's mean counts as often as it has readings.
        let often = Value::from(Number::from_integer(i64::try_from(*count).unwrap_or(i64::MAX)));
        let influence = Influence::Repeats(u32::try_from(*slot).unwrap_or(u32::MAX));
        form = form.with(&Form::one(influence, by.multiply(&often)), false);
    }
    form
}
