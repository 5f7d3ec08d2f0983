//! How one thing judged stands: its grade, its ranges and how far from their ends the value is. Refuses to judge it.

use crate::judge::{Grade, RulingReport};
use crate::text::Place;
use serde::{Deserialize, Serialize};

/// How one thing judged stands under one set of rules, or stood when it was signed off.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct SignedRuling {
    /// What is judged, in words that every edition of the books uses: `smallest of rotor.front.apex_seal.1.height`.
    pub key: String,
    /// Which reading, counted from 1, where each of several is judged by itself.
    pub reading: Option<usize>,
    /// Its grade, by the word.
    #[serde(with = "grade_word")]
    pub grade: Grade,
    /// Whether the row is advisory: it makes a build worn at most.
    pub advisory: bool,
    /// The value, with its unit.
    pub value: Option<String>,
    /// The standard range, as the book writes it.
    pub standard: Option<String>,
    /// The limit, as the book writes it.
    pub limit: Option<String>,
    /// How far outside, and on which side.
    pub beyond: Option<String>,
    /// How far inside the limit, or the standard where there is no limit.
    pub room: Option<String>,
    /// The paths of what was not measured.
    pub missing: Vec<String>,
    /// Why it is let through, and by whom.
    pub concession: Option<String>,
    /// Where the range comes from.
    pub source: Option<String>,
    /// Where the row is, as `file:line:column`.
    pub row: String,
    /// The row itself; none where it is only known from a sheet.
    #[serde(skip)]
    pub place: Option<Place>,
    /// Why the rule is there.
    #[serde(skip)]
    pub because: Option<String>,
    /// What to do.
    #[serde(skip)]
    pub remedy: Option<String>,
    /// What to mind.
    #[serde(skip)]
    pub caution: Option<String>,
}

impl SignedRuling {
    /// How a ruling in words stands.
    #[must_use]
    pub fn new(key: String, reading: Option<usize>, told: RulingReport) -> SignedRuling {
        SignedRuling {
            key,
            reading: reading.map(|reading| reading + 1),
            grade: told.grade,
            advisory: told.advisory,
            value: told.value,
            standard: told.standard,
            limit: told.limit,
            beyond: told.beyond,
            room: told.room,
            missing: told.missing,
            concession: told.concession,
            source: told.source,
            row: told.row.to_string(),
            place: Some(told.row),
            because: told.because,
            remedy: told.remedy,
            caution: told.caution,
        }
    }

    /// The grade it gives its build: an advisory row never makes a build worse than worn.
    #[must_use]
    pub fn weight(&self) -> Grade {
        if self.advisory { self.grade.min(Grade::Worn) } else { self.grade }
    }
}

/// A grade as its word.
pub(super) mod grade_word {
    use crate::judge::Grade;
    use serde::{Deserialize, Deserializer, Serializer, de::Error};

    pub(in crate::audit) fn serialize<S: Serializer>(grade: &Grade, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(grade.word())
    }

    pub(in crate::audit) fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Grade, D::Error> {
        let word = String::deserialize(deserializer)?;
        Grade::from_word(&word).ok_or_else(|| D::Error::custom(format!("`{word}` is not a grade")))
    }
}
