//! Every kind of finding there is, each with a kebab-case name that is never reused.

use super::Severity;

macro_rules! codes {
    ($($(#[$doc:meta])* $variant:ident $name:literal $severity:ident;)*) => {
        /// The kind of a finding.
        #[derive(Clone, Copy, PartialEq, Eq, Debug, Hash, PartialOrd, Ord)]
        pub enum Code { $($(#[$doc])* $variant,)* }

        impl Code {
            /// Every code, in the order of the storeys that use them.
            pub const ALL: &'static [Code] = &[$(Code::$variant,)*];

            /// The name printed and written in machine output.
            #[must_use]
            pub fn name(self) -> &'static str {
                match self { $(Code::$variant => $name,)* }
            }

            /// The severity a finding of this kind usually has.
            #[must_use]
            pub fn severity(self) -> Severity {
                match self { $(Code::$variant => Severity::$severity,)* }
            }
        }
    };
}

codes! {
    // disk and shop
    /// A file or folder could not be read.
    FileUnreadable "file-unreadable" Error;
    /// A path on the command line does not exist.
    PathMissing "path-missing" Error;
    /// A symbolic link leads back to a folder that holds it.
    FolderLoop "folder-loop" Warning;
    /// Nothing that looks like a record below the path.
    NoRecords "no-records" Error;
    /// The run was broken off before everything was judged.
    RunInterrupted "run-interrupted" Error;
    /// Files beside records that may be meant as records, passed over for the ends of their names.
    FilesSkipped "files-skipped" Warning;
    /// The bytes are not UTF-8.
    NotUtf8 "not-utf8" Error;
    /// The file is larger than this program reads.
    FileTooLarge "file-too-large" Error;
    /// The settings file says something it may not.
    SettingsWrong "settings-wrong" Error;
    /// No rulebook where the settings or the command line said one is.
    BooksMissing "books-missing" Error;
    /// `use` names a file that is not there.
    UseMissing "use-missing" Error;
    /// `use` circles back on itself.
    UseCircle "use-circle" Error;
    /// `use` leads out of the folder of books.
    UseOutside "use-outside" Error;

    // syntax
    /// Something else was expected here.
    TextUnexpected "text-unexpected" Error;
    /// A word that stands for nothing here.
    WordUnexpected "word-unexpected" Error;
    /// A quotation mark is not closed.
    QuoteOpen "quote-open" Error;
    /// A brace is not closed.
    BraceOpen "brace-open" Error;
    /// The book does not begin with `rulebook`.
    HeaderMissing "header-missing" Error;
    /// Brackets or parts nested too deep.
    NestingTooDeep "nesting-too-deep" Error;
    /// A number with more digits than anything is measured to.
    NumberTooLong "number-too-long" Error;
    /// A date that is no day of any year.
    DateWrong "date-wrong" Error;

    // book
    /// A name nobody declared.
    NameUnknown "name-unknown" Error;
    /// A name declared twice.
    NameTaken "name-taken" Error;
    /// A word of the language used as a name.
    NameReserved "name-reserved" Error;
    /// A name that could mean several things.
    NameAmbiguous "name-ambiguous" Error;
    /// A unit nobody declared.
    UnitUnknown "unit-unknown" Error;
    /// A length where a mass is needed.
    DimensionMismatch "dimension-mismatch" Error;
    /// A name where a number is needed, or the other way round.
    KindMismatch "kind-mismatch" Error;
    /// Several values where one is needed.
    ManyValues "many-values" Error;
    /// One value where several are needed.
    OneValue "one-value" Error;
    /// A formula that needs itself.
    FormulaCircle "formula-circle" Error;
    /// A derived value that needs itself.
    DerivationCircle "derivation-circle" Error;
    /// A generation that follows itself.
    GenerationCircle "generation-circle" Error;
    /// A call with too few or too many values.
    ArgumentCount "argument-count" Error;
    /// A division by zero, or a root of a negative number, in values known when the book is read.
    ArithmeticImpossible "arithmetic-impossible" Error;
    /// A tolerance class where no book declares a table of fits.
    FitsMissing "fits-missing" Error;
    /// A table of fits that is not whole: a figure too few, sizes that fall, a line given twice.
    FitsTable "fits-table" Error;
    /// A tolerance class or grade the table of fits does not have.
    FitUnknown "fit-unknown" Error;
    /// A size outside the sizes of the table of fits.
    FitSize "fit-size" Error;
    /// A range nothing can be in.
    RangeEmpty "range-empty" Error;
    /// A new part allowed to be worse than a worn one.
    StandardOutsideLimit "standard-outside-limit" Error;
    /// A row that changes an inherited row without saying so.
    OverrideSilent "override-silent" Error;
    /// Two rows for one characteristic in one generation.
    RowTwice "row-twice" Error;
    /// `replace` with nothing to replace.
    ReplaceNothing "replace-nothing" Error;
    /// A row that is to bind and to advise at once, or a change that would make a binding row advice.
    ForceContradicted "force-contradicted" Error;
    /// A row with neither standard nor limit.
    RowWithoutRange "row-without-range" Error;
    /// A position the part does not have.
    PositionUnknown "position-unknown" Error;
    /// A constant a row or derivation needs and the generation does not give.
    ConstantMissing "constant-missing" Error;
    /// No part, or more than one, that stands for the whole machine.
    RootPart "root-part" Error;
    /// More nested calls or values than a book may ask for.
    BookTooComplex "book-too-complex" Error;
    /// A table whose points do not rise, or with one point only.
    TableOrder "table-order" Error;
    /// A range and what its source prints beside it in another unit do not agree.
    PrintedPair "printed-pair" Warning;

    /// A `try` without its generation, or that expects nothing.
    TryIncomplete "try-incomplete" Error;

    // book: the shop's own tolerances
    /// The books hold tolerances of two shops.
    HouseTwo "house-two" Error;
    /// Two decision rules.
    DecisionTwice "decision-twice" Error;
    /// A decision rule that decides nothing: a guard band, or a ratio for gauges, of nought.
    DecisionUnknown "decision-unknown" Error;
    /// A change for no day, or for no generation that a record may name.
    ScopeEmpty "scope-empty" Error;
    /// `tighten` allows what was not allowed.
    TightenWidens "tighten-widens" Error;
    /// `narrow` reaches outside the plausible range it narrows.
    NarrowWidens "narrow-widens" Error;
    /// `loosen` forbids what was allowed.
    LoosenNarrows "loosen-narrows" Error;
    /// `tighten` or `loosen` that changes nothing.
    OverlayIdle "overlay-idle" Error;
    /// Whether a change tightens or loosens depends on the record.
    OverlayUnproved "overlay-unproved" Error;
    /// Two changes of one row that could both hold.
    OverlayConflict "overlay-conflict" Error;
    /// A change of a row that is not there.
    OverlayNothing "overlay-nothing" Error;
    /// A change that could mean several rows.
    OverlayAmbiguous "overlay-ambiguous" Error;
    /// A word that the change cannot use.
    OverlayWord "overlay-word" Error;
    /// `add` of a row that is there.
    AddExisting "add-existing" Error;
    /// `adopt` of a row that is binding.
    AdoptBinding "adopt-binding" Error;
    /// `loosen` or `retire` without its reason.
    BecauseMissing "because-missing" Error;

    // record
    /// A file with nothing in it.
    RecordEmpty "record-empty" Error;
    /// Text that is not YAML.
    YamlUnreadable "yaml-unreadable" Error;
    /// Text behind a value that YAML takes for a comment, and that does not look like one.
    CommentCuts "comment-cuts" Warning;
    /// A key said twice.
    KeyTwice "key-twice" Error;
    /// Maps and lists nested deeper than any record needs.
    RecordTooDeep "record-too-deep" Error;
    /// Aliases that unfold into more than a record may hold.
    AliasTooLarge "alias-too-large" Error;
    /// More than one document in a file.
    DocumentsMany "documents-many" Error;
    /// YAML this program does not take: tags, keys that are maps.
    YamlUnsupported "yaml-unsupported" Error;

    // bind
    /// A key no book declares.
    KeyUnknown "key-unknown" Error;
    /// A position the part does not have, in a record.
    PlaceUnknown "place-unknown" Error;
    /// A position this generation does not have.
    NotFitted "not-fitted" Error;
    /// A list, map or text where something else belongs.
    ShapeWrong "shape-wrong" Error;
    /// A number that cannot be read.
    NumberUnreadable "number-unreadable" Error;
    /// A number without the unit it needs.
    UnitMissing "unit-missing" Error;
    /// A unit that measures something else.
    DimensionWrong "dimension-wrong" Error;
    /// A word that is none of those declared.
    WordUnknown "word-unknown" Error;
    /// Fewer or more readings than the book asks for.
    ReadingsCount "readings-count" Error;
    /// No generation named.
    GenerationMissing "generation-missing" Error;
    /// A value of a reading of names that something measured rules out.
    ValueContradicted "value-contradicted" Warning;
    /// A generation no book declares.
    GenerationUnknown "generation-unknown" Error;
    /// A date that cannot be read.
    DateUnreadable "date-unreadable" Error;
    /// A concession nobody signed or without its reason.
    ConcessionUnsigned "concession-unsigned" Error;
    /// A concession for a row that is not there.
    ConcessionUnknown "concession-unknown" Error;
    /// A loose part that no book knows, or one that could be several.
    PartUnknown "part-unknown" Error;
    /// Where a loose part is, in words that mean nothing.
    PartStateUnreadable "part-state-unreadable" Error;
    /// Two parts of a shelf with one tag.
    TagTwice "tag-twice" Error;
    /// A build that takes a part nobody has.
    TagUnknown "tag-unknown" Error;
    /// A build that takes a part of another kind, or of another generation.
    PartKind "part-kind" Error;
    /// A build that takes a scrapped part.
    PartScrapped "part-scrapped" Error;
    /// A build that takes a part which another build has, or is kept for it.
    PartTaken "part-taken" Error;
    /// A reading taken over from a part and measured again, with another value.
    MeasuredAgain "measured-again" Note;
    /// A reading by a gauge that neither the record nor the shop lists.
    GaugeUnknown "gauge-unknown" Warning;
    /// A gauge past the day its calibration was due again.
    GaugeOverdue "gauge-overdue" Warning;
    /// A gauge whose days of calibration cannot be right for the build.
    GaugeDates "gauge-dates" Warning;
    /// A reading outside what its gauge reaches.
    GaugeRange "gauge-range" Warning;
    /// A gauge whose figures measure something else than each other, or than the reading.
    GaugeDimension "gauge-dimension" Error;
    /// Gauges whose certificates state correlations that cannot all be true.
    GaugeCorrelation "gauge-correlation" Error;
    /// A gauge with an uncertainty or a resolution that no such gauge has.
    GaugeImplausible "gauge-implausible" Warning;
    /// A length taken warm or cold on a part whose expansion no book declares.
    ExpansionMissing "expansion-missing" Warning;

    // judge
    /// A reading outside what it can be at all.
    ReadingImplausible "reading-implausible" Error;
    /// Values of one reading further from each other than they can be.
    ReadingsDisagree "readings-disagree" Error;
    /// A reading that would not be counted, and that somebody confirms.
    ReadingConfirmed "reading-confirmed" Note;
    /// A value that somebody confirms, and that counts without that.
    ConfirmationIdle "confirmation-idle" Note;
    /// Outside its limit.
    RowOut "row-out" Error;
    /// Outside standard, inside limit.
    RowWorn "row-worn" Warning;
    /// The measurement does not decide it.
    RowUnsettled "row-unsettled" Error;
    /// A required reading is not there.
    RowUnmeasured "row-unmeasured" Error;
    /// Would fail, and a signed concession says why it is let through.
    RowExcused "row-excused" Note;
    /// A range too narrow for the uncertainty of what it judges.
    GaugeCoarse "gauge-coarse" Warning;
    /// A guard band, and readings of which nobody said how well they were taken.
    UncertaintyMissing "uncertainty-missing" Warning;
    /// One of several readings far from the others.
    ReadingApart "reading-apart" Warning;
    /// A reading far from all others of its kind that would be among them with two digits swapped.
    DigitsSwapped "digits-swapped" Warning;
    /// What was measured rules out the generation the record states.
    GenerationContradicted "generation-contradicted" Error;
    /// Dated rows, and a record that does not say when the build was finished.
    FinishedMissing "finished-missing" Error;
    /// A build finished on a day still to come.
    FinishedFuture "finished-future" Error;
    /// A concession past its date.
    ConcessionEnded "concession-ended" Warning;
    /// A concession for a row that is never excused.
    ConcessionRefused "concession-refused" Error;
    /// A concession for a row that needs none.
    ConcessionIdle "concession-idle" Note;

    // import
    /// A table of readings that cannot be read as one.
    TableUnreadable "table-unreadable" Error;
    /// A column, or a line of a column map, that names nothing.
    ColumnUnknown "column-unknown" Error;
    /// A line of a table that cannot be part of a record.
    LineRefused "line-refused" Error;
    /// A cell that a spreadsheet made over.
    CellMangled "cell-mangled" Error;

    // prove
    /// Generations whose telltales do not tell them apart.
    TelltalesAlike "telltales-alike" Note;
    /// An example that does not come to what it expects.
    TryFails "try-fails" Error;
    /// Good parts cannot come to what a row on a value worked out from them allows.
    StackUpImpossible "stack-up-impossible" Error;
    /// Good parts can come to more than a row on a value worked out from them allows.
    StackUpWider "stack-up-wider" Note;
    /// A reading that every build must have, and no row judges.
    ReadingUncovered "reading-uncovered" Warning;
    /// A number that does not say where it comes from.
    ProvenanceMissing "provenance-missing" Warning;
    /// A declared source that nothing comes from.
    SourceUnused "source-unused" Note;
    /// A condition that no record can meet.
    WhereImpossible "where-impossible" Error;
    /// Two rows that differ and can both apply.
    RowsOverlap "rows-overlap" Warning;
    /// An outer limit that cuts into what the row beside it lets pass.
    OuterLimitInside "outer-limit-inside" Warning;
    /// A `replace` of a row that is never excused, without the words.
    NeverExcusedDropped "never-excused-dropped" Warning;
    /// A shop's change makes an advisory row binding.
    HouseBinds "house-binds" Note;
    /// A row with an end outside what its reading can be.
    PlausibleCutsRow "plausible-cuts-row" Error;
    /// Readings without a plausible range.
    ReadingUnbounded "reading-unbounded" Note;
    /// A case in which none of a characteristic's rows applies.
    RowsLeaveCase "rows-leave-case" Note;
}

impl std::fmt::Display for Code {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.write_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::Code;

    #[test]
    fn names_are_kebab_case_and_said_once() {
        let mut seen = std::collections::BTreeSet::new();
        for code in Code::ALL {
            assert!(seen.insert(code.name()), "{} twice", code.name());
            assert!(code.name().bytes().all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-'));
        }
    }
}
