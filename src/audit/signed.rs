//! A verdict signed off: every ruling, with digests of all it rests on, as one JSON document that shows whether it was altered.
//! Refuses to know where it is kept.

use super::SignedRuling;
use super::signed_ruling::grade_word;
use crate::judge::Grade;
use crate::text::Source;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// What every sheet says it is.
const FORMAT: &str = "trochoid verdict sheet";

/// A verdict as it was signed off.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Signed {
    /// The version of this program that judged.
    pub version: String,
    /// The day it was written, as `YYYY-MM-DD`.
    pub written: String,
    /// The record.
    pub record: Digested,
    /// The rulebooks, in the order they were compiled.
    pub books: Vec<Digested>,
    /// The shop's list of gauges, if it has one.
    pub gauges: Option<Digested>,
    /// The files of the shelf that its parts are in, each once.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<Digested>,
    /// The build's name.
    pub build: String,
    /// The day the build was finished, as `YYYY-MM-DD`.
    pub finished: Option<String>,
    /// The day whose rows it was judged by, where that was asked for.
    pub as_of: Option<String>,
    /// Its generation.
    pub generation: String,
    /// Its grade.
    #[serde(with = "grade_word")]
    pub grade: Grade,
    /// Errors in the record itself, as they were said.
    pub errors: Vec<String>,
    /// Every ruling, in the books' order.
    pub rulings: Vec<SignedRuling>,
}

/// A file, and the digest of its bytes.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Digested {
    /// Its name.
    pub file: String,
    /// SHA-256 (FIPS 180-4) of its bytes, in hexadecimal digits.
    pub sha256: String,
}

impl Digested {
    /// The digest of a file as it was read.
    #[must_use]
    pub fn new(source: &Source) -> Digested {
        Digested { file: source.name().to_string(), sha256: digest(source.text().as_bytes()) }
    }
}

/// What a verdict rests on that is not as it was.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Changed {
    /// The record.
    Record,
    /// A rulebook.
    Books,
    /// The list of gauges.
    Gauges,
    /// A part it takes from the shelf.
    Parts,
    /// This program.
    Tool,
}

/// Why a sheet cannot be taken.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum SheetFault {
    /// It is no verdict sheet, or not one this program reads; what is wrong with it.
    NoSheet(String),
    /// It is not as it was written.
    Altered,
}

/// A sheet as it is written: the verdict, then a seal over it.
#[derive(Serialize, Deserialize)]
struct Written {
    format: String,
    #[serde(flatten)]
    signed: Signed,
    seal: String,
}

impl Signed {
    /// The sheet as it is written, ended by a line end.
    #[must_use]
    pub fn write(&self) -> String {
        let written = Written { format: FORMAT.to_owned(), signed: self.clone(), seal: self.seal() };
        // Texts, numbers and lists into memory: there is nothing that can fail.
        serde_json::to_string_pretty(&written).map_or_else(|_| String::new(), |text| text + "\n")
    }

    /// Reads a sheet back.
    ///
    /// # Errors
    /// That it is none, or that it is not as it was written.
    pub fn read(text: &str) -> Result<Signed, SheetFault> {
        let written: Written = serde_json::from_str(text).map_err(|error| SheetFault::NoSheet(error.to_string()))?;
        if written.format != FORMAT {
            return Err(SheetFault::NoSheet(format!("its format is `{}`", written.format)));
        }
        if written.seal != written.signed.seal() {
            return Err(SheetFault::Altered);
        }
        Ok(written.signed)
    }

    /// The digest of all it says. It shows a slip of the hand, not a forger: whoever forges can seal as well.
    fn seal(&self) -> String {
        digest(&serde_json::to_vec(self).unwrap_or_default())
    }

    /// Whether two sheets say the same of a build: its grade and every ruling, wherever its rules stand in their books.
    #[must_use]
    pub fn agrees(&self, other: &Signed) -> bool {
        let plain = |stand: &SignedRuling| SignedRuling {
            row: String::new(),
            place: None,
            because: None,
            remedy: None,
            caution: None,
            ..stand.clone()
        };
        self.grade == other.grade
            && self.generation == other.generation
            && self.errors == other.errors
            && self.rulings.iter().map(plain).eq(other.rulings.iter().map(plain))
    }

    /// What this verdict rests on that is not what another one rests on.
    #[must_use]
    pub fn changed_since(&self, other: &Signed) -> Vec<Changed> {
        let digests = |files: &[Digested]| files.iter().map(|file| file.sha256.clone()).collect::<Vec<_>>();
        let gauges = |signed: &Signed| signed.gauges.as_ref().map(|gauges| gauges.sha256.clone());
        let mut changed = Vec::new();
        for (differs, what) in [
            (self.record.sha256 != other.record.sha256, Changed::Record),
            (digests(&self.books) != digests(&other.books), Changed::Books),
            (gauges(self) != gauges(other), Changed::Gauges),
            (digests(&self.parts) != digests(&other.parts), Changed::Parts),
            (self.version != other.version, Changed::Tool),
        ] {
            if differs {
                changed.push(what);
            }
        }
        changed
    }
}

/// SHA-256 (FIPS 180-4) of bytes, in hexadecimal digits.
#[must_use]
pub fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}
