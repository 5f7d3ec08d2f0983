//! Sound papers with one token spoilt: nothing panics, and what is spoilt is noticed or harmless.

use crate::reference;
use trochoid::finding::Finding;
use trochoid::judge::GradeSet;
use trochoid::shop::{Ask, Shop, shipped};
use trochoid::syntax::tree::{
    FitsMember, GenerationMember, HouseMember, Item, Name, Overlay, PartDeclaration, PartMember, TryMember,
};
use trochoid::text::{Place, Source, Span};

const ASK: Ask = Ask { tell: GradeSet::NOT_GOOD, rulings: true, as_of: None };

pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn below(&mut self, most: usize) -> usize {
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
    let names = [
        "units.rulebook",
        "parts.rulebook",
        "plausible.rulebook",
        "rework.rulebook",
        "family.rulebook",
        "seals_3mm.rulebook",
        "narrow_3mm.rulebook",
    ];
    let sound: Vec<Source> = names.iter().map(|name| shipped::book(name).unwrap()).collect();
    assert!(Shop::of_sources(&sound).findings().is_empty());
    let record = std::fs::read_to_string(
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/kestrel/builds/K-0142.yaml"),
    )
    .unwrap();
    let mut noticed = 0;
    let rounds = if std::env::var_os("PROPTEST_CASES").is_some() { 160 } else { 96 };
    for round in 0..rounds {
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
    assert!(
        noticed * 4 > rounds * 3,
        "only {noticed} of {rounds} were noticed; one number for another may pass unseen"
    );
}

#[test]
fn a_record_with_one_token_spoilt_is_judged_or_refused() {
    let mut dice = Dice(0x2545_f491_4f6c_dd1d);
    let shop = Shop::shipped();
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/kestrel/builds");
    for name in ["K-0142.yaml", "K-0144.yaml", "K-0145.yaml", "K-0146.yaml"] {
        let text = std::fs::read_to_string(folder.join(name)).unwrap();
        for _ in 0..if std::env::var_os("PROPTEST_CASES").is_some() { 150 } else { 60 } {
            let source = Source::new(name, spoilt(&text, &mut dice));
            let checked = shop.check_source(&source, &ASK);
            assert!(checked.grade.is_some() || checked.record_errors > 0, "{}", source.text());
            for (place, _) in checked.findings.iter().filter_map(|finding| finding.place.as_ref()) {
                assert!(place.source.text().get(place.span.range()).is_some());
            }
        }
    }
}

/// What stands alone in a book: where it is, and the words it goes by.
struct Member {
    span: std::ops::Range<usize>,
    names: Vec<String>,
}

fn member(span: Span, name: &Name) -> Member {
    Member { span: span.range(), names: vec![name.text.to_string()] }
}

/// The line that opens a block, up to its brace.
fn head(source: &Source, all: Span, name: &Name) -> Member {
    let after = name.span.end as usize;
    let brace = source.text()[after..].find('{').unwrap();
    member(Span::new(all.start as usize, after + brace), name)
}

fn part_members(source: &Source, part: &PartDeclaration, members: &mut Vec<Member>) {
    members.push(head(source, part.span, &part.name));
    for inside in &part.members {
        match inside {
            PartMember::Reading(reading) => members.push(member(reading.span, &reading.name)),
            PartMember::Derive(derive) => members.push(member(derive.span, &derive.name)),
            PartMember::Expansion(expansion) => {
                members.push(Member { span: expansion.span.range(), names: Vec::new() });
            }
            PartMember::Part(part) => part_members(source, part, members),
        }
    }
}

/// The names of the characteristics that overlays are about.
fn last_names(overlays: &[Overlay]) -> Vec<String> {
    overlays.iter().filter_map(|overlay| overlay.row.path.segments.last()).map(|name| name.text.to_string()).collect()
}

/// Every declaration and member of a book; of a part or generation its head alone, since the rest are members themselves.
fn members(source: &Source) -> Vec<Member> {
    let (tree, findings) = trochoid::syntax::parse(source);
    assert!(findings.is_empty(), "{findings:?}");
    let mut members = Vec::new();
    for item in &tree.items {
        match item {
            // A book not found by its name is told where it is used; `of_sources` does not look for it.
            Item::PlausibleGauges(gauges) => members.push(Member { span: gauges.span.range(), names: Vec::new() }),
            Item::Use(_) | Item::Caution(_) => {}
            Item::Unit(unit) => {
                let names = unit.names.iter().map(|name| name.text.to_string()).collect();
                members.push(Member { span: unit.span.range(), names });
            }
            Item::Set(set) => members.push(member(set.span, &set.name)),
            Item::Constant(constant) => members.push(member(constant.span, &constant.name)),
            Item::Formula(formula) => members.push(member(formula.span, &formula.name)),
            Item::Part(part) => part_members(source, part, &mut members),
            Item::Extend(extend) => members.push(Member {
                span: extend.span.range(),
                names: extend.part.segments.last().map(|name| name.text.to_string()).into_iter().collect(),
            }),
            Item::Source(cited) => members.push(member(cited.span, &cited.name)),
            Item::Table(table) => members.push(member(table.span, &table.name)),
            // What a shop changes is of rows, and an example of readings: their own names are what a finding may say.
            Item::House(house) => {
                for inside in &house.members {
                    match inside {
                        HouseMember::Judge(judge) => {
                            members.push(Member { span: judge.span.range(), names: Vec::new() });
                        }
                        HouseMember::Gauges { span, .. } => {
                            members.push(Member { span: span.range(), names: Vec::new() });
                        }
                        HouseMember::For(block) => {
                            members.push(Member { span: block.scope.span.range(), names: last_names(&block.overlays) });
                            members.extend(block.overlays.iter().map(|overlay| Member {
                                span: overlay.row.span.range(),
                                names: last_names(std::slice::from_ref(overlay)),
                            }));
                        }
                    }
                }
            }
            Item::Try(example) => {
                for inside in &example.members {
                    let span = match inside {
                        TryMember::Generation(name) => {
                            let word = source.text()[..name.span.start as usize].rfind("generation").unwrap();
                            Span::new(word, name.span.end as usize)
                        }
                        TryMember::Finished(_, span) => *span,
                        TryMember::Given { span, .. } | TryMember::Expect { span, .. } => *span,
                    };
                    members.push(Member { span: span.range(), names: vec![example.title.text.to_string()] });
                }
            }
            Item::Fits(fits) => {
                for inside in &fits.members {
                    let span = match inside {
                        FitsMember::Sizes { span, .. }
                        | FitsMember::Grade { span, .. }
                        | FitsMember::Deviations { span, .. } => *span,
                    };
                    members.push(Member { span: span.range(), names: Vec::new() });
                }
            }
            Item::Generation(generation) => {
                members.push(head(source, generation.span, &generation.name));
                for inside in &generation.members {
                    members.push(match inside {
                        GenerationMember::Constant { name, span, .. } => member(*span, name),
                        GenerationMember::Fitted { span, .. } => Member { span: span.range(), names: Vec::new() },
                        GenerationMember::Telltale(line) | GenerationMember::Plausible(line) => Member {
                            span: line.span.range(),
                            names: line.path.segments.last().map(|name| name.text.to_string()).into_iter().collect(),
                        },
                        GenerationMember::Rework(line) => member(line.span, &line.name),
                        GenerationMember::Row(row) => Member {
                            span: row.span.range(),
                            names: row.path.segments.last().map(|name| name.text.to_string()).into_iter().collect(),
                        },
                    });
                }
            }
        }
    }
    members
}

/// The sets of books to spoil, each book after those it uses.
fn shelves() -> Vec<Vec<Source>> {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let shipped = |name: &str| shipped::book(name).unwrap();
    let read = |path: &str| Source::new(path, std::fs::read_to_string(root.join(path)).unwrap());
    let family = [
        "units",
        "fits",
        "parts",
        "plausible",
        "rework",
        "family",
        "seals_3mm",
        "narrow_3mm",
        "cast_2mm",
        "boosted_2mm",
        "side_exhaust",
    ];
    let mut kestrel: Vec<Source> = family.iter().map(|name| shipped(&format!("{name}.rulebook"))).collect();
    kestrel.push(read("examples/kestrel/books/kestrel.rulebook"));
    kestrel.push(read("examples/kestrel/books/race.rulebook"));
    kestrel.push(read("examples/kestrel/books/house.rulebook"));
    let shown = |title: &str| vec![Source::new("specs/README.md", reference::book(title))];
    let gearbox =
        vec![shipped("units.rulebook"), shipped("fits.rulebook"), read("examples/gearbox/books/gearbox.rulebook")];
    vec![shown("Everything in one small book"), gearbox, shown("A shop's own"), kestrel]
}

/// One token of a span deleted, swapped with the next, misspelt by one letter, or doubled: what was done, and the text.
fn slipped(text: &str, span: &std::ops::Range<usize>, dice: &mut Dice) -> Option<(String, String)> {
    let inside: Vec<_> =
        tokens(text).into_iter().filter(|one| span.start <= one.start && one.end <= span.end).collect();
    if inside.is_empty() {
        return None;
    }
    let at = dice.below(inside.len());
    let one = inside[at].clone();
    let word = &text[one.clone()];
    let (end, new, done) = match dice.below(4) {
        0 => (one.end, String::new(), "deleted"),
        1 => {
            let next = inside.get(at + 1)?;
            (next.end, format!("{} {word}", &text[next.clone()]), "swapped with the next")
        }
        2 => {
            let letters: Vec<char> = word.chars().collect();
            let wrong = dice.below(letters.len());
            let other = if letters[wrong] == 'q' { 'j' } else { 'q' };
            let new =
                letters.iter().enumerate().map(|(at, letter)| if at == wrong { other } else { *letter }).collect();
            (one.end, new, "misspelt")
        }
        _ => (one.end, format!("{word} {word}"), "doubled"),
    };
    Some((format!("`{word}` {done}"), format!("{}{new}{}", &text[..one.start], &text[end..])))
}

/// Whether a finding leads to what was spoilt: by where it stands, where it points, or the name it says.
fn leads_to(finding: &Finding, book: &str, spoilt: &std::ops::Range<usize>, names: &[String]) -> bool {
    let places = finding.place.iter().chain(&finding.because).map(|(place, _)| place);
    let near = |place: &Place| {
        place.source.name() == book
            && place.span.start as usize <= spoilt.end
            && spoilt.start <= place.span.end as usize
    };
    let mut written: Vec<&str> = vec![&finding.message];
    written.extend(finding.place.iter().map(|(place, label)| {
        assert!(!label.is_empty());
        place.text()
    }));
    let mut words = written
        .iter()
        .flat_map(|text| text.split(|letter: char| !(letter.is_alphanumeric() || letter == '_' || letter == '°')));
    places.into_iter().any(near) || words.any(|word| names.iter().any(|name| name == word))
}

#[test]
fn a_slip_in_one_line_of_a_book_is_told_where_it_is() {
    let cases: usize = std::env::var("PROPTEST_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(180);
    let mut dice = Dice(0x5851_f42d_4c95_7f2d);
    let shelves = shelves();
    let outlines: Vec<Vec<Vec<Member>>> = shelves.iter().map(|books| books.iter().map(members).collect()).collect();
    for books in &shelves {
        assert!(Shop::of_sources(books).findings().is_empty());
    }
    let (mut told, mut still_sound, mut strayed) = (0, 0, Vec::new());
    for round in 0..cases {
        // The small books compile fast and hold every form; the large ones take one round in six.
        let shelf = if round % 6 == 5 { 3 } else { round % 3 };
        let sound = &shelves[shelf];
        let spoil = dice.below(sound.len());
        let outline = &outlines[shelf][spoil];
        let one = &outline[dice.below(outline.len())];
        let text = sound[spoil].text();
        let Some((done, wrong)) = slipped(text, &one.span, &mut dice) else { continue };
        let end = one.span.end + wrong.len() - text.len();
        let mut books = sound.clone();
        books[spoil] = Source::new(sound[spoil].name(), wrong.as_str());
        let shop = Shop::of_sources(&books);
        let Some(first) = shop.findings().iter().find(|finding| finding.is_error()) else {
            still_sound += 1;
            continue;
        };
        told += 1;
        // A line that lost its end is noticed at the head of the next.
        if !leads_to(first, sound[spoil].name(), &(one.span.start..end), &one.names) {
            let place = first.place.as_ref().map(|(place, _)| place.to_string()).unwrap_or_default();
            strayed.push(format!(
                "{done} in: {}\n    {} at {place}: {}",
                &text[one.span.clone()],
                first.code.name(),
                first.message
            ));
        }
    }
    assert!(strayed.is_empty(), "{} of {told}:\n{}", strayed.len(), strayed.join("\n"));
    // Another number, name or unit may stand in a line as well, and `optional` may be left out.
    assert!(told * 3 > (told + still_sound) * 2, "only {told} told, and {still_sound} still sound");
}
