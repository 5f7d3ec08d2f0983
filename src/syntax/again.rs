//! Reads a book again after a change: where the change lies among the rows of a generation, only the lines around it. Refuses
//! to guess: wherever the lines around could read otherwise by themselves, the whole book is read.

use super::shift::Shift;
use super::tree::{GenerationDeclaration, GenerationMember, Item, Tree};
use crate::finding::{Code, Finding};
use crate::text::{Place, Source, Span};
use std::ops::Range;

/// What lines are read behind, by themselves.
pub(super) const HEAD: &str = "rulebook \"\" edition 2026-01-01\ngeneration g \"\" {\n";

/// Reads a rulebook that was read before and changed since: the same tree and findings as [`super::parse`] gives.
#[must_use]
pub fn parse_again(tree: &Tree, findings: &[Finding], source: &Source) -> (Tree, Vec<Finding>) {
    again(tree, findings, source).unwrap_or_else(|| super::parse(source))
}

/// The bytes that are others now: where they begin, and where they ended and end.
fn changed(old: &str, new: &str) -> (usize, usize, usize) {
    let (one, other) = (old.as_bytes(), new.as_bytes());
    let before = one.iter().zip(other).take_while(|(one, other)| one == other).count();
    let least = one.len().min(other.len()) - before;
    let after = one.iter().rev().zip(other.iter().rev()).take(least).take_while(|(one, other)| one == other).count();
    (before, one.len() - after, other.len() - after)
}

/// What is to be said of a book that changed, before it is read as a whole.
#[derive(Clone, Debug)]
pub struct Glance {
    /// What cannot be read in it: what reading the whole book finds.
    pub findings: Vec<Finding>,
    /// The lines that were read again, as bytes of the text before: whole lines.
    pub then: Range<usize>,
    /// The same lines as bytes of the text now.
    pub now: Range<usize>,
}

/// What cannot be read in a rulebook that was read before and changed since, found in the lines around the change alone. None
/// where they do not tell.
#[must_use]
pub fn glance(tree: &Tree, findings: &[Finding], source: &Source) -> Option<Glance> {
    let Piece { around, said, offset, shift, end, .. } = piece(tree, findings, source)?;
    let findings = merged(findings, said, &around.bytes, source, offset, shift)?;
    Some(Glance { findings, now: around.bytes.start..end, then: around.bytes })
}

/// The lines around a change, read by themselves.
struct Piece {
    /// The generation they are in, among the items of the book.
    at: usize,
    around: Around,
    members: Vec<GenerationMember>,
    said: Vec<Finding>,
    /// From places in the lines to places in the book.
    offset: Shift,
    /// From places behind the change as they were to those they are now.
    shift: Shift,
    /// Where the lines end now.
    end: usize,
}

fn piece(tree: &Tree, findings: &[Finding], source: &Source) -> Option<Piece> {
    // Where braces do not match, a line may belong anywhere.
    let braces = |finding: &Finding| {
        finding.code == Code::BraceOpen
            || finding.code == Code::NestingTooDeep
            || finding.place.as_ref().is_none_or(|(place, _)| matches!(place.text(), "}" | "{"))
    };
    if findings.iter().any(braces) {
        return None;
    }
    // Of a brace left open something else may be said; a book of which nothing is said has none.
    if !findings.is_empty() && super::scan::scan(tree.source.text()).brace_open {
        return None;
    }
    let old = tree.source.text();
    let (start, old_end, new_end) = changed(old, source.text());
    let shift = Shift(i64::try_from(new_end).ok()? - i64::try_from(old_end).ok()?);
    let holds = |item: &Item| matches!(item, Item::Generation(it) if it.span.start as usize <= start && old_end <= it.span.end as usize);
    let at = tree.items.iter().position(holds)?;
    let Item::Generation(generation) = tree.items.get(at)? else { return None };
    let around = around(generation, old, start, old_end)?;
    let end = around.bytes.end.checked_add_signed(isize::try_from(shift.0).ok()?)?;
    let piece = source.text().get(around.bytes.start..end)?;
    let (members, said) = alone(piece)?;
    // The last of them did not change, and must read as it did.
    let (last, known) = (members.last()?, generation.members.get(around.members.end - 1)?);
    let offset = i64::try_from(around.bytes.start).ok()? - i64::try_from(HEAD.len()).ok()?;
    let (mut now, mut then) = (span_of(last), span_of(known));
    Shift(offset).span(&mut now);
    shift.span(&mut then);
    if now != then
        || said
            .iter()
            .any(|finding| finding.place.as_ref().is_none_or(|(place, _)| place.span.end >= span_of(last).start))
    {
        return None;
    }
    Some(Piece { at, around, members, said, offset: Shift(offset), shift, end })
}

fn again(tree: &Tree, findings: &[Finding], source: &Source) -> Option<(Tree, Vec<Finding>)> {
    let Piece { at, around, members, said, offset, shift, .. } = piece(tree, findings, source)?;
    let mut new = Tree { source: source.clone(), header: tree.header.clone(), items: tree.items.clone() };
    if let Some(Item::Generation(generation)) = new.items.get_mut(at) {
        splice(generation, around.members.clone(), members, offset, shift);
    }
    if shift.0 != 0 && !new.items.iter_mut().skip(at + 1).all(|item| shift.item(item)) {
        return None;
    }
    let said = merged(findings, said, &around.bytes, source, offset, shift)?;
    Some((new, said))
}

/// Whole members around a change, and the lines they stand on.
struct Around {
    members: Range<usize>,
    bytes: Range<usize>,
}

/// From the member before the change to the second one after it, each on a line of its own.
fn around(generation: &GenerationDeclaration, old: &str, start: usize, end: usize) -> Option<Around> {
    let members = &generation.members;
    let first = members.partition_point(|member| (span_of(member).end as usize) < start).checked_sub(2)?;
    let after = members.partition_point(|member| (span_of(member).start as usize) <= end);
    let line = |index: usize| {
        let at = span_of(members.get(index)?).start as usize;
        let begun = old.get(..at)?.trim_end_matches([' ', '\t']);
        begun.ends_with('\n').then_some(begun.len())
    };
    let last = after + 2;
    let ordered = members.is_sorted_by_key(|member| span_of(member).start);
    ordered.then_some(())?;
    Some(Around { members: first..last, bytes: line(first)?..line(last)? })
}

pub(super) fn span_of(member: &GenerationMember) -> Span {
    match member {
        GenerationMember::Constant { span, .. } | GenerationMember::Fitted { span, .. } => *span,
        GenerationMember::Telltale(line) | GenerationMember::Plausible(line) => line.span,
        GenerationMember::Rework(line) => line.span,
        GenerationMember::Row(row) => row.span,
    }
}

/// Members read by themselves.
fn alone(piece: &str) -> Option<(Vec<GenerationMember>, Vec<Finding>)> {
    let text = format!("{HEAD}{piece}}}");
    let whole = text.len();
    let tokens = super::scan::scan(&text);
    if tokens.brace_open || tokens.too_deep.is_some() {
        return None;
    }
    let (tree, findings) = super::parse(&Source::new("", text));
    match <[Item; 1]>::try_from(tree.items).ok()? {
        [Item::Generation(generation)] if generation.span.end as usize == whole => Some((generation.members, findings)),
        _ => None,
    }
}

fn splice(
    generation: &mut GenerationDeclaration,
    range: Range<usize>,
    mut members: Vec<GenerationMember>,
    offset: Shift,
    shift: Shift,
) {
    members.iter_mut().for_each(|member| offset.member(member));
    if shift.0 != 0 {
        generation.members.iter_mut().skip(range.end).for_each(|member| shift.member(member));
    }
    generation.members.splice(range, members);
    let mut end = Span { start: generation.span.end, end: generation.span.end };
    shift.span(&mut end);
    generation.span.end = end.end;
}

/// What is still to be said: what was said elsewhere, and what is said of the lines read again.
fn merged(
    old: &[Finding],
    new: Vec<Finding>,
    lines: &Range<usize>,
    source: &Source,
    offset: Shift,
    shift: Shift,
) -> Option<Vec<Finding>> {
    let mut merged = Vec::with_capacity(old.len() + new.len());
    for finding in old {
        let at = finding.place.as_ref()?.0.span.start as usize;
        if !lines.contains(&at) {
            let far = if at < lines.start { Shift(0) } else { shift };
            // Something said elsewhere that points into these lines is another sentence now.
            if finding.because.iter().any(|(place, _)| lines.contains(&(place.span.start as usize))) {
                return None;
            }
            merged.push(moved(finding.clone(), source, |at| if (at as usize) < lines.start { Shift(0) } else { far }));
        }
    }
    merged.extend(new.into_iter().map(|finding| moved(finding, source, |_| offset)));
    merged.sort_by_key(|finding| finding.place.as_ref().map(|(place, _)| place.span.start));
    Some(merged)
}

fn moved(mut finding: Finding, source: &Source, by: impl Fn(u32) -> Shift) -> Finding {
    let place = |place: &mut Place| {
        by(place.span.start).span(&mut place.span);
        place.source = source.clone();
    };
    finding.place.iter_mut().for_each(|(at, _)| place(at));
    finding.because.iter_mut().for_each(|(at, _)| place(at));
    finding
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]
    #![allow(clippy::string_slice, reason = "a test may stop at the first surprise")]

    use super::*;
    use proptest::prelude::*;

    /// A book with rows of every kind, one after another, then a house.
    fn book() -> String {
        let mut text =
            String::from("rulebook \"A\" edition 2026-03-01\npart p { a : mm b : mm }\ngeneration g \"µ\" {\n");
        for row in 0..15 {
            text.push_str(match row % 5 {
                0 => "    p.a standard 1 to 2 mm limit at least 0.5 mm { because \"a µ\" from memory }\n",
                1 => "    constant c = 3 mm # 🛠\n",
                2 => "    plausible p.b c to 4 mm\n",
                3 => "    replace each of p.b limit 3 mm +1 -0 where a is yes or b above 3 mm\n",
                _ => "    telltale p.a not x or y {\n        from common practice\n    }\n",
            });
        }
        text.push_str(
            "}\nhouse \"µ\" {\n    judge by guard band\n    gauges at least 4 : 1\n    for g, h from 2026-01-01 where a is yes {\n",
        );
        text.push_str("        tighten p.a limit at most 2 mm { because \"b\" }\n        narrow p.b 1 to 2 mm\n    }\n    retire p.a for g { because \"c\" }\n}\n");
        text
    }

    fn shown((tree, findings): &(Tree, Vec<Finding>)) -> String {
        format!("{:?}\n{findings:?}", tree.items)
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]

        #[test]
        fn whatever_is_typed_it_reads_as_the_whole_does(
            edits in prop::collection::vec((0_usize..1200, 0_usize..13, "[ a-z0-9.{}()\"#µ\n]{0,6}|    p.b limit 1 to 2 mm\n| at least "), 1..6)
        ) {
            let mut text = book();
            let mut read = crate::syntax::parse(&Source::new("a", text.clone()));
            for (at, length, new) in edits {
                let start = text.floor_char_boundary(at.min(text.len()));
                let end = text.floor_char_boundary((start + length).min(text.len()));
                text.replace_range(start..end, &new);
                let source = Source::new("a", text.clone());
                if let Some(glance) = glance(&read.0, &read.1, &source) {
                    let whole = crate::syntax::parse(&source).1;
                    prop_assert_eq!(format!("{:?}", glance.findings), format!("{whole:?}"), "{}", text);
                    let (then, now) = (read.0.source.text(), source.text());
                    prop_assert_eq!(&then[..glance.then.start], &now[..glance.now.start]);
                    prop_assert_eq!(&then[glance.then.end..], &now[glance.now.end..]);
                }
                read = parse_again(&read.0, &read.1, &source);
                for at in [start, start + new.len(), start + new.len() + 7, text.len() / 2, text.len() - 40] {
                    let before = &text[..text.floor_char_boundary(at.min(text.len()))];
                    prop_assert_eq!(crate::syntax::next_in(&read.0, &read.1, before), crate::syntax::next(before), "{}", before);
                }
                prop_assert_eq!(shown(&read), shown(&crate::syntax::parse(&source)), "{}", text);
            }
        }
    }

    #[test]
    fn with_a_brace_left_open_anywhere_the_whole_is_read() {
        // What is said of the last line says nothing of its brace.
        let old = Source::new("a", book() + "p{b limit 1 to 2 mm\n");
        let (tree, findings) = crate::syntax::parse(&old);
        assert!(findings.iter().all(|finding| finding.code == Code::WordUnexpected), "{findings:?}");
        let from = "        from common practice\n";
        let new = Source::new("a", old.text().replacen(from, &format!("    pab limit 1 to 2 mm\n{from}"), 1));
        assert!(glance(&tree, &findings, &new).is_none());
        assert_eq!(shown(&parse_again(&tree, &findings, &new)), shown(&crate::syntax::parse(&new)));
    }

    #[test]
    fn a_change_among_rows_reads_only_what_is_around_it() {
        let old = Source::new("a", book());
        let (tree, findings) = crate::syntax::parse(&old);
        let new = Source::new("a", book().replacen("+1 -0", "+1 -0.25", 2));
        assert!(again(&tree, &findings, &new).is_some());
        let glance = glance(&tree, &findings, &new).unwrap();
        assert!(glance.findings.is_empty() && glance.then.len() < 600, "{glance:?}");
    }
}
