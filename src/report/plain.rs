//! A finding in plain lines that `grep` and editors take apart: `file:line:column: severity, code: message`. Refuses to draw.

use super::style::clean;
use super::wording;
use crate::finding::Finding;
use crate::text::Place;

/// The finding's one line, ended by a line end. Without a place the line begins with the severity.
#[must_use]
pub fn line(finding: &Finding) -> String {
    let place = finding.place.as_ref().map_or_else(String::new, |(place, _)| format!("{}: ", at(place)));
    let severity = wording::severity(finding.severity);
    format!("{place}{severity}, {}: {}\n", finding.code.name(), clean(&finding.message))
}

/// The finding's line, then one indented line for each other place and each sentence.
#[must_use]
pub fn write(finding: &Finding) -> String {
    let mut out = line(finding);
    let mut under = |word: &str, text: &str| out.push_str(&format!("    {word}: {}\n", clean(text)));
    for (place, label) in &finding.because {
        under(&at(place), label);
    }
    for note in &finding.notes {
        under(note.kind.word(), &note.text);
    }
    if let Some(help) = &finding.help {
        under(wording::HELP, help);
    }
    out
}

fn at(place: &Place) -> String {
    clean(&place.to_string()).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::{Code, NoteKind};
    use crate::text::{Source, Span};

    #[test]
    fn a_line_begins_with_its_place_counted_in_letters() {
        let record = Source::new("k.yaml", "note: µm\r\nbow: 70 µm # é\r\n");
        let at = record.text().find("70 µm").unwrap_or(0);
        let book = Source::new("a\u{1b}.rulebook", "x\nlimit");
        let finding = Finding::new(Code::RowOut, "seal 1: bow is 70 µm\u{1b}[2J")
            .at(record.place(Span::new(at, at + 6)), "measured here")
            .since(book.place(Span::new(2, 7)), "declared here")
            .note(NoteKind::Remedy, "Fit\nanother.")
            .help("measure again");
        assert_eq!(
            write(&finding),
            "k.yaml:2:6: fault, row-out: seal 1: bow is 70 µm␛[2J\n    a␛.rulebook:2:1: declared here\n    \
             remedy: Fit␊another.\n    to do: measure again\n"
        );
        assert_eq!(line(&Finding::new(Code::FolderLoop, "a loops")), "warning, folder-loop: a loops\n");
    }
}
