//! Says what a ruling means: its numbers as text, and a finding that points into the record and into the rulebook.

use super::evaluate::Bench;
use super::figures::{self, Figures, Numbers};
use super::inputs::Trouble;
use super::inputs::{self, Input};
use super::not_weighed::{NOT_WEIGHED, compares_quantities};
use super::slip;
use super::uncertainty::Weighing;
use super::weighed::{self, Weighed};
use super::{Found, Grade, Ruling, Side, margin, ranges, warmth, who, wording, wording_uncertainty};
use crate::bind::{Reading, Readings};
use crate::book::{Book, Characteristic, Datum, Kind, Range, Row};
use crate::finding::{Code, Finding, NoteKind, Severity};
use crate::plan::{Check, CheckRange, Subject};
use crate::quantity::slip::SlipKind;
use crate::quantity::{Band, Unit};
use crate::text::Place;
use std::cell::OnceCell;

/// One ruling in words, for machine output and sheets.
#[derive(Clone, Debug)]
pub struct RulingReport {
    /// The way to what was judged, as a record's keys say it: `rotor.front.side_clearance`.
    pub path: String,
    /// The part it is judged on, and what of it, in words: `rotor.front`, `side clearance`.
    pub on: (String, String),
    /// What a finding says of it; none where it is good.
    pub message: Option<String>,
    /// Its grade.
    pub grade: Grade,
    /// Whether the row is advisory.
    pub advisory: bool,
    /// Whether the row is an outer limit, which stands in `limit`.
    pub outer: bool,
    /// Whether no concession lets it through.
    pub never_excused: bool,
    /// The value judged, with its unit.
    pub value: Option<String>,
    /// What that is rounded to before it is compared, where the row says so and it is another number.
    pub rounded: Option<String>,
    /// The standard range as the book writes it.
    pub standard: Option<String>,
    /// The limit as the book writes it.
    pub limit: Option<String>,
    /// How far outside, and on which side: `0.01 mm under`.
    pub beyond: Option<String>,
    /// How far inside the limit, or the standard where there is no limit.
    pub room: Option<String>,
    /// The same numbers, and the ends of the ranges, as plain decimals in `unit`.
    pub figures: Figures,
    /// The unit the book declares.
    pub unit: Option<String>,
    /// The gauges its readings were taken with, each once.
    pub gauges: Vec<String>,
    /// The first reading it comes from.
    pub place: Option<Place>,
    /// The row in the rulebook.
    pub row: Place,
    /// Where the range comes from.
    pub source: Option<String>,
    /// Why the rule is there.
    pub because: Option<String>,
    /// What to do.
    pub remedy: Option<String>,
    /// What to mind.
    pub caution: Option<String>,
    /// What the reading reads like, if it looks like a slip.
    pub slip: Option<String>,
    /// Why it is let through, and by whom.
    pub concession: Option<String>,
    /// The paths of what was not measured.
    pub missing: Vec<String>,
    /// How far the value may be off, and what that means for it; none where nobody said.
    pub uncertainty: Option<Weighed>,
    /// Who says so: the declaration of the row, then each change, in words with days, and where.
    pub history: Vec<(String, Place)>,
}

/// Everything a ruling's words are made from.
pub(super) struct ReportContext<'a> {
    pub(super) book: &'a Book,
    pub(super) readings: &'a Readings,
    pub(super) bench: &'a Bench<'a>,
    pub(super) weighing: Weighing<'a>,
    pub(super) check: &'a Check,
    pub(super) ruling: &'a Ruling,
    /// Its numbers as text, once somebody asks: several sentences do.
    pub(super) numbers: OnceCell<Option<Numbers>>,
}

impl<'a> ReportContext<'a> {
    pub(super) fn row(&self) -> &'a Row {
        &self.check.row
    }

    pub(super) fn characteristic(&self) -> &'a Characteristic {
        self.book.characteristics.get(self.row().subject.characteristic)
    }

    /// What is judged, the same in every edition and whatever was measured: `smallest of rotor.front.apex_seal.1.height`.
    pub(super) fn about(&self) -> String {
        let mut words = self.path();
        if let Some(crate::syntax::tree::RowWord::Collect(collector)) = self.row().word {
            words = format!("{} of {words}", collector.word());
        }
        if let Some(number) = self.ruling.reading {
            words = format!("{words}, reading {}", number + 1);
        }
        words
    }

    fn station(&self) -> Option<u16> {
        match &self.check.subject {
            Subject::Slot { station, .. } | Subject::Each { station, .. } => *station,
            Subject::Made(_) | Subject::Group(_) => None,
        }
    }

    pub(super) fn path(&self) -> String {
        let positions: &[u16] = match (&self.check.subject, self.row().limit.as_ref().map(|limit| &limit.kind)) {
            // A group is about the part that holds all its positions.
            (Subject::Group(_), Some(crate::book::RangeKind::AllTheSame { across })) => {
                let chain = &self.book.parts.get(self.characteristic().part).positioned;
                let before = chain.iter().position(|id| id == across).unwrap_or(0);
                self.check.positions.get(..before).unwrap_or(&[])
            }
            _ => &self.check.positions,
        };
        self.book.path(self.row().subject.characteristic, positions, self.station())
    }

    /// The part, step by step: "rotor front apex_seal 1"; the whole machine has no words.
    fn part(&self, between: &str) -> String {
        let positions: &[u16] = match &self.check.subject {
            Subject::Group(_) => &[],
            _ => &self.check.positions,
        };
        self.book.part_path(self.characteristic().part, positions, between)
    }

    /// The characteristic in words: "side clearance", "height at a".
    pub(super) fn name_words(&self) -> String {
        let characteristic = self.characteristic();
        let mut words = characteristic.name.replace('_', " ");
        if let Some(crate::syntax::tree::RowWord::Collect(collector)) = self.row().word {
            words = format!("{} {words}", collector.word());
        }
        if let Some(station) = self.station().and_then(|number| characteristic.stations().get(usize::from(number))) {
            words = format!("{words} at {}", station.replace('_', " "));
        }
        if let Some(number) = self.ruling.reading {
            words = format!("{words}, reading {}", number + 1);
        }
        words
    }

    /// The tier that decided, and its range.
    pub(super) fn tier(&self) -> Option<(bool, &'a Range, &'a CheckRange)> {
        let limit = match self.ruling.found {
            Found::Outside { limit, .. } | Found::Guarded { limit, .. } | Found::Undecided { limit } => limit,
            _ => self.row().standard.is_none(),
        };
        let (range, check) = if limit {
            (self.row().limit.as_ref(), self.check.limit.as_ref())
        } else {
            (self.row().standard.as_ref(), self.check.standard.as_ref())
        };
        // An undecided condition has no tier of its own, and an undecided value may lack the one guessed.
        match (range, check) {
            (Some(range), Some(check)) => Some((limit, range, check)),
            _ => self
                .row()
                .standard
                .as_ref()
                .zip(self.check.standard.as_ref())
                .map(|(range, check)| (false, range, check)),
        }
    }

    /// The unit values of this row are shown in.
    pub(super) fn unit(&self) -> Unit {
        let collected = matches!(
            self.row().word,
            Some(crate::syntax::tree::RowWord::Collect(crate::syntax::tree::Collector::Count))
        ) || !matches!(self.characteristic().kind, Kind::Quantity(_));
        match &self.characteristic().unit {
            Some(unit) if !collected => unit.clone(),
            _ => Unit::number(),
        }
    }

    pub(super) fn band(&self, range: &CheckRange) -> Option<Band> {
        ranges::band(self.bench, range).ok()
    }

    /// The readings it comes from.
    pub(super) fn inputs(&self) -> Vec<Input> {
        match &self.check.subject {
            Subject::Slot { slot, .. } => inputs::of_slot(self.bench, *slot),
            Subject::Each { slot, .. } => vec![(*slot, self.ruling.reading.unwrap_or(0))],
            Subject::Made(program) => inputs::of_program(self.bench, program),
            Subject::Group(slots) => slots.iter().flat_map(|(slot, _)| inputs::of_slot(self.bench, *slot)).collect(),
        }
    }

    /// Whether what is judged is one reading as it was taken.
    pub(super) fn direct(&self) -> Option<Input> {
        match (&self.check.subject, &self.characteristic().origin) {
            (Subject::Slot { slot, .. }, crate::book::Origin::Reading { .. }) => Some((*slot, 0)),
            (Subject::Each { slot, .. }, _) => Some((*slot, self.ruling.reading.unwrap_or(0))),
            _ => None,
        }
    }

    fn input_place(&self, input: Input) -> Option<Place> {
        let reading = self.readings.taken(input.0).get(input.1)?;
        Some(self.readings.place(reading.span))
    }

    /// The value, the end of the range it is outside of, and how far outside, as text in one unit.
    pub(super) fn numbers(&self) -> Option<&Numbers> {
        self.numbers.get_or_init(|| Numbers::of(self)).as_ref()
    }

    /// A reading of this row that was brought to 20 °C, as it was and as it counts.
    pub(super) fn brought(&self, reading: &Reading) -> String {
        let value = match &reading.datum {
            Datum::Quantity(value) => crate::quantity::shown(value, &self.unit(), 4),
            _ => String::new(),
        };
        warmth::brought(self.readings, reading, &value)
    }

    /// The value as one text: as written where it is a reading, in the book's unit where it is worked out.
    pub(super) fn value_text(&self) -> Option<String> {
        match self.ruling.value.as_ref()? {
            Datum::Quantity(_) => self.numbers().map(|numbers| numbers.as_written().to_owned()),
            Datum::Name(number) => match self.characteristic().kind {
                Kind::Names(set) => Some(self.book.sets.get(set).name_of(*number).to_string()),
                _ => None,
            },
            Datum::YesNo(yes) => Some(if *yes { "yes" } else { "no" }.into()),
            Datum::Words => None,
        }
    }

    /// The paths of readings it lacks, each with what is there instead of a value.
    pub(super) fn lacking(&self) -> Vec<(String, Option<(Trouble, Place)>)> {
        let slots = inputs::needed(self.check, self.ruling.found);
        inputs::lacking(self.bench, &slots)
            .into_iter()
            .map(|slot| {
                let trouble =
                    inputs::trouble(self.readings, slot).map(|(trouble, span)| (trouble, self.readings.place(span)));
                (self.slot_path(slot), trouble)
            })
            .collect()
    }

    /// What is judged in words, the part first.
    pub(super) fn subject_words(&self) -> String {
        let part = self.part(" ").replace('_', " ");
        if part.is_empty() { self.name_words() } else { format!("{part}: {}", self.name_words()) }
    }

    /// Whether what is judged was taken and not worked out.
    pub(super) fn is_reading(&self) -> bool {
        matches!(self.characteristic().origin, crate::book::Origin::Reading { .. })
    }

    /// The first reading it comes from.
    pub(super) fn first_place(&self) -> Option<Place> {
        self.inputs().first().and_then(|input| self.input_place(*input))
    }

    /// The first reading it comes from of which nobody said how well it was taken.
    pub(super) fn unweighed_place(&self) -> Option<Place> {
        let input = self.inputs().into_iter().find(|(slot, number)| self.weighing.reading(*slot, *number).unknown)?;
        self.input_place(input)
    }

    /// The gauges it was measured with, each once, in the order of the readings.
    fn gauges(&self) -> Vec<String> {
        let mut names: Vec<String> = Vec::new();
        for (slot, number) in self.inputs() {
            let gauge = self.readings.taken(slot).get(number).and_then(|reading| reading.gauge);
            let gauge = gauge.and_then(|gauge| self.readings.gauges.get(usize::from(gauge)));
            if let Some(gauge) = gauge.filter(|gauge| !names.contains(&gauge.name)) {
                names.push(gauge.name.clone());
            }
        }
        names
    }

    fn slot_path(&self, slot: usize) -> String {
        slot_path(self.book, slot)
    }

    fn slip(&self) -> Option<(slip::Slip, String)> {
        let slip = slip::find(self.bench, self.check, self.ruling)?;
        let written = self.readings.slice(slip.span).to_string();
        let words = wording::slip(
            &written,
            &slip.instead,
            matches!(slip.kind, SlipKind::Swapped),
            slip.kind == SlipKind::Inches,
        );
        Some((slip, words))
    }

    fn concession_words(&self) -> Option<String> {
        let concession = self.readings.concessions.get(self.ruling.concession?)?;
        Some(wording::concession(concession))
    }
}

/// The way to a slot, as a record's keys say it.
fn slot_path(book: &Book, slot: usize) -> String {
    book.slot_owner(slot).map_or_else(String::new, |(id, positions, station)| book.path(id, &positions, station))
}

/// A ruling in words.
pub(super) fn report_ruling(context: &ReportContext<'_>) -> RulingReport {
    let (book, ruling) = (context.book, context.ruling);
    let row = context.row();
    let texts = &row.texts;
    let text = |text: &Option<Box<str>>| text.as_deref().map(str::to_string);
    let beyond = match (context.numbers().and_then(|numbers| numbers.distance.as_ref()), ruling.found) {
        (Some(distance), Found::Outside { side: Side::Below, .. }) => Some(format!("{distance} under")),
        (Some(distance), Found::Outside { side: Side::Above, .. }) => Some(format!("{distance} over")),
        _ => None,
    };
    let missing = match ruling.found {
        Found::Missing | Found::ConditionMissing => context.lacking().into_iter().map(|(path, _)| path).collect(),
        _ => Vec::new(),
    };
    let symbol = context.unit().symbol;
    RulingReport {
        path: context.path(),
        on: (context.part("."), context.name_words()),
        message: (ruling.grade != Grade::Good).then(|| wording::message(context)),
        grade: ruling.grade,
        advisory: ruling.advisory,
        outer: row.outer,
        never_excused: row.never_excused,
        value: context.value_text(),
        rounded: context.numbers().and_then(|numbers| numbers.rounded.clone()),
        standard: row.standard.as_ref().map(wording::range_text),
        limit: row.limit.as_ref().map(wording::range_text),
        beyond,
        room: margin::room(context),
        figures: figures::figures(context),
        gauges: context.gauges(),
        unit: (!symbol.is_empty()).then(|| symbol.to_string()),
        place: context.first_place(),
        row: row.place.clone(),
        source: who::ruled_by(book, row, ruling.found),
        because: text(&texts.because),
        remedy: text(&texts.remedy).filter(|_| !who::nobody_measured(ruling.found)),
        caution: text(&texts.caution),
        slip: context.slip().map(|(_, words)| words),
        concession: context.concession_words(),
        missing,
        uncertainty: weighed::weighed(context),
        history: who::history(row),
    }
}

/// A ruling as a finding: the reading in the record, the range in the rulebook, and what goes with them.
pub(super) fn finding(context: &ReportContext<'_>) -> Option<Finding> {
    let (book, readings, ruling) = (context.book, context.readings, context.ruling);
    let code = match ruling.grade {
        Grade::Good => return None,
        Grade::Worn => Code::RowWorn,
        Grade::Excused => Code::RowExcused,
        Grade::Unsettled => Code::RowUnsettled,
        Grade::Unmeasured => Code::RowUnmeasured,
        Grade::Out => Code::RowOut,
    };
    let mut finding = Finding::new(code, wording::message(context)).about(context.about());
    if ruling.advisory {
        finding.severity = finding.severity.min(Severity::Warning);
    }
    match ruling.found {
        Found::Missing | Found::ConditionMissing => {
            let mut places = context.lacking().into_iter().filter_map(|(_, trouble)| trouble);
            if let Some((trouble, place)) = places.next() {
                finding = finding.at(place, wording::trouble(trouble));
            }
        }
        _ => {
            /// More readings than this behind one value are not shown: the drawing would hide the point.
            const MOST_PLACES: usize = 4;
            let mut places = context.inputs().into_iter().filter_map(|input| context.input_place(input));
            if let Some(place) = places.next() {
                finding = finding.at(place, "measured here");
            }
            for place in places.take(MOST_PLACES - 1) {
                finding = finding.since(place, "measured here");
            }
        }
    }
    if let Some(concession) = ruling.concession.and_then(|number| readings.concessions.get(number)) {
        finding = finding.since(readings.place(concession.span), "excused here");
    }
    if matches!(ruling.found, Found::Guarded { .. }) {
        finding = finding.maybe_help(wording_uncertainty::settled_by(context));
    }
    let place = match (ruling.found, context.tier()) {
        (Found::ConditionMissing | Found::ConditionUndecided, _) | (_, None) => {
            context.row().condition.as_ref().map_or(context.row().place.clone(), |condition| condition.place.clone())
        }
        (_, Some((_, range, _))) => range.place.clone(),
    };
    let label = who::label(context.row(), &place);
    finding = finding.since(place, label);
    if let Some(before) = who::before(context.row()) {
        finding = finding.since(before, "before that");
    }
    if let Some((limit, range, check)) = context.tier()
        && wording::is_calculated(check)
        && ruling.value.is_some()
    {
        finding = finding.note(NoteKind::Remark, wording::calculated(context.row(), limit, range));
    }
    if let Some((_, words)) = context.slip() {
        finding = finding.note(NoteKind::Slip, words);
    }
    if let Some(words) = context.concession_words() {
        finding = finding.note(NoteKind::Remark, words);
    }
    if let Some(words) = warmth::behind(context) {
        finding = finding.note(NoteKind::Remark, words);
    }
    if matches!(ruling.value, Some(Datum::YesNo(_)))
        && readings.are_weighed()
        && compares_quantities(book, context.row().subject.characteristic)
    {
        finding = finding.note(NoteKind::Remark, NOT_WEIGHED.to_string());
    }
    let texts = &context.row().texts;
    for (kind, text) in
        [(NoteKind::Because, &texts.because), (NoteKind::Remedy, &texts.remedy), (NoteKind::Caution, &texts.caution)]
    {
        if let Some(text) = text.as_ref().filter(|_| kind != NoteKind::Remedy || !who::nobody_measured(ruling.found)) {
            finding = finding.note(kind, text.to_string());
        }
    }
    if let Some(source) = who::ruled_by(book, context.row(), ruling.found) {
        finding = finding.note(NoteKind::Source, source);
    }
    Some(finding)
}
