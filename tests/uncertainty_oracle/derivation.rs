//! Random derivations: one expression tree, written out as a rulebook and a record, and evaluated in binary by itself.
//!
//! The evaluator here shares nothing with the program: it walks its own tree over columns of draws.

use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// How many gauges, single readings and repeated readings a derivation may name.
pub(super) const GAUGES: usize = 3;
pub(super) const SINGLES: usize = 6;
/// Readings of each repeated characteristic: the first two are averaged, the others picked from.
pub(super) const REPEATS: [usize; 4] = [4, 3, 4, 3];

/// A gauge: its expanded uncertainty (k = 2) and its resolution, in hundredths of a micrometre.
pub(super) struct Gauge {
    pub(super) uncertainty: Option<u32>,
    pub(super) resolution: Option<u32>,
}

/// How a reading was taken.
#[derive(Clone, Copy)]
pub(super) enum By {
    Gauge(usize),
    /// It says its own expanded uncertainty, in hundredths of a micrometre.
    Itself(u32),
    /// Nobody said.
    Nobody,
}

/// One reading: so many steps of the last place of its unit.
pub(super) struct Reading {
    steps: i64,
    inches: bool,
    pub(super) by: By,
}

/// Places a reading is written with, in millimetres and in inches.
const PLACES: (usize, usize) = (4, 5);

impl Reading {
    pub(super) fn millimetres(&self) -> f64 {
        if self.inches { self.steps as f64 / 1e5 * 25.4 } else { self.steps as f64 / 1e4 }
    }

    /// How many millimetres its unit is.
    pub(super) fn unit(&self) -> f64 {
        if self.inches { 25.4 } else { 1.0 }
    }

    /// As a record writes it, moved by so many units of the 15th place.
    fn text(&self, moved: i64, gauges: bool) -> String {
        const FIFTEEN: usize = 15;
        let (places, unit) = if self.inches { (PLACES.1, "in") } else { (PLACES.0, "mm") };
        let steps = i128::from(self.steps) * 10_i128.pow((FIFTEEN - places) as u32) + i128::from(moved);
        let whole = 10_i128.pow(FIFTEEN as u32);
        let value = format!("{}.{:015} {unit}", steps / whole, steps % whole);
        match self.by {
            _ if !gauges => value,
            By::Gauge(gauge) => format!("{{ value: {value}, gauge: g{gauge} }}"),
            By::Itself(own) => format!("{{ value: {value}, uncertainty: {} um }}", hundredths(own)),
            By::Nobody => value,
        }
    }
}

fn hundredths(number: u32) -> String {
    format!("{}.{:02}", number / 100, number % 100)
}

/// Words for one value of several.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Word {
    Mean,
    Sum,
    Smallest,
    Largest,
    Spread,
}

impl Word {
    fn text(self) -> &'static str {
        match self {
            Word::Mean => "mean",
            Word::Sum => "sum",
            Word::Smallest => "smallest",
            Word::Largest => "largest",
            Word::Spread => "spread",
        }
    }
}

/// A function of one number: what is written before and behind its argument, and what it does.
type Call = (&'static str, &'static str, fn(f64) -> f64);

/// Functions that trees are made of.
const CALLS: [Call; 11] = [
    ("sin(", " * 1 rad)", f64::sin),
    ("cos(", " * 1 rad)", f64::cos),
    ("tan(0.2 * ", " * 1 rad / 10)", |x| (0.02 * x).tan()),
    ("(1 / 1 rad * asin(0.02 * ", "))", |x| (0.02 * x).asin()),
    ("(acos(0.02 * ", ") / 1 rad)", |x| (0.02 * x).acos()),
    ("radians(atan(", "))", f64::atan),
    ("abs(", ")", f64::abs),
    ("sqrt(abs(", "))", |x| x.abs().sqrt()),
    ("around(2.5, ", ")", |x| (2.5 * 2.5 + x * x + 1.0).sqrt()),
    ("exp(0.05 * ", ")", |x| (0.05 * x).exp()),
    ("ln(1 + abs(", "))", |x| (1.0 + x.abs()).ln()),
];

/// The points of the table every book here declares.
const POINTS: [(f64, f64); 6] = [(-60.0, 12.5), (-10.0, 3.0), (0.0, -1.5), (4.0, 8.25), (15.0, -2.0), (60.0, 20.0)];

/// An expression; every one is a plain number.
pub(super) enum Tree {
    Single(usize),
    /// A word over the readings of a repeated characteristic.
    Repeated(Word, usize),
    Earlier(usize),
    Constant(u32),
    Binary(char, Box<Tree>, Box<Tree>),
    Power(Box<Tree>, u8),
    Call(usize, Box<Tree>),
    Table(Box<Tree>),
    Negative(Box<Tree>),
    /// A word over a list.
    List(Word, Vec<Tree>),
}

/// Readings, and values worked out from them one after another, the last of them judged.
pub(super) struct Derivation {
    pub(super) gauges: Vec<Gauge>,
    pub(super) singles: Vec<Reading>,
    pub(super) repeated: Vec<Vec<Reading>>,
    steps: Vec<Tree>,
}

/// Columns of values: of each reading, and of each repeated reading with its scatter.
pub(super) struct Columns {
    pub(super) singles: Vec<Vec<f64>>,
    pub(super) repeated: Vec<Vec<Vec<f64>>>,
    pub(super) scattered: Vec<Vec<Vec<f64>>>,
}

impl Derivation {
    pub(super) fn random(seed: u64) -> Derivation {
        let mut chance = ChaCha8Rng::seed_from_u64(seed);
        let gauges = (0..GAUGES)
            .map(|_| {
                let uncertainty = chance.random_bool(0.8).then(|| chance.random_range(5..60));
                // No gauge is sure to less than a tenth of what it shows.
                let coarsest = uncertainty.map_or(100, |width: u32| 100.min(10 * width));
                let resolution =
                    (uncertainty.is_none() || chance.random_bool(0.7)).then(|| chance.random_range(5..coarsest));
                Gauge { uncertainty, resolution }
            })
            .collect();
        let singles = (0..SINGLES).map(|_| reading(&mut chance, None)).collect();
        // Repeats lie far apart beside their uncertainty, a hundredth of a millimetre beside a micrometre.
        let repeated = REPEATS
            .iter()
            .enumerate()
            .map(|(group, count)| {
                let first = chance.random_range(50_000..400_000_i64);
                let mut at = 0;
                (0..*count)
                    .map(|_| {
                        // What is averaged scatters by few micrometres; what is picked from lies apart.
                        at += if group < 2 { chance.random_range(1..6) } else { chance.random_range(100..2_000) };
                        reading(&mut chance, Some(first + at))
                    })
                    .collect()
            })
            .collect();
        let mut derivation = Derivation { gauges, singles, repeated, steps: Vec::new() };
        let nominal = derivation.nominal();
        for _ in 0..chance.random_range(1..=3) {
            let earlier = derivation.values(&nominal);
            let tree = derivation.grow(&mut chance, 3, &nominal, &earlier);
            derivation.steps.push(tree);
        }
        // Two of them together, so that what they share has to be followed.
        let earlier = derivation.values(&nominal);
        let last = derivation.steps.len() - 1;
        let leaf = derivation.grow(&mut chance, 1, &nominal, &earlier);
        let other = if last > 0 { Tree::Earlier(0) } else { leaf };
        let operator = if chance.random_bool(0.5) { '+' } else { '-' };
        derivation.steps.push(Tree::Binary(operator, Box::new(Tree::Earlier(last)), Box::new(other)));
        derivation
    }

    /// Columns of one row: the readings as written.
    pub(super) fn nominal(&self) -> Columns {
        let column = |reading: &Reading| vec![reading.millimetres()];
        let repeated: Vec<Vec<Vec<f64>>> =
            self.repeated.iter().map(|group| group.iter().map(column).collect()).collect();
        Columns { singles: self.singles.iter().map(column).collect(), scattered: repeated.clone(), repeated }
    }

    /// A random tree, its value of a size that everything can be done with.
    fn grow(&self, chance: &mut ChaCha8Rng, depth: u32, nominal: &Columns, earlier: &[Vec<f64>]) -> Tree {
        let at = |tree: &Tree| tree.column(nominal, earlier)[0];
        if depth == 0 {
            return match chance.random_range(0..10) {
                0..=4 => Tree::Single(chance.random_range(0..SINGLES)),
                5 => Tree::Repeated(pick(chance, &[Word::Mean, Word::Sum]), chance.random_range(0..2)),
                6 | 7 => Tree::Repeated(
                    pick(chance, &[Word::Smallest, Word::Largest, Word::Spread]),
                    chance.random_range(2..4),
                ),
                8 if !earlier.is_empty() => Tree::Earlier(chance.random_range(0..earlier.len())),
                _ => Tree::Constant(chance.random_range(50..900)),
            };
        }
        loop {
            let next = |chance: &mut ChaCha8Rng| Box::new(self.grow(chance, depth - 1, nominal, earlier));
            let tree = match chance.random_range(0..14) {
                0 => Tree::Binary('+', next(chance), next(chance)),
                1 | 2 => Tree::Binary('-', next(chance), next(chance)),
                3 | 4 => Tree::Binary('*', next(chance), next(chance)),
                5 | 6 => Tree::Binary('/', next(chance), next(chance)),
                7 => Tree::Power(next(chance), chance.random_range(2..=4)),
                8 | 9 => Tree::Call(chance.random_range(0..CALLS.len()), next(chance)),
                10 => Tree::Table(next(chance)),
                11 => Tree::Negative(next(chance)),
                _ => {
                    let word = pick(chance, &[Word::Mean, Word::Sum, Word::Smallest, Word::Largest, Word::Spread]);
                    Tree::List(word, (0..3).map(|_| *next(chance)).collect())
                }
            };
            if !tree.is_smooth(&at) {
                continue;
            }
            let size = at(&tree).abs();
            if (0.1..=40.0).contains(&size) {
                return tree;
            }
            if size > 40.0 && size < 1e7 {
                // Brought back to between 1 and 10 by a constant.
                let hundredths = (size / 5.0 * 100.0) as u32;
                return Tree::Binary('/', Box::new(tree), Box::new(Tree::Constant(hundredths)));
            }
        }
    }

    /// The columns of all values worked out.
    pub(super) fn values(&self, columns: &Columns) -> Vec<Vec<f64>> {
        let mut values: Vec<Vec<f64>> = Vec::new();
        for tree in &self.steps {
            let column = tree.column(columns, &values);
            values.push(column);
        }
        values
    }

    /// The rulebook: the last value is judged by a limit it is far inside.
    pub(super) fn book(&self) -> String {
        let singles: String = (0..SINGLES).map(|number| format!("    s{number} : mm\n")).collect();
        let repeated: String =
            (0..REPEATS.len()).map(|number| format!("    r{number} : mm, 2 readings or more\n")).collect();
        let steps: String = self
            .steps
            .iter()
            .enumerate()
            .map(|(number, tree)| format!("    derive d{number} : number = {}\n", tree.text()))
            .collect();
        let points: Vec<String> = POINTS.iter().map(|(x, y)| format!("{x}: {y}")).collect();
        format!(
            "rulebook \"Drawn\" edition 2026-03-01
unit mm = 0.001 m
unit um = 0.000001 m
unit in = 25.4 mm
formula around(a: number, b: number) : number = sqrt(a ^ 2 + b ^ 2 + 1)
table bent(x: number) : number = {}
part fit {{
{singles}{repeated}{steps}}}
generation g \"drawn\" {{
    fit.d{} limit at most 1000000
}}
",
            points.join(", "),
            self.steps.len() - 1
        )
    }

    /// The record, one reading moved by so many units of the 15th place.
    pub(super) fn record(&self, moved: Option<(Which, i64)>) -> String {
        let mut text = String::from("generation: g\n");
        let by_gauge = moved.is_none();
        if by_gauge {
            text.push_str("gauges:\n");
            for (number, gauge) in self.gauges.iter().enumerate() {
                let mut says = Vec::new();
                says.extend(gauge.uncertainty.map(|width| format!("uncertainty: {} um", hundredths(width))));
                says.extend(gauge.resolution.map(|width| format!("resolution: {} um", hundredths(width))));
                text.push_str(&format!("  g{number}: {{ {} }}\n", says.join(", ")));
            }
        }
        let by = |which: Which| moved.filter(|(moved, _)| *moved == which).map_or(0, |(_, by)| by);
        for (number, reading) in self.singles.iter().enumerate() {
            text.push_str(&format!("s{number}: {}\n", reading.text(by((None, number)), by_gauge)));
        }
        for (group, readings) in self.repeated.iter().enumerate() {
            let list: Vec<String> = readings
                .iter()
                .enumerate()
                .map(|(number, reading)| reading.text(by((Some(group), number)), by_gauge))
                .collect();
            text.push_str(&format!("r{group}: [{}]\n", list.join(", ")));
        }
        text
    }

    /// One reading.
    pub(super) fn reading(&self, (group, number): Which) -> &Reading {
        match group {
            None => &self.singles[number],
            Some(group) => &self.repeated[group][number],
        }
    }

    /// Every reading.
    pub(super) fn all(&self) -> Vec<Which> {
        let repeated = REPEATS.iter().enumerate();
        let repeated = repeated.flat_map(|(group, count)| (0..*count).map(move |number| (Some(group), number)));
        (0..SINGLES).map(|number| (None, number)).chain(repeated).collect()
    }
}

/// A reading: its group of repeats, if it is in one, and its number.
pub(super) type Which = (Option<usize>, usize);

fn reading(chance: &mut ChaCha8Rng, steps: Option<i64>) -> Reading {
    // Repeats of one thing are read in one unit.
    let inches = steps.is_none() && chance.random_bool(0.25);
    let steps = steps.unwrap_or_else(|| chance.random_range(50_000..400_000) / if inches { 3 } else { 1 });
    let by = match chance.random_range(0..10) {
        0..=6 => By::Gauge(chance.random_range(0..GAUGES)),
        7 | 8 => By::Itself(chance.random_range(5..60)),
        _ => By::Nobody,
    };
    Reading { steps, inches, by }
}

fn pick<T: Copy>(chance: &mut impl Rng, from: &[T]) -> T {
    from[chance.random_range(0..from.len())]
}

impl Tree {
    /// Whether everything in the topmost operation is far from where it has no tangent or does not exist. `at` is the value.
    fn is_smooth(&self, at: &impl Fn(&Tree) -> f64) -> bool {
        match self {
            Tree::Binary('/', _, below) => at(below).abs() > 0.5,
            Tree::Power(inner, _) => at(inner).abs() > 0.2,
            Tree::Call(_, inner) => (0.1..40.0).contains(&at(inner).abs()),
            Tree::Table(inner) => {
                let x = at(inner);
                x.abs() < 59.0 && POINTS.iter().all(|(point, _)| (x - point).abs() > 0.05)
            }
            Tree::List(Word::Smallest | Word::Largest | Word::Spread, list) => {
                let mut values: Vec<f64> = list.iter().map(at).collect();
                values.sort_by(f64::total_cmp);
                values.windows(2).all(|pair| pair[1] - pair[0] > 0.05)
            }
            _ => true,
        }
    }

    fn text(&self) -> String {
        match self {
            Tree::Single(number) => format!("(s{number} / 1 mm)"),
            Tree::Repeated(word, group) => format!("(({} of r{group}) / 1 mm)", word.text()),
            Tree::Earlier(number) => format!("d{number}"),
            Tree::Constant(number) => hundredths(*number),
            Tree::Binary(operator, left, right) => format!("({} {operator} {})", left.text(), right.text()),
            Tree::Power(inner, exponent) => format!("(({}) ^ {exponent})", inner.text()),
            Tree::Call(call, inner) => format!("{}({}){}", CALLS[*call].0, inner.text(), CALLS[*call].1),
            Tree::Table(inner) => format!("bent({})", inner.text()),
            Tree::Negative(inner) => format!("(-({}))", inner.text()),
            Tree::List(word, list) => {
                let list: Vec<String> = list.iter().map(Tree::text).collect();
                format!("({} of ({}))", word.text(), list.join(", "))
            }
        }
    }

    /// The values of the tree, one for each row of the columns.
    fn column(&self, columns: &Columns, earlier: &[Vec<f64>]) -> Vec<f64> {
        let mapped = |inner: &Tree, with: &dyn Fn(f64) -> f64| {
            let mut column = inner.column(columns, earlier);
            for value in &mut column {
                *value = with(*value);
            }
            column
        };
        match self {
            Tree::Single(number) => columns.singles[*number].clone(),
            Tree::Repeated(word, group) => {
                let from = if *group < 2 { &columns.scattered } else { &columns.repeated };
                gathered(*word, &from[*group])
            }
            Tree::Earlier(number) => earlier[*number].clone(),
            Tree::Constant(number) => vec![f64::from(*number) / 100.0; columns.singles[0].len()],
            Tree::Binary(operator, left, right) => {
                let mut column = left.column(columns, earlier);
                let others = right.column(columns, earlier);
                let with: fn(f64, f64) -> f64 = match operator {
                    '+' => |left, right| left + right,
                    '-' => |left, right| left - right,
                    '*' => |left, right| left * right,
                    _ => |left, right| left / right,
                };
                for (value, other) in column.iter_mut().zip(&others) {
                    *value = with(*value, *other);
                }
                column
            }
            Tree::Power(inner, exponent) => mapped(inner, &|value| value.powi(i32::from(*exponent))),
            Tree::Call(call, inner) => mapped(inner, &CALLS[*call].2),
            Tree::Negative(inner) => mapped(inner, &|value| -value),
            Tree::Table(inner) => mapped(inner, &bent),
            Tree::List(word, list) => {
                let columns: Vec<Vec<f64>> = list.iter().map(|tree| tree.column(columns, earlier)).collect();
                gathered(*word, &columns)
            }
        }
    }
}

/// The table by straight lines.
fn bent(x: f64) -> f64 {
    let after = POINTS.iter().position(|(point, _)| *point >= x).unwrap();
    let ((x0, y0), (x1, y1)) = (POINTS[after - 1], POINTS[after]);
    y0 + (y1 - y0) * (x - x0) / (x1 - x0)
}

/// One column of several, row by row.
fn gathered(word: Word, columns: &[Vec<f64>]) -> Vec<f64> {
    let mut row = Vec::with_capacity(columns.len());
    (0..columns[0].len())
        .map(|number| {
            row.clear();
            row.extend(columns.iter().map(|column| column[number]));
            let smallest = || row.iter().copied().fold(f64::INFINITY, f64::min);
            let largest = || row.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            match word {
                Word::Mean => row.iter().sum::<f64>() / row.len() as f64,
                Word::Sum => row.iter().sum(),
                Word::Smallest => smallest(),
                Word::Largest => largest(),
                Word::Spread => largest() - smallest(),
            }
        })
        .collect()
}
