//! The tree of a rulebook: what is written, not yet what it means. Every node knows its span; nothing here is checked
//! against anything declared elsewhere.

mod house;
mod range_line;
mod rework;
mod table;
mod texts;
mod value;

pub use house::{
    DecisionRule, ForDeclaration, HouseDeclaration, HouseMember, JudgeDeclaration, Overlay, OverlayKind, Scope,
    TryDeclaration, TryMember,
};
pub use range_line::{PlausibleGauges, RangeLine};
pub use rework::{Follower, ReworkAction, ReworkLine};
pub use table::{FitsDeclaration, FitsMember, TableDeclaration};
pub use texts::{From, FromKind, SourceDeclaration, SourceGrade, Texts};
pub use value::{Collector, Expr, ExprKind, Operator, Range, RangeKind};

use crate::quantity::Date;
use crate::text::{Source, Span};

/// A rulebook file as parsed. What could not be parsed is not here and has a finding instead.
#[derive(Clone, Debug)]
pub struct Tree {
    /// The file.
    pub source: Source,
    /// `rulebook "…" edition …`.
    pub header: Option<Header>,
    /// The declarations in order.
    pub items: Vec<Item>,
}

/// `rulebook "TITLE" edition DATE`.
#[derive(Clone, Debug)]
pub struct Header {
    /// The title.
    pub title: Words,
    /// The edition's date.
    pub edition: Date,
    /// From `rulebook` to the date.
    pub span: Span,
}

/// A name as written: letters, digits and `_`, or (in units) what stood between quotation marks; in a path also a
/// whole number.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Name {
    /// The name.
    pub text: Box<str>,
    /// Where.
    pub span: Span,
}

/// Words between quotation marks; the text has its escapes (`\"`, `\\`) resolved, the span includes the marks.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Words {
    /// The words.
    pub text: Box<str>,
    /// Where, marks included.
    pub span: Span,
}

/// One declaration at the top of a book.
#[derive(Clone, Debug)]
pub enum Item {
    /// `use "FILE"` or `use shipped "FILE"`.
    Use(Use),
    /// `unit NAME, ALIAS = QUANTITY`.
    Unit(UnitDeclaration),
    /// `class NAME = A, B` or `choice NAME = a, b`.
    Set(SetDeclaration),
    /// `constant NAME : TYPE`, the declaration of what each generation supplies.
    Constant(ConstantDeclaration),
    /// `formula NAME(a: T, …) : T = EXPRESSION`.
    Formula(FormulaDeclaration),
    /// `part NAME at … { … }`.
    Part(PartDeclaration),
    /// `extend PART at …`: more positions for a part declared elsewhere.
    Extend(Extend),
    /// `source NAME "…"`.
    Source(SourceDeclaration),
    /// `general caution "…"`.
    Caution(GeneralCaution),
    /// `plausible gauges mm : 0.5 um to 0.2 mm`.
    PlausibleGauges(PlausibleGauges),
    /// `generation NAME "…" follows NAME { … }`.
    Generation(GenerationDeclaration),
    /// `table NAME(…) : TYPE = …`.
    Table(TableDeclaration),
    /// `house "…" { … }`.
    House(HouseDeclaration),
    /// `try "…" { … }`.
    Try(TryDeclaration),
    /// `fits "…" { … }`.
    Fits(FitsDeclaration),
}

/// `use "FILE"`; with `shipped`, one of the books inside the program.
#[derive(Clone, Debug)]
pub struct Use {
    /// Whether `shipped` stands before the file.
    pub shipped: bool,
    /// The file.
    pub file: Words,
    /// All of it.
    pub span: Span,
}

/// `unit NAME, ALIAS, "ALIAS" = EXPRESSION [zero at EXPRESSION]`.
#[derive(Clone, Debug)]
pub struct UnitDeclaration {
    /// The name printed, then the other typed forms.
    pub names: Vec<Name>,
    /// What one of it is.
    pub size: Expr,
    /// Where its zero stands, for units of a scale such as degrees Celsius.
    pub zero: Option<Expr>,
    /// All of it.
    pub span: Span,
}

/// `class` (ordered) or `choice` (not ordered).
#[derive(Clone, Debug)]
pub struct SetDeclaration {
    /// Whether the order of the names means something.
    pub ordered: bool,
    /// The set's name.
    pub name: Name,
    /// The names in it.
    pub members: Vec<Name>,
    /// All of it.
    pub span: Span,
}

/// `constant NAME : TYPE`.
#[derive(Clone, Debug)]
pub struct ConstantDeclaration {
    /// The constant's name.
    pub name: Name,
    /// Its type.
    pub kind: TypeName,
    /// All of it.
    pub span: Span,
}

/// A type as written.
#[derive(Clone, Debug)]
pub struct TypeName {
    /// Which.
    pub kind: TypeNameKind,
    /// Where.
    pub span: Span,
}

/// The forms a type may take.
#[derive(Clone, Debug)]
pub enum TypeNameKind {
    /// A unit, or the name of a class or choice, or `number` or `text`, as written: `mm`, `kgf/cm2`, `letter`.
    Named(Box<str>),
    /// `choice a, b, c` said on the spot.
    Choice(Vec<Name>),
    /// `yes/no`.
    YesNo,
}

/// `formula NAME(NAME: TYPE, …) : TYPE = EXPRESSION`.
#[derive(Clone, Debug)]
pub struct FormulaDeclaration {
    /// Its name.
    pub name: Name,
    /// What it takes.
    pub parameters: Vec<Parameter>,
    /// What it gives.
    pub result: TypeName,
    /// How.
    pub body: Expr,
    /// All of it.
    pub span: Span,
}

/// One parameter of a formula.
#[derive(Clone, Debug)]
pub struct Parameter {
    /// Its name.
    pub name: Name,
    /// Its type.
    pub kind: TypeName,
}

/// `part NAME [at POSITIONS] { … }`.
#[derive(Clone, Debug)]
pub struct PartDeclaration {
    /// Its name.
    pub name: Name,
    /// Its positions; none for a part there is one of.
    pub positions: Vec<PositionName>,
    /// How its positions are told apart, if it says so.
    pub measure: Option<MeasureDeclaration>,
    /// What is inside.
    pub members: Vec<PartMember>,
    /// All of it.
    pub span: Span,
}

/// A position, or a run of numbered ones.
#[derive(Clone, Debug)]
pub enum PositionName {
    /// `front`, or a single number.
    One(Name),
    /// `1 to 3`.
    Run {
        /// The first number.
        first: u16,
        /// The last number.
        last: u16,
        /// All of it.
        span: Span,
    },
}

/// What may stand inside a part.
#[derive(Clone, Debug)]
pub enum PartMember {
    /// A reading that is taken.
    Reading(ReadingDeclaration),
    /// A value worked out from readings.
    Derive(DeriveDeclaration),
    /// How much its material grows as it warms.
    Expansion(ExpansionDeclaration),
    /// A part of the part.
    Part(PartDeclaration),
}

/// `measure "…"` among the members of a part.
#[derive(Clone, Debug)]
pub struct MeasureDeclaration {
    /// The sentence.
    pub words: Words,
    /// All of it.
    pub span: Span,
}

/// `expansion COEFFICIENT ± HALF_WIDTH [{ texts }]`.
#[derive(Clone, Debug)]
pub struct ExpansionDeclaration {
    /// The coefficient of linear expansion.
    pub coefficient: Expr,
    /// How far the true one may lie from it, either way.
    pub half_width: Expr,
    /// Where it comes from.
    pub texts: Texts,
    /// All of it.
    pub span: Span,
}

/// `NAME [at STATIONS] : TYPE [, optional] [, may be negative] [, agree within WIDTH] [, N readings or more |
/// , exactly N readings] [{ texts }]`.
#[derive(Clone, Debug)]
pub struct ReadingDeclaration {
    /// Its name.
    pub name: Name,
    /// Named places where it is taken; none if it is taken anywhere.
    pub stations: Vec<Name>,
    /// Its type.
    pub kind: TypeName,
    /// Whether it may be left out.
    pub optional: bool,
    /// Where `may be negative` stands, if it does.
    pub negative: Option<Span>,
    /// How far the values of one reading may lie from each other, if that is said.
    pub agree: Option<Expr>,
    /// How often it is taken; once if not said.
    pub count: Option<ReadingCount>,
    /// Why, what to do, what to mind, for every row on it.
    pub texts: Texts,
    /// All of it.
    pub span: Span,
}

/// How often a reading is taken.
#[derive(Clone, Copy, Debug)]
pub struct ReadingCount {
    /// The number of readings.
    pub readings: u16,
    /// Whether more are welcome.
    pub or_more: bool,
    /// Where it is said.
    pub span: Span,
}

/// `derive NAME : TYPE = EXPRESSION [{ texts }]`.
#[derive(Clone, Debug)]
pub struct DeriveDeclaration {
    /// Its name.
    pub name: Name,
    /// Its type.
    pub kind: TypeName,
    /// How it is worked out.
    pub body: Expr,
    /// Why, what to do, what to mind, for every row on it.
    pub texts: Texts,
    /// All of it.
    pub span: Span,
}

/// `extend PART at POSITIONS`.
#[derive(Clone, Debug)]
pub struct Extend {
    /// The part.
    pub part: Path,
    /// The positions it gets besides its own.
    pub positions: Vec<PositionName>,
    /// All of it.
    pub span: Span,
}

/// `general caution "WORDS"`: what to mind whenever something fails, whatever it is.
#[derive(Clone, Debug)]
pub struct GeneralCaution {
    /// The words.
    pub words: Words,
    /// All of it.
    pub span: Span,
}

/// `generation NAME "DESCRIPTION" [follows NAME] { … }`, or the same after `basis`.
#[derive(Clone, Debug)]
pub struct GenerationDeclaration {
    /// Whether it stands after `basis`: it only serves others to follow, and no record is judged by it.
    pub basis: bool,
    /// Its name, as records say it.
    pub name: Name,
    /// What it is, in technical words.
    pub description: Words,
    /// The generation whose constants and rows it takes over.
    pub follows: Option<Name>,
    /// What is inside.
    pub members: Vec<GenerationMember>,
    /// All of it.
    pub span: Span,
}

/// What may stand inside a generation.
#[derive(Clone, Debug)]
#[allow(clippy::large_enum_variant, reason = "nearly every member is a row, so a box would only cost")]
pub enum GenerationMember {
    /// `constant NAME = EXPRESSION`.
    Constant {
        /// Its name.
        name: Name,
        /// Its value.
        value: Expr,
        /// Why, and where it comes from.
        texts: Texts,
        /// All of it.
        span: Span,
    },
    /// `fitted PART at POSITIONS`.
    Fitted {
        /// The part.
        part: Path,
        /// Which of its positions this generation has.
        positions: Vec<PositionName>,
        /// All of it.
        span: Span,
    },
    /// A range that tells this generation from others.
    Telltale(RangeLine),
    /// A range outside which no value of this generation can lie.
    Plausible(RangeLine),
    /// What a shop can do to put a reading or a part right.
    Rework(ReworkLine),
    /// A row.
    Row(Row),
}

/// `[replace] [each of | smallest of …] PATH [standard RANGE] [limit RANGE] [rounded to STEP] [advisory] [never excused]
/// [where CONDITION] [{ texts }]`, or `PATH all the same across PART` or `PATH outer limit RANGE` in place of the two tiers.
#[derive(Clone, Debug)]
pub struct Row {
    /// Where `replace` stands, if it does.
    pub replace: Option<Span>,
    /// Which of several values, if the path leads to several.
    pub word: Option<(RowWord, Span)>,
    /// The characteristic.
    pub path: Path,
    /// As new.
    pub standard: Option<Tier>,
    /// Worn as far as may be. `all the same across` stands here, its word span being the range's own.
    pub limit: Option<Tier>,
    /// The step that a value is rounded to before it is compared.
    pub rounded: Option<Expr>,
    /// Where `outer limit` stands, if the row is one: its range is in `limit`.
    pub outer: Option<Span>,
    /// Where `advisory` stands, if it does.
    pub advisory: Option<Span>,
    /// Where `never excused` stands, if it does.
    pub never_excused: Option<Span>,
    /// When it applies.
    pub condition: Option<Expr>,
    /// Why, what to do, what to mind, where it comes from.
    pub texts: Texts,
    /// All of it.
    pub span: Span,
}

/// How a row deals with a characteristic of several values.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash)]
pub enum RowWord {
    /// Every value by itself.
    Each,
    /// One value made of them.
    Collect(Collector),
}

/// One tier of a row.
#[derive(Clone, Debug)]
pub struct Tier {
    /// The word `standard`, `limit` or `outer limit`.
    pub word: Span,
    /// The range.
    pub range: Range,
    /// The same range as its source prints it in another unit.
    pub also: Option<Range>,
}

/// A name that reaches into parts: `rotor.front.apex_seal.thickness`.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Path {
    /// Its steps, at least one.
    pub segments: Vec<Name>,
    /// All of it.
    pub span: Span,
}

/// A unit as written after a number or as a type: `mm`, `kgf/cm2`, `N·m`.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct UnitName {
    /// As written.
    pub text: Box<str>,
    /// Where.
    pub span: Span,
}
