//! Whether correlation coefficients can hold together: a correlation matrix has no negative eigenvalue. Exact.

use crate::quantity::Number;

/// Which of two quantities, by their numbers, are correlated, and how strongly.
pub type Pair = (usize, usize, Number);

/// The quantities that hang together by pairs, directly or through others: each group in order, one after another.
#[must_use]
pub fn groups(pairs: &[Pair]) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (one, other, _) in pairs {
        let (joined, mut rest): (Vec<_>, Vec<_>) =
            groups.into_iter().partition(|group| group.contains(one) || group.contains(other));
        let mut group: Vec<usize> = joined.into_iter().flatten().chain([*one, *other]).collect();
        group.sort_unstable();
        group.dedup();
        rest.push(group);
        groups = rest;
    }
    groups.sort();
    groups
}

/// The correlation matrix of a group, row by row; zero where no pair says more.
#[must_use]
pub fn matrix(group: &[usize], pairs: &[Pair]) -> Vec<Vec<Number>> {
    let coefficient = |one: usize, other: usize| {
        if one == other {
            return Number::ONE;
        }
        let is = |pair: &&Pair| (pair.0, pair.1) == (one, other) || (pair.0, pair.1) == (other, one);
        pairs.iter().find(is).map_or(Number::ZERO, |(.., coefficient)| coefficient.clone())
    };
    group.iter().map(|one| group.iter().map(|other| coefficient(*one, *other)).collect()).collect()
}

/// Whether a symmetric matrix has no negative eigenvalue, by elimination: each pivot is at least zero, and beside a pivot of
/// zero there is nothing (Golub and Van Loan, *Matrix Computations*, 4th edition, 4.2.8).
#[must_use]
pub fn is_possible(mut matrix: Vec<Vec<Number>>) -> bool {
    while let Some((first, rest)) = matrix.split_first() {
        let Some((pivot, right)) = first.split_first() else { return true };
        if pivot.signum() < 0 || pivot.signum() == 0 && right.iter().any(|it| it.signum() != 0) {
            return false;
        }
        let below = |row: &Vec<Number>| -> Vec<Number> {
            let Some((lead, tail)) = row.split_first() else { return Vec::new() };
            let factor = lead.checked_div(pivot).unwrap_or_default();
            tail.iter().zip(right).map(|(here, above)| here.clone() - factor.clone() * above.clone()).collect()
        };
        matrix = rest.iter().map(below).collect();
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hundredths(number: i64) -> Number {
        Number::ratio(number, 100).unwrap_or_default()
    }

    fn three(ab: i64, ac: i64, bc: i64) -> bool {
        let pairs = [(0, 1, hundredths(ab)), (0, 2, hundredths(ac)), (1, 2, hundredths(bc))];
        is_possible(matrix(&[0, 1, 2], &pairs))
    }

    /// Of three, the determinant is 1 + 2abc − a² − b² − c², and no coefficient is beyond one.
    #[test]
    fn three_are_possible_where_their_determinant_is_not_negative() {
        for ab in (-100..=100).step_by(20) {
            for ac in (-100..=100).step_by(20) {
                for bc in (-100..=100).step_by(20) {
                    let determinant: i64 = 1_000_000 + 2 * ab * ac * bc - 100 * (ab * ab + ac * ac + bc * bc);
                    assert_eq!(three(ab, ac, bc), determinant >= 0, "{ab} {ac} {bc}");
                }
            }
        }
        // Exactly singular: 0.6 and 0.8 at a right angle.
        assert!(three(60, 80, 0));
        assert!(!three(60, 81, 0));
    }

    #[test]
    fn what_hangs_together_is_one_group() {
        let pairs = [(4, 5, Number::ONE), (0, 1, Number::ONE), (2, 1, Number::ONE), (7, 4, Number::ONE)];
        assert_eq!(groups(&pairs), [vec![0, 1, 2], vec![4, 5, 7]]);
        assert_eq!(groups(&[]), [] as [Vec<usize>; 0]);
    }
}
