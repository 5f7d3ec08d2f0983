//! Reads comma-separated text into cells, each with the bytes it stands in. Refuses to know what a cell means.

use super::{Separator, wording};
use crate::finding::Finding;
use crate::text::{Source, Span};
use csv_core::{ReadFieldResult, ReaderBuilder};

/// The mark some spreadsheets begin a file with.
const MARK: char = '\u{feff}';

/// A table with a heading above each column.
pub(super) struct Table {
    pub(super) source: Source,
    pub(super) headings: Vec<Cell>,
    /// The lines below, those with nothing in them left out. Each has as many cells as there are headings.
    pub(super) lines: Vec<Vec<Cell>>,
    /// What is wrong with lines that are left out because of it.
    pub(super) findings: Vec<Finding>,
}

/// A cell: its text, quotation marks taken off, and where it stands, quotation marks included.
#[derive(Clone, Debug)]
pub(super) struct Cell {
    pub(super) text: String,
    pub(super) span: Span,
}

/// What parts the headings of a table.
pub(super) fn separator(source: &Source) -> Result<Separator, Finding> {
    let text = source.text().trim_start_matches(MARK);
    let mut counts = [0usize; 3];
    let mut quoted = false;
    for byte in text.bytes() {
        match byte {
            b'"' => quoted = !quoted,
            b'\n' | b'\r' if !quoted => break,
            _ if quoted => {}
            byte => {
                for (count, (_, separator, _)) in counts.iter_mut().zip(Separator::ALL) {
                    *count += usize::from(separator == byte);
                }
            }
        }
    }
    let found: Vec<(Separator, &str)> = Separator::ALL
        .iter()
        .zip(counts)
        .filter(|(_, count)| *count > 0)
        .map(|((separator, _, name), _)| (*separator, *name))
        .collect();
    match found.as_slice() {
        [(separator, _)] => Ok(*separator),
        [] => Err(wording::no_columns(first_line(source))),
        several => Err(wording::which_separator(first_line(source), several.iter().map(|(_, name)| *name))),
    }
}

fn first_line(source: &Source) -> crate::text::Place {
    let start = if source.text().starts_with(MARK) { MARK.len_utf8() } else { 0 };
    let end = source.text().find(['\n', '\r']).unwrap_or(source.text().len());
    source.place(Span::new(start.min(end), end))
}

/// Reads a table.
///
/// # Errors
///
/// What makes it no table at all.
pub(super) fn read(source: &Source, separator: Separator) -> Result<Table, Finding> {
    let mut all = cells(source, separator)?.into_iter();
    let Some(headings) = all.next() else { return Err(wording::empty_table(first_line(source))) };
    let (mut lines, mut findings) = (Vec::new(), Vec::new());
    for line in all {
        let Some(first) = line.first() else { continue };
        if line.iter().all(|cell| cell.text.trim().is_empty()) {
            continue;
        }
        if line.len() != headings.len() {
            let last = line.last().unwrap_or(first);
            findings.push(wording::uneven(source.place(first.span.to(last.span)), line.len(), headings.len()));
            continue;
        }
        lines.push(line);
    }
    Ok(Table { source: source.clone(), headings, lines, findings })
}

/// The cells of every line.
fn cells(source: &Source, separator: Separator) -> Result<Vec<Vec<Cell>>, Finding> {
    let text = source.text();
    let mut reader = ReaderBuilder::new().delimiter(separator.byte()).build();
    let mut at = if text.starts_with(MARK) { MARK.len_utf8() } else { 0 };
    let (mut lines, mut line) = (Vec::new(), Vec::new());
    let mut room = vec![0u8; 1 << 10];
    let (mut start, mut field) = (at, Vec::new());
    loop {
        let (result, taken, written) = reader.read_field(text.as_bytes().get(at..).unwrap_or_default(), &mut room);
        at += taken;
        field.extend_from_slice(room.get(..written).unwrap_or_default());
        match result {
            // The rest of the field, or its end where the text ends, comes with the next call.
            ReadFieldResult::InputEmpty | ReadFieldResult::OutputFull => {}
            ReadFieldResult::Field { record_end } => {
                let span = trimmed(text, start, at, separator);
                let raw = source.slice(span);
                if raw.starts_with('"') && (raw.len() < 2 || !raw.ends_with('"')) {
                    return Err(wording::quote_open(
                        source.place(Span::new(span.start as usize, span.start as usize + 1)),
                    ));
                }
                let text = String::from_utf8_lossy(&std::mem::take(&mut field)).into_owned();
                line.push(Cell { text, span });
                start = at;
                if record_end {
                    lines.push(std::mem::take(&mut line));
                }
            }
            ReadFieldResult::End => return Ok(lines),
        }
    }
}

/// Where a field stands, without what parts it from its neighbours.
fn trimmed(text: &str, start: usize, end: usize, separator: Separator) -> Span {
    let raw = text.get(start..end).unwrap_or_default();
    // Empty lines before it are read together with it.
    let before = raw.len() - raw.trim_start_matches(['\n', '\r']).len();
    let inner = raw.get(before..).unwrap_or_default();
    let inner = inner.strip_suffix(char::from(separator.byte())).unwrap_or(inner);
    let inner = inner.trim_end_matches(['\n', '\r']);
    Span::new(start + before, start + before + inner.len())
}
