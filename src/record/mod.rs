//! YAML 1.2 with the place of every value, as a flat tape. Refuses to know what a key means or a value measures.
//!
//! [`read`] takes a source to a [`Sheet`]. Values are text as written: `NO`, `012`, `9:1`, `1e3` and `~` are those
//! letters, and a value left empty is the empty text.
//!
//! A mistake does not hide the others. What is no YAML is left out with the lines that hang below it (blanks are read
//! in its place, so that no place moves), and the rest is read again, up to [`MOST_MISTAKES`] times; then what is whole
//! before the next mistake is kept. A key whose whole value was left out is left out with it. [`Sheet::is_whole`] says
//! whether anything was.

mod anchors;
mod build;
pub mod edit;
mod keys;
mod mend;
#[cfg(feature = "cache")]
mod packed;
mod quick;
mod quote;
mod remark;
mod repair;
mod sheet;
#[cfg(test)]
mod tests;
mod unreadable;
mod wording;
mod write;

use std::ops::Range;

use granit_parser::{Event, Options, Parser, ScanError};

pub use write::scalar;

pub use sheet::{Branch, Entries, Items, ListNode, MapNode, Node, Scalar, ScalarNode, Sheet, TextRef, Token};

use crate::finding::{Code, Finding, NoteKind};
use crate::text::{Source, Span};
use build::Builder;
use repair::{Repair, Repaired};
use unreadable::{Mistake, Reason, Stop};

/// Maps and lists nest this deep and no deeper. Common practice: the deepest record in the books nests six deep.
pub const MOST_DEEP: usize = 64;

/// The aliases of one record unfold into this many maps, lists and scalars and no more, however many are written out.
/// Common practice: a hundred times the values of a large record, and nothing to memory.
pub const MOST_UNFOLDED: usize = 20_000;

/// This many mistakes of YAML in one record are read past; each costs one more reading of the file.
pub const MOST_MISTAKES: usize = 16;

/// A file as read: its text, what is on it, and what is wrong with it.
#[derive(Clone, Debug)]
pub struct Record {
    /// The file.
    pub source: Source,
    /// What is on it; none where nothing usable is.
    pub sheet: Option<Sheet>,
    /// What is wrong with it as YAML.
    pub findings: Vec<Finding>,
}

impl Record {
    /// Reads a file.
    #[must_use]
    pub fn of(source: Source) -> Record {
        let (sheet, findings) = read(&source);
        Record { source, sheet, findings }
    }
}

/// Reads a record. Nothing usable in it gives no sheet; the findings say why.
#[must_use]
pub fn read(source: &Source) -> (Option<Sheet>, Vec<Finding>) {
    match quick::read(source) {
        Some(sheet) => (Some(sheet), Vec::new()),
        None => read_whatever(source),
    }
}

/// Reads a record whatever it holds.
///
/// A slip of layout that can only have been meant one way is said and read as it was meant (`repair`); any other mistake is said,
/// and the line it is in is left out.
fn read_whatever(source: &Source) -> (Option<Sheet>, Vec<Finding>) {
    let mut said = Vec::new();
    let mut attempted = attempt(source, source.text(), &[], true);
    let mut read = Repaired::new(source);
    let mut text: Option<String> = None;
    let mut blanked: Vec<Range<usize>> = Vec::new();
    // The lines that were put right: none twice.
    let mut righted: Vec<usize> = Vec::new();
    let mut tab_said = false;
    while let Some((mistake, from)) = attempted.mistake {
        let now = text.get_or_insert_with(|| source.text().to_owned());
        let more = blanked.len() + righted.len() < MOST_MISTAKES;
        // A record indented by tabs throughout is read whole below.
        let tabs = matches!(mistake.stop, Stop::Tab(_)) && !tab_said && mend::tabs_as_spaces(now).is_some();
        let repair = repair::of(now, &mistake).filter(|_| more && !tabs).filter(|repair| {
            // What a line with a tab leads to is the tab's fault.
            let written = read.written(repair.edit.at);
            if tab_said && unreadable::is_tab_line(source.text(), written) {
                return false;
            }
            let line = unreadable::line_start(source.text(), written);
            let new = !righted.contains(&line);
            righted.extend(new.then_some(line));
            new
        });
        if let Some(repair) = repair {
            said.push(read.finding(slip_finding(&read.source, now, &repair), source));
            read.put_right(&repair.edit, now, &mut blanked);
            attempted = attempt(&read.source, now, &blanked, !tab_said);
            continue;
        }
        let tab = matches!(mistake.stop, Stop::Tab(_));
        let spaced = if tab && !tab_said { mend::tabs_as_spaces(now) } else { None };
        let range = match &spaced {
            Some(_) => None,
            // What is indented further than a tab may belong to another line.
            None if more && tab && from.is_some_and(|from| !repair::opens(now, from)) => {
                from.map(|from| mend::line(now, from))
            }
            None => from.filter(|_| more).and_then(|from| mend::broken(now, from, mistake.span)),
        };
        let lost = range.as_ref().map(|range| mend::lines(now, range));
        // What a line with a tab leads to is the tab's fault.
        if !(tab_said && unreadable::is_tab_line(read.source.text(), mistake.span.start as usize)) {
            said.push(read.finding(finding(&read.source, mistake, lost), source));
        }
        tab_said |= tab;
        if let Some(spaced) = spaced {
            *now = spaced;
        } else if let Some(range) = range {
            *now = mend::blank(now, &range);
            blanked.push(range);
        } else {
            if let Some(last) = said.pop() {
                said.push(last.note(NoteKind::Remark, wording::REST_LEFT_OUT));
            }
            break;
        }
        attempted = attempt(&read.source, now, &blanked, !tab_said);
    }
    let Attempt { sheet, findings, .. } = attempted;
    attempted = Attempt {
        sheet: sheet.map(|sheet| read.sheet(sheet, source)),
        findings: findings.into_iter().map(|finding| read.finding(finding, source)).collect(),
        mistake: None,
        ..attempted
    };
    settle(source, attempted, said)
}

/// One reading: what came of it, and the mistake that ended it, with the byte whose lines are to be left out; nothing to
/// leave out where that would be the whole record.
struct Attempt {
    sheet: Option<Sheet>,
    findings: Vec<Finding>,
    mistake: Option<(Mistake, Option<usize>)>,
    blank: bool,
}

fn attempt(source: &Source, text: &str, blanked: &[Range<usize>], tab_watch: bool) -> Attempt {
    let mut builder = Builder::new(source, text, blanked, tab_watch && text.contains('\t'));
    let mut mistake = None;
    let mut ended = false;
    for next in Parser::new_from_str_with_options(text, options()) {
        // Large values, looked at where they lie: moving them costs more than what is done with them.
        match &next {
            Ok((event, marked)) => match event {
                Event::DocumentEnd if builder.is_blank() => builder.forget(),
                Event::DocumentEnd => ended = true,
                Event::StreamEnd => break,
                Event::StreamStart => {}
                // The sign may be left out; then the first value is where the second document begins.
                Event::DocumentStart(false, _) => {}
                _ if ended => {
                    builder.say(second_document(
                        source,
                        unreadable::word_at(source.text(), build::bytes(source.text(), marked).start),
                    ));
                    builder.not_whole();
                    break;
                }
                Event::DocumentStart(..) => {}
                event => {
                    builder.take(event, marked);
                    if let Some((at, reason)) = builder.slip() {
                        let mistake_here = Mistake { stop: Stop::Text(reason), span: Span::new(at, at + 1) };
                        mistake = Some((mistake_here, Some(at)));
                        builder.not_whole();
                        break;
                    }
                }
            },
            Err(error) => {
                mistake = Some(stopped(text, error, &builder));
                builder.not_whole();
                break;
            }
        }
    }
    let blank = builder.is_blank();
    let (sheet, findings) = builder.finish();
    Attempt { sheet, findings, mistake, blank }
}

fn options() -> Options {
    let mut options = granit_parser::options! { emit_unresolved_aliases: true };
    options.set_emit_comments(false);
    options
}

fn stopped(text: &str, error: &ScanError, builder: &Builder<'_>) -> (Mistake, Option<usize>) {
    let mut mistake = unreadable::mistake(text, error, builder.bracket());
    if matches!(mistake.stop, Stop::Text(Reason::AfterQuote | Reason::QuoteOpen | Reason::Escape))
        && let Some(mark) = quote::left_open(text, mistake.span.start as usize, options())
    {
        mistake = unreadable::quote_open(text, mark);
    }
    let at = mistake.span.start as usize;
    let line = |at| unreadable::line_start(text, at);
    let from = match (mistake.stop, builder.outer_bracket()) {
        (Stop::Tab(line), _) => Some(line),
        (_, Some((open, false))) => Some(open.min(at)),
        (_, Some((open, true))) => Some(at).filter(|at| line(*at) != line(open)),
        (_, None) => Some(at),
    };
    (mistake, from)
}

fn settle(source: &Source, attempted: Attempt, mut said: Vec<Finding>) -> (Option<Sheet>, Vec<Finding>) {
    if said.is_empty() && attempted.blank {
        let empty = Finding::new(Code::RecordEmpty, wording::EMPTY)
            .at(source.place(Span::default()), wording::EMPTY_LABEL)
            .help(wording::EMPTY_HELP);
        return (None, vec![empty]);
    }
    let sheet = attempted.sheet.filter(|_| !attempted.blank);
    if said.is_empty() {
        return (sheet, attempted.findings);
    }
    said.extend(attempted.findings);
    said.sort_by_key(|finding| finding.place.as_ref().map(|(place, _)| place.span));
    (sheet, said)
}

fn second_document(source: &Source, span: Span) -> Finding {
    Finding::new(Code::DocumentsMany, wording::DOCUMENTS)
        .at(source.place(span), wording::DOCUMENTS_LABEL)
        .help(wording::DOCUMENTS_HELP)
}

/// A slip that was read as it was meant.
fn slip_finding(source: &Source, text: &str, repair: &Repair) -> Finding {
    let (message, label) = wording::slip(&repair.slip);
    let line = repair.line(text);
    Finding::new(Code::YamlUnreadable, message)
        .at(source.place(repair.span), label)
        .help(wording::slip_help(&repair.slip, &line))
        .note(NoteKind::Remark, wording::READ_SO)
}

/// A mistake, and how many lines are left out for it.
fn finding(source: &Source, mistake: Mistake, lost: Option<usize>) -> Finding {
    // What was read may have had blanks in place of letters.
    let letters = |at: u32| source.text().floor_char_boundary(at as usize);
    let place = source.place(Span::new(letters(mistake.span.start), letters(mistake.span.end)));
    let finding = match mistake.stop {
        Stop::Tab(_) => wording::tab_finding(source, mistake.span.start as usize, mend::lines_with_tab(source.text())),
        Stop::Deep => {
            Finding::new(Code::RecordTooDeep, wording::too_deep(MOST_DEEP)).at(place, wording::TOO_DEEP_LABEL)
        }
        Stop::Text(reason) => {
            let code = if reason == Reason::Tag { Code::YamlUnsupported } else { Code::YamlUnreadable };
            let (message, label, help) = wording::unreadable(reason);
            Finding::new(code, message).at(place, label).maybe_help(help.map(str::to_owned))
        }
    };
    match lost {
        Some(lines) => finding.note(NoteKind::Remark, wording::left_out(lines)),
        None => finding,
    }
}
