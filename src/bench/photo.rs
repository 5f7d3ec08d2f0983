//! Photographs of what was measured: kept beside the record under a name made here, shown only if the record names them. Refuses
//! to keep what is not a picture.

use super::picture::picture_kind;
use super::{Answer, Asked, Kind, Workshop, keep};
use crate::disk;
use crate::report::html::bench;
use serde_json::json;
use std::path::{Path, PathBuf};

/// One reading has no more than so many. Common practice.
const MOST_PHOTOS: usize = 50;

fn said(status: u16, value: &serde_json::Value) -> Answer {
    Answer::new(status, Kind::Json, value.to_string().into_bytes())
}

fn refused(status: u16, why: &str) -> Answer {
    said(status, &json!({ "kept": false, "why": why }))
}

/// Keeps a photograph beside its record. The page then writes its name into the record as it writes a note.
pub(super) fn keep_photo(workshop: &Workshop, asked: &Asked) -> Answer {
    if workshop.is_read_only() {
        return refused(403, bench::READ_ONLY_ANSWER);
    }
    let Some((_, ending)) = picture_kind(&asked.body) else { return refused(415, bench::NOT_A_PICTURE) };
    let (record, key) = (asked.value("record").unwrap_or_default(), asked.value("key").unwrap_or_default());
    let Some(at) = workshop.record(record) else { return refused(404, bench::GONE) };
    let Ok(opened) = keep::open(workshop, &at, asked.value("tag")) else { return refused(409, bench::NOT_JUDGED) };
    if opened.sheet().field(key).is_none() {
        return refused(404, bench::NO_SUCH_READING);
    }
    let stem = at.path.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned());
    let folder = disk::safe_name(&format!("{stem}-photos"));
    let mut name = key.replace('.', "-");
    if let Some(tag) = asked.value("tag") {
        name = format!("{tag}-{name}");
    }
    let beside = disk::folder_of(&at.path).join(&folder);
    if !disk::inside(workshop.folder(), &at.path)
        || (disk::exists(&beside) && !disk::inside(workshop.folder(), &beside))
    {
        return refused(422, bench::LEADS_OUT);
    }
    for number in 1..=MOST_PHOTOS {
        let file = disk::safe_name(&format!("{name}-{number}.{ending}"));
        let path = beside.join(&file);
        match disk::create_whole_below(&path, &asked.body) {
            Ok(()) => return said(200, &json!({ "kept": true, "photo": format!("{folder}/{file}") })),
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {}
            Err(error) => return refused(507, &bench::not_written(&error)),
        }
    }
    refused(409, bench::TOO_MANY_PHOTOS)
}

/// Shows a photograph that a record names.
pub(super) fn show(workshop: &Workshop, asked: &Asked) -> Answer {
    let name = asked.path.get(1..).unwrap_or_default().join("/");
    let found = || -> Option<Answer> {
        let at = workshop.record(&name)?;
        let wanted = asked.value("file")?;
        let opened = keep::open(workshop, &at, asked.value("tag")).ok()?;
        let mut says = opened.sheet().fields().flat_map(|(_, field)| &field.held.items).flat_map(|item| &item.says);
        says.find(|(key, text)| key == "photo" && text == wanted)?;
        let path = below(&disk::folder_of(&at.path), wanted)?;
        disk::inside(workshop.folder(), &path).then_some(())?;
        let bytes = disk::read_bytes(&path, MOST_SHOWN_BYTES).ok()?;
        let (media_type, _) = picture_kind(&bytes)?;
        Some(Answer::new(200, Kind::Picture(media_type), bytes))
    };
    found().unwrap_or_else(|| super::pages::lost(workshop, bench::NO_PHOTO))
}

/// The largest picture shown. Common practice: what the door lets in as a photograph.
const MOST_SHOWN_BYTES: u64 = 16 << 20;

/// A file beside a record, if its name does not lead elsewhere.
fn below(folder: &Path, name: &str) -> Option<PathBuf> {
    (disk::safe_path(Path::new(name)) == Path::new(name)).then(|| folder.join(name))
}
