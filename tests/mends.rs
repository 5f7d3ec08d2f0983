//! A help that says what to write is followed to the letter: what it asks for is taken, and no row comes out better for it than the
//! reading that was meant.

use std::collections::BTreeMap;
use std::ops::Range;
use std::path::{Path, PathBuf};
use trochoid::finding::Finding;
use trochoid::judge::{Grade, GradeSet};
use trochoid::record::{self, Node};
use trochoid::shop::{Ask, Checked, Shop, Shops};
use trochoid::text::Source;

const ASK: Ask = Ask { tell: GradeSet::NOT_GOOD, rulings: true, as_of: None };

fn examples() -> Vec<PathBuf> {
    let mut files = Vec::new();
    for shop in ["gearbox", "kestrel", "whimbrel"] {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(shop).join("builds");
        files.extend(std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()));
    }
    files.sort();
    files
}

/// The worst grade of each row, by what it is about.
fn grades(checked: &Checked) -> BTreeMap<String, Grade> {
    let mut grades = BTreeMap::new();
    for told in &checked.rulings {
        let grade = grades.entry(format!("{} {:?}", told.path, told.row.span)).or_insert(told.grade);
        *grade = told.grade.max(*grade);
    }
    grades
}

/// Where every value of a record stands, without its quotes.
fn values(source: &Source) -> Vec<Range<usize>> {
    let (sheet, _) = record::read(source);
    let sheet = sheet.unwrap();
    let mut open = vec![sheet.root().unwrap()];
    let mut found = Vec::new();
    while let Some(node) = open.pop() {
        match node {
            Node::Map(map) => open.extend(
                map.entries()
                    .filter(|(key, _)| !["build", "notes", "finished", "gauges", "concessions"].contains(&key.text()))
                    .map(|(_, value)| value),
            ),
            Node::List(list) => open.extend(list.items()),
            Node::Scalar(scalar) => {
                found.extend(scalar.text_span().filter(|_| scalar.is_plain()).map(|span| span.range()))
            }
        }
    }
    found.sort_by_key(|range| range.start);
    found
}

/// The ways a value is spoilt that leave what was meant plain to a reader.
fn spoilt(text: &str) -> Vec<String> {
    if text == "yes" || text == "no" {
        let other = if text == "yes" { ["y", "true", "yess"] } else { ["n", "false", "nno"] };
        return other.map(str::to_owned).to_vec();
    }
    let Some((number, unit)) =
        text.split_once(' ').filter(|(number, _)| number.starts_with(|c: char| c.is_ascii_digit()))
    else {
        let twice = text.chars().next().filter(|c| c.is_alphabetic() && text.len() > 3);
        return twice.map(|first| format!("{first}{text}")).into_iter().collect();
    };
    let wide: String =
        number.chars().map(|c| c.to_digit(10).and_then(|d| char::from_u32(0xff10 + d)).unwrap_or(c)).collect();
    let mut all = vec![
        text.replace('.', ","),
        number.replace('.', ","),
        number.to_owned(),
        format!("{number}e0 {unit}"),
        format!("{wide} {unit}"),
        format!("{number} {unit} (hot)"),
        format!("{number} {unit} seen twice"),
        format!("{number} {unit} pounds"),
        format!("{number} {unit} 3 thou"),
        format!("{number} {unit} {number} {unit}"),
        format!("{number} {unit}x"),
        format!("{number} {}", unit.chars().rev().collect::<String>()),
        format!("{number}. {unit}"),
        format!("{number}.5.5 {unit}"),
        format!("\u{2212}{number} {unit}"),
        format!("about {number} {unit}"),
        format!("{number}/0 {unit}"),
        "3/16".to_owned(),
        format!("{number}\u{a0}{unit}s"),
    ];
    // Thousands set apart, as four digits have them.
    if let Some((thousands, rest)) = number.split_at_checked(number.find('.').unwrap_or(number.len()).saturating_sub(3))
        && !thousands.is_empty()
    {
        all.extend([",", " ", "'", "\u{202f}"].map(|mark| format!("{thousands}{mark}{rest} {unit}")));
    }
    if let Some(first) = unit.chars().next().filter(char::is_ascii_lowercase) {
        all.push(format!("{number} {}{}", first.to_ascii_uppercase(), &unit[1..]));
    }
    all
}

/// What a help says to write, and whether it leaves a choice to whoever knows what was measured.
fn to_write(finding: &Finding) -> Vec<(String, bool)> {
    // A second look at the part decides, and no text.
    let Some(help) = finding.help.as_ref().filter(|help| !help.starts_with("measure it again")) else {
        return Vec::new();
    };
    let choice =
        ["whichever", "if it is one number", "or the unit it was measured in"].iter().any(|words| help.contains(words));
    let mut found = Vec::new();
    if let Some((_, rest)) = help.split_once("write `") {
        let mut pieces = rest.split('`');
        found.extend(pieces.next().map(|text| (text.to_owned(), choice)));
        if choice && let (Some(" or " | ", or write "), Some(other)) = (pieces.next(), pieces.next()) {
            found.push((other.to_owned(), choice));
        }
    }
    found
}

fn replaced(text: &str, range: Range<usize>, with: &str) -> String {
    format!("{}{with}{}", &text[..range.start], &text[range.end..])
}

/// Errors of the record within some bytes.
fn errors_at(checked: &Checked, name: &str, range: &Range<usize>) -> Vec<String> {
    let here = |finding: &&Finding| {
        finding.is_error()
            && finding.place.as_ref().is_some_and(|(place, _)| {
                place.source.name() == name && place.span.range().start < range.end.max(range.start + 1) && range.start <= place.span.range().end
            })
            // A row that is out points at the reading and says nothing against it.
            && !finding.code.name().starts_with("row-")
    };
    checked.findings.iter().filter(here).map(|finding| format!("{}: {}", finding.code, finding.message)).collect()
}

#[test]
fn what_a_help_says_to_write_is_taken_and_makes_no_row_better() {
    let shops = Shops::new(None);
    let (mut spoilt_count, mut followed, mut wrong) = (0, 0, Vec::new());
    for (number, file) in examples().iter().enumerate() {
        let shop = shops.of(file);
        let text = std::fs::read_to_string(file).unwrap();
        let name = file.display().to_string();
        let check = |text: &str| shop.check_source(&Source::new(name.as_str(), text), &ASK);
        let before = grades(&check(&text));
        // Each record another few of its values: a whole record's would take an hour.
        for (at, range) in
            values(&Source::new(name.as_str(), text.as_str())).into_iter().enumerate().skip(number % 97).step_by(97)
        {
            for (kind, value) in spoilt(&text[range.clone()]).into_iter().enumerate() {
                if (kind + at) % 3 != number % 3 {
                    continue;
                }
                spoilt_count += 1;
                let bad = replaced(&text, range.clone(), &value);
                let written = range.start..range.start + value.len();
                for finding in check(&bad).findings.iter().filter(|finding| finding.is_error()) {
                    let near =
                        finding.place.as_ref().is_some_and(|(place, _)| written.contains(&(place.span.start as usize)));
                    if !near {
                        continue;
                    }
                    for (mend, choice) in to_write(finding) {
                        followed += 1;
                        let good = replaced(&bad, written.clone(), &mend);
                        let mended = check(&good);
                        let mut errors = errors_at(&mended, &name, &(range.start..range.start + mend.len()));
                        // Of two that may be meant, the one that was not cannot be.
                        errors.retain(|error| !choice || !error.starts_with("reading-implausible"));
                        let better: Vec<String> = grades(&mended)
                            .into_iter()
                            .filter(|(row, grade)| !choice && before.get(row).is_some_and(|before| grade < before))
                            .map(|(row, _)| row)
                            .collect();
                        if !errors.is_empty() || !better.is_empty() {
                            wrong.push(format!(
                                "{}: `{}` as `{value}`, told {:?}: {errors:?} better: {better:?}",
                                file.file_name().unwrap().display(),
                                &text[range.clone()],
                                finding.help.as_deref().unwrap_or("")
                            ));
                        }
                    }
                }
            }
        }
    }
    assert!(spoilt_count > 300 && followed > 120, "{spoilt_count} spoilt, {followed} followed");
    assert!(wrong.is_empty(), "{} of {followed}:\n{}", wrong.len(), wrong.join("\n"));
}

/// What a help about a book says to write in place of what stands there.
fn in_place(help: &str) -> Option<(&str, &str)> {
    let (right, wrong) = help.strip_prefix("write '")?.split_once("' in place of '")?;
    Some((right, wrong.strip_suffix('\'')?))
}

#[test]
fn what_a_help_says_to_write_in_a_book_brings_no_other_mistake_there() {
    let (mut followed, mut wrong) = (0, Vec::new());
    for room in ["syntax", "book"] {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases").join(room);
        let mut cases: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
        cases.sort();
        for case in cases {
            let Ok(text) = std::fs::read_to_string(case.join("book.rulebook")) else { continue };
            let said = |text: &str| Shop::of_sources(&[Source::new("book.rulebook", text)]).findings().to_vec();
            let line = |finding: &Finding| finding.place.as_ref().map(|(place, _)| place.line_column().line);
            let before = said(&text);
            for finding in before.iter().filter(|finding| finding.is_error()) {
                let Some((right, old)) = finding.help.as_deref().and_then(in_place) else { continue };
                let Some((place, _)) = &finding.place else { continue };
                let start = place.span.range().start;
                let here = text[start..].starts_with(old);
                let begin = if here { start } else { text[..place.span.range().end].rfind(old).unwrap_or(start) };
                let Some(at) = text[begin..].find(old).map(|at| begin + at) else { continue };
                followed += 1;
                // A word stands apart from its neighbours.
                let word = |letter: Option<char>| letter.is_some_and(char::is_alphanumeric);
                let ends = (word(text[..at].chars().next_back()), word(text[at + old.len()..].chars().next()));
                let begins = if ends.0 && word(right.chars().next()) { " " } else { "" };
                let closes = if ends.1 && word(right.chars().next_back()) { " " } else { "" };
                let after = said(&replaced(&text, at..at + old.len(), &format!("{begins}{right}{closes}")));
                let known =
                    |other: &Finding| before.iter().any(|one| one.code == other.code && one.message == other.message);
                let same = |other: &Finding| other.code == finding.code && other.message == finding.message;
                for other in after.iter().filter(|other| other.is_error() && line(other) == line(finding)) {
                    if !known(other) || same(other) && line(other) == line(finding) {
                        wrong.push(format!(
                            "{}: {:?}: {}: {}",
                            case.file_name().unwrap().display(),
                            finding.help.as_deref().unwrap_or(""),
                            other.code,
                            other.message
                        ));
                    }
                }
            }
        }
    }
    assert!(followed > 40, "{followed}");
    assert!(wrong.is_empty(), "{} of {followed}:\n{}", wrong.len(), wrong.join("\n"));
}
