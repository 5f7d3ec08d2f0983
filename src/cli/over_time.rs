//! The judged quantities of many builds, gathered for charts: by generation, by what they are and by unit. Refuses to draw.

use crate::handover::Measured;
use crate::quantity::{Date, Unit};
use crate::report::html::Charted;
use crate::shop::Checked;
use crate::trend::{Point, charts};
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

/// Fewer builds than this make no chart.
const FEWEST_BUILDS: usize = 3;

/// A generation, what was judged of it whatever the position, and the unit it is printed in.
type Subject = (String, String, String);

/// What was judged of all builds so far.
#[derive(Debug, Default)]
pub(super) struct OverTime {
    /// In the order they were first met.
    order: Vec<Subject>,
    by_subject: BTreeMap<Subject, Values>,
}

#[derive(Debug)]
struct Values {
    unit: Unit,
    points: Vec<Point>,
    /// The record and the path of each that does not pass.
    failing: BTreeSet<(String, String)>,
    /// The limit of the newest build, with its day and its record.
    limit: (Option<Date>, String, [Option<String>; 2]),
}

impl OverTime {
    /// Adds what was judged of a build; nothing of one without a day.
    pub(super) fn add(&mut self, checked: &Checked, measured: Vec<Measured>) {
        let (Some(finished), Some(generation)) = (checked.finished, &checked.generation) else { return };
        for one in measured {
            let subject = (generation.clone(), one.about, one.unit.symbol.to_string());
            let values = self.by_subject.entry(subject.clone()).or_insert_with(|| {
                self.order.push(subject);
                Values { unit: one.unit, points: Vec::new(), failing: BTreeSet::new(), limit: Default::default() }
            });
            match &mut values.limit {
                // Positions with limits of their own have no limit together.
                (_, file, limit) if *file == checked.file && *limit != one.limit => *limit = [None, None],
                (day, ..) if *day <= Some(finished) => {
                    values.limit = (Some(finished), checked.file.clone(), one.limit);
                }
                _ => {}
            }
            if !one.passes {
                values.failing.insert((checked.file.clone(), one.path.clone()));
            }
            values.points.push(Point {
                loose: false,
                build: checked.build.clone(),
                file: checked.file.clone(),
                finished,
                generation: generation.clone(),
                path: one.path,
                position: String::new(),
                order: one.order,
                repeats: vec![one.value.clone()],
                value: one.value,
                group: None,
                judged: None,
            });
        }
    }

    /// A chart of each subject with builds enough: the generations with the most builds first, then in the books' order.
    pub(super) fn charts(mut self) -> Vec<Charted> {
        let mut charted: Vec<Charted> = Vec::new();
        let mut most: BTreeMap<String, usize> = BTreeMap::new();
        for subject in self.order {
            let Some(Values { unit, points, failing, limit }) = self.by_subject.remove(&subject) else { continue };
            let (generation, about, _) = subject;
            let builds = points.iter().map(|point| point.file.as_str()).collect::<BTreeSet<&str>>().len();
            if builds < FEWEST_BUILDS {
                continue;
            }
            let most = most.entry(generation.clone()).or_default();
            *most = builds.max(*most);
            for chart in charts(points, Some(&about), false) {
                let (generation, unit, failing) = (generation.clone(), unit.clone(), failing.clone());
                charted.push(Charted { generation, unit, chart, failing, limit: limit.2.clone() });
            }
        }
        charted.sort_by_key(|one| (Reverse(most.get(&one.generation).copied()), one.generation.clone()));
        charted
    }
}
