//! Sharp ranges against trying every end, against samples, and against ranges worked out on paper.

use super::*;

/// Readings, and the smallest, largest, mean, sum or spread of some.
fn piece() -> impl Strategy<Value = Own> {
    let words = prop_oneof![Just("smallest"), Just("largest"), Just("spread"), Just("sum"), Just("mean")];
    let readings = proptest::sample::subsequence((0..5).map(Own::Reading).collect::<Vec<_>>(), 2..=4);
    prop_oneof![
        2 => (0_usize..5).prop_map(Own::Reading),
        1 => (1_u8..40).prop_map(Own::Literal),
        3 => (words, readings).prop_map(|(word, values)| Own::Of(word, values)),
    ]
}

/// Sums and differences of pieces, some of them over what is never zero.
fn linear() -> impl Strategy<Value = Own> {
    let two = |sign: char, left: Own, right: Own| Own::Two(sign, Box::new(left), Box::new(right));
    let signs = || prop_oneof![Just('+'), Just('-')];
    let above = (signs(), piece(), piece(), proptest::option::of((signs(), piece()))).prop_map(
        move |(sign, left, right, more)| {
            let first = two(sign, left, right);
            match more {
                Some((sign, piece)) => two(sign, first, piece),
                None => first,
            }
        },
    );
    // Never zero: all but `a` are above it.
    let positive = proptest::sample::subsequence((1..5).map(Own::Reading).collect::<Vec<_>>(), 2..=3);
    let words = prop_oneof![Just("smallest"), Just("largest"), Just("sum"), Just("mean")];
    let below = (words, positive).prop_map(|(word, values)| Own::Of(word, values));
    (above, proptest::option::of(below)).prop_map(move |(above, below)| match below {
        Some(below) => two('/', above, below),
        None => above,
    })
}

/// Every choice of ends: each reading at each end of any of them that lies in its own range.
fn grid() -> Vec<Vec<i64>> {
    let mut ends: Vec<i64> = READINGS.iter().flat_map(|(_, low, high)| [*low, *high]).collect();
    ends.sort_unstable();
    ends.dedup();
    let mut all = vec![Vec::new()];
    for (_, low, high) in READINGS {
        let own: Vec<i64> = ends.iter().copied().filter(|end| (low..=high).contains(end)).collect();
        let longer = |before: &Vec<i64>| {
            let before = before.clone();
            own.iter().map(move |end| before.iter().copied().chain([*end]).collect::<Vec<i64>>()).collect::<Vec<_>>()
        };
        all = all.iter().flat_map(longer).collect();
    }
    all
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, ..ProptestConfig::default() })]

    #[test]
    fn sharp_ends_are_the_furthest_of_all_choices_of_ends(
        expression in linear(),
        shares in proptest::collection::vec(proptest::collection::vec(0_i64..=100, 5), 40),
    ) {
        let worth = worth_of(&expression.text());
        prop_assert!(worth.looseness().is_none(), "{} is not sharp: {:?}", expression.text(), worth.band);
        let values: Vec<RBig> = grid().iter().map(|tenths| expression.value(tenths).unwrap()).collect();
        let ends = [(&worth.band.low, values.iter().min().unwrap()), (&worth.band.high, values.iter().max().unwrap())];
        for (end, reached) in ends {
            let Some(reached) = as_value(reached) else { continue };
            let end = end.as_ref().expect("an end that is reached is there");
            prop_assert_eq!(end.value.compare(&reached), Some(Ordering::Equal), "{}: {:?}", expression.text(), end);
            prop_assert!(end.closed);
        }
        for share in &shares {
            let tenths: Vec<i64> =
                share.iter().zip(READINGS).map(|(share, (_, low, high))| low + (high - low) * share / 100).collect();
            let value = expression.value(&tenths).unwrap();
            if let Some(own) = as_value(&value) {
                prop_assert_eq!(worth.band.locate(&own), Side::Inside, "{} at {:?}", expression.text(), tenths);
            }
        }
    }

    #[test]
    fn a_sine_over_a_range_is_what_its_angles_give(low in -800_i32..800, width in 0_i32..500, word in 0_usize..3) {
        let (name, of): (&str, fn(f64) -> f64) =
            [("sin", f64::sin as fn(f64) -> f64), ("cos", f64::cos), ("tan", f64::tan)][word];
        let (low, high) = (f64::from(low), f64::from(low + width));
        let worth = worth_of_angle(&format!("{name}(angle)"), low, high);
        let samples: Vec<f64> = (0..=2_000).map(|at| of((low + (high - low) * f64::from(at) / 2_000.0).to_radians())).collect();
        let (least, most) = samples.iter().fold((f64::MAX, f64::MIN), |(least, most), x| (least.min(*x), most.max(*x)));
        let end = |end: &Option<crate::quantity::End>| end.as_ref().map(|end| end.value.midpoint().to_f64());
        match (end(&worth.band.low), end(&worth.band.high)) {
            (Some(first), Some(last)) => {
                // Printed to 2,000 steps of at most a quarter of a degree, a crest is missed by less than this.
                let near = if name == "tan" { 1e-9 * (1.0 + least.abs().max(most.abs())) } else { 1e-5 };
                prop_assert!(first <= least + 1e-12 * (1.0 + least.abs()) && most <= last + 1e-12 * (1.0 + most.abs()), "{first} to {last}, {least} to {most}");
                prop_assert!(least - first < near && last - most < near, "{first} to {last}, {least} to {most}");
                prop_assert!(worth.looseness().is_none());
            }
            // A tangent runs away at a quarter turn.
            _ => {
                let poles = (-10..=10).map(|turn| 90.0 + 180.0 * f64::from(turn));
                prop_assert!(name == "tan" && poles.into_iter().any(|pole| low <= pole && pole <= high));
            }
        }
    }
}

fn worth_of_angle(expression: &str, low: f64, high: f64) -> Worth {
    let book = book_of(&format!(
        "rulebook \"b\" edition 2026-01-01\nunit deg = pi / 180 * 1 rad\npart root {{\n  angle : deg\n  derive d : number = {expression}\n}}\n\
         generation g \"g\" {{\n  angle standard {low} to {high} deg {{ from memory }}\n}}\n"
    ));
    let generation = book.generations.iter().next().unwrap();
    let (id, _) = book.characteristics.entries().find(|(_, one)| &*one.name == "d").unwrap();
    Stacks::new(&book, generation).of(id, None).unwrap()
}

#[test]
fn sharp_ranges_worked_out_on_paper() {
    for (expression, low, high) in [
        // Both of a list of two: the spread, and the half of it.
        ("largest of w - smallest of w", "0", "3"),
        ("largest of w - mean of w", "0", "1.5"),
        ("w.p - mean of w", "-1.5", "1.5"),
        ("mean of w - smallest of w", "0", "1.5"),
        // Of three values in a range R the largest is at most R (n - 1) / n above the mean.
        ("largest of (w.p, w.q, b) - mean of (w.p, w.q, b)", "0", "7 / 3"),
        // A share of a whole: 1 of 1 + 2 and 4 of 4 + 0.5.
        ("b / (b + c)", "1 / 3", "8 / 9"),
        ("c / (b + c)", "1 / 9", "2 / 3"),
        ("(b - c) / (b + c)", "-1 / 3", "7 / 9"),
        ("(w.p - w.q) / mean of w", "-6 / 7", "6 / 7"),
        ("(largest of w - smallest of w) / mean of w", "0", "6 / 7"),
        // x (1 - x), the example with which interval arithmetic is usually shown to be too wide (Moore, Kearfott and Cloud,
        // Introduction to Interval Analysis, 2009; the page from memory): its vertex is at a half.
        ("a * (1 - a)", "-6", "1 / 4"),
        ("b ^ 2 - b * c", "-1", "14"),
        ("sqrt(w.p / w.p)", "1", "1"),
        ("abs(b - b)", "0", "0"),
        ("w.p * c - w.q * c", "-6", "6"),
    ] {
        let worth = worth_of(expression);
        let value = |text: &str| {
            let (above, below) = text.split_once(" / ").unwrap_or((text, "1"));
            let number = |text: &str| Value::from(Number::parse(text).unwrap());
            number(above).divide(&number(below)).unwrap()
        };
        let ends = [(&worth.band.low, low), (&worth.band.high, high)];
        for (end, expected) in ends {
            let end = end.as_ref().unwrap_or_else(|| panic!("{expression}: {:?}", worth.band));
            assert_eq!(end.value.compare(&value(expected)), Some(Ordering::Equal), "{expression}: {:?}", worth.band);
            assert!(end.closed, "{expression}");
        }
        assert!(worth.looseness().is_none(), "{expression}: {:?}", worth.looseness());
    }
}

#[test]
fn angles_in_one_piece_are_exact() {
    for (expression, low, high, expected) in [
        ("sin(angle)", 0.0, 30.0, ("0", "0.5")),
        ("sin(angle)", 30.0, 150.0, ("0.5", "1")),
        ("sin(angle)", 90.0, 150.0, ("0.5", "1")),
        ("cos(angle)", 0.0, 60.0, ("0.5", "1")),
        ("cos(angle)", 60.0, 300.0, ("-1", "0.5")),
        ("sin(angle) - sin(angle)", 0.0, 80.0, ("0", "0")),
        ("sin(angle) / (1 + sin(angle))", 0.0, 90.0, ("0", "0.5")),
    ] {
        let worth = worth_of_angle(expression, low, high);
        let near = |end: &Option<crate::quantity::End>, expected: &str| {
            let value = end.as_ref().unwrap().value.enclosure();
            let expected = Number::parse(expected).unwrap();
            value.low <= expected && expected <= value.high
        };
        assert!(
            near(&worth.band.low, expected.0) && near(&worth.band.high, expected.1),
            "{expression} {:?}",
            worth.band
        );
        assert!(worth.looseness().is_none(), "{expression}");
    }
}

#[test]
fn what_is_not_proved_to_be_reached_is_not_said_to_be() {
    for expression in ["a * sin(a)", "round(a, 2) - a", "a ^ 3 - a", "b / a", "a ^ 2 * b ^ 2 - a * b"] {
        assert!(worth_of(expression).looseness().is_some(), "{expression}");
    }
}

#[test]
fn a_list_of_any_length_is_bounded_by_its_own_ends() {
    let worth = |count: &str, expression: &str| {
        let book = book_of(&format!(
            "rulebook \"b\" edition 2026-01-01\npart root {{\n  w : number, {count}\n  derive d : number = {expression}\n}}\n\
             generation g \"g\" {{\n  each of w standard 2 to 5 {{ from memory }}\n}}\n"
        ));
        let generation = book.generations.iter().next().unwrap();
        let (id, _) = book.characteristics.entries().find(|(_, one)| &*one.name == "d").unwrap();
        Stacks::new(&book, generation).of(id, None).unwrap()
    };
    let spread = worth("2 readings or more", "largest of w - smallest of w");
    assert_eq!((spread.band.clone(), spread.looseness().is_none()), (numbers("0", "3"), true));
    // The more readings there are, the nearer the mean may lie to the smallest: never there.
    let above = worth("2 readings or more", "largest of w - mean of w");
    assert_eq!((above.band.clone(), above.looseness().is_some()), (numbers("0", "3"), true));
    let above = worth("exactly 3 readings", "largest of w - mean of w");
    assert_eq!((above.band.clone(), above.looseness().is_none()), (numbers("0", "2"), true));
    assert!(worth("2 readings or more", "sum of w - largest of w").looseness().is_some());
}
