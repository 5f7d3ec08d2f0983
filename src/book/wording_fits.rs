//! Every sentence of the room `book` about tables of fits and tolerance classes.

use super::fits::{Fits, Unfit};
use super::wording::label;
use crate::finding::{Code, Finding, list, nearest};
use crate::quantity::{Dimension, Unit, Value, shown};
use crate::text::Place;

pub(super) fn fits_twice(place: Place, first: &Place) -> Finding {
    Finding::new(Code::FitsTable, "there is more than one table of fits")
        .at(place, "second table")
        .since(first.clone(), "first table")
        .help("keep one: a class such as H7 has one meaning in a shop")
}

pub(super) fn fits_line_twice(name: &str, place: Place) -> Finding {
    Finding::new(Code::FitsTable, format!("{name} is given twice in the table of fits"))
        .at(place, "second time")
        .help("keep one of the lines, or say which grades each is for, such as: shaft k grade 4 to 7")
}

pub(super) fn fits_count(name: &str, figures: usize, sizes: usize, place: Place) -> Finding {
    let s = |count: usize| if count == 1 { "" } else { "s" };
    Finding::new(
        Code::FitsTable,
        format!("{name} has {figures} figure{}, and there are {sizes} size{}", s(figures), s(sizes)),
    )
    .at(place, "one per size")
    .help("write one figure for each size; where the source has wider steps, repeat its figure")
}

pub(super) fn fits_sizes(place: Place) -> Finding {
    Finding::new(Code::FitsTable, "the sizes of a table of fits must rise, all above zero")
        .at(place, "not larger")
        .help("give the upper end of each step of sizes, from the smallest to the largest")
}

pub(super) fn fits_without_sizes(place: Place) -> Finding {
    Finding::new(Code::FitsTable, "the table of fits has no sizes")
        .at(place, "no sizes")
        .help("begin it with the upper ends of its steps of sizes, such as: sizes 3, 6, 10 mm")
}

pub(super) fn fits_width(name: &str, place: Place) -> Finding {
    Finding::new(Code::FitsTable, format!("the width of {name} must be above zero")).at(place, "no width")
}

pub(super) fn fits_letters(hole: bool, letters: &str, place: Place) -> Finding {
    let finding = Finding::new(
        Code::FitsTable,
        format!("`{letters}` cannot be given as the letter of a {}", if hole { "hole" } else { "shaft" }),
    )
    .at(place, "wrong letter");
    if letters.eq_ignore_ascii_case("js") {
        finding.help("leave the line out: js and JS are half the grade to either side")
    } else {
        finding.help("write shafts in small letters and holes in capitals")
    }
}

pub(super) fn fits_grades(name: &str, place: Place) -> Finding {
    Finding::new(Code::FitsTable, format!("the grades of {name} run backwards"))
        .at(place, "no grades")
        .help("write the finer grade first, such as: grade 4 to 7")
}

pub(super) fn fits_missing(class: &str, place: Place) -> Finding {
    Finding::new(Code::FitsMissing, format!("no book says how wide {class} is"))
        .at(place, "no table")
        .help("add `use shipped \"fits.rulebook\"` for the tables of ISO 286-1, or declare fits in a book")
}

pub(super) fn fit_not_length(class: &str, found: Dimension, place: Place) -> Finding {
    Finding::new(Code::DimensionMismatch, format!("{class} is for lengths, and this is {}", found.words()))
        .at(place, label(found))
        .help("write the range out with both its ends")
}

/// Why there are no limits; `class` is its letters, its grade and its place.
pub(super) fn unfit(
    fits: &Fits,
    why: &Unfit,
    class: (&str, u16, Place),
    size: (&Value, Place),
    unit: Option<&Unit>,
) -> Finding {
    let (letters, grade, place) = class;
    let hole = letters.bytes().next().is_some_and(|first| first.is_ascii_uppercase());
    let feature = if hole { "hole" } else { "shaft" };
    match why {
        Unfit::Size => {
            let last = match (fits.sizes.last(), unit) {
                (Some(last), Some(unit)) => {
                    let places =
                        unit.from_base(last).is_exact_rational().and_then(|last| last.decimal_places()).unwrap_or(3);
                    shown(last, unit, places.min(3))
                }
                _ => String::new(),
            };
            Finding::new(Code::FitSize, format!("{} is outside the sizes of the table of fits", size.1.text()))
                .at(size.1.clone(), "not in it")
                .since(fits.place.clone(), "the table")
                .help(format!("its sizes are above 0 up to and including {last}; write the range out for this one"))
        }
        Unfit::Letters => {
            let known = fits.letters(hole);
            let other = if hole { letters.to_ascii_lowercase() } else { letters.to_ascii_uppercase() };
            let mixed = letters.bytes().any(|byte| byte.is_ascii_uppercase())
                && letters.bytes().any(|byte| byte.is_ascii_lowercase());
            let near = if mixed {
                let (small, capital) = (letters.to_ascii_lowercase(), letters.to_ascii_uppercase());
                Some(format!("did you mean `{capital}{grade}` for a hole or `{small}{grade}` for a shaft?"))
            } else if fits.deviations(size.0, &other, grade).is_ok() {
                let of = if hole { "shaft" } else { "hole" };
                Some(format!("did you mean `{other}{grade}`, which is for a {of}?"))
            } else {
                nearest(letters, known.iter().map(String::as_str)).map(|near| format!("did you mean `{near}{grade}`?"))
            };
            let listed = format!("{feature}s have {}", list(known.iter().map(String::as_str), "and"));
            Finding::new(Code::FitUnknown, format!("{letters}{grade} is not in the table of fits: it has no {letters}"))
                .at(place, "not in it")
                .since(fits.place.clone(), "the table")
                .help(near.map_or(listed.clone(), |near| format!("{near} {}", sentence(&listed))))
        }
        Unfit::Grade(needed) => {
            let known = grades(fits.grades.keys().copied().collect());
            let rule = if *needed == grade { String::new() } else { format!(", which a hole {letters} needs too") };
            Finding::new(
                Code::FitUnknown,
                format!("{letters}{grade} is not in the table of fits: it has no grade {needed}{rule}"),
            )
            .at(place, "not in it")
            .since(fits.place.clone(), "the table")
            .help(format!("it has {known}"))
        }
        Unfit::LettersInGrade => {
            let known = fits.grades_of(size.0, letters);
            let help = if known.is_empty() {
                format!("choose another letter: {feature}s have {}", {
                    let letters = fits.letters(hole);
                    list(letters.iter().map(String::as_str), "and")
                })
            } else {
                format!("at this size {letters} is given for {}", grades(known))
            };
            Finding::new(
                Code::FitUnknown,
                format!("{letters}{grade} is not in the table of fits: it has no {letters} of grade {grade}"),
            )
            .at(place, "not in it")
            .since(fits.place.clone(), "the table")
            .help(help)
        }
    }
}

/// "grade 7", "grades 3 to 12", "grades 5, 6 and 9".
fn grades(numbers: Vec<u16>) -> String {
    let names: Vec<String> = numbers.iter().map(u16::to_string).collect();
    match (numbers.as_slice(), names.as_slice()) {
        ([], _) => "no grades".into(),
        ([_], [one]) => format!("grade {one}"),
        ([first, .., last], [from, _, .., to]) if usize::from(last.abs_diff(*first)) + 1 == numbers.len() => {
            format!("grades {from} to {to}")
        }
        _ => format!("grades {}", list(names.iter().map(String::as_str), "and")),
    }
}

fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}
