//! Names of files made from what somebody wrote: each stays one step of a path on every system. Refuses to know what they name.

use rustc_hash::FxHasher;
use std::hash::Hasher;
use std::path::{Component, Path, PathBuf};

/// The longest name that is made, in bytes: systems take 255, and an ending and the name of a part file must still fit.
const MOST_NAME_BYTES: usize = 200;

/// Names that some systems take for a device, with any ending. From Microsoft, "Naming Files, Paths, and Namespaces".
const DEVICES: [&str; 6] = ["con", "prn", "aux", "nul", "conin$", "conout$"];

/// A name for a file or folder, made from a text: what could lead elsewhere, or not be written on some system, is replaced by `_`.
/// A text that is a plain name already stays as it is.
#[must_use]
pub fn safe_name(text: &str) -> String {
    let mut name: String = text.chars().map(|letter| if may_stand(letter) { letter } else { '_' }).collect();
    // Some systems drop these, and so make one name of two.
    let kept = name.trim_end_matches(['.', ' ']).len();
    let dropped = name.split_off(kept);
    name.extend(dropped.chars().map(|_| '_'));
    if name.is_empty() || is_device(&name) {
        name.insert(0, '_');
    }
    if name.len() > MOST_NAME_BYTES {
        // Two long names that differ at their ends must not become one.
        let mut digest = FxHasher::default();
        digest.write(text.as_bytes());
        let digest = format!("-{:016x}", digest.finish());
        let mut at = MOST_NAME_BYTES - digest.len();
        while !name.is_char_boundary(at) {
            at -= 1;
        }
        name.truncate(at);
        name.push_str(&digest);
    }
    name
}

/// A path below a folder, made from another one: each of its steps safe, and none that leads up or elsewhere.
#[must_use]
pub fn safe_path(path: &Path) -> PathBuf {
    let steps = path.components().filter(|step| !matches!(step, Component::CurDir | Component::RootDir));
    steps.map(|step| safe_name(&step.as_os_str().to_string_lossy())).collect()
}

fn may_stand(letter: char) -> bool {
    // The second range turns the direction of writing: a name must read as it is.
    !letter.is_control()
        && !matches!(letter, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
        && !matches!(letter, '/' | '\\' | ':' | '*' | '?' | '"' | '<' | '>' | '|')
}

fn is_device(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or(name).trim_end().to_lowercase();
    let numbered = ["com", "lpt"].iter().any(|device| {
        stem.strip_prefix(device).is_some_and(|rest| {
            let mut rest = rest.chars();
            matches!((rest.next(), rest.next()), (Some('0'..='9' | '¹' | '²' | '³'), None))
        })
    });
    numbered || DEVICES.contains(&stem.as_str())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

    use super::*;
    use proptest::prelude::*;

    #[test]
    fn plain_names_stay_and_the_others_are_made_plain() {
        for name in ["K-0147", "K 1", "Prüfung 3", "a.b.c", ".hidden", "common", "com", "com10", "nullam", "K-1 (2)"] {
            assert_eq!(safe_name(name), name);
        }
        for (text, name) in [
            ("..", "__"),
            (".", "_"),
            ("", "_"),
            ("a/b", "a_b"),
            ("..\\..\\x", ".._.._x"),
            ("C:x", "C_x"),
            ("K-1.", "K-1_"),
            ("K-1 . ", "K-1___"),
            ("a\u{0}b\nc", "a_b_c"),
            ("K\u{202e}1", "K_1"),
            ("nul", "_nul"),
            ("NUL.txt", "_NUL.txt"),
            ("Com1", "_Com1"),
            ("lpt³.x", "_lpt³.x"),
            ("con .x", "_con .x"),
            ("a*?\"<>|", "a______"),
        ] {
            assert_eq!(safe_name(text), name, "{text:?}");
        }
        let (one, other) = ("ä".repeat(300) + "1", "ä".repeat(300) + "2");
        assert!(safe_name(&one).len() <= MOST_NAME_BYTES && safe_name(&one) != safe_name(&other));
        assert_eq!(safe_path(Path::new("/spring/./../a\\b/K:1")), Path::new("spring/__/a_b/K_1"));
    }

    proptest! {
        #[test]
        fn a_name_is_one_step_for_good_and_stays_as_it_is(text in "(\\PC|[./\\\\: \u{0}-\u{1f}]|con|aux|lpt1){0,40}") {
            let name = safe_name(&text);
            prop_assert!(matches!(Path::new(&name).components().collect::<Vec<_>>()[..], [Component::Normal(_)]));
            prop_assert!(!name.contains(['/', '\\', ':']) && !name.ends_with(['.', ' ']) && !name.contains(char::is_control));
            prop_assert!(!is_device(&name) && name.len() <= MOST_NAME_BYTES);
            prop_assert_eq!(safe_name(&name), name);
        }
    }
}
