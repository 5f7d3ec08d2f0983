//! Sound papers with one token spoilt: nothing panics, and what is spoilt is noticed or harmless.

use trochoid::judge::GradeSet;
use trochoid::shop::{Ask, Shop, shipped};
use trochoid::text::Source;

const ASK: Ask = Ask { tell: GradeSet::NOT_GOOD, rulings: true, as_of: None };

struct Dice(u64);

impl Dice {
    fn below(&mut self, most: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % most as u64) as usize
    }
}

/// Where the tokens of a text are: runs of letters and digits, and single signs.
fn tokens(text: &str) -> Vec<std::ops::Range<usize>> {
    let mut tokens: Vec<std::ops::Range<usize>> = Vec::new();
    let (mut comment, mut quoted) = (false, false);
    for (at, letter) in text.char_indices() {
        // What stands in a comment or between quotation marks may say anything.
        match letter {
            '\n' => (comment, quoted) = (false, false),
            '#' if !quoted => comment = true,
            '"' if !comment => quoted = !quoted,
            _ => {}
        }
        if comment || quoted || letter == '"' {
            continue;
        }
        let word = letter.is_alphanumeric() || letter == '_';
        if letter.is_whitespace() {
            continue;
        }
        let end = at + letter.len_utf8();
        match tokens.last_mut() {
            Some(last)
                if word && last.end == at && text[last.clone()].chars().all(|l| l.is_alphanumeric() || l == '_') =>
            {
                last.end = end;
            }
            _ => tokens.push(at..end),
        }
    }
    tokens
}

/// The text with one token deleted, doubled, misspelt, or changed for another.
fn spoilt(text: &str, dice: &mut Dice) -> String {
    let tokens = tokens(text);
    let one = tokens[dice.below(tokens.len())].clone();
    let other = tokens[dice.below(tokens.len())].clone();
    let word = &text[one.clone()];
    let new = match dice.below(4) {
        0 => String::new(),
        1 => format!("{word} {word}"),
        2 => word.chars().rev().collect(),
        _ => text[other].to_string(),
    };
    format!("{}{new}{}", &text[..one.start], &text[one.end..])
}

#[test]
fn a_book_with_one_token_spoilt_is_never_the_end_of_the_program() {
    let mut dice = Dice(0x9e37_79b9_7f4a_7c15);
    let names = ["units.rulebook", "parts.rulebook", "family.rulebook", "narrow_3mm.rulebook"];
    let sound: Vec<Source> = names.iter().map(|name| shipped::book(name).unwrap()).collect();
    assert!(Shop::of_sources(&sound).findings().is_empty());
    let record = std::fs::read_to_string(
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/kestrel/builds/K-0142.yaml"),
    )
    .unwrap();
    let mut noticed = 0;
    for round in 0..160 {
        let mut books = sound.clone();
        let spoil = round % books.len();
        books[spoil] = Source::new(names[spoil], spoilt(sound[spoil].text(), &mut dice));
        let shop = Shop::of_sources(&books);
        noticed += usize::from(!shop.is_sound());
        for finding in shop.findings() {
            let (place, _) = finding.place.as_ref().expect("a finding about a book says where");
            assert!(place.source.text().get(place.span.range()).is_some(), "{finding:?}");
            assert!(!finding.message.is_empty());
        }
        // What still compiles still judges.
        let _ = shop.check_source(&Source::new("K-0142.yaml", record.as_str()), &ASK);
    }
    assert!(noticed > 120, "only {noticed} of 160 were noticed; one number for another may pass unseen");
}

#[test]
fn a_record_with_one_token_spoilt_is_judged_or_refused() {
    let mut dice = Dice(0x2545_f491_4f6c_dd1d);
    let shop = Shop::shipped();
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/kestrel/builds");
    for name in ["K-0142.yaml", "K-0144.yaml", "K-0145.yaml", "K-0146.yaml"] {
        let text = std::fs::read_to_string(folder.join(name)).unwrap();
        for _ in 0..150 {
            let source = Source::new(name, spoilt(&text, &mut dice));
            let checked = shop.check_source(&source, &ASK);
            assert!(checked.grade.is_some() || checked.record_errors > 0, "{}", source.text());
            for (place, _) in checked.findings.iter().filter_map(|finding| finding.place.as_ref()) {
                assert!(place.source.text().get(place.span.range()).is_some());
            }
        }
    }
}
