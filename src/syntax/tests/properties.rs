//! What holds of any text: reading never panics, every place lies in the text, and the whole grammar agrees.

use pest::Parser;
use proptest::prelude::*;

use super::HEADER;
use crate::finding::Finding;
use crate::syntax::grammar::{Grammar, Rule};
use crate::syntax::parse;
use crate::text::Source;

const BOOK: &str = "use \"parts.rulebook\"
unit \"µm\", um = 0.001 mm
unit degC, \"°C\" = 1 K zero at 273.15 K
class letter = A, B, C # ordered
formula volume(e: mm, r: mm) : cm3 = 3 * sqrt(3) * e * r ^ 2
constant ratio : number
source handbook \"Author, Title\" maker
general caution \"Springs\"
basis ground \"shared\" {
}
part engine {
    duty : choice street, race
    part rotor at front, rear {
        measure \"Gear side down\"
        width at a, b : mm, 2 readings or more { because \"x\" measure \"Micrometer\" }
        derive clearance : mm = smallest of housing.width - largest of width
        derive chipped : yes/no = clearance above 2.5 mm or not (duty is race)
    }
}
generation third \"654 cc\" follows second {
    constant ratio = 9.0 : 1
    fitted rotor at front
    replace each of rotor.width standard 0.12 to 0.21 mm limit at least 0.10 mm advisory where duty is street or race {
        because \"Too little\" from handbook \"table 2-3\"
    }
    rotor.clearance limit 5 +0.1 -0.2 mm { from memory }
    rotor.wear standard 1 to 2 mm limit at most 3 mm { standard from memory \"x\" limit from handbook }
    rotor.offset limit -5 -0.2 -0.1 ft-lb { from memory }
    rotor.casting all the same across rotor
    rework cut : rotor.width less by at most 0.1 mm, mass follows by -1, marks follows { caution \"Balance\" from memory }
    replace rework spacer : rotor.size from thin to 8.08 mm, step 0.02 mm
    rework new : rotor replaced
    smallest of rotor.outer outer   limit at most 5 mm never excused where duty is race { from memory }
}
";

fn check_places(source: &Source, findings: &[Finding]) -> Result<(), TestCaseError> {
    for finding in findings {
        let place = finding.place.as_ref().map(|(place, _)| place);
        for place in place.into_iter().chain(finding.because.iter().map(|(place, _)| place)) {
            let range = place.span.range();
            prop_assert!(source.text().get(range.clone()).is_some(), "{finding:?}");
            prop_assert!(!range.is_empty() || range.start == 0, "nothing underlined: {finding:?}");
        }
        prop_assert!(!finding.message.is_empty() && !finding.message.ends_with('.'));
        let labels = finding.place.iter().map(|(_, label)| label).chain(finding.because.iter().map(|(_, label)| label));
        for label in labels {
            prop_assert!(label.split(' ').count() <= 3, "{label}");
        }
    }
    Ok(())
}

fn holds(text: String) -> Result<(), TestCaseError> {
    let source = Source::new("any", text);
    let (_, findings) = parse(&source);
    check_places(&source, &findings)?;
    // The reader takes what the whole grammar takes, and nothing else but what it says itself.
    let whole = Grammar::parse(Rule::book, source.text()).is_ok();
    if findings.is_empty() {
        prop_assert!(whole, "the reader took {:?}", source.text());
    }
    if whole {
        use crate::finding::Code::{DateWrong, NestingTooDeep, NumberTooLong, TextUnexpected, WordUnexpected};
        let own = |finding: &Finding| {
            matches!(finding.code, DateWrong | NestingTooDeep | NumberTooLong)
                || (finding.code == WordUnexpected && finding.message.contains("twice"))
                || (finding.code == WordUnexpected && finding.message.starts_with("'measure' goes"))
                || (finding.code == WordUnexpected && finding.message.contains("' says where a "))
                || (finding.code == TextUnexpected && finding.message.contains("no number"))
        };
        prop_assert!(findings.iter().all(own), "{:?}\n{findings:?}", source.text());
    }
    Ok(())
}

fn pieces() -> Vec<&'static str> {
    let mut pieces: Vec<&str> = BOOK.split_inclusive([' ', '\n']).collect();
    pieces.extend([
        "{",
        "}",
        "(",
        ")",
        "\"",
        ",",
        ":",
        "=",
        "..",
        "1,5",
        "1e3",
        "µ",
        "“x”",
        "\0",
        "\r",
        "\u{a0}",
        ">=",
        "not ",
        "limt ",
        "part ",
        "house ",
        "is ",
        "or ",
        "at ",
        "\\",
        "ö",
        "３",
        "+/- ",
        "#",
        "- ",
        "rulebook ",
        "telltale ",
        "where ",
        "plausible ",
        "rework ",
    ]);
    pieces
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn any_text_is_read_without_panic(text in any::<String>()) {
        holds(text)?;
    }

    #[test]
    fn any_text_of_the_trade_is_read_without_panic(picks in proptest::collection::vec(any::<prop::sample::Index>(), 0..60)) {
        let pieces = pieces();
        let text: String = picks.iter().map(|pick| *pick.get(&pieces)).collect();
        holds(format!("{HEADER}{text}"))?;
    }

    #[test]
    fn a_book_with_a_slip_is_read_without_panic(
        at in any::<prop::sample::Index>(), length in 0_usize..12, piece in any::<prop::sample::Index>(), keep in any::<bool>(),
    ) {
        let text = format!("{HEADER}{BOOK}");
        let letters: Vec<char> = text.chars().collect();
        let start = at.index(letters.len());
        let end = (start + length).min(letters.len());
        let pieces = pieces();
        let new = if keep { "" } else { *piece.get(&pieces) };
        let slipped: String =
            letters[..start].iter().copied().chain(new.chars()).chain(letters[end..].iter().copied()).collect();
        holds(slipped)?;
    }
}

#[test]
fn the_book_they_slip_in_is_without_mistakes() {
    let source = Source::new("book", format!("{HEADER}{BOOK}"));
    let (tree, findings) = parse(&source);
    assert!(findings.is_empty(), "{findings:?}");
    assert_eq!(tree.items.len(), 11);
    assert!(Grammar::parse(Rule::book, source.text()).is_ok());
}
