//! Draws the means and ranges of small groups: their limits, a line for each, what lies beyond. Refuses to work anything out.

use super::super::style::{Ink, Look, wrapped};
use super::figures::Figures;
use super::study::columns;
use super::{Sheet, wording_study as wording};
use crate::trend::{Chart, Subgrouped};

/// The groups of one chart.
pub(super) fn draw(out: &mut String, sheet: &Sheet<'_>, (chart, grouped): (&Chart, &Subgrouped), look: Look) {
    wrapped(out, "", 0, &wording::subgroups(chart, grouped), look.width);
    for said in wording::other_sizes(grouped) {
        wrapped(out, "  ", 2, &said, look.width);
    }
    let Some(found) = &grouped.chart else { return };
    let figures = Figures::scattering(&found.deviation, sheet.unit);
    for said in wording::limits(found, &figures) {
        wrapped(out, "  ", 2, &said, look.width);
    }
    if !sheet.short {
        out.push('\n');
        columns(out, &wording::table(grouped, found, &figures), true);
    }
    out.push('\n');
    let said = wording::beyond(grouped, found, &figures);
    if said.is_empty() {
        out.push_str(&format!("  {}\n", look.paint(Ink::Good, super::wording::NOTHING)));
        return;
    }
    wrapped(out, "  ", 2, super::wording::STANDS_OUT, look.width);
    for said in said {
        wrapped(out, "    - ", 6, &said, look.width);
    }
}
