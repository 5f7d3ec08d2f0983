//! Records of one thing over and over: read in one go, and told of in few words.

use super::properties::check;
use super::*;
use crate::finding::MOST_ALIKE;

/// One piece again and again, a quarter of the largest record.
fn filled(piece: &str) -> String {
    piece.repeat((1 << 18) / piece.len())
}

/// A line for each of so many numbers.
fn numbered(count: u32, line: impl Fn(u32) -> String) -> String {
    (0..count).map(line).collect()
}

/// Each of these takes minutes or the whole memory where any step reads what was read before once more.
#[test]
fn the_same_thing_over_and_over_ends() {
    let pieces = [
        "[",
        "{a: ",
        "- ",
        "? ",
        "]",
        ": ",
        "&a ",
        "! ",
        "%\n",
        "\t",
        " ",
        "\r",
        "\r\n",
        "\0",
        "\u{feff}",
        "---\n",
        "# x\n",
        "a: 'x\n",
        "a: 1\n",
        "\ta: 1\n",
        "a:\n\tb: 1\n",
        "a: |\n",
        "- <<: 1\n",
        "? [a]\n: 1\n",
        "a:\n b:\n  c:\n   - [{",
        "a: *b\n",
        "a: \"\\q\"\n",
        "x: @\n",
    ];
    let made = [
        format!("a: {}", filled("x")),
        format!("{}: 1\n", filled("x")),
        format!("a: x\n{}", filled("  µ\n")),
        format!("a: \"{}", filled("x: 'y\n  ")),
        format!("a: \"{}\"\n", filled("\\u00b5")),
        format!("[{}]", filled("1,")),
        format!("a: {{{}", numbered(15_000, |number| format!("k{number}: 1, "))),
        format!("{}z: [1, 2\n", numbered(15_000, |number| format!("k{number}: 1\n"))),
        format!("{}z: \"x\n", numbered(15_000, |number| format!("k{number}:\n"))),
        numbered(10_000, |number| format!("k{number}: &a{number} 1\nj{number}: *a{number}\n")),
        numbered(15_000, |number| format!("k{number}: &a [*a]\n")),
        numbered(15_000, |number| format!("k{number}: \"x\n")),
    ];
    for text in pieces.iter().map(|piece| filled(piece)).chain(made) {
        check(&text);
        let (_, findings) = read(&source(&text));
        let begin: String = text.chars().take(12).collect();
        assert!(findings.len() <= 2 * MOST_ALIKE + MOST_MISTAKES + 1, "{} findings of {begin:?}…", findings.len());
    }
}

#[test]
fn what_is_wrong_many_times_is_told_some_times_and_counted() {
    let codes = |findings: &[Finding], code| findings.iter().filter(|finding| finding.code == code).count();
    let more = |finding: &Finding| finding.notes.iter().map(|note| note.text.clone()).collect::<Vec<_>>();

    let exactly = numbered(101, |_| "a: 1\n".to_owned());
    let (_, findings) = read(&source(&exactly));
    assert_eq!((findings.len(), more(&findings[99])), (MOST_ALIKE, vec![]));

    let (sheet, findings) = read(&source(&format!("{exactly}a: 2\nb: 3\n")));
    assert_eq!(findings.len(), MOST_ALIKE);
    assert_eq!(more(&findings[98]), Vec::<String>::new());
    assert_eq!(more(&findings[99]), ["1 more of this kind in this record is not shown"]);
    let sheet = sheet.unwrap();
    assert!(!sheet.is_whole());
    assert_eq!(drawn_sheet(&sheet), "{a: <1>, b: <3>}");

    // A flood of one kind hides nothing of another.
    let tags = numbered(500, |number| format!("k{number}: !t 1\n"));
    let (_, findings) = read(&source(&format!("{tags}k3: 2\nlast: *none\nend: \"x\n")));
    assert_eq!(codes(&findings, Code::YamlUnsupported), MOST_ALIKE);
    assert_eq!(codes(&findings, Code::KeyTwice), 1);
    assert_eq!(codes(&findings, Code::YamlUnreadable), 2);
    let last = findings.iter().rfind(|finding| finding.code == Code::YamlUnsupported).unwrap();
    assert_eq!(more(last), ["400 more of this kind in this record are not shown"]);
}
