//! What fits, what is ruled out, and what is asked, on a book of pumps.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    reason = "a test may stop at the first surprise"
)]

use super::*;
use crate::book::compile;
use crate::text::Source;
use crate::{bind, record, syntax};

const PUMPS: &str = "rulebook \"Invented pumps\" edition 2026-03-01
unit mm = 0.001 m
choice metal = iron, brass
constant nominal : mm
part pump {
    painted : yes/no, optional
    part gear at drive, idler {
        metal  : metal, optional
        tooth  : mm, optional
        tip    : mm, optional
        root   : mm, optional
        maker  : metal, optional
        spare  : mm, optional
        derive depth : mm = tip - root
        derive over : mm = tip - nominal
    }
}
basis shared \"what all share\" { gear.maker all the same across gear { from memory remedy \"Pair it.\" } }
generation small \"2 mm teeth\" follows shared {
    constant nominal = 20 mm
    telltale gear.tooth 1.9 to 2.1 mm { from memory }
    telltale gear.metal iron          { from common practice }
    telltale gear.depth 3 to 4 mm     { from memory }
}
generation large \"3 mm teeth\" follows shared {
    constant nominal = 30 mm
    telltale gear.tooth 2.9 to 3.1 mm { from memory }
    telltale gear.metal iron          { from common practice }
    telltale gear.over  at most 1 mm  { from memory }
}
generation late \"3 mm teeth, brass\" follows shared {
    constant nominal = 30 mm
    telltale gear.tooth 2.9 to 3.1 mm { from memory }
    telltale gear.metal brass         { from common practice }
}
generation odd \"of which little is said\" follows shared {
    constant nominal = 10 mm
    telltale painted yes              { from memory }
}
";

fn book() -> Book {
    book_of(PUMPS)
}

fn book_of(text: &str) -> Book {
    let (tree, said) = syntax::parse(&Source::new("pumps.rulebook", text));
    assert_eq!(said, []);
    let (book, said) = compile(&[tree]);
    assert_eq!(said, []);
    book
}

fn seen_in(book: &Book, record: &str) -> (Vec<Seen>, Option<Id<Generation>>) {
    let source = Source::new("P-1.yaml", record);
    let (sheet, said) = record::read(&source);
    assert_eq!(said, []);
    let (readings, _) = bind::bind(book, &sheet.unwrap(), &source);
    (evidence(book, &readings), readings.generation)
}

fn names(book: &Book, generations: &[Id<Generation>]) -> Vec<String> {
    generations.iter().map(|id| book.generations.get(*id).name.to_string()).collect()
}

fn found(book: &Book, record: &str) -> Identification {
    let (seen, stated) = seen_in(book, record);
    identify(book, seen, stated, &[])
}

fn paths(book: &Book, questions: &[Question]) -> Vec<String> {
    questions.iter().map(|question| book.path(question.characteristic, &[], None)).collect()
}

#[test]
fn what_is_seen_rules_out_what_has_it_otherwise() {
    let book = book();
    let found = found(&book, "gear: { drive: { tooth: 3.0 mm, metal: iron } }\n");
    assert_eq!(names(&book, &found.left()), ["large", "odd"]);
    let small = &found.candidates[0];
    assert_eq!((small.agree, small.against.len()), (1, 1));
    assert_eq!(found.seen[small.against[0].seen].path, "gear.drive.tooth");
    assert_eq!(found.seen[small.against[0].seen].written, "3.0 mm");
    assert_eq!(small.against[0].telltale.range.place.text(), "1.9 to 2.1 mm");
    assert_eq!(found.candidates[1].agree, 2);
    assert!(!found.contradicts());
}

#[test]
fn nothing_seen_leaves_every_generation_but_no_basis() {
    let book = book();
    let found = found(&book, "build: P-1\n");
    assert_eq!(names(&book, &found.left()), ["small", "large", "late", "odd"]);
    assert!(found.groups.is_empty() && !found.contradicts());
}

#[test]
fn an_end_of_a_range_is_inside_it() {
    let book = book();
    assert_eq!(names(&book, &found(&book, "gear: { drive: { tooth: 2.1 mm } }\n").left()), ["small", "odd"]);
    assert_eq!(names(&book, &found(&book, "gear: { drive: { tooth: 2.1001 mm } }\n").left()), ["odd"]);
}

#[test]
fn a_value_worked_out_is_weighed_with_the_constants_of_each() {
    let book = book();
    // 31 − 28 = 3 mm deep; 31 − 30 = 1 mm over for what is 30 mm across.
    let fits = found(&book, "gear: { drive: { tip: 31 mm, root: 28 mm } }\n");
    assert_eq!(names(&book, &fits.left()), ["small", "large", "late", "odd"]);
    let deep = fits.seen.iter().find(|seen| seen.path == "gear.drive.depth").unwrap();
    assert_eq!((deep.written.as_str(), &deep.place), ("3.0000 mm", &None));
    let not = found(&book, "gear: { drive: { tip: 31.1 mm, root: 26 mm } }\n");
    assert_eq!(names(&book, &not.left()), ["late", "odd"]);
}

#[test]
fn what_contradicts_itself_fits_nothing_and_the_nearest_is_named() {
    let book = book();
    let found = found(&book, "painted: no\ngear: { drive: { tooth: 2.0 mm, metal: brass } }\n");
    assert_eq!(found.left(), []);
    assert!(found.contradicts() && found.questions.is_empty());
    let nearest: Vec<_> = found.nearest().iter().map(|candidate| candidate.generation).collect();
    assert_eq!(names(&book, &nearest), ["small", "late", "odd"]);
}

#[test]
fn gears_of_two_generations_are_told() {
    let book = book();
    let found = found(&book, "painted: no\ngear: { drive: { tooth: 2.0 mm }, idler: { tooth: 3.0 mm } }\n");
    let groups: Vec<_> = found.groups.iter().map(|group| (group.path.as_str(), names(&book, &group.fits))).collect();
    assert_eq!(groups[0].0, "gear.drive");
    assert_eq!(groups[0].1, ["small", "odd"]);
    assert_eq!(groups[1].1, ["large", "late", "odd"]);
    // What little is said of the odd one does not hide it: the teeth rule out different generations.
    assert_eq!(found.mixed, []);
    assert_eq!(found.different.len(), 1);
    assert_eq!((found.different[0].path.as_str(), found.different[0].seen.len()), ("gear.tooth", 2));
    assert!(found.different[0].row.is_none() && found.contradicts());
}

#[test]
fn a_generation_that_something_else_rules_out_makes_no_two_gears_unlike() {
    let book = book();
    // One tooth is a small one's and the other is not; but both gears are brass, which no small one's are.
    let brass = "gear: { drive: { tooth: 2.0 mm, metal: brass }, idler: { tooth: 2.5 mm, metal: brass } }\n";
    assert_eq!(found(&book, brass).different.len(), 0);
    assert_eq!(found(&book, &brass.replace(", metal: brass", "")).different.len(), 1);
}

#[test]
fn gears_that_no_generation_has_together_are_mixed() {
    let book = book_of(&PUMPS.replace("telltale painted yes  ", "telltale gear.tooth 5 mm ± 1 mm"));
    let found = found(&book, "gear: { drive: { tooth: 2.0 mm }, idler: { tooth: 3.0 mm } }\n");
    assert_eq!(found.mixed, [(0, 1)]);
}

#[test]
fn what_must_be_the_same_and_is_not_is_told_with_its_row() {
    let book = book();
    let alike = found(&book, "gear: { drive: { maker: iron }, idler: { maker: iron } }\n");
    assert!(alike.different.is_empty() && !alike.contradicts());
    let unlike = found(&book, "gear: { drive: { maker: iron }, idler: { maker: brass } }\n");
    assert_eq!(unlike.different.len(), 1, "once, though every generation has the row");
    let row = unlike.different[0].row.as_ref().unwrap();
    assert_eq!(row.texts.remedy.as_deref(), Some("Pair it."));
    // It tells no generation from another.
    assert!(unlike.groups.is_empty());
}

#[test]
fn a_generation_the_record_states_wrongly_is_a_contradiction() {
    let book = book();
    let found = found(&book, "generation: small\ngear: { drive: { tooth: 3.0 mm } }\n");
    assert_eq!(found.stated.map(|id| book.generations.get(id).name.to_string()).as_deref(), Some("small"));
    assert!(found.contradicts());
    assert!(!found_right(&book).contradicts());
}

fn found_right(book: &Book) -> Identification {
    found(book, "generation: small\ngear: { drive: { tooth: 2.0 mm } }\n")
}

#[test]
fn the_best_question_leaves_the_fewest() {
    let book = book();
    let found = found(&book, "build: P-1\n");
    // By hand, of small, large, late, odd, which nothing but paint is said of:
    // tooth, in five stretches (up to 1.9, 2.1, 2.9, 3.1 and over): small gives one answer, which 2 may give; large and late
    // one, 3; odd any of five: 1, 2, 1, 3 and 1, of mean 8/5; (2 + 3 + 3 + 8/5)/4 = 12/5.
    let leaves = |path: &str| {
        let question = found.questions.iter().find(|one| book.path(one.characteristic, &[], None) == path);
        question.unwrap().leaves.to_text(4)
    };
    assert_eq!(leaves("gear.tooth"), "2.4");
    // metal: small and large iron, 3 may; late brass, 2 may; odd either, 5/2: (3 + 3 + 2 + 5/2)/4.
    assert_eq!(leaves("gear.metal"), "2.625");
    // painted: odd yes, 4 may; the others yes or no, 4 or 3: (4 + 3 × 7/2)/4.
    assert_eq!(leaves("painted"), "3.625");
    // What the eye sees comes before what takes a gauge; of each, what leaves the fewest.
    assert_eq!(paths(&book, &found.questions)[..3], ["gear.metal", "painted", "gear.tooth"]);
    let tooth = &found.questions[2];
    let answers: Vec<_> =
        tooth.answers.iter().map(|answer| (answer.words.as_str(), names(&book, &answer.generations))).collect();
    assert_eq!(answers[0], ("1.9 to 2.1 mm", vec!["small".to_owned()]));
    assert_eq!(answers[1], ("2.9 to 3.1 mm", vec!["large".to_owned(), "late".to_owned()]));
    assert_eq!(names(&book, &tooth.silent), ["odd"]);
}

#[test]
fn what_is_known_or_nobody_knows_is_not_asked() {
    let book = book();
    let (seen, _) = seen_in(&book, "gear: { drive: { tooth: 3.0 mm } }\n");
    let metal = seen_in(&book, "gear: { drive: { metal: iron } }\n").0[0].characteristic;
    let asked = identify(&book, seen.clone(), None, &[]);
    assert_eq!(paths(&book, &asked.questions)[0], "gear.metal");
    let passed = identify(&book, seen, None, &[metal]);
    assert!(!paths(&book, &passed.questions).iter().any(|path| path == "gear.metal" || path == "gear.tooth"));
}

#[test]
fn words_are_read_as_a_record_would_be() {
    let book = book();
    for path in ["gear.tooth", "tooth", "pump.gear.tooth", "gear.drive.tooth", " tooth "] {
        let seen = feature(&book, path, " 2.0 mm ").unwrap();
        assert_eq!((seen.len(), seen[0].written.as_str(), &*seen[0].positions), (1, "2.0 mm", &[0][..]), "{path}");
    }
    assert_eq!(&*feature(&book, "gear.idler.tooth", "2 mm").unwrap()[0].positions, [1]);
    assert_eq!(feature(&book, "painted", "yes").unwrap().len(), 1);
    let trouble = |path: &str, value: &str| feature(&book, path, value).unwrap_err();
    assert!(matches!(trouble("tooht", "2 mm"), Trouble::Unknown(Some(near)) if near == "tooth"));
    assert!(matches!(trouble("gear.tooth.drive", "2 mm"), Trouble::Unknown(_)));
    assert!(matches!(trouble("depth", "2 mm"), Trouble::WorkedOut(path) if path == "gear.depth"));
    assert!(matches!(trouble("spare", "2 mm"), Trouble::TellsNothing(path) if path == "gear.spare"));
    for (path, value) in [("tooth", "2"), ("tooth", "2 kg"), ("tooth", ""), ("metal", "wood"), ("metal", "a\"}\\\n: [")]
    {
        assert!(matches!(trouble(path, value), Trouble::Value(findings) if findings.len() == 1), "{path}={value}");
    }
}
