//! Draws a gauge study: where the scatter comes from, who reads how, and what that means. Refuses to work it out.

use super::super::style::{Look, clean, width, wrapped};
use super::figures::Figures;
use super::{Sheet, wording_study as wording};
use crate::quantity::function;
use crate::trend::{GaugeStudy, Unfit};

/// The study, or why the values are none.
pub(super) fn draw(out: &mut String, sheet: &Sheet<'_>, study: &Result<GaugeStudy, Unfit>, look: Look) {
    let found = match study {
        Err(unfit) => return wrapped(out, "", 0, &wording::unfit(unfit), look.width),
        Ok(found) => found,
    };
    let scatter = function::sqrt(&found.study.components.measuring()).unwrap_or_default();
    let figures = Figures::scattering(&scatter, sheet.unit);
    wrapped(out, "", 0, &wording::heading(found, sheet.by.unwrap_or_default()), look.width);
    out.push('\n');
    columns(out, &wording::rows(found, &figures), false);
    out.push('\n');
    columns(out, &wording::people(found, &figures), true);
    out.push('\n');
    for said in wording::sentences(found, &figures) {
        wrapped(out, "  - ", 4, &said, look.width);
    }
    out.push('\n');
    wrapped(out, "", 0, wording::METHOD, look.width);
}

/// Rows in columns, the first to the left, the others to the right; the last to the left too where it is words.
pub(super) fn columns(out: &mut String, rows: &[Vec<String>], words_last: bool) {
    let widest = |at: usize| rows.iter().filter_map(|row| row.get(at)).map(|cell| width(cell)).max().unwrap_or(0);
    for row in rows {
        let mut line = String::from("  ");
        for (at, cell) in row.iter().enumerate() {
            let pad = " ".repeat(widest(at).saturating_sub(width(cell)));
            match at {
                0 => line.push_str(&format!("{}{pad}", clean(cell))),
                _ if words_last && at + 1 == row.len() => line.push_str(&format!("  {}", clean(cell))),
                _ => line.push_str(&format!("  {pad}{}", clean(cell))),
            }
        }
        out.push_str(line.trim_end());
        out.push('\n');
    }
}
