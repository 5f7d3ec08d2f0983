//! Tells a remark behind a value from a text that YAML takes for one. Refuses to know what the value means.

/// Whether a text that begins with `#`, so many blanks behind a value, is plainly meant as a remark: a blank follows the `#`, and
/// then no number, unless more than one blank stands before. `housing #3` and `shop # 3` are not.
pub(super) fn is_plainly_one(apart: usize, remark: &str) -> bool {
    let text = remark.trim_start_matches('#');
    let number = || text.trim_start().starts_with(|letter: char| letter.is_ascii_digit());
    text.is_empty() || (text.starts_with([' ', '\t']) && (apart > 1 || !number()))
}

#[cfg(test)]
mod tests {
    use super::is_plainly_one;

    #[test]
    fn a_number_sign_is_not_a_remark() {
        for (apart, remark) in [(1, "# seen twice"), (3, "# 3 readings"), (1, "#"), (2, "## old"), (1, "#\told")] {
            assert!(is_plainly_one(apart, remark), "{remark}");
        }
        for (apart, remark) in [(1, "#3"), (1, "# 3"), (4, "#2 of 3"), (1, "#old"), (2, "##old")] {
            assert!(!is_plainly_one(apart, remark), "{remark}");
        }
    }
}
