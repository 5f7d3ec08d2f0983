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
