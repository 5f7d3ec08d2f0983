//! Tables of tolerance grades and fundamental deviations, and the limits of a size in a class, by the rules of
//! ISO 286-1. Holds no figure of the standard itself: books declare them.

use super::compile::Draft;
use super::evaluate::evaluate;
use super::expression::{Expression, ExpressionKind};
use super::{check::Checker, range, wording};
use crate::quantity::{Dimension, Number, Value};
use crate::syntax::tree::{Expr, FitsDeclaration, FitsMember, Item, Name, Tree};
use crate::text::{Place, Source, Span};
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// A table of fits, checked: every line has one figure for each step of sizes.
#[derive(Clone, Debug)]
pub struct Fits {
    /// Where its figures come from, as the book says it.
    pub title: Box<str>,
    /// The upper ends of the steps of sizes, rising, in base units; each step is over the end before, up to and
    /// including its own.
    pub sizes: Vec<Value>,
    /// The widths of the tolerance grades.
    pub grades: BTreeMap<u16, Vec<Value>>,
    /// Fundamental deviations of shafts: the upper one of a to h, the lower one of the others.
    pub shafts: Vec<Deviations>,
    /// Fundamental deviations of holes that do not follow from those of the shafts: the lower one of A to H, the
    /// upper one of the others.
    pub holes: Vec<Deviations>,
    /// Whether all of it checked: of what a spoilt table lacks nothing more is said.
    pub whole: bool,
    /// Where it is declared.
    pub place: Place,
}

/// The fundamental deviations of one letter.
#[derive(Clone, Debug)]
pub struct Deviations {
    /// The letter or letters.
    pub letters: Box<str>,
    /// The grades they hold for, both ends included; all, if not said.
    pub grades: Option<(u16, u16)>,
    /// One for each step of sizes.
    pub figures: Vec<Value>,
}

/// Why a table of fits has no limits for a size and class.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Unfit {
    /// The size is in none of its steps.
    Size,
    /// No line has these letters.
    Letters,
    /// It has no such grade, which the class or its rule needs.
    Grade(u16),
    /// It has the letters, but not for this grade.
    LettersInGrade,
}

/// ISO 286-1:2010, Tables 2 and 3: up to this grade K, M and N holes are shifted by Δ, P to ZC to the grade before.
const LAST_SHIFTED_GRADE: u16 = 8;

impl Fits {
    /// The lower and upper limit deviations of a size, letters and grade: what is added to the size for its limits.
    pub(super) fn deviations(&self, size: &Value, letters: &str, grade: u16) -> Result<(Value, Value), Unfit> {
        let step = self.step(size).ok_or(Unfit::Size)?;
        let width = self.width(grade, step)?;
        let hole = letters.bytes().all(|byte| byte.is_ascii_uppercase());
        if !hole && !letters.bytes().all(|byte| byte.is_ascii_lowercase()) {
            return Err(Unfit::Letters);
        }
        // js and JS lie half on either side (ISO 286-1:2010, Table 4).
        if letters.eq_ignore_ascii_case("js") {
            let half = Number::ratio(1, 2).map_or(Value::ZERO, Value::from).multiply(&width);
            return Ok((half.negate(), half));
        }
        let fundamental =
            if hole { self.hole(letters, grade, step)? } else { self.found(&self.shafts, letters, grade, step)? };
        // The fundamental deviation is the one nearer the size: from it a shaft a to h reaches down and a hole A to H up.
        if is_clear(letters) == hole {
            let upper = fundamental.add(&width);
            Ok((fundamental, upper))
        } else {
            let lower = fundamental.subtract(&width);
            Ok((lower, fundamental))
        }
    }

    /// The number of the step a size is in.
    fn step(&self, size: &Value) -> Option<usize> {
        let above_nothing = size.compare(&Value::ZERO) == Some(Ordering::Greater);
        let holds = |end: &Value| matches!(size.compare(end), Some(Ordering::Less | Ordering::Equal));
        self.sizes.iter().position(holds).filter(|_| above_nothing)
    }

    fn width(&self, grade: u16, step: usize) -> Result<Value, Unfit> {
        self.grades.get(&grade).and_then(|figures| figures.get(step)).cloned().ok_or(Unfit::Grade(grade))
    }

    fn found(&self, lines: &[Deviations], letters: &str, grade: u16, step: usize) -> Result<Value, Unfit> {
        let mut known = false;
        for line in lines.iter().filter(|line| *line.letters == *letters) {
            known = true;
            if line.grades.is_none_or(|(first, last)| (first..=last).contains(&grade)) {
                return line.figures.get(step).cloned().ok_or(Unfit::Size);
            }
        }
        Err(if known { Unfit::LettersInGrade } else { Unfit::Letters })
    }

    /// The fundamental deviation of a hole: its own line, or else by rule from the shaft of the same letter.
    fn hole(&self, letters: &str, grade: u16, step: usize) -> Result<Value, Unfit> {
        let own = self.found(&self.holes, letters, grade, step);
        if own.is_ok() {
            return own;
        }
        let shaft = letters.to_ascii_lowercase();
        let of_shaft = |grade: u16| {
            self.found(&self.shafts, &shaft, grade, step).map(|value| value.negate()).map_err(|error| match error {
                Unfit::Letters if own == Err(Unfit::LettersInGrade) => Unfit::LettersInGrade,
                error => error,
            })
        };
        // ISO 286-1: EI = -es and ES = -ei, the hole being the mirror image of the shaft.
        if is_clear(letters) || self.is_small(step) {
            return of_shaft(grade);
        }
        // The exception: a hole that with a shaft h one grade finer gives the fit that the shaft of its letter, one
        // grade finer, gives with a hole H. J is no such hole: it has lines of its own or none.
        let last = match letters {
            "J" => return Err(own.err().unwrap_or(Unfit::Letters)),
            "K" | "M" | "N" => LAST_SHIFTED_GRADE,
            _ => LAST_SHIFTED_GRADE - 1,
        };
        if grade > last {
            // K above grade 8 is given for sizes up to 3 mm only.
            return if letters == "K" { Err(Unfit::LettersInGrade) } else { of_shaft(grade) };
        }
        let finer = grade.checked_sub(1).ok_or(Unfit::Grade(grade))?;
        let mirrored = of_shaft(finer).or_else(|_| of_shaft(grade))?;
        let shift = self.width(grade, step)?.subtract(&self.width(finer, step)?);
        Ok(mirrored.add(&shift))
    }

    /// Whether a step lies within the sizes up to 3 mm, for which holes are mirror images in every grade.
    fn is_small(&self, step: usize) -> bool {
        let three = Number::ratio(3, 1000).map_or(Value::ZERO, Value::from);
        self.sizes.get(step).is_some_and(|end| matches!(end.compare(&three), Some(Ordering::Less | Ordering::Equal)))
    }

    /// The letters it has limits for: those of shafts, or of holes.
    pub(super) fn letters(&self, hole: bool) -> Vec<String> {
        let mut letters: Vec<String> = Vec::new();
        let cased = |letters: &str| if hole { letters.to_ascii_uppercase() } else { letters.to_string() };
        letters.extend(self.shafts.iter().map(|line| cased(&line.letters)));
        letters.extend(self.holes.iter().filter(|_| hole).map(|line| line.letters.to_string()));
        // j and k stand for other deviations in a hole and in a shaft: j has no mirror image.
        letters.retain(|name| name != "J" || self.holes.iter().any(|line| &*line.letters == "J"));
        letters.push(cased("js"));
        letters.sort_by_key(|name| name.to_ascii_lowercase());
        letters.dedup();
        letters
    }

    /// The grades that letters have limits for at a size.
    pub(super) fn grades_of(&self, size: &Value, letters: &str) -> Vec<u16> {
        self.grades.keys().copied().filter(|grade| self.deviations(size, letters, *grade).is_ok()).collect()
    }
}

/// Whether the letters are those of clearance, a to h.
fn is_clear(letters: &str) -> bool {
    letters.bytes().next().is_some_and(|first| matches!(first.to_ascii_lowercase(), b'a'..=b'h'))
}

/// A class as written, such as `H7`, in its letters and its grade.
fn class_parts(class: &str) -> Option<(&str, u16)> {
    let (letters, grade) = class.split_at_checked(class.find(|one: char| one.is_ascii_digit())?)?;
    Some((letters, grade.parse().ok()?))
}

impl Checker<'_> {
    /// The lower and upper limit of a size in a class.
    pub(super) fn fit(&mut self, size: &Expr, class: &Name, subject: Dimension) -> Option<(Expression, Expression)> {
        let size_place = self.place(size.span);
        let sized = self.bound(size, None, subject)?;
        if subject != Dimension::LENGTH {
            let finding = wording::fit_not_length(&class.text, subject, size_place);
            self.say(finding);
            return None;
        }
        let class_place = self.place(class.span);
        let Some(fits) = &self.book.fits else {
            let finding = wording::fits_missing(&class.text, class_place);
            self.say(finding);
            return None;
        };
        let (letters, grade) = class_parts(&class.text)?;
        let value = evaluate(self.book, None, &sized).ok()?;
        match fits.deviations(&value, letters, grade) {
            Ok((lower, upper)) => {
                // What the class adds stands where the class is written.
                let end = |deviation: Value| {
                    let kind = ExpressionKind::Quantity(deviation);
                    range::sum(&sized, &Expression { kind, place: class_place.clone() })
                };
                Some((end(lower), end(upper)))
            }
            Err(_) if !fits.whole => None,
            Err(why) => {
                let unit = range::own_unit(size).map_or("", |unit| &unit.text);
                let unit = self.book.units.resolve(unit).ok();
                let finding =
                    wording::unfit(fits, &why, (letters, grade, class_place), (&value, size_place), unit.as_deref());
                self.say(finding);
                None
            }
        }
    }
}

impl Draft {
    /// The table of fits of a book.
    pub(super) fn fits(&mut self, tree: &Tree) {
        for item in &tree.items {
            let Item::Fits(declared) = item else { continue };
            let place = tree.source.place(declared.title.span);
            if let Some(first) = &self.book.fits {
                let finding = wording::fits_twice(place, &first.place);
                self.say(finding);
                continue;
            }
            let before = self.findings.len();
            let mut fits = self.table_of_fits(declared, place, &tree.source);
            fits.whole = self.findings.len() == before;
            self.book.fits = Some(fits);
        }
    }

    fn table_of_fits(&mut self, declared: &FitsDeclaration, place: Place, source: &Source) -> Fits {
        let mut fits = Fits {
            title: declared.title.text.clone(),
            sizes: Vec::new(),
            grades: BTreeMap::new(),
            shafts: Vec::new(),
            holes: Vec::new(),
            whole: true,
            place,
        };
        for member in &declared.members {
            let FitsMember::Sizes { figures, span } = member else { continue };
            if !fits.sizes.is_empty() {
                let finding = wording::fits_line_twice("sizes", source.place(*span));
                self.say(finding);
                continue;
            }
            let Some(sizes) = self.figures(figures, source) else { return fits };
            let before = std::iter::once(&Value::ZERO).chain(&sizes);
            let falls = before.zip(&sizes).position(|(a, b)| a.compare(b) != Some(Ordering::Less));
            if let Some(expr) = falls.and_then(|at| figures.get(at)) {
                let finding = wording::fits_sizes(source.place(expr.span));
                self.say(finding);
                return fits;
            }
            fits.sizes = sizes;
        }
        if fits.sizes.is_empty() {
            let finding = wording::fits_without_sizes(fits.place.clone());
            self.say(finding);
            return fits;
        }
        for member in &declared.members {
            self.fits_line(&mut fits, member, source);
        }
        fits
    }

    fn fits_line(&mut self, fits: &mut Fits, member: &FitsMember, source: &Source) {
        match member {
            FitsMember::Sizes { .. } => {}
            FitsMember::Grade { grade: (grade, at), figures, span } => {
                let name = format!("grade {grade}");
                let Some(values) = self.row_of_figures(fits, &name, figures, *span, source) else { return };
                let flat = |value: &Value| value.compare(&Value::ZERO) != Some(Ordering::Greater);
                if let Some(expr) = values.iter().position(flat).and_then(|at| figures.get(at)) {
                    let finding = wording::fits_width(&name, source.place(expr.span));
                    self.say(finding);
                } else if fits.grades.insert(*grade, values).is_some() {
                    let finding = wording::fits_line_twice(&name, source.place(*at));
                    self.say(finding);
                }
            }
            FitsMember::Deviations { hole, letters, grades, figures, span } => {
                let name = format!("{} {}", if *hole { "hole" } else { "shaft" }, letters.text);
                let place = source.place(letters.span);
                let cased = |byte: u8| if *hole { byte.is_ascii_uppercase() } else { byte.is_ascii_lowercase() };
                if !letters.text.bytes().all(cased) || letters.text.eq_ignore_ascii_case("js") {
                    let finding = wording::fits_letters(*hole, &letters.text, place);
                    self.say(finding);
                    return;
                }
                let Some(values) = self.row_of_figures(fits, &name, figures, *span, source) else { return };
                let (first, last) = grades.unwrap_or((0, u16::MAX));
                let lines = if *hole { &mut fits.holes } else { &mut fits.shafts };
                let meets = |line: &Deviations| {
                    let (from, to) = line.grades.unwrap_or((0, u16::MAX));
                    line.letters == letters.text && from <= last && first <= to
                };
                let finding = if first > last {
                    wording::fits_grades(&name, place)
                } else if lines.iter().any(meets) {
                    wording::fits_line_twice(&name, place)
                } else {
                    lines.push(Deviations { letters: letters.text.clone(), grades: *grades, figures: values });
                    return;
                };
                self.say(finding);
            }
        }
    }

    /// The figures of a line, one for each size.
    fn row_of_figures(
        &mut self,
        fits: &Fits,
        name: &str,
        figures: &[Expr],
        span: Span,
        source: &Source,
    ) -> Option<Vec<Value>> {
        if figures.len() != fits.sizes.len() {
            let finding = wording::fits_count(name, figures.len(), fits.sizes.len(), source.place(span));
            self.say(finding);
            return None;
        }
        self.figures(figures, source)
    }

    /// Lengths written one after the other, the unit of the last serving all.
    fn figures(&mut self, figures: &[Expr], source: &Source) -> Option<Vec<Value>> {
        let unit = figures.last().and_then(range::own_unit);
        let mut values = Vec::with_capacity(figures.len());
        for figure in figures {
            let expression = self.checker(source, None, &[]).bound(figure, unit, Dimension::LENGTH)?;
            values.push(self.constant_value(None, &expression)?);
        }
        Some(values)
    }
}
