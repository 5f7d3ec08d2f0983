//! The search against trying everything.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test may stop at the first surprise")]

use super::*;
use crate::quantity::Number;
use proptest::prelude::*;

/// Scores from a table drawn at random: rows of one to four places.
#[derive(Debug)]
struct Drawn {
    seed: u64,
    /// How many different numbers a score is drawn from: few give many sets that come to the same.
    variety: u64,
    harsh: bool,
    /// How many classes of parts there are: parts of one class come to the same everywhere.
    classes: usize,
}

impl Scores for Drawn {
    fn score(&self, group: usize, parts: &[usize]) -> Score {
        let mut state = self.seed ^ (group as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        for (at, part) in parts.iter().enumerate() {
            state = (state ^ (self.class(group, at, *part) as u64 + 1)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
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

    fn class(&self, _: usize, _: usize, part: usize) -> usize {
        part % self.classes
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
    fn no_better_machines_at_once_exist_and_the_bound_holds(
        one in problem(),
        seed in any::<u64>(),
        variety in 1_u64..40,
        stop in any::<bool>(),
    ) {
        if one.domains.len() > 3 || most_machines(&one) < 2 {
            return Ok(());
        }
        let one = Problem { in_order: Vec::new(), with: Vec::new(), ..one };
        let scores = Drawn { seed, variety, harsh: false, classes: usize::MAX };
        let remembered = Remembered::new(&scores, one.groups.len());
        let limits = Limits { best: 1, allow_out: false, allow_open: true };
        let two = repeated(&one, 2);
        let best = everything(&two, &remembered, limits);
        let (found, whole) = search(&two, &remembered, limits, || !stop);
        match whole {
            Ok(()) => prop_assert_eq!(found, best),
            Err(NoMore { bound }) => {
                // Its room is not bounded.
                let bound = Score { room: i64::MAX, ..bound };
                prop_assert!(best.iter().all(|best| bound.cost() <= best.score.cost()));
            }
        }
    }

    #[test]
    fn no_better_set_exists(
        problem in problem(),
        seed in any::<u64>(),
        variety in 1_u64..40,
        harsh in any::<bool>(),
        best in prop_oneof![Just(1_usize), 1_usize..5],
        (allow_out, allow_open) in any::<(bool, bool)>(),
        classes in prop_oneof![Just(usize::MAX), 1_usize..4],
    ) {
        let scores = Drawn { seed, variety, harsh, classes };
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
    everything(&small, &Drawn { seed: 0, variety: 1, harsh: false, classes: usize::MAX }, limits)
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
        let refusals = Refusing { drawn: Drawn { seed, variety, harsh: false, classes: usize::MAX }, rare };
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

proptest! {
    #![proptest_config(ProptestConfig::with_cases(
        std::env::var("PROPTEST_CASES").ok().and_then(|cases| cases.parse().ok()).unwrap_or(600)
    ))]

    #[test]
    fn a_part_that_is_left_costs_what_the_best_set_with_it_does(
        mut problem in problem(),
        seed in any::<u64>(),
        variety in 1_u64..40,
        allow_out in any::<bool>(),
    ) {
        // Machines at once do not say what is left.
        problem.in_order.clear();
        let scores = Drawn { seed, variety, harsh: false, classes: usize::MAX };
        let limits = Limits { best: 1, allow_out: false, allow_open: true };
        let (best, _) = search(&problem, &scores, limits, || true);
        let Some(best) = best.first() else { return Ok(()) };
        let limits = Limits { allow_out, ..limits };
        let mut left = Left::new(&problem, &scores, limits, (best, &|| true)).unwrap();
        let mut parts: Vec<usize> = problem.domains.concat();
        parts.sort_unstable();
        parts.dedup();
        for part in parts {
            let with = Problem { with: problem.with.iter().copied().chain([part]).collect(), ..problem.clone() };
            let tried = everything(&with, &scores, limits);
            let found = left.with(part, &|| true).unwrap();
            let counts = |found: &Found| {
                let Score { out, open, worn, advisory, .. } = found.score;
                (out, open, worn, advisory)
            };
            prop_assert_eq!(found.as_ref().map(counts), tried.first().map(counts));
            let (Some(found), Some(tried)) = (found, tried.first()) else { continue };
            // What is less is told by the first thing in which it is less.
            if counts(tried) == counts(best) {
                prop_assert_eq!(found.score.least_room, tried.score.least_room);
            }
            if counts(tried) == counts(best) && tried.score.least_room == best.score.least_room {
                prop_assert_eq!(found.score.room, tried.score.room);
            }
        }
    }
}

/// The most pairs of the least cost, by trying every way to pair.
fn every_pairing(open: &[usize], costs: &[PairCost]) -> (usize, i64) {
    let Some((one, rest)) = open.split_first() else { return (0, 0) };
    let better = |a: (usize, i64), b: (usize, i64)| if (b.0, -b.1) > (a.0, -a.1) { b } else { a };
    rest.iter().fold(every_pairing(rest, costs), |best, other| {
        let cost = costs.iter().find(|(low, high, _)| (low, high) == (one, other));
        let Some((_, _, cost)) = cost else { return best };
        let rest: Vec<usize> = rest.iter().copied().filter(|part| part != other).collect();
        let (count, sum) = every_pairing(&rest, costs);
        better(best, (count + 1, sum + i64::try_from(half_units(cost)).unwrap()))
    })
}

/// A number of halves, counted in halves.
fn half_units(number: &Number) -> i128 {
    (number * &Number::from_integer(2)).to_decimal(0).parse().unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(
        std::env::var("PROPTEST_CASES").ok().and_then(|cases| cases.parse().ok()).unwrap_or(1_500)
    ))]

    #[test]
    fn no_pairing_of_as_many_costs_less(
        things in 0_usize..=8,
        drawn in prop::collection::vec(prop::option::weighted(0.7, 0_i64..25), 28),
    ) {
        let mut costs: Vec<PairCost> = Vec::new();
        let mut drawn = drawn.into_iter();
        for one in 0..things {
            for other in one + 1..things {
                if let Some(Some(halves)) = drawn.next() {
                    costs.push((one, other, Number::ratio(halves, 2).unwrap()));
                }
            }
        }
        let pairs = least_pairs(things, &costs);
        let mut used: Vec<usize> = pairs.iter().flat_map(|(one, other)| [*one, *other]).collect();
        used.sort_unstable();
        used.dedup();
        prop_assert_eq!(used.len(), 2 * pairs.len(), "each in one pair");
        let cost = |pair: &(usize, usize)| costs.iter().find(|(one, other, _)| (*one, *other) == *pair);
        let sum: Option<i128> = pairs.iter().map(|pair| cost(pair).map(|(_, _, cost)| half_units(cost))).sum();
        let all: Vec<usize> = (0..things).collect();
        let (count, least) = every_pairing(&all, &costs);
        prop_assert_eq!((pairs.len(), sum), (count, Some(i128::from(least))));
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
    let scores = Drawn { seed: 7, variety: 1000, harsh: false, classes: usize::MAX };
    let limits = Limits { best: 1, allow_out: false, allow_open: true };
    let (best, whole) = search(&problem, &scores, limits, || true);
    assert_eq!(whole, Ok(()));
    let (found, stopped) = search(&problem, &scores, limits, || false);
    let bound = stopped.unwrap_err().bound;
    assert!(bound.cost() <= best[0].score.cost());
    assert!(found.iter().all(|found| best[0].score.cost() <= found.score.cost()));
}
