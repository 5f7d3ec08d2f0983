//! A page of the manual, made out of the command line itself: the help of a command in the sections of man(7). Refuses to know what any
//! command does.

use clap_mangen::Man;
use std::io;

/// The day these pages were last revised, as man(7) wants one.
const REVISED: &str = "2026-11-30";

/// A line of text longer than this is broken.
const WIDEST: usize = 78;

/// What every command ends with, whatever else it ends with.
const ALWAYS: [&str; 1] = ["  141  whoever read the output went away, as head does"];

/// What a command ends with that says nothing about it.
const OTHERWISE: [&str; 2] = ["  0  it is done", "  2  it could not be done"];

/// The sections of the text that follows the flags.
#[derive(Default)]
struct After {
    examples: Vec<String>,
    status: Vec<String>,
    notes: Vec<String>,
}

/// The page of a command.
///
/// # Errors
/// Where it cannot be written down.
pub(super) fn page(command: &clap::Command) -> io::Result<Vec<u8>> {
    let name = command.get_display_name().unwrap_or_else(|| command.get_name()).replace(' ', "-");
    let man = Man::new(command.clone());
    let mut body = Vec::new();
    man.render_name_section(&mut body)?;
    man.render_synopsis_section(&mut body)?;
    man.render_description_section(&mut body)?;
    man.render_options_section(&mut body)?;
    if command.has_subcommands() {
        body.extend_from_slice(b".SH COMMANDS\n");
        man.render_subcommands_section(&mut body)?;
    }
    let body = String::from_utf8_lossy(&body);
    let mut out = format!(
        ".TH {} 1 {REVISED} \"trochoid {}\" \"User Commands\"\n.ie \\n(.g .ds Aq \\(aq\n.el .ds Aq '\n",
        name.to_uppercase(),
        env!("CARGO_PKG_VERSION")
    );
    flowed(&mut out, &body);
    let after = after(&command.get_after_help().map(ToString::to_string).unwrap_or_default());
    as_it_stands(&mut out, "EXAMPLES", &after.examples);
    let status = if after.status.is_empty() { OTHERWISE.map(str::to_owned).to_vec() } else { after.status };
    let always = ALWAYS.map(str::to_owned);
    as_it_stands(&mut out, "EXIT STATUS", &[status, always.to_vec()].concat());
    as_it_stands(&mut out, "NOTES", &after.notes);
    Ok(out.into_bytes())
}

/// Takes the text after the flags apart.
fn after(text: &str) -> After {
    let mut after = After::default();
    let mut into = 0;
    for line in text.lines().map(str::trim_end) {
        match line {
            "Examples:" => into = 1,
            "Exit status:" => into = 2,
            "" => into = 0,
            line => match into {
                1 => after.examples.push(line.to_owned()),
                2 => after.status.push(line.to_owned()),
                _ => after.notes.push(line.to_owned()),
            },
        }
    }
    after
}

/// A section whose lines stay as they are.
fn as_it_stands(out: &mut String, heading: &str, lines: &[String]) {
    if lines.is_empty() {
        return;
    }
    out.push_str(&format!(
        ".SH {}\n.nf\n",
        if heading.contains(' ') { format!("\"{heading}\"") } else { heading.into() }
    ));
    for line in lines {
        let line = line.replace('\\', "\\e").replace('-', "\\-").replace('\'', "\\(aq").replace('`', "\\(ga");
        out.push_str(&format!("\\&{line}\n"));
    }
    out.push_str(".fi\n");
}

/// Text and requests of clap_mangen: no second heading for commands, no empty line, no break beside a space, no long line.
fn flowed(out: &mut String, body: &str) {
    let lines: Vec<&str> = body.lines().map(str::trim_end).collect();
    let mut before = "";
    for (at, line) in lines.iter().enumerate() {
        let is = |step: usize, what: &str| lines.get(at + step).is_some_and(|next| *next == what);
        match *line {
            ".SH SUBCOMMANDS" | ".ie \\n(.g .ds Aq \\(aq" | ".el .ds Aq '" => continue,
            // An empty line breaks the line already.
            ".br" if is(1, "") || before.is_empty() => continue,
            "" => out.push_str(".sp\n"),
            line if line.starts_with('.') => out.push_str(&format!("{line}\n")),
            line => broken(out, line),
        }
        before = line;
    }
}

/// A line of text in lines that are not too long; none of them begins with what would be a request.
fn broken(out: &mut String, line: &str) {
    let mut used = 0;
    for word in line.split_whitespace() {
        let wide = word.chars().count();
        if used > 0 && used + 1 + wide > WIDEST {
            out.push('\n');
            used = 0;
        }
        if used > 0 {
            out.push(' ');
            used += 1;
        } else if word.starts_with(['.', '\'']) {
            out.push_str("\\&");
        }
        out.push_str(word);
        used += wide;
    }
    out.push('\n');
}
