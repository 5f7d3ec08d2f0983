//! How long books take to compile: the shipped ones from nothing, and generated ones of thousands of rows, with the
//! power of the number of rows that the time grows by.

use super::best;
use std::fmt::Write;
use std::hint::black_box;
use trochoid::shop::Shop;
use trochoid::text::Source;

/// Readings in each part of a generated book.
const EACH_PART: usize = 20;

/// A book of an invented machine with so many rows: half stand in a basis, half in the generation that follows it, which
/// replaces one in ten of those it inherits; a house tightens one in ten of all. Rows have units, conditions, sentences and sources, as a shop writes them.
pub fn book(rows: usize) -> Source {
    let mut text = String::from(
        "rulebook \"Generated\" edition 2026-03-01\n\
         unit mm = 0.001 m\n\
         unit thou = 0.0000254 m\n\
         choice use_of_it = street, race\n\
         source sheet \"Generated bench sheet (invented)\"\n\
         part machine {\n    duty : use_of_it\n",
    );
    for reading in 0..rows {
        if reading.is_multiple_of(EACH_PART) {
            let close = if reading == 0 { "" } else { "    }\n" };
            let _ = writeln!(text, "{close}    part p{} {{", reading / EACH_PART);
        }
        let _ = writeln!(text, "        r{reading} : mm");
        if reading % 4 == 1 {
            let _ = writeln!(text, "        derive d{reading} : mm = r{reading} - r{}", reading - 1);
        }
    }
    text.push_str("    }\n}\nbasis common \"what all have\" {\n");
    let half = rows / 2;
    for number in 0..half {
        row(&mut text, "", number);
    }
    text.push_str("}\ngeneration late \"the later ones\" follows common {\n");
    let replaced = half / 10;
    for number in 0..replaced {
        row(&mut text, "replace ", number * 10);
    }
    for number in half..rows - replaced {
        row(&mut text, "", number);
    }
    text.push_str("}\nhouse \"Generated shop\" {\n    for late {\n");
    for number in (3..rows - replaced).step_by(10) {
        let _ = writeln!(text, "        tighten {} limit at most 11 thou", path(number));
    }
    text.push_str("    }\n}\n");
    Source::new("generated.rulebook", text)
}

/// Which reading or derived value a row is about.
fn path(number: usize) -> String {
    let name = if number % 4 == 1 { "d" } else { "r" };
    format!("p{}.{name}{number}", number / EACH_PART)
}

fn row(text: &mut String, word: &str, number: usize) {
    let condition = if number.is_multiple_of(5) { " where duty is street" } else { "" };
    let _ = writeln!(
        text,
        "    {word}{} standard 0.10 to 0.{} mm limit at most 12 thou{condition} {{\n        \
         because \"Row {number} of a generated book.\"\n        from sheet \"row {number}\"\n    }}",
        path(number),
        15 + number % 10
    );
}

/// The slope of the line of least squares through the logarithms: the power by which the second grows with the first.
pub fn exponent(points: &[(f64, f64)]) -> f64 {
    let count = points.len() as f64;
    let logarithms: Vec<(f64, f64)> = points.iter().map(|(x, y)| (x.ln(), y.ln())).collect();
    let mean_x = logarithms.iter().map(|(x, _)| x).sum::<f64>() / count;
    let mean_y = logarithms.iter().map(|(_, y)| y).sum::<f64>() / count;
    let above: f64 = logarithms.iter().map(|(x, y)| (x - mean_x) * (y - mean_y)).sum();
    let below: f64 = logarithms.iter().map(|(x, _)| (x - mean_x).powi(2)).sum();
    above / below
}

/// Plans are written out when they are asked for.
fn every_plan(shop: &Shop) {
    shop.book.generations.ids().for_each(|id| {
        black_box(shop.plan(id));
    });
}

/// Prints the figures of compiling: meaning and plans, and for generated books reading too, as opening a shop does it.
pub fn figures(smoke: bool) {
    let square: Vec<(f64, f64)> = [1.0, 2.0, 5.0, 10.0].iter().map(|x: &f64| (*x, 3.0 * x * x)).collect();
    assert!((exponent(&square) - 2.0).abs() < 1e-9, "the fit does not find the power of a square");

    let shipped = best(if smoke { 1 } else { 20 }, || {
        every_plan(&Shop::shipped());
    });
    println!("the shipped books, cold: {:.1} ms", shipped.as_secs_f64() * 1e3);
    let (sizes, runs): (&[usize], usize) = if smoke { (&[100, 200], 1) } else { (&[1_000, 2_000, 5_000, 10_000], 5) };
    let mut points = Vec::new();
    for rows in sizes {
        let source = book(*rows);
        let shop = Shop::of_sources(std::slice::from_ref(&source));
        assert!(shop.findings().is_empty(), "{:?}", shop.findings().first());
        let written: usize = shop.book.generations.iter().map(|generation| generation.rows.len()).max().unwrap_or(0);
        assert_eq!(written, rows - rows / 20, "the generated book has the wrong number of rows");
        let time = best(runs, || {
            every_plan(&Shop::of_sources(std::slice::from_ref(&source)));
        });
        println!("a book of {rows} rows, {} kB: {:.1} ms", source.text().len() / 1024, time.as_secs_f64() * 1e3);
        points.push((*rows as f64, time.as_secs_f64()));
    }
    println!("compiling grows with the rows to the power of {:.2}", exponent(&points));
}
