//! Gauge studies against a published one, against the closed formulas, and against drawn studies whose scatter is known
//! (`data/gauge-study.yaml`).

use super::check_values::{Item, items};
use super::weighing::{float, near};
use trochoid::quantity::{Number, Value};
use trochoid::statistics::study::{Study, study};

fn item(name: &str) -> Item {
    items(include_str!("data/gauge-study.yaml")).into_iter().find(|item| item.item == name).unwrap()
}

/// The published readings: of each appraiser, of each part, three trials. The file has them trial by trial.
pub(crate) fn published() -> Vec<Vec<Vec<Value>>> {
    let item = item("aiag-grr-average-range");
    ["data_A", "data_B", "data_C"]
        .map(|appraiser| {
            let trials = item.table("inputs", appraiser);
            assert_eq!((trials.len(), trials[0].len()), (3, 10));
            (0..10).map(|part| trials.iter().map(|trial| Value::from(trial[part].clone())).collect()).collect()
        })
        .to_vec()
}

fn root(value: &Value) -> f64 {
    float(value).sqrt()
}

#[test]
fn the_published_study_has_its_published_table() {
    let found = study(&published()).unwrap();
    let item = item("aiag-grr-anova-table");
    let expected = |field: &str| item.number("expected", field).to_f64();
    near(float(&found.by_part.squares), expected("SS_part"), 5e-5, "parts");
    near(float(&found.by_person.squares), expected("SS_appraiser"), 5e-5, "appraisers");
    near(float(&found.interaction.squares), expected("SS_interaction"), 5e-5, "interaction");
    near(float(&found.by_repeat.squares), expected("SS_error"), 5e-5, "repeats");
    let freedom = [&found.by_part, &found.by_person, &found.interaction, &found.by_repeat].map(|one| one.freedom);
    assert_eq!(freedom, [9, 2, 18, 60]);
    let (ratio, p) = found.test.clone().unwrap();
    near(float(&ratio), expected("F_interaction"), 5e-4, "F");
    near(p, expected("p_interaction"), 5e-4, "p");
    assert!(found.pooled, "p is far above a quarter");
    let of = &found.components;
    near(float(&of.repeat), expected("var_repeatability"), 5e-6, "repeatability");
    near(float(&of.reproducibility()), expected("var_reproducibility"), 5e-6, "reproducibility");
    near(float(&of.measuring()), expected("var_GRR"), 5e-6, "measuring");
    near(float(&of.part), expected("var_part"), 1e-5, "parts");
    let whole = float(&of.total());
    for (part, field) in [
        (of.measuring(), "pct_contribution_GRR"),
        (of.repeat.clone(), "pct_contribution_repeatability"),
        (of.reproducibility(), "pct_contribution_reproducibility"),
        (of.part.clone(), "pct_contribution_part"),
    ] {
        near(100.0 * float(&part) / whole, expected(field), 5e-3, field);
    }
    near(100.0 * root(&of.measuring()) / whole.sqrt(), expected("pct_study_GRR"), 5e-3, "of the deviation");
    near(100.0 * root(&of.part) / whole.sqrt(), expected("pct_study_part"), 5e-3, "parts, of the deviation");
    assert_eq!(of.categories(), Some(4), "1.41 · 1.0423 / 0.3024 is 4.86");
}

#[test]
fn the_published_study_to_the_last_digit() {
    let found = study(&published()).unwrap();
    let item = item("aiag-grr-anova");
    let check = |value: f64, field: &str| {
        let expected = item.number("expected", field).to_f64();
        near(value, expected, 1e-9 * expected.abs(), field);
    };
    check(float(&found.by_person.squares), "SS_appraiser");
    check(float(&found.by_part.squares), "SS_part");
    check(float(&found.interaction.squares), "SS_interaction");
    check(float(&found.by_repeat.squares), "SS_error");
    check(float(&found.test.as_ref().unwrap().0), "F_interaction");
    let of = &found.components;
    check(root(&of.repeat), "sd_repeatability");
    check(root(&of.person), "sd_appraiser");
    check(root(&of.measuring()), "sd_GRR");
    check(root(&of.part), "sd_part");
    check(root(&of.total()), "sd_total");
}

/// The number of categories is 1.41 times the ratio of the deviations, and not of its root.
#[test]
fn categories_are_by_the_ratio_itself() {
    let trap = item("ndc-formula-trap");
    let of = |field: &str| Value::from(trap.number("inputs", field)).squared();
    let mut components = study(&published()).unwrap().components;
    (components.part, components.repeat) = (of("PV"), of("GRR"));
    (components.person, components.interaction) = (Value::ZERO, Value::ZERO);
    let right = trap.number("expected", "right").to_f64();
    assert_eq!(components.categories(), Some(right.floor() as u64));
    assert_ne!(components.categories(), Some(trap.number("expected", "wrong").to_f64().floor() as u64));
}

/// A study of so many people, parts and repeats, drawn with known deviations.
struct Drawn {
    people: usize,
    parts: usize,
    repeats: usize,
    /// Of parts, people, both together, repeats.
    deviations: [f64; 4],
}

/// Normal values from a fixed start: the sum of twelve even ones, less six (its first four moments are close enough here).
struct Source(u64);

impl Source {
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.even()).sum::<f64>() - 6.0
    }

    fn even(&mut self) -> f64 {
        // Marsaglia's xorshift, 64 bits.
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

impl Drawn {
    fn draw(&self, source: &mut Source) -> Vec<Vec<Vec<Value>>> {
        let [part, person, both, repeat] = self.deviations;
        let parts: Vec<f64> = (0..self.parts).map(|_| part * source.normal()).collect();
        (0..self.people)
            .map(|_| {
                let off = person * source.normal();
                let one = |of_part: &f64, source: &mut Source| {
                    let together = both * source.normal();
                    let each = |source: &mut Source| {
                        let value = 80.0 + of_part + off + together + repeat * source.normal();
                        // A gauge shows four places.
                        Value::from(Number::ratio((value * 10_000.0).round() as i64, 10_000).unwrap())
                    };
                    (0..self.repeats).map(|_| each(source)).collect()
                };
                parts.iter().map(|of_part| one(of_part, source)).collect()
            })
            .collect()
    }
}

/// The analysis by its closed formulas in binary numbers: totals squared over how many went into them.
fn by_totals(readings: &[Vec<Vec<Value>>]) -> [f64; 4] {
    let data: Vec<Vec<Vec<f64>>> = readings
        .iter()
        .map(|one| one.iter().map(|cell| cell.iter().map(|it| float(it) - 80.0).collect()).collect())
        .collect();
    let (people, parts, repeats) = (data.len() as f64, data[0].len() as f64, data[0][0].len() as f64);
    let all: f64 = data.iter().flatten().flatten().sum();
    let correction = all * all / (people * parts * repeats);
    let squares: f64 = data.iter().flatten().flatten().map(|it| it * it).sum();
    let totals: Vec<Vec<f64>> = data.iter().map(|one| one.iter().map(|cell| cell.iter().sum()).collect()).collect();
    let of_people: f64 = totals.iter().map(|one| one.iter().sum::<f64>().powi(2)).sum::<f64>() / (parts * repeats);
    let of_part = |part: usize| totals.iter().map(|one| one[part]).sum::<f64>().powi(2);
    let of_parts: f64 = (0..totals[0].len()).map(of_part).sum::<f64>() / (people * repeats);
    let of_cells: f64 = totals.iter().flatten().map(|it| it * it).sum::<f64>() / repeats;
    [of_people - correction, of_parts - correction, of_cells - of_people - of_parts + correction, squares - of_cells]
}

fn squares(found: &Study) -> [f64; 4] {
    [&found.by_person, &found.by_part, &found.interaction, &found.by_repeat].map(|one| float(&one.squares))
}

#[test]
fn drawn_studies_agree_with_the_closed_formulas() {
    let mut source = Source(0x9E37_79B9_7F4A_7C15);
    for (people, parts, repeats) in [(2, 2, 2), (2, 5, 3), (3, 10, 3), (4, 7, 2), (5, 3, 6)] {
        let readings = Drawn { people, parts, repeats, deviations: [0.05, 0.02, 0.015, 0.01] }.draw(&mut source);
        let found = study(&readings).unwrap();
        for (ours, theirs) in squares(&found).iter().zip(by_totals(&readings)) {
            near(*ours, theirs, 1e-9, "a sum of squares");
        }
        // The four sums make up the whole, exactly.
        let all: Vec<Value> = readings.iter().flatten().flatten().cloned().collect();
        let whole = all.iter().fold(Value::ZERO, |sum, it| sum.add(&it.subtract(&found.mean).squared()));
        let parts = [&found.by_person, &found.by_part, &found.interaction, &found.by_repeat];
        assert_eq!(parts.iter().fold(Value::ZERO, |sum, one| sum.add(&one.squares)), whole);
    }
}

/// Over many drawn studies the components come to what they were drawn with.
#[test]
fn drawn_studies_find_what_they_were_drawn_with() {
    let deviations = [0.05, 0.03, 0.02, 0.01];
    let drawn = Drawn { people: 6, parts: 8, repeats: 3, deviations };
    let mut source = Source(0x2545_F491_4F6C_DD1D);
    let (mut sums, studies) = ([0.0; 4], 120);
    for _ in 0..studies {
        let of = study(&drawn.draw(&mut source)).unwrap().components;
        for (sum, value) in sums.iter_mut().zip([of.part, of.person, of.interaction, of.repeat]) {
            *sum += float(&value) / f64::from(studies);
        }
    }
    for ((found, drawn), (what, within)) in
        sums.iter().zip(deviations).zip([("parts", 0.15), ("people", 0.2), ("both together", 0.1), ("repeats", 0.03)])
    {
        let expected = drawn * drawn;
        near(*found, expected, within * expected, what);
    }
}

#[test]
fn what_is_no_study_is_refused() {
    let cell = |count: usize| vec![Value::ONE; count];
    assert_eq!(study(&[]), None);
    assert_eq!(study(&[vec![cell(2), cell(2)]]), None, "one person");
    assert_eq!(study(&[vec![cell(2)], vec![cell(2)]]), None, "one part");
    assert_eq!(study(&[vec![cell(1), cell(1)], vec![cell(1), cell(1)]]), None, "once");
    assert_eq!(study(&[vec![cell(2), cell(2)], vec![cell(2), cell(3)]]), None, "unevenly");
    // No scatter at all has no test, and nothing to tell apart.
    let flat = study(&[vec![cell(2), cell(2)], vec![cell(2), cell(2)]]).unwrap();
    assert_eq!((flat.test.clone(), flat.pooled, flat.components.categories()), (None, false, None));
}
