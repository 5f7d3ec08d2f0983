//! Whether the user wants a run broken off: it then ends with what it has and says so. Refuses to know what is being done.

use super::COULD_NOT;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Whether a run is to be broken off.
#[derive(Clone, Debug, Default)]
pub(super) struct Interrupt(Arc<AtomicBool>);

impl Interrupt {
    /// Minds the signals to end (on Unix SIGINT, SIGTERM and SIGHUP) from now on. The first asks the run to end with what
    /// it has; the second ends the program there and then, which leaves no file half written either.
    pub(super) fn watch() -> Interrupt {
        let interrupt = Interrupt::default();
        let asked = interrupt.clone();
        let mind = move || {
            if asked.0.swap(true, Ordering::Relaxed) {
                std::process::exit(i32::from(COULD_NOT));
            }
        };
        // Where the signals cannot be minded, they end the program as they always do.
        let _ = ctrlc::set_handler(mind);
        interrupt
    }

    /// Whether the run is to end.
    pub(super) fn is_asked(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}
