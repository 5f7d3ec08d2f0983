//! The search against trying everything.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test may stop at the first surprise")]

use super::*;
use proptest::prelude::*;

/// Scores from a table drawn at random: rows of one to four places.
#[derive(Debug)]
struct Drawn {
    seed: u64,
    /// How many different numbers a score is drawn from: few give many sets that come to the same.
    variety: u64,
    harsh: bool,
}

impl Scores for Drawn {
    fn score(&self, group: usize, parts: &[usize]) -> Score {
        let mut state = self.seed ^ (group as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        for part in parts {
            state = (state ^ (*part as u64 + 1)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
            state ^= state >> 29;
        }
        let mut next = |of: u64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) % of
        };
        let rare = if self.harsh { 3 } else { 9 };
        let room = i64::try_from(next(self.variety)).unwrap();
        Score {
            out: u32::from(next(rare) == 0),
            open: u32::from(next(7) == 0),
            worn: u32::from(next(4) == 0),
            advisory: u32::from(next(4) == 0),
            least_room: if next(6) == 0 { i64::MAX } else { room },
            room,
        }
    }
}

/// Every set there is, scored from the start, in the order of cost and parts.
fn everything(problem: &Problem, scores: &impl Scores, limits: Limits) -> Vec<Found> {
    let mut sets: Vec<Vec<usize>> = vec![Vec::new()];
    for domain in &problem.domains {
        sets = sets
            .iter()
            .flat_map(|set| {
                domain.iter().filter(|part| !set.contains(part)).map(move |part| {
                    let mut longer = set.clone();
                    longer.push(*part);
                    longer
                })
            })
            .collect();
    }
    let mut found: Vec<Found> = sets
        .into_iter()
        .filter(|set| problem.with.iter().all(|with| set.contains(with)))
        .filter(|set| problem.in_order.windows(2).all(|pair| set[pair[0]] < set[pair[1]]))
        .map(|parts| {
            let score = problem.groups.iter().enumerate().fold(Score::NOTHING, |sum, (number, group)| {
                let parts: Vec<usize> = group.places.iter().map(|place| parts[*place]).collect();
                sum.with(scores.score(number, &parts))
            });
            Found { parts, score }
        })
        .filter(|found| limits.allow_out || found.score.out == 0)
        .filter(|found| limits.allow_open || found.score.open == 0)
        .collect();
    found.sort_by(|one, other| (one.score.cost(), &one.parts).cmp(&(other.score.cost(), &other.parts)));
    found.truncate(limits.best);
    found
}

prop_compose! {
    /// Two or three kinds of parts at two or three positions, rows of one to four places.
    fn problem()(kinds in prop::collection::vec((1_usize..=3, 1_usize..=4), 1..=3))(
        groups in prop::collection::vec(
            prop::sample::subsequence((0..kinds.iter().map(|(places, _)| places).sum::<usize>()).collect::<Vec<_>>(),
                0..=kinds.iter().map(|(places, _)| places).sum::<usize>().min(4)),
            0..6,
        ),
        with in prop::option::weighted(0.3, 0_usize..4),
        kinds in Just(kinds),
        twins in any::<bool>(),
    ) -> Problem {
        let mut domains = Vec::new();
        let mut first = 0;
        let mut in_order = Vec::new();
        for (places, parts) in &kinds {
            if twins && in_order.is_empty() && *places > 1 {
                in_order = vec![domains.len(), domains.len() + 1];
            }
            for _ in 0..*places {
                domains.push((first..first + parts).collect());
            }
            first += parts;
        }
        let with = with.filter(|with| *with < first).into_iter().collect();
        let groups = groups.into_iter().map(|places| Group { places }).collect();
        Problem { domains, groups, in_order, with }
    }
}

proptest! {
    // Ten thousand in the long run: PROPTEST_CASES=10000.
    #![proptest_config(ProptestConfig::with_cases(
        std::env::var("PROPTEST_CASES").ok().and_then(|cases| cases.parse().ok()).unwrap_or(10_000)
    ))]

    #[test]
    fn no_better_set_exists(
        problem in problem(),
        seed in any::<u64>(),
        variety in 1_u64..40,
        harsh in any::<bool>(),
        best in 1_usize..5,
        allow_out in any::<bool>(),
        allow_open in any::<bool>(),
    ) {
        let scores = Drawn { seed, variety, harsh };
        let limits = Limits { best, allow_out, allow_open };
        let (found, whole) = search(&problem, &scores, limits, || true);
        prop_assert_eq!(whole, Ok(()));
        prop_assert_eq!(found, everything(&problem, &scores, limits));
    }
}

/// Rows that refuse at random: up to three in a group.
#[derive(Debug)]
struct Refusing {
    drawn: Drawn,
    rare: u64,
}

impl Refusals for Refusing {
    fn refusing(&self, group: usize, parts: &[usize]) -> std::rc::Rc<[usize]> {
        let room = |row: usize| self.drawn.score(group * 3 + row, parts).room.unsigned_abs();
        (0..3).filter(|row| room(*row).is_multiple_of(self.rare)).collect()
    }
}

/// Every choice of parts for some places that has each part once and those that can be nowhere else.
fn choices(problem: &Problem, places: &[usize]) -> Vec<Vec<usize>> {
    let domains = places.iter().map(|place| problem.domains[*place].clone()).collect();
    let inside =
        |part: &usize| (0..problem.domains.len()).all(|at| places.contains(&at) || !problem.domains[at].contains(part));
    let with: Vec<usize> = problem.with.iter().copied().filter(inside).collect();
    let limits = Limits { best: usize::MAX, allow_out: true, allow_open: true };
    let small = Problem { domains, groups: Vec::new(), in_order: Vec::new(), with };
    everything(&small, &Drawn { seed: 0, variety: 1, harsh: false }, limits)
        .into_iter()
        .map(|found| found.parts)
        .collect()
}

/// The rows among some places that refuse a choice for them.
fn refused_by(problem: &Problem, refusals: &Refusing, places: &[usize], parts: &[usize]) -> Vec<RowNumber> {
    let mut rows = Vec::new();
    for (group, own) in problem.groups.iter().enumerate() {
        let at: Option<Vec<usize>> =
            own.places.iter().map(|place| places.iter().position(|one| one == place).map(|at| parts[at])).collect();
        if let Some(at) = at {
            rows.extend(refusals.refusing(group, &at).iter().map(|row| (group, *row)));
        }
    }
    rows
}

/// The subsets of some things, the smallest first, those of one size in their order.
fn subsets<T: Copy + Ord>(things: &[T]) -> Vec<Vec<T>> {
    let mut all: Vec<Vec<T>> = vec![Vec::new()];
    for thing in things {
        let more: Vec<Vec<T>> = all.iter().map(|set| set.iter().copied().chain([*thing]).collect()).collect();
        all.extend(more);
    }
    all.sort_by(|one, other| (one.len(), one).cmp(&(other.len(), other)));
    all
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(
        std::env::var("PROPTEST_CASES").ok().and_then(|cases| cases.parse().ok()).unwrap_or(2_000)
    ))]

    #[test]
    fn no_smaller_group_of_places_and_rows_conflicts(problem in problem(), seed in any::<u64>(), variety in 3_u64..40, rare in 1_u64..4) {
        let refusals = Refusing { drawn: Drawn { seed, variety, harsh: false }, rare };
        let found = conflict(&problem, &refusals, &|| true).unwrap();
        let all: Vec<usize> = (0..problem.domains.len()).collect();
        let refused = |places: &[usize]| -> Vec<Vec<RowNumber>> {
            choices(&problem, places).iter().map(|parts| refused_by(&problem, &refusals, places, parts)).collect()
        };
        let first = subsets(&all).into_iter().find(|places| refused(places).iter().all(|rows| !rows.is_empty()));
        prop_assert_eq!(found.as_ref().map(|found| &found.places), first.as_ref());
        let Some(found) = found else { return Ok(()) };
        prop_assert!(found.fewest_rows);
        let lists = refused(&found.places);
        prop_assert!(lists.iter().all(|list| list.iter().any(|row| found.rows.contains(row))), "some choice is not refused");
        let mut every: Vec<RowNumber> = lists.iter().flatten().copied().collect();
        every.sort_unstable();
        every.dedup();
        // Subsets of more rows than these are too many to try; there the proof is that of the places.
        if every.len() <= 12 {
            let fewest = subsets(&every).into_iter().find(|rows| lists.iter().all(|list| list.iter().any(|row| rows.contains(row))));
            prop_assert_eq!(fewest.map(|rows| rows.len()), Some(found.rows.len()));
        }
    }
}

#[test]
fn a_search_told_to_stop_says_so_and_how_good_a_set_could_be() {
    let domains = vec![(0..12).collect::<Vec<_>>(); 4];
    let groups = (0..4).map(|first| Group { places: vec![first % 4, (first + 1) % 4] });
    let groups = groups
        .map(|mut group| {
            group.places.sort_unstable();
            group
        })
        .collect();
    let problem = Problem { domains, groups, in_order: Vec::new(), with: Vec::new() };
    let scores = Drawn { seed: 7, variety: 1000, harsh: false };
    let limits = Limits { best: 1, allow_out: false, allow_open: true };
    let (best, whole) = search(&problem, &scores, limits, || true);
    assert_eq!(whole, Ok(()));
    let (found, stopped) = search(&problem, &scores, limits, || false);
    let bound = stopped.unwrap_err().bound;
    assert!(bound.cost() <= best[0].score.cost());
    assert!(found.iter().all(|found| best[0].score.cost() <= found.score.cost()));
}
