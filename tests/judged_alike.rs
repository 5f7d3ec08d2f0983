//! What judging skips at one look, and what it does not keep, changes no verdict: records of every kind, some of their lines
//! taken out or unknown, judged with every short way and without.

use super::mutations::Dice;
use std::path::Path;
use trochoid::judge::{self, Grade, Verdict};
use trochoid::plan::Gate;
use trochoid::record::Record;
use trochoid::shop::Shops;
use trochoid::text::Source;

/// Of each record so many are made.
const VARIED: u64 = 10;

/// The record without a word on how its readings were taken.
fn plain(text: &str) -> String {
    let mut pieces = text.split("{ value: ");
    let mut plain = pieces.next().unwrap().to_owned();
    for piece in pieces {
        let (reading, rest) = piece.split_once('}').unwrap();
        let end = if reading.starts_with('[') {
            reading.find(']').unwrap() + 1
        } else {
            reading.find(',').unwrap_or(reading.len())
        };
        plain.push_str(reading[..end].trim_end());
        plain.push_str(rest);
    }
    plain
}

/// The record with some of its readings taken out, and some unknown.
fn varied(text: &str, seed: u64) -> String {
    let mut dice = Dice(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1);
    let lines = text.lines().filter_map(|line| {
        let reading = line.starts_with(' ') && line.contains(": ") && !line.contains(['{', '[']);
        match dice.below(12) {
            0 if reading => None,
            1 if reading => line.split_once(": ").map(|(key, _)| format!("{key}: unknown")),
            _ => Some(line.to_owned()),
        }
    });
    lines.collect::<Vec<_>>().join("\n")
}

fn written(verdict: &Verdict, without_good: bool) -> String {
    let rulings = verdict.rulings.iter().filter(|ruling| !without_good || ruling.grade != Grade::Good);
    let rulings: Vec<String> = rulings.map(|ruling| format!("{ruling:?}")).collect();
    let Verdict { grade, counts, skipped, findings, .. } = verdict;
    format!("{grade:?} {counts:?} {skipped} {findings:?}\n{}", rulings.join("\n"))
}

#[test]
fn a_short_way_leads_to_the_same_verdict() {
    let (mut shut, mut plain_ones, mut not_kept, mut judged) = (0, 0, 0, 0);
    let (mut conditions, mut conditional) = (0, 0);
    let shops = Shops::new(None);
    let (records, _) = trochoid::disk::records_below(&Path::new(env!("CARGO_MANIFEST_DIR")).join("examples"));
    for path in records {
        let text = std::fs::read_to_string(&path).unwrap();
        let shop = shops.of(&path);
        for seed in 0..VARIED {
            let text = if seed % 2 == 0 { text.clone() } else { plain(&text) };
            let text = if seed < 2 { text } else { varied(&text, seed) };
            let record = Record::of(Source::new(path.to_string_lossy(), text));
            let Some(sheet) = &record.sheet else { continue };
            let (readings, _) = shop.readings(sheet, &record.source, None);
            let Some(plan) = readings.generation.and_then(|generation| shop.plan(generation)) else { continue };
            let mut open = plan.clone();
            open.gates.fill(Gate::Open);
            let all = judge::judge(&shop.book, &open, &readings);
            let gated = judge::judge(&shop.book, plan, &readings);
            let faults = judge::judge_for_faults(&shop.book, plan, &readings);
            assert_eq!(written(&gated, false), written(&all, false), "{} {seed}", path.display());
            assert_eq!(written(&faults, true), written(&all, true), "{} {seed}", path.display());
            shut += plan.gates.iter().filter(|gate| **gate != Gate::Open).count().min(all.skipped);
            plain_ones += plan.plain.iter().flatten().count();
            conditions += plan.condition_count;
            conditional += plan.checks.iter().filter(|check| check.condition.is_some()).count();
            not_kept += all.rulings.len() - faults.rulings.len();
            judged += 1;
        }
    }
    // The short ways were gone.
    assert!(judged > 200 && shut > 10_000, "{judged} judged, {shut} shut");
    assert!(conditional > 2 * conditions, "{conditional} rows share {conditions} conditions");
    assert!(plain_ones > 10_000 && not_kept > 5_000, "{plain_ones} plain, {not_kept} not kept");
}
