//! The records of the shop as they were last judged: again only those that changed, or whose rules or parts did. Refuses to know
//! on which page they are shown.

use crate::bench::{RecordAt, Workshop};
use crate::bind::{Readings, loose_parts};
use crate::blank;
use crate::book::Book;
use crate::disk::{self, MOST_RECORD_BYTES, Stamp};
use crate::handover::gauges;
use crate::judge::GradeSet;
use crate::quantity::Date;
use crate::record::Record;
use crate::report::html::bench::{BuildLine, PartLine};
use crate::shop::{Ask, Checked, Shop};
use rustc_hash::{FxHashMap, FxHashSet};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// Fewer records than this are judged on one thread. Common practice: they take less than the threads do.
const FEW: usize = 16;
/// Threads at most. Common practice: the readings at the bench come first.
const MOST_THREADS: usize = 4;

/// The records as they were last judged.
#[derive(Default)]
pub(in crate::bench) struct Judged {
    by_path: Mutex<FxHashMap<PathBuf, Kept>>,
}

struct Kept {
    stamp: Stamp,
    today: Option<Date>,
    shop: Arc<Shop>,
    record: Arc<JudgedRecord>,
}

/// A record with its shop, its stamp, and what it came to if that is known.
type LookedAt<'a> = (&'a RecordAt, Arc<Shop>, Option<Stamp>, Option<Arc<JudgedRecord>>);

/// One record, judged.
pub(super) struct JudgedRecord {
    /// The build; `None` if it is a file of loose parts.
    pub(super) build: Option<BuildLine>,
    /// The loose parts.
    pub(super) parts: Vec<PartLine>,
    /// How many readings each gauge was used for.
    pub(super) gauges: Vec<(String, usize)>,
    /// The parts that it takes while it is not finished, each with the build.
    pub(super) taken: Vec<(String, String)>,
    /// Whether it takes parts of the shelf, so that the shelf decides too.
    takes_parts: bool,
}

impl Judged {
    /// Every record of the shop, in the order of their names.
    pub(super) fn all(&self, workshop: &Workshop) -> Vec<Arc<JudgedRecord>> {
        let (records, today, shops) = (workshop.records(), workshop.today(), workshop.shops());
        let mut found: Vec<LookedAt<'_>> = Vec::new();
        {
            let mut by_path = self.by_path.lock().unwrap_or_else(PoisonError::into_inner);
            for record in records.iter() {
                let (shop, stamp) = (shops.of(&record.path), disk::stamp(&record.path));
                let kept = by_path.get_mut(&record.path).filter(|kept| stamp == Some(kept.stamp));
                let kept = kept.filter(|kept| kept.today == today && kept.holds_for(&shop));
                let known = kept.map(|kept| {
                    // What is kept must not keep the shop of yesterday in memory.
                    kept.shop = shop.clone();
                    kept.record.clone()
                });
                found.push((record, shop, stamp, known));
            }
            let there: FxHashSet<&Path> = records.iter().map(|record| record.path.as_path()).collect();
            by_path.retain(|path, _| there.contains(path.as_path()));
        }
        let open: Vec<usize> =
            (0..found.len()).filter(|at| found.get(*at).is_some_and(|one| one.3.is_none())).collect();
        let threads = std::thread::available_parallelism().map_or(1, usize::from).min(MOST_THREADS);
        let threads = if open.len() < FEW { 1 } else { threads };
        let judged: Vec<(usize, Arc<JudgedRecord>)> = std::thread::scope(|scope| {
            let found = &found;
            let share = open.len().div_ceil(threads).max(1);
            let work = |share: &[usize]| -> Vec<(usize, Arc<JudgedRecord>)> {
                let one = |at: &usize| {
                    let (record, shop, ..) = found.get(*at)?;
                    Some((*at, Arc::new(judge(shop, record, today))))
                };
                share.iter().filter_map(one).collect()
            };
            let running: Vec<_> = open.chunks(share).map(|share| scope.spawn(move || work(share))).collect();
            running.into_iter().flat_map(|thread| thread.join().unwrap_or_default()).collect()
        });
        let mut by_path = self.by_path.lock().unwrap_or_else(PoisonError::into_inner);
        for (at, judged) in judged {
            let Some((record, shop, stamp, known)) = found.get_mut(at) else { continue };
            *known = Some(judged.clone());
            if let Some(stamp) = *stamp {
                let kept = Kept { stamp, today, shop: shop.clone(), record: judged };
                by_path.insert(record.path.clone(), kept);
            }
        }
        found.into_iter().filter_map(|(.., known)| known).collect()
    }
}

impl Kept {
    /// Whether the record would come to the same in this shop: the same books and gauges, and the same shelf if it takes parts.
    fn holds_for(&self, shop: &Arc<Shop>) -> bool {
        let gauges = match (self.shop.gauges_source(), shop.gauges_source()) {
            (Some(one), Some(other)) => one.is_same(other),
            (one, other) => one.is_none() && other.is_none() && self.shop.gauges_file() == shop.gauges_file(),
        };
        Arc::ptr_eq(&self.shop.book, &shop.book)
            && gauges
            && (!self.record.takes_parts || Arc::ptr_eq(&self.shop, shop))
    }
}

fn judge(shop: &Shop, at: &RecordAt, today: Option<Date>) -> JudgedRecord {
    let name = at.name.as_str();
    let alone = |build| JudgedRecord {
        build: Some(build),
        parts: Vec::new(),
        gauges: Vec::new(),
        taken: Vec::new(),
        takes_parts: false,
    };
    if !shop.is_sound() {
        return alone(BuildLine::unsound(name));
    }
    let record = match disk::read_source(&at.path, MOST_RECORD_BYTES) {
        Ok(source) => Record::of(source),
        Err(finding) => return alone(BuildLine::new(name, &Checked::unread(&at.path, finding), None)),
    };
    let ask = Ask { tell: GradeSet::NOT_GOOD.with_list(), rulings: false, as_of: None };
    let mut checked = shop.check_all(&record, &ask, &[]);
    checked.iter_mut().for_each(|one| one.hold_against(today));
    let parts = checked.iter().filter_map(|one| Some(PartLine::new(name, one, one.part.as_ref()?))).collect();
    let build = checked.first().filter(|one| one.part.is_none()).map(|checked| {
        let far = shop.look(&record, None, |plan, readings, _| blank::taken(&shop.book, plan, readings));
        BuildLine::new(name, checked, far)
    });
    let sheet = record.sheet.as_ref();
    let takes_parts = sheet.is_some_and(|sheet| !shop.parts_of(sheet, &record.source).is_empty());
    let taken = shop.taken_by_open_build(&record);
    JudgedRecord { build, parts, gauges: used(shop, &record), taken, takes_parts }
}

/// How many readings each gauge was used for in a record.
fn used(shop: &Shop, record: &Record) -> Vec<(String, usize)> {
    let Some(sheet) = &record.sheet else { return Vec::new() };
    let count = |book: &Book, readings: &Readings| -> Vec<(String, usize)> {
        gauges(book, readings).into_iter().map(|used| (used.name, used.readings)).collect()
    };
    if !shop.is_loose(record) {
        return count(&shop.book, &shop.bind(sheet, &record.source).0);
    }
    let (parts, _) = loose_parts(&shop.book, sheet, &record.source);
    let each = parts
        .iter()
        .filter_map(|part| Some(count(&shop.book_of_part(part.part), &shop.readings_of_part(record, part)?)));
    each.flatten().collect()
}
