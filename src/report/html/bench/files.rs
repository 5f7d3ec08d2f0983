//! The files that the pages at the bench link to: styles, script, picture. Refuses to read any from the disk.

use crate::report::html::frame::STYLE;

/// What a file holds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum FileKind {
    /// A style sheet.
    Style,
    /// A script.
    Script,
    /// A drawing.
    Svg,
}

/// A file with its text.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct File {
    /// What it holds.
    pub kind: FileKind,
    /// Its text.
    pub text: &'static str,
}

/// The file of a name; `None` if there is none.
#[must_use]
pub fn file(name: &str) -> Option<File> {
    let (kind, text) = match name {
        "sheet.css" => (FileKind::Style, STYLE),
        "bench.css" => (FileKind::Style, concat!(include_str!("bench.css"), include_str!("build.css"))),
        "bench.js" => (FileKind::Script, include_str!("bench.js")),
        "beside.js" => (FileKind::Script, include_str!("beside.js")),
        "fields.js" => (FileKind::Script, include_str!("fields.js")),
        "queue.js" => (FileKind::Script, include_str!("queue.js")),
        "icon.svg" => (FileKind::Svg, include_str!("icon.svg")),
        _ => return None,
    };
    Some(File { kind, text })
}
