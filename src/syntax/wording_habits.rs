//! Every sentence of the room `syntax` about how other papers and programs say things. Refuses to decide when to say what.

pub(super) fn comment_help() -> String {
    "a comment begins with '#', and ends with its line".into()
}
pub(super) fn bullet_help(mark: &str) -> String {
    format!("take the '{mark}' out: nothing goes before the first word of a line")
}
pub(super) fn no_test(mark: &str) -> String {
    format!("'{mark}' compares nothing in this language")
}
pub(super) fn about_help() -> String {
    "say how far off it may be: 'A to B' or 'A ± B'".into()
}
pub(super) fn leave_out(mark: &str) -> String {
    format!("leave the '{mark}' out")
}
pub(super) fn unquote(name: &str) -> String {
    format!("write the name without quotation marks: {}", name.trim_matches('"'))
}
pub(super) fn name_letter_help() -> String {
    "a name begins with a letter, such as y1974 or no_2".into()
}
pub(super) fn one_name_help(name: &str) -> String {
    format!("a name is letters, digits and '_': write '{name}'")
}
pub(super) fn name_first_help(word: &str) -> String {
    format!("give it a name before the words, such as: {word} own_name \"…\"")
}
pub(super) fn one_range_help() -> String {
    "a row has one range: write both ends as 'A to B'".into()
}
pub(super) fn names_or_help(before: &str, after: &str) -> String {
    format!("put 'or' between the names that are right: {before} or {after}")
}
pub(super) fn braces_help(word: &str) -> String {
    format!("put it between braces: {{ {word} \"…\" }}")
}
pub(super) fn remark_help() -> String {
    "write a comment after '#'; a reason goes in { because \"…\" }".into()
}
pub(super) fn positions_help() -> String {
    "positions go after 'at', such as: at 1 to 2, or: at front, rear".into()
}
pub(super) fn positions_between(before: &str, after: &str) -> String {
    format!("write '{before} to {after}' for all from one to the other, or '{before}, {after}' for the two")
}
pub(super) fn constant_help(name: &str) -> String {
    format!("a constant is given with 'constant {name} = …'; a row says 'limit' or 'standard' and a range")
}
pub(super) fn rows_help() -> String {
    "a range goes in a row inside a generation, not in the part; here say the type, such as: gap : mm".into()
}
pub(super) fn rows_inside_help() -> String {
    "a row goes between the '{' and '}' of a generation".into()
}
pub(super) fn type_first_help(name: &str, other: &str) -> String {
    format!("say its type before the '=', such as: {name} : mm = …{other}")
}
pub(super) fn constant_top_help(name: &str) -> String {
    format!("here a constant only gets its type, such as: constant {name} : mm; each generation gives its value")
}
pub(super) fn parameter_help(name: &str) -> String {
    format!("each name in the parentheses has its type: {name} : mm")
}
pub(super) fn derive_help(name: &str) -> String {
    format!("a calculated value begins with 'derive': derive {name} : …")
}
pub(super) fn count_help() -> String {
    "after the comma comes 'optional', '2 readings or more' or 'exactly 2 readings'".into()
}
pub(super) fn choice_help(first: &str, second: &str) -> String {
    format!("names to choose from begin with 'choice': choice {first}, {second}")
}
pub(super) fn one_value_help() -> String {
    "a constant is one value; a range goes in a row".into()
}
pub(super) fn source_help(name: &str) -> String {
    format!(
        "declare it at the top with: source {name} \"…\"; then write 'from {name}', or 'from memory', or 'from common practice'"
    )
}
pub(super) fn one_follows_help() -> String {
    "a generation follows one other; that one may follow the next".into()
}
pub(super) fn use_each_help() -> String {
    "write a line with 'use' for each book".into()
}
pub(super) fn fraction_help() -> String {
    "write the fraction as a decimal, such as 1.125 for 1 1/8".into()
}
pub(super) fn no_spaces_help(first: &str, second: &str) -> String {
    format!("a number has no spaces in it: write '{first}{second}' if that is one number")
}
pub(super) fn take_one_out() -> String {
    "take one of the two out".into()
}
pub(super) fn full_stop_help() -> String {
    "take it out: there is no full stop at the end of a line".into()
}
pub(super) fn digit_help(right: &str) -> String {
    format!("write the digit 0 in place of the letter: {right}")
}
pub(super) fn plain_hint() -> String {
    "take it out".into()
}
pub(super) fn expansion_help() -> String {
    "write it as tables print it, and how far the true one may lie from that: expansion 11.5 um/m/K ± 1 um/m/K; \
     0.0000115 per kelvin is 11.5 um/m/K"
        .into()
}
pub(super) fn rounded_last_help() -> String {
    "it goes after the ranges, such as: limit at least 0.10 mm rounded to 0.01 mm".into()
}
pub(super) fn factor_help() -> String {
    "write how many times U, as a decimal, such as: judge by guard band 0.83 U".into()
}
pub(super) fn guard_help() -> String {
    "a guard band is so many times the uncertainty U, such as: judge by guard band 1 U; a length of its own is kept by `tighten`"
        .into()
}
pub(super) fn judge_alone() -> String {
    "'judge' is followed by 'by'".into()
}

/// A bound without its tier; `both` is whether either may stand there.
pub(super) fn tier_and_bound_help(meant: &str, written: &str, both: bool) -> String {
    let limit = format!("write 'limit {meant}' in place of '{written}'");
    if both { format!("{limit} (worn as far as may be), or 'standard {meant}' (as new)") } else { limit }
}
