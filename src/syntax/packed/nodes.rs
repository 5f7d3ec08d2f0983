//! How each node of a tree is packed: its fields one after the other, and of several forms the number of the form first. A node
//! or form that is missing here does not compile.

use super::{Packed, Packer, Unpacker};
use crate::syntax::tree::*;

/// Nodes, each with its fields in the order they are packed.
macro_rules! nodes {
    ($($node:ident { $($field:ident)* })*) => {$(
        impl Packed for $node {
            fn pack(&self, to: &mut Packer<'_>) {
                let $node { $($field),* } = self;
                $($field.pack(to);)*
            }

            fn unpack(from: &mut Unpacker<'_>) -> Option<$node> {
                $(let $field = Packed::unpack(from)?;)*
                Some($node { $($field),* })
            }
        }
    )*};
}

/// Nodes of several forms, each form with its number and its fields.
macro_rules! forms {
    ($($node:ident { $($number:literal $form:ident { $($field:tt $called:ident)* })* })*) => {$(
        impl Packed for $node {
            fn pack(&self, to: &mut Packer<'_>) {
                match self {
                    $($node::$form { $($field: $called),* } => {
                        to.bytes.push($number);
                        $($called.pack(to);)*
                    })*
                }
            }

            fn unpack(from: &mut Unpacker<'_>) -> Option<$node> {
                match from.byte()? {
                    $($number => {
                        $(let $called = Packed::unpack(from)?;)*
                        Some($node::$form { $($field: $called),* })
                    })*
                    _ => None,
                }
            }
        }
    )*};
}

nodes! {
    Header { span title edition }
    Use { span shipped file }
    UnitDeclaration { span names size zero }
    SetDeclaration { span ordered name members }
    ConstantDeclaration { span name kind }
    TypeName { span kind }
    FormulaDeclaration { span name parameters result body }
    Parameter { name kind }
    PartDeclaration { span name positions measure members }
    MeasureDeclaration { span words }
    ExpansionDeclaration { span coefficient half_width texts }
    ReadingDeclaration { span name stations kind optional negative agree count texts }
    ReadingCount { span readings or_more }
    DeriveDeclaration { span name kind body texts }
    Extend { span part positions }
    SourceDeclaration { span name citation grade }
    GeneralCaution { span words }
    GenerationDeclaration { span basis name description follows members }
    Row { span replace word path standard limit rounded outer advisory never_excused condition texts }
    Tier { word range also }
    Texts { because remedy caution measure from standard_from limit_from }
    From { span kind detail }
    Path { span segments }
    RangeLine { span replace path range or_zero condition texts }
    PlausibleGauges { span kind range texts }
    ReworkLine { span replace name path action followers texts }
    Follower { span path by }
    TableDeclaration { span name parameter result points held }
    FitsDeclaration { span title members }
    HouseDeclaration { span name members }
    JudgeDeclaration { span rule }
    ForDeclaration { span scope overlays narrowed }
    Scope { span generations from to condition }
    Overlay { word kind row }
    TryDeclaration { span title members }
    Expr { span kind }
    Range { span kind }
}

forms! {
    Item {
        0 Use { 0 it }
        1 Unit { 0 it }
        2 Set { 0 it }
        3 Constant { 0 it }
        4 Formula { 0 it }
        5 Part { 0 it }
        6 Extend { 0 it }
        7 Source { 0 it }
        8 Caution { 0 it }
        9 PlausibleGauges { 0 it }
        10 Generation { 0 it }
        11 Table { 0 it }
        12 House { 0 it }
        13 Try { 0 it }
        14 Fits { 0 it }
    }
    TypeNameKind {
        0 Named { 0 name }
        1 Choice { 0 names }
        2 YesNo {}
    }
    PositionName {
        0 One { 0 name }
        1 Run { span span first first last last }
    }
    PartMember {
        0 Reading { 0 it }
        1 Derive { 0 it }
        2 Expansion { 0 it }
        3 Part { 0 it }
    }
    GenerationMember {
        0 Constant { span span name name value value texts texts }
        1 Fitted { span span part part positions positions }
        2 Telltale { 0 it }
        3 Plausible { 0 it }
        4 Rework { 0 it }
        5 Row { 0 it }
    }
    RowWord {
        0 Each {}
        1 Collect { 0 collector }
    }
    FromKind {
        0 Source { 0 name }
        1 CommonPractice {}
        2 Memory {}
    }
    SourceGrade {
        0 Maker {}
        1 Trade {}
        2 Forum {}
        3 Reference {}
    }
    ReworkAction {
        0 Change { span span more more most most }
        1 Sizes { span span first first last last step step }
        2 Replaced { 0 span }
    }
    FitsMember {
        0 Sizes { span span figures figures }
        1 Grade { span span grade grade figures figures }
        2 Deviations { span span hole hole letters letters grades grades figures figures }
    }
    HouseMember {
        0 Judge { 0 it }
        1 Gauges { span span ratio ratio }
        2 For { 0 it }
    }
    DecisionRule {
        0 SimpleAcceptance {}
        1 GuardBand { 0 factor }
    }
    OverlayKind {
        0 Tighten {}
        1 Loosen {}
        2 Add {}
        3 Adopt {}
        4 Retire {}
    }
    TryMember {
        0 Generation { 0 name }
        1 Finished { 0 day 1 span }
        2 Given { span span path path values values }
        3 Expect { span span word word path path outer outer negated negated grades grades }
    }
    Collector {
        0 Smallest {}
        1 Largest {}
        2 Mean {}
        3 Spread {}
        4 Sum {}
        5 Count {}
    }
    Operator {
        0 Add {}
        1 Subtract {}
        2 Multiply {}
        3 Divide {}
        4 And {}
        5 Or {}
    }
    ExprKind {
        0 Number { 0 figure }
        1 Quantity { 0 figure 1 unit }
        2 Ratio { 0 first 1 second }
        3 YesNo { 0 yes }
        4 Path { 0 path }
        5 Call { name name arguments arguments }
        6 Collect { collector collector word word of of }
        7 Negate { 0 inner }
        8 Not { 0 inner }
        9 Binary { operator operator operator_span place left left right right }
        10 Power { base base exponent exponent }
        11 Test { subject subject negated negated range range }
    }
    RangeKind {
        0 Between { 0 low 1 high }
        1 AtLeast { 0 end }
        2 AtMost { 0 end }
        3 Above { 0 end }
        4 Below { 0 end }
        5 Exactly { 0 value }
        6 PlusMinus { 0 middle 1 width }
        7 Tolerance { size size first first second second }
        8 Fit { size size class class }
        9 Names { 0 names }
        10 NotNames { 0 names }
        11 AllTheSame { across across }
    }
}
