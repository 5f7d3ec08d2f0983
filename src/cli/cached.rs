//! What a run takes from a cache and puts into it: records read, pages written, audits that moved nothing. Refuses to know how
//! the file is made.

use super::wording;
use crate::audit::{Audited, Fate, MOST_SAME};
use crate::cache::{Cache, Key};
use crate::judge::Grade;
use crate::record::{Record, Sheet};
use crate::report::Page;
use crate::shop::Shop;
use crate::text::Source;
use rustc_hash::FxHashMap;
use std::io::{self, Write};
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

/// The cache of a run, if it has one.
#[derive(Debug)]
pub(super) struct Cached {
    /// The cache, and what stands for this program.
    cache: Option<(Cache, Key)>,
    /// What was asked for, in words that differ where the answer might.
    asked: String,
    /// What stands for the rules of each shop, by where the shop lies in memory.
    shops: Mutex<FxHashMap<usize, Rules>>,
    /// Why there is no cache though one was asked for.
    refused: Option<String>,
}

/// What stands for the rules of a shop.
#[derive(Clone, Copy, Debug)]
struct Rules {
    /// With the names of their files, which findings say.
    named: Key,
    /// Whatever their files are called.
    plain: Key,
}

impl Cached {
    /// Opens the cache that was asked for, for so many threads. `asked` is what was asked for, in words that differ where the
    /// answer might.
    pub(super) fn open(path: Option<&Path>, threads: usize, asked: String) -> Cached {
        let opened = path.map(|path| {
            let program = Key::of_program().ok_or_else(|| wording::no_program(path))?;
            Ok((Cache::open(path, threads)?, program))
        });
        let (cache, refused) = match opened {
            None => (None, None),
            Some(Ok(cache)) => (Some(cache), None),
            Some(Err(said)) => (None, Some(said)),
        };
        Cached { cache, asked, shops: Mutex::default(), refused }
    }

    /// A file, read as a record.
    pub(super) fn record(&self, source: Source) -> Record {
        let Some((cache, program)) = &self.cache else { return Record::of(source) };
        let key = Key::of([b"sheet", program.bytes(), source.text().as_bytes()]);
        if let Some(sheet) = cache.taken(&key, |bytes| Sheet::unpacked(&source, bytes)) {
            return Record { source, sheet: Some(sheet), findings: Vec::new() };
        }
        let record = Record::of(source);
        // What there is something to say of is seldom, and is read again.
        if let Some(sheet) = record.sheet.as_ref().filter(|_| record.findings.is_empty()) {
            cache.put(key, &sheet.packed());
        }
        record
    }

    /// The page of a record, if it was written before for the same question; else as it is made now, with whether it will be the
    /// same on another day.
    pub(super) fn page(&self, shop: &Arc<Shop>, source: Source, make: impl FnOnce(&Record) -> (Page, bool)) -> Page {
        let Some((cache, program)) = &self.cache else { return make(&Record::of(source)).0 };
        let (name, text, rules) = (source.name().as_bytes(), source.text().as_bytes(), self.rules(shop).named);
        let key = Key::of([b"page", program.bytes(), self.asked.as_bytes(), rules.bytes(), name, text]);
        if let Some(page) = cache.taken(&key, Page::unpacked) {
            return page;
        }
        let (page, lasts) = make(&self.record(source));
        if lasts {
            cache.put(key, &page.packed());
        }
        page
    }

    /// What changed rules mean for a record, if that was found before; else as it is found now. Moves say where the rules are
    /// written, so they are kept only where the rules before lie where they will lie again (`lasting`).
    pub(super) fn audited(
        &self,
        (before, after): (&Arc<Shop>, &Arc<Shop>),
        lasting: bool,
        source: Source,
        find: impl FnOnce(&Record) -> Audited,
    ) -> Audited {
        let Some((cache, program)) = &self.cache else { return find(&Record::of(source)) };
        let rules = (self.rules(before), self.rules(after));
        let key = |what: &[u8], before: Key, after: Key| {
            let (asked, text) = (self.asked.as_bytes(), source.text().as_bytes());
            Key::of([what, program.bytes(), asked, before.bytes(), after.bytes(), text])
        };
        let moved = || key(b"moved", rules.0.named, rules.1.named);
        let key = key(b"audit", rules.0.plain, rules.1.plain);
        let name = source.name().to_owned();
        if let Some((before, after, same)) = cache.taken(&key, unmoved) {
            let (before, after) = (Some(before), Some(after));
            return Audited { before, after, same, ..Audited::nothing(name, Vec::new()) };
        }
        let moved = lasting.then(moved);
        let books = (&*before.book, &*after.book);
        let kept = moved.and_then(|moved| cache.taken(&moved, |bytes| Audited::unpacked(bytes, name, books)));
        if let Some(audited) = kept {
            return audited;
        }
        let audited = find(&self.record(source));
        let silent = matches!(audited.fate(), Fate::Unmoved | Fate::FailsStill) && audited.findings.is_empty();
        if let (true, Some(before), Some(after)) = (silent, audited.before, audited.after) {
            cache.put(key, format!("{} {} {}", before.word(), after.word(), audited.same).as_bytes());
        } else if let (Some(moved), Some(packed)) = (moved, audited.packed()) {
            cache.put(moved, &packed);
        }
        audited
    }

    fn rules(&self, shop: &Arc<Shop>) -> Rules {
        let mut shops = self.shops.lock().unwrap_or_else(PoisonError::into_inner);
        *shops.entry(Arc::as_ptr(shop) as usize).or_insert_with(|| {
            let books = shop.book.titles.iter().map(|title| &title.source);
            let shelf = shop.shelf();
            let parts = shelf.map(|shelf| shelf.sources()).unwrap_or_default();
            let unread = shelf.map(|shelf| shelf.left_out.join("\n")).unwrap_or_default();
            let sources: Vec<&Source> = books.chain(shop.gauges_source()).chain(parts).collect();
            let listed = [u8::from(shop.gauges_source().is_some()), u8::from(shelf.is_some())];
            let listed = [listed.as_slice(), unread.as_bytes()].concat();
            let name = shop.name.as_deref().unwrap_or_default().as_bytes();
            let texts = || sources.iter().map(|source| source.text().as_bytes());
            let names = sources.iter().map(|source| source.name().as_bytes());
            Rules {
                named: Key::of([listed.as_slice(), name].into_iter().chain(names).chain(texts())),
                plain: Key::of([listed.as_slice()].into_iter().chain(texts())),
            }
        })
    }

    /// Writes what is new.
    pub(super) fn settle(&self) {
        if let Some((cache, _)) = &self.cache {
            cache.settle();
        }
    }

    /// Says on standard error what is wrong with the cache. It is no trouble of the run: everything was worked out without it.
    pub(super) fn say(&self) -> io::Result<()> {
        let notes = self.cache.as_ref().map(|(cache, _)| cache.notes()).unwrap_or_default();
        for note in self.refused.iter().chain(&notes) {
            writeln!(io::stderr(), "{}", wording::note(note))?;
        }
        Ok(())
    }
}

/// The grades of a record that did not move, and how many rulings it has.
fn unmoved(bytes: &[u8]) -> Option<(Grade, Grade, usize)> {
    let mut words = std::str::from_utf8(bytes).ok()?.split(' ');
    let (before, after) = (Grade::from_word(words.next()?)?, Grade::from_word(words.next()?)?);
    let same = words.next()?.parse().ok().filter(|same| *same <= MOST_SAME)?;
    words.next().is_none().then_some((before, after, same))
}
