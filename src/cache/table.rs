//! The table the entries stand in, by number, in an SQLite file. Refuses to know what a number or an entry stands for.

use super::Key;
use rusqlite::{Connection, ErrorCode, OpenFlags, OptionalExtension, params};
use std::path::Path;

/// What marks a file as a cache of this program (the bytes of `trch`), as SQLite has it.
const OURS: i64 = 0x7472_6368;

/// All that stands in such a file.
const SCHEMA: &str = "CREATE TABLE entry (place INTEGER PRIMARY KEY, sealed BLOB NOT NULL)";

/// How long one run waits for another that writes, in milliseconds.
const PATIENCE: u32 = 5000;

/// Pages of 4 KiB written aside before they are moved to their place: 16 MiB, so that a page is moved once for many entries.
const CHECKPOINT: i64 = 4096;

/// KiB of the file held in memory by each thread, with a minus as SQLite has it: 8 MiB.
const MEMORY: i64 = -8192;

/// Why a file cannot be used.
#[derive(Debug)]
pub(super) enum Fault {
    /// It holds something else.
    NotOurs,
    /// What SQLite says.
    Sqlite(rusqlite::Error),
}

impl From<rusqlite::Error> for Fault {
    fn from(error: rusqlite::Error) -> Fault {
        match error.sqlite_error_code() {
            Some(ErrorCode::NotADatabase) => Fault::NotOurs,
            _ => Fault::Sqlite(error),
        }
    }
}

/// An open file.
#[derive(Debug)]
pub(super) struct Table(Connection);

impl Table {
    /// Opens a file, makes it where there is none, and empties it where more than `most_bytes` of it are in use.
    pub(super) fn open(path: &Path, most_bytes: u64) -> Result<Table, Fault> {
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let mut connection = Connection::open_with_flags(path, flags)?;
        connection.pragma_update(None, "busy_timeout", PATIENCE)?;
        let number =
            |connection: &Connection, name: &str| connection.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
        // Nothing may be written into a file before it is known whose it is.
        if number(&connection, "application_id")? != OURS {
            let begun = connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
            let holds: i64 = begun.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
            // Another run may have made it since.
            if number(&begun, "application_id")? != OURS {
                if holds > 0 || number(&begun, "application_id")? != 0 {
                    return Err(Fault::NotOurs);
                }
                begun.execute_batch(SCHEMA)?;
                begun.pragma_update(None, "application_id", OURS)?;
            }
            begun.commit()?;
        }
        // A view of that name, or anything that acts by itself, could be made to run for ever.
        let strange = "SELECT count(*) FROM sqlite_schema WHERE sql IS NOT ?1";
        if connection.query_row(strange, [SCHEMA], |row| row.get::<_, i64>(0))? != 0 {
            return Err(Fault::NotOurs);
        }
        connection.pragma_update(None, "cell_size_check", true)?;
        connection.pragma_update(None, "trusted_schema", false)?;
        // Readers and a writer do not wait for each other; a run broken off leaves the entries before it.
        write_ahead(&connection)?;
        connection.pragma_update(None, "synchronous", "NORMAL")?;
        connection.pragma_update(None, "wal_autocheckpoint", CHECKPOINT)?;
        connection.pragma_update(None, "cache_size", MEMORY)?;
        let pages = number(&connection, "page_count")? - number(&connection, "freelist_count")?;
        let used = pages.saturating_mul(number(&connection, "page_size")?);
        if u64::try_from(used).is_ok_and(|used| used > most_bytes) {
            connection.execute("DELETE FROM entry", [])?;
        }
        Ok(Table(connection))
    }

    /// The entry of a key, sealed; or of another key with the same place.
    pub(super) fn get(&self, key: &Key) -> rusqlite::Result<Option<Vec<u8>>> {
        let mut asked = self.0.prepare_cached("SELECT sealed FROM entry WHERE place = ?1")?;
        asked.query_row([key.place()], |row| row.get(0)).optional()
    }

    /// How many entries there are.
    pub(super) fn len(&self) -> rusqlite::Result<usize> {
        let count: i64 = self.0.query_row("SELECT count(*) FROM entry", [], |row| row.get(0))?;
        Ok(usize::try_from(count).unwrap_or(0))
    }

    /// Writes entries, all of them or none.
    pub(super) fn put(&mut self, entries: &[(Key, Vec<u8>)]) -> rusqlite::Result<()> {
        let begun = self.0.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
        {
            let mut put = begun.prepare_cached("INSERT OR REPLACE INTO entry (place, sealed) VALUES (?1, ?2)")?;
            for (key, sealed) in entries {
                put.execute(params![key.place(), sealed])?;
            }
        }
        begun.commit()
    }
}

/// Has entries written aside first. Where several runs make one file at once, SQLite refuses this change without waiting as it
/// waits for everything else (its documentation, `sqlite3_busy_handler`: no handler is asked where it could lead to a
/// deadlock), so it is tried again.
fn write_ahead(connection: &Connection) -> rusqlite::Result<()> {
    let until = std::time::Instant::now() + std::time::Duration::from_millis(PATIENCE.into());
    loop {
        match connection.pragma_update(None, "journal_mode", "WAL") {
            Err(error)
                if error.sqlite_error_code() == Some(ErrorCode::DatabaseBusy) && std::time::Instant::now() < until =>
            {
                std::thread::sleep(std::time::Duration::from_millis(5));
            }
            done => return done,
        }
    }
}
