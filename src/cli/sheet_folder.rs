//! The folder of verdict sheets: where the sheet of a record is, and when one may be written. Refuses to judge.

use super::wording;
use crate::audit::{Comparison, SheetFault, Signed};
use crate::disk::{self, Kind, MOST_SHEET_BYTES, walk};
use crate::quantity::Date;
use crate::record::Record;
use crate::shop::Shop;
use rustc_hash::FxHashMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

/// What a sheet's name ends with.
const ENDING: &str = "verdict.json";

/// Which rules a shop has: where its books lie in memory, its list of gauges, and its shelf.
type Rules = (usize, Option<PathBuf>, Option<usize>);

/// Sheets of builds that were signed off.
#[derive(Debug)]
pub(super) struct SheetFolder {
    folder: PathBuf,
    /// The day a sheet written now is of.
    today: Date,
    /// Whether a sheet that says something else is replaced.
    replace: bool,
    /// The rules of each shop.
    desks: Mutex<FxHashMap<Rules, Arc<Comparison>>>,
    /// Sheets that are of no one record of the run: none of them is written or read.
    shared: FxHashMap<String, [PathBuf; 2]>,
}

impl SheetFolder {
    /// None where nobody says the day and this machine's clock is outside the years this program knows.
    pub(super) fn new(folder: &Path, today: Option<Date>, replace: bool, paths: &[PathBuf]) -> Option<SheetFolder> {
        let today = today.or_else(today_here)?;
        let folder = folder.to_path_buf();
        let mut cabinet = SheetFolder { folder, today, replace, desks: Mutex::default(), shared: FxHashMap::default() };
        cabinet.shared = cabinet.shared_by(paths);
        Some(cabinet)
    }

    /// The sheets that several of the records below some paths would have, each with two of these.
    fn shared_by(&self, paths: &[PathBuf]) -> FxHashMap<String, [PathBuf; 2]> {
        let mut first: FxHashMap<String, PathBuf> = FxHashMap::default();
        let mut shared = FxHashMap::default();
        for below in paths {
            for record in walk(below, Kind::Records).flatten() {
                let (key, record) = (self.key(below, &record), disk::normalise(&record));
                match first.get(&key) {
                    Some(other) if *other != record => {
                        shared.entry(key).or_insert_with(|| [other.clone(), record]);
                    }
                    Some(_) => {}
                    None => {
                        first.insert(key, record);
                    }
                }
            }
        }
        shared
    }

    /// What stands for a sheet, also on a disk that does not tell capitals.
    fn key(&self, below: &Path, record: &Path) -> String {
        self.place(below, record).to_string_lossy().to_lowercase()
    }

    /// What to say where another record would have the same sheet.
    fn lone(&self, below: &Path, record: &Path, place: &Path) -> Result<(), String> {
        // Few or none: most runs need not even make the key.
        if self.shared.is_empty() {
            return Ok(());
        }
        match self.shared.get(&self.key(below, record)) {
            Some([one, other]) => Err(wording::sheet_shared(place, one, other)),
            None => Ok(()),
        }
    }

    /// Where the sheet of a record is that was found below a path.
    fn place(&self, below: &Path, record: &Path) -> PathBuf {
        let inside = record.strip_prefix(below).ok().filter(|rest| !rest.as_os_str().is_empty());
        let inside = inside.or(record.file_name().map(Path::new)).unwrap_or(record);
        self.folder.join(disk::safe_path(&inside.with_extension(""))).with_added_extension(ENDING)
    }

    /// What today's rules say of a record, signed today; none where it cannot be judged.
    pub(super) fn today(&self, shop: &Arc<Shop>, record: &Record, as_of: Option<Date>) -> Option<Signed> {
        let key = (Arc::as_ptr(&shop.book) as usize, shop.gauges_file().map(Path::to_path_buf), shop.shelf_number());
        let desk = {
            let mut desks = self.desks.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
            desks.entry(key).or_insert_with(|| Arc::new(Comparison::new(shop.clone(), shop.clone()))).clone()
        };
        desk.sign(record, as_of, self.today)
    }

    /// Writes the sheet of a record, whole or not at all. One that says the same is left as it was signed; one that says
    /// something else is not overwritten, unless that was asked for.
    ///
    /// # Errors
    /// What to say where it was not written.
    pub(super) fn put(&self, below: &Path, record: &Path, signed: &Signed) -> Result<(), String> {
        let place = self.place(below, record);
        self.lone(below, record, &place)?;
        if disk::exists(&place) && !self.replace {
            return match self.read(&place) {
                Ok(before) if before.agrees(signed) => Ok(()),
                Ok(_) => Err(wording::sheet_differs(&place)),
                Err(said) => Err(said),
            };
        }
        disk::write_whole_below(&place, signed.write().as_bytes())
            .map_err(|error| wording::sheet_unwritten(&place, &error))
    }

    /// The sheet a record was signed off with.
    ///
    /// # Errors
    /// What to say where there is none, or it cannot be taken.
    pub(super) fn get(&self, below: &Path, record: &Path) -> Result<Signed, String> {
        let place = self.place(below, record);
        self.lone(below, record, &place)?;
        if !disk::exists(&place) {
            return Err(wording::sheet_missing(record, &place));
        }
        self.read(&place)
    }

    fn read(&self, place: &Path) -> Result<Signed, String> {
        let source =
            disk::read_source(place, MOST_SHEET_BYTES).map_err(|finding| format!("trochoid: {}", finding.message))?;
        Signed::read(source.text()).map_err(|fault| match fault {
            SheetFault::NoSheet(said) => wording::no_sheet(place, &said),
            SheetFault::Altered => wording::sheet_altered(place),
        })
    }
}

/// The day it is: as it was said, else as the environment says, else as this machine's clock does.
pub(super) fn today(said: Option<Date>) -> Option<Date> {
    said_today(said).or_else(today_here)
}

/// The day somebody says it is: on the command line, else in the environment.
pub(super) fn said_today(said: Option<Date>) -> Option<Date> {
    said.or_else(|| std::env::var(TODAY).ok().and_then(|day| Date::parse(day.trim())))
}

/// The variable of the environment that says what day it is.
const TODAY: &str = "TROCHOID_TODAY";

/// The day this machine says it is, in coordinated universal time.
fn today_here() -> Option<Date> {
    let now = time::OffsetDateTime::now_utc().date();
    Date::new(u16::try_from(now.year()).ok()?, u8::from(now.month()), now.day())
}
