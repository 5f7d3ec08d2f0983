//! Every sentence this room says beside its help. Refuses to know when it is said.

use crate::blank::Unnamed;
use crate::disk::HistoryFault;
use crate::finding::{Code, Finding, did_you_mean, list};
use crate::identify::Trouble;
use crate::report::clean;
use crate::trend::Fault;
use std::io;
use std::path::Path;

/// Nothing that looks like a record below a path.
pub(super) fn no_records(path: &Path) -> Finding {
    let path = path.to_string_lossy().replace('\\', "/");
    let below = if path.ends_with('/') { path } else { format!("{path}/") };
    Finding::new(Code::NoRecords, format!("no records below {below} (looked for *.yaml, *.yml, *.json)"))
}

/// The user broke the run off.
pub(super) fn interrupted(records: usize) -> Finding {
    let said = match records {
        0 => "the run was stopped before any record was judged".to_owned(),
        1 => "the run was stopped after 1 record; the others were not judged".to_owned(),
        _ => format!("the run was stopped after {records} records; the others were not judged"),
    };
    Finding::new(Code::RunInterrupted, said).help("run it again: what was written so far is right but incomplete")
}

/// What is wrong with a command line, under the one prefix there is; a finding keeps its own form.
pub(super) fn complaint(said: &str) -> String {
    if said.starts_with("fault, ") || said.contains(": fault, ") {
        return said.to_owned();
    }
    format!("trochoid: {}", said.replace("trochoid: ", ""))
}

/// A record from standard input, and nothing said about what in it is to be explained.
pub(super) const ROW_WANTED: &str = "trochoid: name the row of the record, such as `trochoid explain - PART.READING`";

/// A code was asked for that there is not.
pub(super) fn no_code(name: &str, near: Option<&str>) -> String {
    let help = did_you_mean(near).unwrap_or_else(|| "`trochoid explain --list` has every code".into());
    format!("trochoid: there is no code `{}`; {help}", clean(name))
}

/// The cache cannot be used, for nobody could tell which program kept what is in it.
/// A word that only a build with this feature knows.
pub(super) fn left_out(word: &str, feature: &str) -> String {
    format!("trochoid: `{word}` is not in this build: build it with the feature `{feature}`")
}

#[cfg(feature = "cache")]
pub(super) fn no_program(path: &Path) -> String {
    format!(
        "the cache {} is not used: this program cannot read its own file; everything is calculated again",
        path.display()
    )
}

/// Something worth knowing that is no trouble.
#[cfg(feature = "cache")]
pub(super) fn note(said: &str) -> String {
    format!("trochoid: {}", clean(said))
}

pub(super) fn cannot_write(error: &io::Error) -> String {
    format!("trochoid: what was found cannot be written: {error}")
}

/// The progress bar, in the words of indicatif's templates.
pub(super) const PROGRESS: &str = "{bar:30} {pos} of {len} records, {eta} left";

/// A generation was asked for that there is not.
pub(super) fn no_generation(name: &str, near: Option<&str>, all: &[&str]) -> String {
    let help = crate::finding::did_you_mean(near)
        .unwrap_or_else(|| format!("the generations are {}", crate::finding::list(all.iter().copied(), "and")));
    format!("trochoid: there is no generation called `{}`; {}", crate::report::clean(name), crate::report::clean(&help))
}

/// Nothing to put on a chart, or to group by, is meant by a path.
pub(super) fn no_characteristic(asked: &str, fault: &Fault) -> String {
    let asked = clean(asked);
    let said = match fault {
        Fault::Unknown(near) => {
            let help =
                did_you_mean(near.as_deref()).unwrap_or_else(|| "`trochoid list readings` names them all".into());
            format!("there is no characteristic called `{asked}`; {help}")
        }
        Fault::Several(paths) => {
            let paths = crate::finding::list(paths.iter().map(String::as_str), "or");
            format!("`{asked}` may be {paths}; write which one")
        }
        Fault::NoNumber(what, path) => {
            format!("{path} is {what} and has no number for a chart; `--by {path}` compares builds by it")
        }
        Fault::NoChoice(path) => {
            format!("{path} is not a choice, a class, yes or no, or words: builds cannot be grouped by it")
        }
        Fault::WhichOne(path) => format!("{path} has several values for one build; write which position or station"),
    };
    format!("trochoid: {said}")
}

/// Nothing that looks like a rulebook below a path.
pub(super) fn no_rulebooks(path: &Path) -> Finding {
    let path = path.to_string_lossy().replace('\\', "/");
    let below = if path.ends_with('/') { path } else { format!("{path}/") };
    Finding::new(Code::BooksMissing, format!("no rulebooks below {below} (looked for *.rulebook)"))
}

/// A rulebook got its layout.
pub(super) fn tidied(name: &str) -> String {
    format!("{}: tidied", clean(name))
}

/// A rulebook would get its layout, and may not be written.
pub(super) fn book_unwritable(name: &str, error: &io::Error) -> String {
    let reason = match error.kind() {
        io::ErrorKind::PermissionDenied => "no permission to change it".to_owned(),
        _ => error.to_string(),
    };
    format!("trochoid: {} cannot be written and was left unchanged: {reason}", clean(name))
}

/// What a book from standard input is called.
pub(super) const STDIN: &str = "standard input";

pub(super) const STDIN_NOT_UTF8: &str = "trochoid: standard input is not UTF-8 text";

pub(super) fn stdin_too_large() -> String {
    format!(
        "trochoid: standard input is larger than {} MiB, the limit for a rulebook",
        crate::disk::MOST_BOOK_BYTES >> 20
    )
}

/// A feature that cannot be taken.
pub(super) fn no_feature(asked: &str, trouble: &Trouble) -> String {
    let asked = clean(asked);
    let said = match trouble {
        Trouble::Unknown(near) => {
            let help = did_you_mean(near.as_deref())
                .unwrap_or_else(|| "run `trochoid identify` alone, and it asks you".into());
            format!("there is nothing called `{asked}`; {help}")
        }
        Trouble::Several(paths) => {
            format!(
                "`{asked}` may be {}; write which one",
                crate::finding::list(paths.iter().map(String::as_str), "or")
            )
        }
        Trouble::WorkedOut(path) => format!("{path} is calculated from readings; give the readings"),
        Trouble::TellsNothing(path) => format!("{path} does not tell one generation from another"),
        Trouble::Value(findings) => {
            let each = findings.iter().map(|finding| match &finding.help {
                Some(help) => format!("{}; {help}", finding.message),
                None => finding.message.clone(),
            });
            each.collect::<Vec<_>>().join("; ")
        }
    };
    clean(&format!("trochoid: {said}")).into_owned()
}

/// What is left after an answer.
pub(super) fn still_fit(names: &[&str]) -> String {
    match names {
        [] => "no generation fits any more".to_owned(),
        [one] => format!("{} fits", clean(one)),
        names => format!("still fit: {}", clean(&crate::finding::list(names.iter().copied(), "and"))),
    }
}

/// What an earlier revision cannot be brought for.
pub(super) fn no_history(path: &Path, revision: &str, fault: &HistoryFault) -> String {
    let name = |file: &Path| if file.as_os_str().is_empty() { "its folder".to_owned() } else { path_words(file) };
    let said = match fault {
        HistoryFault::NoRepository(said) => {
            let path = path_words(path);
            format!("{path} is not in a git repository that can be read ({said}); name the books with `--before BOOKS`")
        }
        HistoryFault::NoRevision(said) => {
            format!("git has no revision `{revision}` here ({said}); `git log` lists the revisions")
        }
        HistoryFault::NoText(file) => {
            let file = name(file);
            format!("the text of {file} at {revision} is not in this repository; name the books with `--before BOOKS`")
        }
        HistoryFault::TooLarge(file, bytes) => {
            format!("{} at {revision} has {bytes} bytes, more than this program reads from one file", name(file))
        }
        HistoryFault::TooMany(most, what) => {
            format!("{revision} holds more than {most} {what}; name the books with `--before BOOKS`")
        }
        HistoryFault::Disk(said) => return no_scratch(said),
    };
    clean(&format!("trochoid: {said}")).into_owned()
}

/// A record whose shop has no books of its own.
pub(super) fn no_settings(record: &Path) -> String {
    let record = record.to_string_lossy().replace('\\', "/");
    let said = "has no trochoid.yaml in or above its folder, so its books have no earlier revision";
    clean(&format!("trochoid: {record} {said}; name them with `--before BOOKS`")).into_owned()
}

/// A shop that was not there at a revision.
pub(super) fn no_settings_then(settings: &Path, revision: &str) -> String {
    let settings = settings.to_string_lossy().replace('\\', "/");
    clean(&format!("trochoid: at {revision} there was no {settings}; name the books with `--before BOOKS`"))
        .into_owned()
}

pub(super) fn no_scratch(error: &str) -> String {
    format!("trochoid: the books of an earlier revision cannot be stored: {error}")
}

/// The rules at a revision, in words.
pub(super) fn revision(revision: &str) -> String {
    format!("the books at {revision}")
}

/// A path as it is shown.
fn path_words(path: &Path) -> String {
    clean(&path.to_string_lossy().replace('\\', "/")).into_owned()
}

/// A sheet that says something else of a build than what is found today.
pub(super) fn sheet_differs(sheet: &Path) -> String {
    let sheet = path_words(sheet);
    format!(
        "trochoid: {sheet} says something else and was left unchanged; `trochoid audit PATH --sheets DIR` shows what \
         differs, and `--replace` writes a new one"
    )
}

pub(super) fn sheet_unwritten(sheet: &Path, error: &io::Error) -> String {
    format!("trochoid: {} cannot be written and was left unchanged: {error}", path_words(sheet))
}

pub(super) fn sheet_missing(record: &Path, sheet: &Path) -> String {
    format!(
        "trochoid: {} has no verdict sheet (looked for {}); `trochoid check --sheets DIR` writes it",
        path_words(record),
        path_words(sheet)
    )
}

pub(super) fn no_sheet(sheet: &Path, said: &str) -> String {
    format!("trochoid: {} is not a verdict sheet: {}", path_words(sheet), clean(said))
}

/// A sheet that is not as it was written.
pub(super) fn sheet_altered(sheet: &Path) -> String {
    format!("trochoid: {} was changed after it was written: its seal does not match", path_words(sheet))
}

/// A sheet that would be of two records.
pub(super) fn sheet_shared(sheet: &Path, one: &Path, other: &Path) -> String {
    format!(
        "trochoid: {} would be the sheet of both {} and {}, so neither is written or read: give each its own folder of \
         sheets, or rename one of them",
        path_words(sheet),
        path_words(one),
        path_words(other)
    )
}

pub(super) fn sheets_not_written(count: usize) -> String {
    format!("trochoid: {count} verdict {} not written", if count == 1 { "sheet was" } else { "sheets were" })
}

/// No day for a verdict sheet.
pub(super) const NO_CLOCK: &str =
    "trochoid: this machine's clock is outside the years 1900 to 2999; give the day with `--signed DATE`";

/// A generation that is only there to be followed has no records.
pub(super) fn basis_only(name: &str, all: &[&str]) -> String {
    let name = clean(name);
    let said = format!("trochoid: `{name}` is a basis for generations, not a generation");
    if all.is_empty() {
        said
    } else {
        format!("{said}; the generations are {}", clean(&list(all.iter().copied(), "and")))
    }
}

/// A part was asked for that there is not.
pub(super) fn no_part(unnamed: &Unnamed) -> String {
    let help = did_you_mean(unnamed.near.as_deref())
        .unwrap_or_else(|| format!("the parts are {}", list(unnamed.all.iter().map(String::as_str), "and")));
    format!("trochoid: there is no part called `{}`; {}", clean(&unnamed.asked), clean(&help))
}

/// Rows are listed of one generation.
pub(super) fn rows_of_which(all: &[&str]) -> String {
    format!("trochoid: name a generation: {}", clean(&list(all.iter().copied(), "or")))
}

/// No rulebook has this name.
pub(super) fn no_book(name: &str, all: &[&str]) -> String {
    format!(
        "trochoid: there is no rulebook called `{}`; the rulebooks are {}",
        clean(name),
        clean(&list(all.iter().copied(), "and"))
    )
}

/// A name was given where all are listed.
pub(super) fn list_takes_no_name(what: &str, name: &str) -> String {
    format!("trochoid: `list {what}` prints them all; leave out `{}`", clean(name))
}

/// Nothing is asked for of a generation, or of the parts named.
pub(super) fn nothing_asked(generation: &str, only: &[String]) -> String {
    let of =
        if only.is_empty() { String::new() } else { format!(" of {}", list(only.iter().map(String::as_str), "and")) };
    format!("trochoid: the rulebooks require nothing{} for generation {}", clean(&of), clean(generation))
}

/// A new record cannot be written where it should.
pub(super) fn record_unwritable(path: &Path, error: &io::Error) -> String {
    let path = path.to_string_lossy().replace('\\', "/");
    let reason = match error.kind() {
        io::ErrorKind::AlreadyExists => {
            return format!("trochoid: {} already exists and was left unchanged; give another name", clean(&path));
        }
        io::ErrorKind::NotFound => "there is no such folder".to_owned(),
        io::ErrorKind::PermissionDenied => "no permission to write it".to_owned(),
        _ => error.to_string(),
    };
    format!("trochoid: {} cannot be written: {reason}", clean(&path))
}

/// Something else than a reading and what it says.
pub(super) fn no_having(word: &str) -> String {
    format!("trochoid: `{}` does not name a reading and its value; write it as `lot=S-12`", clean(word))
}

/// A record would take the place of a file that is none.
pub(super) const NO_RECORD: &str = "the file of that name is not a record, and is left unchanged";

/// A folder that records are to go into.
pub(super) fn no_folder(folder: &Path) -> String {
    format!("trochoid: there is no folder {}", path_words(folder))
}

/// A question that a format has no room to answer.
pub(super) fn no_answers_in(format: &str) -> String {
    format!(
        "trochoid: {format} has no place for --within, --conversions and --count; \
         leave --format out, or use --format json or jsonl"
    )
}

/// No record was one of those asked for.
pub(super) fn none_meant(asked: &[String]) -> String {
    format!("no record has {}", clean(&crate::finding::list(asked.iter().map(String::as_str), "and")))
}

pub(super) fn page_unwritten(page: &Path, error: &io::Error) -> String {
    format!("trochoid: {} cannot be written: {error}", path_words(page))
}

#[cfg(feature = "pages")]
pub(super) const REPORT_NEEDS_FOLDER: &str =
    "trochoid: the sheets of several records need a folder; name it with `--to DIR`";

/// A page would be written where something else stands.
#[cfg(feature = "pages")]
pub(super) fn page_not_ours(page: &Path) -> String {
    format!(
        "trochoid: {} already exists, was not written by `trochoid report`, and was left unchanged; give another name",
        path_words(page)
    )
}

#[cfg(feature = "pages")]
pub(super) fn report_written(index: &Path, records: usize, failing: usize) -> String {
    let records_of = if records == 1 { "1 record".to_owned() } else { format!("{records} records") };
    let failing = match failing {
        0 => "every build passes".to_owned(),
        1 => "1 fails".to_owned(),
        more => format!("{more} fail"),
    };
    format!("{}: {records_of}, {failing}", path_words(index))
}

#[cfg(feature = "editor")]
pub(super) fn no_messages(error: &std::io::Error) -> String {
    format!("the messages on standard input cannot be read: {error}")
}
