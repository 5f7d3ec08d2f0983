//! What could have stood at a place, in the shop's words, made of pest's rules. Refuses to know what stands there.

use super::grammar::Rule;

/// Any of these means that a value could have stood there.
const VALUE: [Rule; 17] = [
    Rule::number,
    Rule::quantity,
    Rule::ratio,
    Rule::called,
    Rule::call,
    Rule::collection,
    Rule::collector,
    Rule::paren,
    Rule::factor,
    Rule::sum,
    Rule::clause,
    Rule::expression,
    Rule::minus,
    Rule::tolerance,
    Rule::between,
    Rule::deviation,
    Rule::path,
];

/// Said with a value or range, not besides it.
const IN_VALUE: [Rule; 6] =
    [Rule::not_word, Rule::yes_word, Rule::no_word, Rule::open_paren, Rule::segment, Rule::name];

/// Said with a range, not besides it.
const BOUNDS: [Rule; 5] = [Rule::at_least, Rule::at_most, Rule::above_word, Rule::below_word, Rule::exactly_word];

/// Goes on with a value; said only where nothing else could have stood there.
const GOES_ON: [Rule; 7] =
    [Rule::test, Rule::bound, Rule::operator, Rule::caret, Rule::is_word, Rule::and_word, Rule::or_word];

/// The names of what could have stood there, the most telling kept if there are many.
pub(super) fn names(rules: &[Rule]) -> Vec<String> {
    let has = |rule: Rule| rules.contains(&rule);
    let value =
        rules.iter().any(|rule| VALUE.contains(rule)) && (has(Rule::segment) || has(Rule::number) || has(Rule::sum));
    let value = value || [Rule::sum, Rule::factor, Rule::clause, Rule::expression].into_iter().any(has);
    let range = has(Rule::range) || (value && has(Rule::at_least) && has(Rule::exactly_word));
    let kind = has(Rule::type_name) || has(Rule::named_type);
    let mut names: Vec<String> = Vec::new();
    let mut say = |name: String| {
        if !names.contains(&name) {
            names.push(name);
        }
    };
    if range {
        say("a range".into());
    } else if value {
        say("a value".into());
    }
    if kind {
        say("a type such as mm, a class or yes/no".into());
    }
    let rest = |rule: &&Rule| {
        !(value && (VALUE.contains(rule) || IN_VALUE.contains(rule)))
            && !(range && (BOUNDS.contains(rule) || IN_VALUE.contains(rule) || VALUE.contains(rule)))
            && !(kind && matches!(rule, Rule::choice_word | Rule::yes_no_type | Rule::named_type | Rule::type_name))
    };
    let telling = |rule: &&Rule| !GOES_ON.contains(rule) && !BOUNDS.contains(rule);
    for rule in rules.iter().filter(rest).filter(telling) {
        if let Some(name) = name(*rule) {
            say(name);
        }
    }
    if names.is_empty() {
        for rule in rules.iter().filter(rest) {
            if let Some(name) = name(*rule) {
                names.push(name);
            }
        }
    }
    names.dedup();
    names.truncate(6);
    names
}

fn name(rule: Rule) -> Option<String> {
    if let Some(literal) = literal(rule) {
        return Some(format!("'{literal}'"));
    }
    let name = match rule {
        Rule::new_name | Rule::name | Rule::segment | Rule::path | Rule::names | Rule::stations => "a name",
        Rule::words => "words in quotation marks",
        Rule::date => "a date such as 2026-03-01",
        Rule::whole => "a whole number",
        Rule::number | Rule::quantity | Rule::sum | Rule::expression => "a value",
        Rule::unit_name => "a unit",
        Rule::exponent => "a power from 0 to 9",
        Rule::positions | Rule::run => "positions",
        Rule::type_name | Rule::named_type => "a type",
        Rule::range => "a range",
        Rule::row | Rule::row_word => "a row",
        Rule::parameter => "a name and its type",
        Rule::reading => "a reading",
        Rule::count => "a number of readings",
        Rule::point => "a point such as 200 rpm: 0.86",
        Rule::signed | Rule::try_value => "a value",
        Rule::fit_letters => "letters such as H or js",
        Rule::change | Rule::drop => "a change of a row",
        Rule::scope => "'for' and a generation",
        Rule::source_grade => "a grade: maker, trade, forum or reference",
        Rule::test | Rule::bound => "a test such as 'is'",
        Rule::operator => "an operator such as '+'",
        _ => return None,
    };
    Some(name.into())
}

/// The word or mark a rule stands for, if it stands for one.
pub(super) fn literal(rule: Rule) -> Option<&'static str> {
    Some(match rule {
        Rule::rulebook_word => "rulebook",
        Rule::edition_word => "edition",
        Rule::use_word => "use",
        Rule::shipped_word => "shipped",
        Rule::unit_word => "unit",
        Rule::zero_at => "zero at",
        Rule::class_word => "class",
        Rule::choice_word => "choice",
        Rule::constant_word => "constant",
        Rule::formula_word => "formula",
        Rule::source_word => "source",
        Rule::extend_word => "extend",
        Rule::part_word => "part",
        Rule::derive_word => "derive",
        Rule::optional_word => "optional",
        Rule::generation_word => "generation",
        Rule::basis_word => "basis",
        Rule::general_word => "general",
        Rule::follows_word => "follows",
        Rule::fitted_word => "fitted",
        Rule::replace_word => "replace",
        Rule::standard_word => "standard",
        Rule::limit_word => "limit",
        Rule::advisory_word => "advisory",
        Rule::outer_limit => "outer limit",
        Rule::never_excused => "never excused",
        Rule::where_word => "where",
        Rule::because_word => "because",
        Rule::remedy_word => "remedy",
        Rule::caution_word => "caution",
        Rule::measure_word => "measure",
        Rule::from_word => "from",
        Rule::at_word => "at",
        Rule::to_word => "to",
        Rule::is_word => "is",
        Rule::not_word => "not",
        Rule::and_word => "and",
        Rule::or_word => "or",
        Rule::yes_word => "yes",
        Rule::no_word => "no",
        Rule::exactly_word => "exactly",
        Rule::above_word => "above",
        Rule::below_word => "below",
        Rule::at_least => "at least",
        Rule::at_most => "at most",
        Rule::all_the_same => "all the same across",
        Rule::readings_word => "readings",
        Rule::or_more => "or more",
        Rule::or_zero => "or zero",
        Rule::common_practice => "common practice",
        Rule::memory_word => "memory",
        Rule::house_word => "house",
        Rule::for_word => "for",
        Rule::tighten_word => "tighten",
        Rule::loosen_word => "loosen",
        Rule::add_word => "add",
        Rule::adopt_word => "adopt",
        Rule::retire_word => "retire",
        Rule::telltale_word => "telltale",
        Rule::plausible_word => "plausible",
        Rule::narrow_word => "narrow",
        Rule::rework_word => "rework",
        Rule::less_word => "less",
        Rule::more_word => "more",
        Rule::by_word => "by",
        Rule::replaced_word => "replaced",
        Rule::step_word => "step",
        Rule::may_be_negative => "may be negative",
        Rule::agree_within => "agree within",
        Rule::also_word => "also",
        Rule::table_word => "table",
        Rule::held_word => "held",
        Rule::try_word => "try",
        Rule::expect_word => "expect",
        Rule::finished_word => "finished",
        Rule::fits_word => "fits",
        Rule::sizes_word => "sizes",
        Rule::grade_word => "grade",
        Rule::shaft_word => "shaft",
        Rule::hole_word => "hole",
        Rule::rounded_to => "rounded to",
        Rule::expansion_word => "expansion",
        Rule::gauges_word => "gauges",
        Rule::expanded_word => "U",
        Rule::judge_by => "judge by",
        Rule::simple_acceptance => "simple acceptance",
        Rule::guard_band => "guard band",
        Rule::open_brace => "{",
        Rule::close_brace => "}",
        Rule::open_paren => "(",
        Rule::close_paren => ")",
        Rule::comma => ",",
        Rule::colon => ":",
        Rule::equals => "=",
        Rule::caret => "^",
        Rule::minus => "-",
        Rule::plus_minus => "±",
        _ => return None,
    })
}
