//! Lines of one kind that follow each other, set in columns. Refuses to know where a line ends.

use super::line::{Line, joined};
use super::token::Token;

/// What a line is, as far as its columns go.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Kind {
    /// A member of which is not yet said what it is.
    Member,
    /// `unit mm = …`
    Unit,
    /// `constant bore : mm`
    Constant,
    /// `constant bore = …` in a generation, a reading given in a try, a row of a table of fits
    Given,
    /// `width : mm`
    Reading,
    /// `derive gap : mm = …`
    Derive,
    /// `expansion 11.5 um/m/K ± 1 um/m/K`
    Expansion,
    /// A row, or a change to one
    Row,
    /// `telltale pocket cast`
    Telltale,
    /// `plausible width 79 to 80 mm`, or `narrow` and the same in a house
    Plausible,
    /// `rework cut : width less`
    Rework,
    /// `expect gap is good`
    Expect,
    /// `because "…"`, one of several a line each
    Sentence,
    /// A closing brace
    Close,
    /// Nothing but a comment
    Comment,
    /// Anything else, which stands in no columns
    Other,
}

/// A cell wider than this stands in the way of the others: what follows it on its line is in no column.
const WIDEST_CELL: usize = 34;

/// A line longer than this keeps its comment to itself.
const WIDEST_COMMENTED: usize = 80;

/// Blanks between a line and its comment, at least.
const BEFORE_COMMENT: usize = 2;

/// Part of a line, and the column it stands in.
struct Cell {
    column: usize,
    text: String,
}

/// Sets every line's text.
pub(super) fn align(lines: &mut [Line<'_>]) {
    // The words with which the blocks around a line begin, and the line's own member.
    let mut holders: Vec<&str> = Vec::new();
    let mut member = "";
    for line in lines.iter_mut() {
        if line.kind == Kind::Close {
            holders.pop();
        } else if !line.goes_on && line.kind != Kind::Comment {
            member = line.pieces.first().map_or("", |piece| piece.text.as_str());
        }
        if line.kind == Kind::Member {
            line.kind = kind(holders.last().copied().unwrap_or(""), &line.pieces);
        }
        if line.pieces.last().is_some_and(|last| last.is('{')) {
            holders.push(member);
        }
    }
    let mut cells: Vec<Vec<Cell>> = lines.iter().map(|line| cells(line.kind, &line.pieces)).collect();
    for run in runs(lines) {
        one_column_of_ranges(&mut cells, &run);
        set(lines, &cells, &run);
    }
    comments(lines);
}

fn kind(holder: &str, pieces: &[&Token]) -> Kind {
    let first = pieces.first().map_or("", |piece| piece.text.as_str());
    let has = |mark: char| pieces.iter().any(|piece| piece.is(mark));
    match (holder, first) {
        ("", "unit") => Kind::Unit,
        ("", "constant") => Kind::Constant,
        ("", _) | (_, "part" | "measure" | "fitted" | "judge" | "gauges" | "for" | "sizes" | "finished") => Kind::Other,
        ("part", "derive") => Kind::Derive,
        ("part", "expansion") => Kind::Expansion,
        ("part", _) => Kind::Reading,
        (_, "expect") => Kind::Expect,
        ("try" | "fits", _) if has('=') => Kind::Given,
        ("generation" | "basis", "constant") => Kind::Given,
        ("generation" | "basis", _) if pieces.iter().take(2).any(|piece| piece.says("telltale")) => Kind::Telltale,
        ("generation" | "basis", _) if pieces.iter().take(2).any(|piece| piece.says("plausible")) => Kind::Plausible,
        ("generation" | "basis", _) if pieces.iter().take(2).any(|piece| piece.says("rework")) => Kind::Rework,
        ("for", "narrow") => Kind::Plausible,
        ("generation" | "basis" | "for", _) => Kind::Row,
        _ => Kind::Other,
    }
}

/// A line cut where its kind has columns.
fn cells(kind: Kind, pieces: &[&Token]) -> Vec<Cell> {
    let mut cuts: Vec<(usize, usize)> = vec![(0, 0)];
    let first = |wanted: &dyn Fn(&Token) -> bool| pieces.iter().position(|piece| wanted(piece));
    let brace = first(&|piece| piece.is('{')).filter(|place| place + 1 < pieces.len());
    match kind {
        Kind::Unit | Kind::Given => cuts.extend(first(&|piece| piece.is('=')).map(|at| (at, 1))),
        Kind::Constant | Kind::Reading | Kind::Derive => cuts.extend(first(&|piece| piece.is(':')).map(|at| (at, 1))),
        Kind::Rework => {
            let acts = |piece: &Token| ["less", "more", "replaced", "from"].iter().any(|word| piece.says(word));
            let colon = first(&|piece| piece.is(':'));
            cuts.extend(colon.map(|at| (at, 1)));
            let after = |at: usize| pieces.iter().skip(at).position(|piece| acts(piece)).map(|further| at + further);
            cuts.extend(colon.and_then(|at| after(at + 2)).map(|at| (at, 2)));
        }
        Kind::Expect => cuts.extend(first(&|piece| piece.says("is")).map(|at| (at, 1))),
        Kind::Plausible => {
            let word = first(&|piece| piece.says("plausible") || piece.says("narrow"));
            cuts.extend(word.map(|at| (at + 2, 1)));
        }
        Kind::Telltale => cuts.extend(first(&|piece| piece.says("telltale")).map(|at| (at + 2, 1))),
        Kind::Sentence if !pieces.iter().take(2).any(|piece| piece.says("from")) => cuts.push((1, 1)),
        Kind::Row => {
            let mut tail = false;
            for (place, piece) in pieces.iter().enumerate() {
                if brace.is_some_and(|brace| place >= brace) {
                    break;
                }
                match piece.text.as_str() {
                    "standard" | "all" => cuts.push((place, 1)),
                    // "outer" before it is part of the tier, unless it ends the path.
                    "limit" => cuts.push((place - usize::from(is_outer(pieces, place)), 2)),
                    "rounded" | "advisory" | "never" | "where" if !tail => {
                        cuts.push((place, 3));
                        tail = true;
                    }
                    _ => {}
                }
            }
        }
        _ => {}
    }
    if kind != Kind::Sentence && kind != Kind::Other {
        cuts.extend(brace.map(|brace| (brace, 4)));
    }
    let ends = cuts.iter().skip(1).map(|(place, _)| *place).chain([pieces.len()]);
    let texts = cuts.iter().zip(ends).map(|((start, column), end)| {
        let text = joined(pieces.get(*start..end).unwrap_or(&[]));
        Cell { column: *column, text }
    });
    texts.filter(|cell| !cell.text.is_empty()).collect()
}

/// Whether the word `limit` at this place is the second of `outer limit`.
fn is_outer(pieces: &[&Token], limit: usize) -> bool {
    let before = |back: usize| limit.checked_sub(back).and_then(|place| pieces.get(place));
    before(1).is_some_and(|word| word.says("outer")) && before(2).is_some_and(|piece| !piece.is('.'))
}

/// Lines that are set together: of one kind in one block, with nothing between them.
fn runs(lines: &[Line<'_>]) -> Vec<Vec<usize>> {
    let mut runs: Vec<Vec<usize>> = Vec::new();
    let mut last: Option<&Line<'_>> = None;
    for (place, line) in lines.iter().enumerate() {
        let together = last.is_some_and(|last| {
            last.kind == line.kind
                && last.depth == line.depth
                && !line.apart
                && !line.goes_on
                && line.kind != Kind::Other
        });
        match runs.last_mut() {
            Some(run) if together => run.push(place),
            _ => runs.push(vec![place]),
        }
        last = Some(line);
    }
    runs
}

/// Where no row of a run has both a standard and a limit, the one it has stands in the same column.
fn one_column_of_ranges(cells: &mut [Vec<Cell>], run: &[usize]) {
    let both = |place: &usize| {
        cells.get(*place).is_some_and(|row| [1, 2].iter().all(|column| row.iter().any(|cell| cell.column == *column)))
    };
    if run.iter().any(both) {
        return;
    }
    for place in run {
        let limits = cells.get_mut(*place).into_iter().flatten().filter(|cell| cell.column == 2);
        limits.for_each(|cell| cell.column = 1);
    }
}

fn set(lines: &mut [Line<'_>], cells: &[Vec<Cell>], run: &[usize]) {
    // How far each line is written, and whether it still stands in columns.
    let mut written: Vec<(String, bool)> = run.iter().map(|_| (String::new(), true)).collect();
    for column in 0..=4 {
        let here = |place: &usize| cells.get(*place).and_then(|row| row.iter().find(|cell| cell.column == column));
        let used = run.iter().any(|place| here(place).is_some());
        // Lines with nothing in this column count too where they go on behind it: what stands behind is a table's.
        let reaches = |place: &usize| cells.get(*place).is_some_and(|row| row.iter().any(|cell| cell.column >= column));
        let widths = run.iter().zip(&written).filter(|(place, (_, aligned))| used && *aligned && reaches(place));
        let start = widths.map(|(_, (text, _))| text.chars().count()).max().unwrap_or(0);
        for (place, (text, aligned)) in run.iter().zip(&mut written) {
            let Some(cell) = here(place) else { continue };
            if !text.is_empty() {
                let blanks = if *aligned { start.saturating_sub(text.chars().count()) } else { 0 };
                text.push_str(&" ".repeat(blanks + 1));
            }
            text.push_str(&cell.text);
            *aligned &= cell.text.chars().count() <= WIDEST_CELL;
        }
    }
    for (place, (text, _)) in run.iter().zip(written) {
        if let Some(line) = lines.get_mut(*place) {
            line.text = text;
        }
    }
}

/// Sets the comments that end lines: together where lines of one block stand together.
fn comments(lines: &mut [Line<'_>]) {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut closed: Vec<Vec<usize>> = Vec::new();
    for (place, line) in lines.iter().enumerate() {
        let depth = line.depth;
        while groups.len() > depth + 1 {
            closed.extend(groups.pop());
        }
        groups.resize_with(depth + 1, Vec::new);
        if let Some(group) = groups.get_mut(depth) {
            if line.apart || line.kind == Kind::Comment {
                closed.push(std::mem::take(group));
            }
            if line.comment.is_some() && line.kind != Kind::Comment {
                group.push(place);
            }
        }
    }
    closed.extend(groups);
    for group in closed {
        let width = |line: &Line<'_>| line.indent() + line.text.chars().count();
        let widths = group.iter().filter_map(|place| lines.get(*place)).map(width);
        let at = widths.filter(|width| *width <= WIDEST_COMMENTED).max().unwrap_or(0) + BEFORE_COMMENT;
        for place in group {
            if let Some(line) = lines.get_mut(place) {
                line.comment_at = at.max(width(line) + BEFORE_COMMENT);
            }
        }
    }
}
