//! Finds the parts a mechanic means by a name, one or many of them: rotor, rotors, apex-seals.

use crate::book::{Book, Id, Part};
use crate::finding::{nearest, plural};

/// A name that is no part's.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Unnamed {
    /// As it was asked for.
    pub asked: String,
    /// The nearest name of a part.
    pub near: Option<String>,
    /// The parts there are, in the order the books declare them, the whole machine left out.
    pub all: Vec<String>,
}

/// The parts of these names, each once, in the order asked for. A name may be that of one or of many: `rotor`, `rotors`.
/// Where there is no part called so, a word of a part's name means every part with that word in it: `seals`, `irons`.
///
/// # Errors
///
/// The first name that is no part's.
pub fn parts(book: &Book, names: &[String]) -> Result<Vec<Id<Part>>, Unnamed> {
    let mut found: Vec<Id<Part>> = Vec::new();
    for asked in names {
        let find = |is: &dyn Fn(&str) -> bool| -> Vec<Id<Part>> {
            book.parts.entries().filter(|(_, part)| is(&part.name)).map(|(id, _)| id).collect()
        };
        let mut meant = find(&|name| is_meant(asked, name));
        if meant.is_empty() {
            meant = find(&|name| name.split('_').any(|word| is_meant(asked, word)));
        }
        if meant.is_empty() {
            return Err(unnamed(book, asked));
        }
        for id in meant {
            if !found.contains(&id) {
                found.push(id);
            }
        }
    }
    Ok(found)
}

fn unnamed(book: &Book, asked: &str) -> Unnamed {
    let names: Vec<&str> = book.parts.iter().map(|part| &*part.name).collect();
    let many: Vec<String> = names.iter().map(|name| plural(name)).collect();
    let near = nearest(asked.trim(), names.iter().copied().chain(many.iter().map(String::as_str)));
    let mut all: Vec<String> = Vec::new();
    for name in names.iter().skip(1) {
        if !all.iter().any(|other| other == name) {
            all.push((*name).to_string());
        }
    }
    Unnamed { asked: asked.to_string(), near: near.map(str::to_string), all }
}

fn is_meant(asked: &str, name: &str) -> bool {
    let plain = |text: &str| text.trim().replace(['-', ' '], "_").to_lowercase();
    let asked = plain(asked);
    asked == plain(name) || asked == plain(&plural(name))
}

#[cfg(test)]
mod tests {
    use super::is_meant;
    use crate::finding::plural;

    #[test]
    fn one_and_many_are_meant_alike() {
        for (one, many) in [
            ("rotor", "rotors"),
            ("apex_seal", "apex_seals"),
            ("iron_face", "iron_faces"),
            ("bush", "bushes"),
            ("assembly", "assemblies"),
            ("key", "keys"),
            ("glass", "glasses"),
            ("box", "boxes"),
        ] {
            assert_eq!(plural(one), many);
            assert!(is_meant(one, one) && is_meant(many, one));
        }
        assert!(is_meant("apex-seals", "apex_seal") && is_meant(" Rotor ", "rotor"));
        for (asked, name) in [("rotorss", "rotor"), ("roto", "rotor"), ("seal", "apex_seal"), ("", "rotor")] {
            assert!(!is_meant(asked, name), "{asked}");
        }
    }
}
