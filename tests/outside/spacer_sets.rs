//! Where no spacer of a set brings the end play into its band, the sheet says so, and what to do instead.
//!
//! Sources: the sets as the rows of the shipped books name them; that end play grows by what the spacer is thicker is
//! arithmetic, done here once more.

use super::trade_arithmetic::told;
use super::weighing::checked;
use trochoid::judge::Grade;
use trochoid::shop::Shop;

/// A set of spacers; thicknesses and the band of the end play in thousandths of a millimetre.
struct Set {
    generation: &'static str,
    thick: [i64; 5],
    band: (i64, i64),
    /// The thinnest and the thickest, as the remedy names them.
    ends: [&'static str; 2],
}

const SETS: [Set; 2] = [
    Set {
        generation: "boosted_2mm",
        thick: [8000, 8020, 8040, 8060, 8080],
        band: (40, 70),
        ends: ["K 8.00", "X 8.08"],
    },
    Set {
        generation: "side_exhaust",
        thick: [7985, 8005, 8025, 8045, 8065],
        band: (40, 90),
        ends: ["A 7.985", "E 8.065"],
    },
];

#[test]
fn the_sheet_says_when_no_spacer_of_the_set_reaches() {
    let shop = Shop::shipped();
    let (mut reached, mut short) = (0, 0);
    for Set { generation, thick: set, band: (low, high), ends: [thinnest, thickest] } in SETS {
        for has in set {
            for play in [20, 30, 100, 120, 150, 180, 250] {
                let record = format!(
                    "generation: {generation}\nend_play: 0.{play:03} mm\nspacer_thickness: {}.{:03} mm\n",
                    has / 1000,
                    has % 1000
                );
                let found = checked(&shop, &record);
                let row = told(&found, "end_play_after_spacer");
                let reaches = set.iter().any(|spacer| (low..=high).contains(&(play + spacer - has)));
                assert_eq!(row.grade == Grade::Good, reaches, "{record}");
                if reaches {
                    reached += 1;
                    continue;
                }
                let best = if play > high { set[0] } else { set[4] };
                let left = format!("0.{:03}", play + best - has);
                let left = left.trim_end_matches('0');
                assert!(row.value.as_deref().unwrap().starts_with(left), "{record}: {:?}, not {left}", row.value);
                assert!(row.because.as_deref().unwrap().starts_with("No spacer of the set fits"), "{:?}", row.because);
                let remedy = row.remedy.as_deref().unwrap();
                assert!(remedy.contains(thinnest) && remedy.contains(thickest), "{remedy}");
                assert!(remedy.contains("have a spacer ground thinner"), "{remedy}");
                assert!(row.message.as_deref().unwrap().contains("end play after spacer"), "{:?}", row.message);
                short += 1;
            }
        }
        let inside =
            checked(&shop, &format!("generation: {generation}\nend_play: 0.05 mm\nspacer_thickness: 8.00 mm\n"));
        assert!(inside.rulings.iter().all(|told| told.path != "end_play_after_spacer"), "it needs no other spacer");
    }
    assert!(reached > 20 && short > 20, "{reached} {short}");
}

/// Every generation that looks for a spacer says when none reaches, and names both ends of its set.
#[test]
fn whoever_looks_for_a_spacer_says_when_the_set_ends() {
    let book = Shop::shipped().book.clone();
    let mut with_a_set = 0;
    for generation in book.generations.iter().filter(|generation| !generation.basis) {
        let rows = |path: &str| generation.rows.iter().filter(|row| &*row.path == path).count();
        let looks = rows("engine.spacer_change");
        assert_eq!(rows("engine.end_play_after_spacer"), usize::from(looks > 0), "{}", generation.name);
        with_a_set += usize::from(looks == 5);
    }
    assert!(with_a_set >= 6, "{with_a_set}");
}
