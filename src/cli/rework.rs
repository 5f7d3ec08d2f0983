//! `trochoid rework`: says what would put a record right, by the operations of its books. Refuses to choose any, and to write
//! into a record.

use super::arguments::Drawing;
use super::{COULD_NOT, terminal};
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::finding::Finding;
use crate::record::Record;
use crate::report::rework::{self, Planned as Paper, document, table, text};
use crate::report::{fitted, plain};
use crate::shop::{Planned, Shops};
use clap::{Args, ValueEnum};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Say what would put a record right, and which parts to order
///
/// For every row that is not good: by how much each reading would have to be less or more. Then the fewest operations that
/// the rulebooks allow, judged again as if they were done, what must be measured afterwards, and which parts to order. Every
/// value is a prediction, and nothing is written into a record. A loose part is planned by the rows that lie within it.
#[derive(Args, Debug)]
#[command(
    arg_required_else_help = true,
    after_help = "\
Examples:
  trochoid rework K-0143.yaml                   what would put this build right
  trochoid rework builds/ --format csv          the parts to order for every build of a folder
  trochoid rework shelf/parts.yaml              each loose part of a file
  trochoid rework K-0143.yaml --format json

The operations are those that the rulebooks declare with `rework`, each with its bound and its
cautions. The maker's documents come first.

Exit status:
  0  nothing needs to be put right, or a plan puts it right as far as can be judged before
     it is measured again
  1  no plan that the rulebooks allow puts it right
  2  not everything could be done: a record that cannot be judged, a rulebook with errors"
)]
pub(super) struct Rework {
    /// Records of builds or of loose parts, or folders of them; `-` for standard input
    #[arg(value_name = "RECORD", required = true, add = super::complete::records())]
    records: Vec<PathBuf>,

    /// Use this rulebook, or every rulebook in this folder
    #[arg(long, value_name = "PATH")]
    books: Option<PathBuf>,

    /// Say something about the machine that loose parts go into, as in `duty=street`
    #[arg(long, value_name = "READING=VALUE", value_parser = super::question::given)]
    given: Vec<(String, String)>,

    /// How to write it
    #[arg(long, value_name = "FORMAT", value_enum, default_value_t = Form::Text)]
    format: Form,

    #[command(flatten)]
    drawing: Drawing,
}

/// The words for the formats.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
enum Form {
    /// For people
    Text,
    /// One JSON document
    Json,
    /// The parts to order as comma-separated text, for spreadsheets
    Csv,
}

/// What was planned for some records, and what could not be.
#[derive(Default)]
struct All {
    /// Each with its file.
    planned: Vec<(String, Planned)>,
    /// Scrapped parts, each with how many builds and parts come before it.
    scrapped: Vec<(usize, String, String)>,
    could_not: bool,
}

/// Plans what was asked for and gives the exit status.
pub(super) fn run(asked: &Rework) -> io::Result<u8> {
    let shops = Shops::new(asked.books.clone());
    if let Some(said) = super::question::given_wrong(&asked.given, &asked.records, &shops) {
        write!(io::stderr(), "{said}")?;
        return Ok(COULD_NOT);
    }
    let (records, said) = super::paths::records(&asked.records, &shops);
    say(&said)?;
    let mut all = All { could_not: said.iter().any(Finding::is_error), ..All::default() };
    for (_, record) in records {
        one(&record, &shops, asked, &mut all)?;
    }
    let not_right = all.planned.iter().any(|(_, planned)| !planned.found.puts_right());
    let status = if all.could_not { COULD_NOT } else { u8::from(not_right) };
    let papers: Vec<Paper<'_>> = all.planned.iter().map(|(name, planned)| Paper { name, planned }).collect();
    let written = match asked.format {
        _ if papers.is_empty() && all.scrapped.is_empty() => return Ok(status),
        Form::Json => {
            let scrapped: Vec<(&str, &str)> = all.scrapped.iter().map(|(_, name, tag)| (&**name, &**tag)).collect();
            document(&papers, &scrapped, status)
        }
        Form::Csv => table(&papers),
        Form::Text => as_text(&papers, &all.scrapped, asked.drawing),
    };
    io::stdout().lock().write_all(written.as_bytes())?;
    Ok(status)
}

/// Every build and part in the order of the files, with an empty line beside each that takes more than one.
fn as_text(papers: &[Paper<'_>], scrapped: &[(usize, String, String)], drawing: Drawing) -> String {
    let look = terminal::look_as(drawing);
    let mut texts: Vec<String> = Vec::new();
    let mut gone = scrapped.iter().peekable();
    for number in 0..=papers.len() {
        while let Some((_, name, tag)) = gone.next_if(|(before, ..)| *before == number) {
            texts.push(rework::scrapped(name, tag));
        }
        texts.extend(papers.get(number).map(|paper| text(*paper, look)));
    }
    let mut out = String::new();
    let mut was_long = false;
    for (number, text) in texts.iter().enumerate() {
        let is_long = text.lines().count() > 2;
        if number > 0 && (was_long || is_long) {
            out.push('\n');
        }
        out.push_str(text);
        was_long = is_long;
    }
    fitted(&(out + &rework::cautions(papers, look)), look)
}

/// Plans for one file. Its mistakes are told, and what can be judged is planned for all the same.
fn one(file: &Path, shops: &Shops, asked: &Rework, all: &mut All) -> io::Result<()> {
    let shop = shops.of(file);
    if !shop.is_sound() {
        all.could_not = true;
        return say(shop.findings());
    }
    let record = match disk::read_source(file, MOST_RECORD_BYTES) {
        Ok(source) => Record::of(source),
        Err(finding) => {
            all.could_not = true;
            return say(&[finding]);
        }
    };
    let name = file.to_string_lossy().replace('\\', "/");
    if shop.is_loose(&record) {
        let parts = shop.rework_parts(&record, &asked.given);
        all.could_not |= parts.findings.iter().any(Finding::is_error);
        let before = all.planned.len();
        all.scrapped.extend(parts.scrapped.into_iter().map(|(after, tag)| (before + after, name.clone(), tag)));
        all.planned.extend(parts.planned.into_iter().map(|planned| (name.clone(), planned)));
        return say(&parts.findings);
    }
    match shop.rework_build(&record) {
        Ok((planned, findings)) => {
            all.planned.push((name, planned));
            say(&findings)
        }
        Err(findings) => {
            all.could_not = true;
            say(&findings)
        }
    }
}

/// Findings go to standard error, so that the answer stands alone.
fn say(findings: &[Finding]) -> io::Result<()> {
    let mut out = io::stderr().lock();
    for finding in findings {
        out.write_all(plain::write(finding).as_bytes())?;
    }
    Ok(())
}
