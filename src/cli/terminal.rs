//! What standard output is: how wide, whether it shows colours and letters beyond ASCII. Refuses to write.

use super::arguments::{Colour, Drawing, FormatName};
use crate::report::Look;
use std::io::{IsTerminal, stdout};

/// Wider than this, prose is hard to read.
const WIDEST: usize = 120;

/// How to draw on standard output, in so many columns if said, coloured when said.
pub(super) fn look_as(Drawing { width, colour }: Drawing) -> Look {
    let terminal = stdout().is_terminal();
    let colour = match colour {
        Colour::Always => true,
        Colour::Never => false,
        Colour::Auto => terminal && is_unset("NO_COLOR") && said("TERM").as_deref() != Some("dumb") && takes_colours(),
    };
    let width = match width {
        Some(width) => usize::from(width),
        None => terminal_size::terminal_size_of(stdout())
            .map(|(terminal_size::Width(columns), _)| usize::from(columns))
            // What a shell says of its window, for a pager behind a pipe.
            .or_else(|| said("COLUMNS").and_then(|columns| columns.parse().ok()))
            .map_or(Look::PLAIN.width, |columns| columns.clamp(40, WIDEST)),
    };
    Look { width, colour, unicode: !terminal || shows_unicode() }
}

/// Whether the terminal takes the signs for colours: a console of Windows does once it is asked to, and very old ones do not.
fn takes_colours() -> bool {
    !cfg!(windows) || anstyle_query::windows::enable_ansi_colors().unwrap_or(true)
}

/// A text for people, drawn in the columns there are and broken where it is still too wide for few of them.
pub(super) fn fitted(drawing: Drawing, draw: impl FnOnce(Look) -> String) -> String {
    let look = look_as(drawing);
    crate::report::fitted(&draw(look), look)
}

/// The same, where the format is one for people at a terminal; every other is as it is.
pub(super) fn drawn(format: FormatName, drawing: Drawing, draw: impl FnOnce(Look) -> String) -> String {
    if format == FormatName::Graphic { fitted(drawing, draw) } else { draw(look_as(drawing)) }
}

/// An empty variable counts as unset, as <https://no-color.org> has it.
fn is_unset(name: &str) -> bool {
    said(name).is_none()
}

fn said(name: &str) -> Option<String> {
    std::env::var_os(name).filter(|value| !value.is_empty()).map(|value| value.to_string_lossy().into_owned())
}

/// Whether the locale is UTF-8, or nothing is said of it. The first variable that is set decides, as POSIX has it.
fn shows_unicode() -> bool {
    let locale = ["LC_ALL", "LC_CTYPE", "LANG"].into_iter().find_map(said);
    locale.is_none_or(|locale| locale.to_lowercase().replace('-', "").contains("utf8"))
}
