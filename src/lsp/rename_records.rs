//! The places in a shop's records that a new name of its rulebooks reaches. Refuses to change any file itself, and says which records
//! it cannot answer for.

use super::names::Meaning;
use super::record_names::record_names;
use super::seen::Seen;
use super::server::{Refusal, Server};
use super::wording;
use crate::bind::keys::as_named;
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::record;
use crate::shop::{Papers, settings_of};
use crate::text::{Place, Source};
use lsp_server::ErrorCode;
use std::path::{Path, PathBuf};

/// Every place in the records of the shop where a name of the books stands with one meaning.
pub(super) fn places(server: &Server, seen: &Seen, meaning: &Meaning, name: &str) -> Result<Vec<Place>, Refusal> {
    let is_unit = match meaning {
        Meaning::Unit(_) => true,
        Meaning::Step(_) | Meaning::Member(..) | Meaning::Generation(_) => false,
        // Nothing a record could say.
        Meaning::Set(_)
        | Meaning::Constant(_)
        | Meaning::Formula(_)
        | Meaning::Table(_)
        | Meaning::Citation(_)
        | Meaning::Parameter(..) => return Ok(Vec::new()),
    };
    let refused = |words: String| (ErrorCode::RequestFailed, words);
    let records = records(server, seen).map_err(refused)?;
    let records = records.into_iter().filter(|source| says(&source.text().to_lowercase(), &name.to_lowercase()));
    if is_unit {
        let names: Vec<String> = records.map(|source| shown(seen, &source)).collect();
        return if names.is_empty() { Ok(Vec::new()) } else { Err(refused(wording::unit_in_records(name, &names))) };
    }
    let (mut places, mut left) = (Vec::new(), Vec::new());
    for source in records {
        // A key in other capitals than the book's would be left behind.
        let plain = |sheet: &record::Sheet| sheet.is_whole() && as_named(&seen.shop.book, sheet).is_none();
        let sheet = record::read(&source).0.filter(plain);
        let Some(sheet) = sheet else {
            left.push(shown(seen, &source));
            continue;
        };
        let (names, lost) = record_names(&seen.shop.book, &sheet, &source);
        let meant = names.into_iter().filter(|one| one.meaning == *meaning);
        places.extend(meant.map(|one| source.place(one.span)));
        if lost.iter().any(|span| source.slice(*span).trim_matches(['"', '\'']) == name) {
            left.push(shown(seen, &source));
        }
    }
    if left.is_empty() { Ok(places) } else { Err(refused(wording::records_left(name, &left))) }
}

/// The records of the shop as they are now, in the editor or on disk; where there are too many to look at, that is said.
fn records(server: &Server, seen: &Seen) -> Result<Vec<Source>, String> {
    let open = |path: &Path| server.documents.get(&Papers::key(path)).map(|document| document.source.clone());
    let Some(settings) = settings_of(&seen.document.path) else {
        // Without a shop no record belongs to the book; one that asks is its own.
        return Ok(if seen.is_book() { Vec::new() } else { vec![seen.document.source.clone()] });
    };
    let (mut files, findings) = disk::records_named(&disk::folder_of(&settings));
    if let (true, Some(finding)) = (files.is_empty(), findings.into_iter().next()) {
        return Err(finding.message);
    }
    // What is open and was never written counts too.
    let unwritten: Vec<PathBuf> =
        server.documents.values().map(|document| document.path.clone()).filter(|path| !disk::exists(path)).collect();
    let belongs = |path: &&PathBuf| settings_of(path).is_some_and(|own| disk::is_same(&own, &settings));
    files.extend(unwritten.iter().filter(belongs).cloned());
    // A file that cannot be read says no name.
    Ok(files.iter().filter_map(|path| open(path).or_else(|| disk::read_walked(path, MOST_RECORD_BYTES).ok())).collect())
}

/// A record as the shop would name it.
fn shown(seen: &Seen, source: &Source) -> String {
    let folder = settings_of(&seen.document.path).map(|settings| disk::folder_of(&settings));
    let below = folder.and_then(|folder| disk::relative(&folder, Path::new(source.name())));
    below.map_or_else(|| source.name().to_owned(), |path| path.to_string_lossy().replace('\\', "/"))
}

/// Whether a text has a name as a word of its own.
fn says(text: &str, name: &str) -> bool {
    let is_letter = |letter: char| letter.is_alphanumeric() || letter == '_';
    text.match_indices(name).any(|(at, _)| {
        // `10mm` has the unit `mm`, and `a1` no `1`.
        let before = text.get(..at).and_then(|before| before.chars().next_back());
        let after = text.get(at + name.len()..).and_then(|after| after.chars().next());
        !before.is_some_and(|letter| is_letter(letter) && !letter.is_ascii_digit()) && !after.is_some_and(is_letter)
    })
}
