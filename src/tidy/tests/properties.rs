//! What holds of any book: the same tree, the same comments, and a second tidying that changes nothing.

use super::{HEADER, comments, meaning, tidy};
use crate::syntax::parse;
use crate::text::Source;
use crate::tidy::{start, token};
use proptest::prelude::*;
use proptest::test_runner::TestRng;

fn books() -> Vec<(String, String)> {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let folders = ["specs", "examples/gearbox/books", "examples/kestrel/books"];
    let files = folders.iter().flat_map(|folder| crate::disk::rulebooks_below(&root.join(folder)).0);
    let books: Vec<_> = files
        .map(|path| {
            let source = crate::disk::read_source(&path, crate::disk::MOST_BOOK_BYTES).unwrap();
            (source.name().to_owned(), source.text().to_owned())
        })
        .collect();
    assert!(books.len() >= 10);
    books
}

fn holds(text: &str) {
    let Ok(tidied) = tidy(&Source::new("a", text)) else { return };
    assert_eq!(meaning(text), meaning(&tidied), "\n{text}\n---\n{tidied}");
    assert_eq!(comments(text), comments(&tidied), "\n{text}\n---\n{tidied}");
    let again = tidy(&Source::new("a", tidied.clone())).unwrap();
    assert_eq!(again, tidied, "\n{text}");
    assert!(tidied.ends_with('\n') && !tidied.ends_with("\n\n"), "{tidied:?}");
    // What stands between quotation marks is carried over, tabs too; the books here have no quotation mark inside.
    let outside = tidied.lines().flat_map(|line| line.split('"').step_by(2)).collect::<String>();
    assert!(!outside.contains('\t'), "{tidied:?}");
    assert!(!tidied.contains('\r') && !tidied.contains("\n\n\n") && !tidied.contains(" \n"), "{tidied:?}");
}

/// So many blanks at least, of either kind.
fn blanks(chance: &mut TestRng, least: usize) -> String {
    let many = least + chance.random_range(0..3);
    (0..many).map(|_| if chance.random_range(0..4) == 0 { '\t' } else { ' ' }).collect()
}

/// A book written without care: blanks, tabs and line ends where the layout is not the author's to choose.
fn scrambled(text: &str, chance: &mut TestRng) -> String {
    let (tree, _) = parse(&Source::new("a", text));
    let tokens = token::tokens(text);
    let starts = start::starts(&tree, &tokens);
    let mut out = String::new();
    let end_of_line = ["\n", "\r\n"][chance.random_range(0..2)];
    for (place, piece) in tokens.iter().enumerate() {
        let before = place.checked_sub(1).map(|place| &tokens[place]);
        let gap = match before {
            None => blanks(chance, 0),
            Some(before) if piece.touches && (before.is('+') || before.is('-') || before.is('^') || piece.is('^')) => {
                String::new()
            }
            Some(before) if piece.breaks > 0 => {
                let after_comment = before.shape == token::Shape::Comment;
                let is_comment = piece.shape == token::Shape::Comment;
                let may_join = piece.breaks == 1
                    && starts.contains(&piece.start)
                    && !after_comment
                    && !is_comment
                    && !before.is('{')
                    && before.shape != token::Shape::Number;
                let blank = blanks(chance, 1);
                if may_join && chance.random_range(0..3) == 0 {
                    blank
                } else {
                    let more = if piece.breaks > 1 { chance.random_range(2..5) } else { 1 };
                    format!("{}{blank}", end_of_line.repeat(more))
                }
            }
            Some(before) => {
                let mark = |token: &token::Token| ['{', '}', '(', ')', ',', '='].iter().any(|mark| token.is(*mark));
                // A comment may follow anything; a brace may stand on a line of its own.
                if piece.is('{') && chance.random_range(0..4) == 0 {
                    format!("{end_of_line} ")
                } else {
                    blanks(chance, usize::from(!mark(before) && !mark(piece)))
                }
            }
        };
        out.push_str(&gap);
        out.push_str(if piece.text == "±" && chance.random_range(0..2) == 0 { "+/-" } else { &piece.text });
    }
    out + "\n\n"
}

#[test]
fn the_shipped_books_mean_the_same_when_tidied() {
    for (_, text) in books() {
        holds(&text);
    }
}

const BOOK: &str = "use \"parts.rulebook\"
unit \"µm\", um = 0.001 mm # one
unit degC, \"°C\" = 1 K zero at 273.15 K

class letter = A, B, C
formula volume(e: mm, r: mm) : cm3 = 3 * sqrt(3) * e * r ^ 2
constant ratio : number
basis ground \"shared\" {
}
part engine {
    duty : choice street, race
    # own
    part rotor at front, rear {
        width at a, b : N*m, 2 readings or more { because \"x\" remedy \"y\" }
        derive clearance : mm = smallest of housing.width - largest of width
        derive chipped : yes/no = clearance above 2.5 mm ^ 2 or not (duty is race)
    }
}
generation third \"654 cc\" follows second {
    constant ratio = 9.0 : 1
    fitted rotor at front
    replace each of rotor.width standard 0.12 to 0.21 mm limit at least 0.10 mm advisory where duty is street {
        because \"Too little\" from handbook \"table 2-3\"
    }
    rotor.clearance limit 5 mm +0.1 -0.2 { from memory }
    rotor.wear standard 1 to 2 mm limit at most 3 mm { standard from memory \"x\" limit from handbook }
    rotor.offset limit -5 ft-lb -0.2 -0.1 { from memory }
    rotor.casting all the same across rotor
    smallest of rotor.outer outer   limit at most 5 mm never excused where duty is race { from memory }
    telltale rotor.width at least 5 mm   where duty is race { from memory }
    replace telltale rotor.chipped yes
    plausible rotor.width 1 to 9 mm { from memory }
}
try \"t\" { generation third expect rotor.width is good }
";

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]

    #[test]
    fn any_pieces_are_laid_out_without_panic_and_mean_the_same(
        picks in proptest::collection::vec((any::<prop::sample::Index>(), 0_usize..3), 0..40),
    ) {
        let mut pieces: Vec<&str> = BOOK.split_inclusive('\n').collect();
        pieces.extend(["{", "}", "\n", " # c\n", "(", "class a = B", "\r\n", "+/- 1", "\t"]);
        let text: String = picks.iter().map(|(pick, _)| *pick.get(&pieces)).collect();
        holds(&format!("{HEADER}{text}"));
    }

    #[test]
    fn a_book_with_line_ends_and_comments_anywhere_means_the_same(
        at in proptest::collection::vec((any::<prop::sample::Index>(), 0_usize..5), 1..12),
    ) {
        let mut words: Vec<String> = BOOK.split_inclusive(' ').map(str::to_owned).collect();
        for (place, what) in at {
            let more = ["\n", "\n\n\n", "\t", "# c\n", "\n# own\n"][what];
            let place = place.index(words.len());
            words[place].push_str(more);
        }
        holds(&format!("{HEADER}{}", words.concat()));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(12) })]

    #[test]
    fn a_book_written_without_care_gets_the_layout_back(mut chance in Just(()).prop_perturb(|(), rng| rng)) {
        for (name, text) in books() {
            let tidied = tidy(&Source::new("a", text)).unwrap();
            let careless = scrambled(&tidied, &mut chance);
            prop_assert_eq!(tidy(&Source::new("a", careless)).unwrap(), tidied, "{}", name);
        }
    }
}
