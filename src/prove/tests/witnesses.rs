//! What is said to be wider is shown by parts that are judged so, or only said to be possible.

use super::*;

fn wider<'a>(findings: &'a [Finding], on: &str) -> &'a Finding {
    let mut found = findings.iter().filter(|finding| finding.code == crate::finding::Code::StackUpWider);
    found.find(|finding| finding.message.starts_with(on)).unwrap_or_else(|| panic!("{on}: {findings:?}"))
}

/// What a witness reads, in one line.
fn read(stack_up: &StackUp, number: usize) -> String {
    let readings =
        stack_up.witnesses[number].readings.iter().map(|(path, values)| format!("{path} {}", values.join(" ")));
    readings.collect::<Vec<_>>().join(", ")
}

#[test]
fn what_is_wider_is_shown_by_parts() {
    let (proof, findings) = plant(
        "post.height standard 10 to 12 mm { from memory }\n plate standard 4 to 5 mm { from memory }\n\
         post.over standard 6 to 9 mm { from memory }\n plant.over_gap limit at most 1.5 mm { from memory }",
    );
    let over = stack(&proof, "post.over");
    assert_eq!(over.outcome, Outcome::Wider("6 to 9 mm".into()));
    assert_eq!(over.witnesses.len(), 1);
    assert_eq!(read(over, 0), "post.left.height 10 mm, plate 5 mm");
    assert_eq!(over.witnesses[0].gives, ("post.left.over".to_string(), "5 mm".to_string()));
    assert!(!over.witnesses[0].above);
    assert!(wider(&findings, "post.over").message.contains("still allow 5 to 8 mm, wider"));
    let gap = stack(&proof, "plant.over_gap");
    assert_eq!(gap.witnesses[0].gives.1, "2.0 mm");
}

#[test]
fn a_witness_is_of_the_case_the_row_is_for() {
    let (proof, _) = plant(
        "plate standard 4 mm ± 0 mm { from memory }\n post.height standard 10 to 12 mm where make is wet { from memory }\n\
         post.height standard 20 to 22 mm where make is dry { from memory }\n\
         post.over standard 5 to 17 mm where make is dry { from memory }\n plant.tallest limit at most 21 mm { from memory }",
    );
    assert_eq!(read(stack(&proof, "post.over"), 0), "post.left.height 22 mm, plate 4 mm, post.left.make dry");
    // The row applies always, and only dry posts are so tall.
    let tallest = &stack(&proof, "plant.tallest");
    assert!(matches!(tallest.outcome, Outcome::Wider(_)), "{tallest:?}");
    assert!(read(tallest, 0).contains("make dry"), "{}", read(tallest, 0));
}

#[test]
fn what_no_parts_show_is_only_possible() {
    // The widths may not lie further apart than half a millimetre, so no good ones give the gap that their ranges allow.
    let text = "rulebook \"b\" edition 2026-01-01\nunit mm = 0.001 m\npart plant {\n width : mm, exactly 2 readings\n\
                derive gap : mm = largest of width - smallest of width\n}\ngeneration g \"g\" {\n\
                each of width standard 2 to 5 mm { from memory }\n spread of width limit at most 0.5 mm { from memory }\n\
                plant.gap limit at most 1 mm { from memory }\n}\n";
    let (proof, findings) = prove(&book_of(text), None);
    let gap = stack(&proof, "plant.gap");
    assert_eq!((&gap.outcome, gap.witnesses.len()), (&Outcome::MayBeWider("at most 1 mm".into()), 0));
    let finding = wider(&findings, "plant.gap");
    assert!(finding.message.contains("may give 0 to 3 mm"), "{}", finding.message);
    assert!(finding.notes.iter().any(|note| note.text.starts_with("no parts were found")), "{finding:?}");
    // Without that row they are there.
    let (proof, _) = prove(&book_of(&text.replace("spread of width limit at most 0.5 mm { from memory }", "")), None);
    assert_eq!(stack(&proof, "plant.gap").witnesses[0].gives.1, "3 mm");
}

#[test]
fn ends_that_are_not_inside_are_come_near_to() {
    let (proof, _) = plant(
        "post.height standard 10 to 12 mm { from memory }\n plate limit below 5 mm { from memory }\n\
         plate limit at least 4 mm where service is dry { from memory }\n\
         post.over limit at least 5.01 mm where service is dry { from memory }",
    );
    let over = stack(&proof, "post.over");
    assert_eq!(over.reaches, "above 5 mm and at most 8 mm");
    assert_eq!(over.witnesses.len(), 1, "{over:?}");
    assert!(read(over, 0).starts_with("post.left.height 10 mm, plate 4.99"), "{}", read(over, 0));
}
