//! The bar that shows how far a long run has come, on standard error. Refuses to know what is being done.

use super::wording;
use indicatif::{ProgressBar, ProgressStyle};
use std::io::{IsTerminal, stderr};

/// With fewer records than this there is nothing to wait for.
const FEW: u64 = 50;

/// How far a run has come.
pub(super) struct Progress {
    bar: ProgressBar,
}

impl Progress {
    /// A bar for so many records; not seen where standard error is no terminal, or there are only a few.
    pub(super) fn new(records: u64) -> Progress {
        let bar =
            if records > FEW && stderr().is_terminal() { ProgressBar::new(records) } else { ProgressBar::hidden() };
        if let Ok(style) = ProgressStyle::with_template(wording::PROGRESS) {
            bar.set_style(style);
        }
        Progress { bar }
    }

    /// Whether anybody sees it: if not, nobody need count the records first.
    pub(super) fn is_wanted() -> bool {
        stderr().is_terminal()
    }

    /// So many more are done.
    pub(super) fn done(&self, records: usize) {
        self.bar.inc(records as u64);
    }

    /// Takes the bar away while something is written.
    pub(super) fn aside<T>(&self, write: impl FnOnce() -> T) -> T {
        self.bar.suspend(write)
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
