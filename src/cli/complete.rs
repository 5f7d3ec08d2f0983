//! What a shell offers while a command is typed: the names of the rulebooks that the command would use, records, codes. Refuses to
//! judge anything.

use super::arguments::Arguments;
use crate::catalogue::{Catalogue, Wanted, catalogue};
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::finding::Code;
use crate::record::{Node, Record};
use crate::shop::{Shop, Shops};
use clap::CommandFactory;
use clap_complete::engine::ValueCompleter;
use clap_complete::{ArgValueCandidates, ArgValueCompleter, CompleteEnv, CompletionCandidate, PathCompleter};
use std::collections::BTreeMap;
use std::ffi::{OsStr, OsString};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

/// The variable by which a shell's script asks.
pub(super) const VARIABLE: &str = "TROCHOID_COMPLETE";

/// Answers a shell that asks, and gives the exit status; `None` if none does.
pub(super) fn answered(arguments: &[OsString]) -> Option<ExitCode> {
    let here = std::env::current_dir().ok();
    let asked = CompleteEnv::with_factory(Arguments::command).var(VARIABLE);
    match asked.try_complete(arguments.to_vec(), here.as_deref()) {
        Ok(false) => None,
        Ok(true) => Some(ExitCode::SUCCESS),
        // A shell has nowhere to show it.
        Err(_) => Some(ExitCode::from(super::COULD_NOT)),
    }
}

/// The generations a record may name, each with what it is.
pub(super) fn generations() -> ArgValueCandidates {
    ArgValueCandidates::new(|| generations_of(&shop()))
}

/// The parts below the whole machine, by their names.
pub(super) fn parts() -> ArgValueCandidates {
    ArgValueCandidates::new(|| parts_of(&shop()))
}

/// What `blank` takes: generations, and parts.
pub(super) fn generations_and_parts() -> ArgValueCandidates {
    ArgValueCandidates::new(|| {
        let shop = shop();
        generations_of(&shop).into_iter().chain(parts_of(&shop)).collect()
    })
}

/// The readings, and what is calculated from them, by their paths.
pub(super) fn readings() -> ArgValueCandidates {
    ArgValueCandidates::new(|| {
        let found = catalogue(&shop().book, Wanted::Readings(&[]));
        let one = |one: crate::catalogue::Reading| candidate(one.path, one.measure.or(Some(one.kind)));
        found.readings.into_iter().flatten().map(one).collect()
    })
}

/// The rows of the generation that the record on the line is of, or of every generation.
pub(super) fn rows() -> ArgValueCandidates {
    ArgValueCandidates::new(|| {
        let words = words();
        let record = words.iter().map(Path::new).find(|word| is_record(word) && disk::exists(word));
        let shop = record.map_or_else(shop, |record| Shops::new(books(&words)).of(record));
        let named = record.and_then(generation_of).and_then(|name| shop.book.generation(&name));
        let all = shop.book.generations.iter().filter_map(|one| shop.book.generation(&one.name));
        let of: Vec<_> = named.map_or_else(|| all.collect(), |one| vec![one]);
        let found = of.into_iter().filter_map(|one| catalogue(&shop.book, Wanted::Rows(one)).rows).flatten();
        // A row stands in several generations with several ranges: its path is what is typed.
        let rows: BTreeMap<String, Option<String>> =
            found.map(|row| (row.path, row.limit.or(row.standard).filter(|_| named.is_some()))).collect();
        rows.into_iter().map(|(path, range)| candidate(path, range)).collect()
    })
}

/// What follows `list WHAT`: parts after `readings`, generations after `rows`, rulebooks after `books`.
pub(super) fn listed() -> ArgValueCandidates {
    ArgValueCandidates::new(|| {
        let (words, shop) = (words(), shop());
        let asked = |what: &str| words.iter().any(|word| word == what);
        match () {
            () if asked("readings") => parts_of(&shop),
            () if asked("rows") => generations_of(&shop),
            () if asked("books") => {
                let Catalogue { books, .. } = catalogue(&shop.book, Wanted::Books(None));
                books.into_iter().flatten().map(|book| candidate(book.file, Some(book.title))).collect()
            }
            () => Vec::new(),
        }
    })
}

/// Records of builds and of loose parts, and the folders on the way to them.
pub(super) fn records() -> ArgValueCompleter {
    ArgValueCompleter::new(files)
}

/// What `explain` takes first: a code, or a record.
pub(super) fn codes_and_records() -> ArgValueCompleter {
    ArgValueCompleter::new(|current: &OsStr| {
        let begun = current.to_string_lossy();
        let codes = Code::ALL.iter().map(|code| code.name()).filter(|name| name.starts_with(&*begun));
        let codes = codes.map(|name| candidate(name.to_owned(), None));
        codes.chain(files(current)).collect()
    })
}

fn files(current: &OsStr) -> Vec<CompletionCandidate> {
    let wanted = |path: &Path| disk::is_folder(path) || is_record(path);
    PathCompleter::any().stdio().filter(wanted).complete(current)
}

fn is_record(path: &Path) -> bool {
    path.file_name().is_some_and(|name| disk::is_record_name(&name.to_string_lossy()))
}

fn candidate(value: String, help: Option<String>) -> CompletionCandidate {
    CompletionCandidate::new(value).help(help.map(Into::into))
}

fn generations_of(shop: &Shop) -> Vec<CompletionCandidate> {
    let named = shop.book.generations.iter().filter(|one| !one.basis);
    named.map(|one| candidate(one.name.to_string(), Some(one.description.to_string()))).collect()
}

fn parts_of(shop: &Shop) -> Vec<CompletionCandidate> {
    let mut names: Vec<String> = shop.book.parts.iter().skip(1).map(|part| part.name.to_string()).collect();
    names.sort_unstable();
    names.dedup();
    names.into_iter().map(|name| candidate(name, None)).collect()
}

/// The words of the command that is being typed.
fn words() -> Vec<String> {
    let all = std::env::args_os().map(|word| word.to_string_lossy().into_owned());
    all.skip_while(|word| word != "--").skip(1).collect()
}

/// The rulebooks the command names, if it does.
fn books(words: &[String]) -> Option<PathBuf> {
    let after = words.iter().skip_while(|word| *word != "--books").nth(1);
    let joined = words.iter().find_map(|word| word.strip_prefix("--books="));
    joined.or(after.map(String::as_str)).map(PathBuf::from)
}

/// The shop the command would ask.
fn shop() -> Arc<Shop> {
    Shops::new(books(&words())).of(Path::new("record.yaml"))
}

/// The generation a record names.
fn generation_of(record: &Path) -> Option<String> {
    let sheet = Record::of(disk::read_source(record, MOST_RECORD_BYTES).ok()?).sheet?;
    match sheet.root()?.as_map()?.get("generation")? {
        Node::Scalar(name) => Some(name.text().to_owned()),
        _ => None,
    }
}
