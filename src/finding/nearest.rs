//! Did-you-mean: the declared name closest to a written one, or nothing when none is close enough to be sure.

/// The closest of `names` to `written`, if it is close enough to be worth suggesting.
///
/// Case and the difference between `-`, `_` and a space count for little; otherwise one slip in three letters is
/// allowed, two neighbouring letters swapped counting as one slip. A tie goes to the name that comes first.
#[must_use]
pub fn nearest<'a>(written: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    nearest_within(written, names, 3)
}

/// As [`nearest`], allowing one slip in `letters_per_slip` letters, and always at least one in names of two letters or
/// more.
#[must_use]
pub fn nearest_within<'a>(
    written: &str,
    names: impl IntoIterator<Item = &'a str>,
    letters_per_slip: usize,
) -> Option<&'a str> {
    let plain = |name: &str| -> String {
        name.chars()
            .map(|letter| if matches!(letter, '-' | ' ') { '_' } else { letter })
            .collect::<String>()
            .to_lowercase()
    };
    let written_plain = plain(written);
    let length = written_plain.chars().count();
    // A name longer than any we declare is not worth the square of its length.
    if length > 100 {
        return None;
    }
    let allowed = if length < 2 { 0 } else { (length / letters_per_slip.max(1)).max(1) };
    let mut best: Option<(usize, &str)> = None;
    for name in names {
        let name_plain = plain(name);
        let slips =
            if name_plain == written_plain { 0 } else { strsim::damerau_levenshtein(&written_plain, &name_plain) };
        // Every letter wrong is no resemblance, however short the word.
        let close = slips <= allowed && (slips == 0 || slips < length.min(name_plain.chars().count()));
        if close && best.is_none_or(|(least, _)| slips < least) {
            best = Some((slips, name));
        }
    }
    best.map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn suggests_only_when_sure() {
        let names = ["rotor", "housing", "apex_seal", "mm"];
        assert_eq!(nearest("rotr", names), Some("rotor"));
        assert_eq!(nearest("ROTOR", names), Some("rotor"));
        assert_eq!(nearest("apex-seal", names), Some("apex_seal"));
        assert_eq!(nearest("huosing", names), Some("housing"));
        assert_eq!(nearest("MM", names), Some("mm"));
        assert_eq!(nearest("flywheel", names), None);
        assert_eq!(nearest("kg", names), None);
    }
}
