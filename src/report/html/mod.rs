//! Pages of HTML that need nothing but themselves: the sheet of a build, the page over many, the sheet to write on, labels for loose parts. Refuses to
//! work anything out, and to let a text of the papers be anything but text.

mod bar;
pub mod bench;
mod blank;
mod blank_grid;
mod chart;
mod customer;
mod frame;
mod index;
mod label;
mod measured;
mod scale;
mod sheet;
mod words;
mod words_customer;

pub use blank::write as blank;
pub use frame::{PaperSize, is_ours};
pub use index::{ChartPage, Charted, Index, Listed, has_chart_pages, write as index, write_charts};
pub use label::{Labels, linked as linked_labels, rules_of_paper as paper_of_labels, write as labels};
pub use sheet::{
    BuildSheet, Reader, files as sheet_files, linked as linked_sheet, rules_of_paper as paper_of_sheet, write as sheet,
};
