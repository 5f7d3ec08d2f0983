//! What the shipped books decide by marks, eras, letters, counts and second looks, where each text draws the line.
//!
//! Sources: the workshop and service manuals, the dealer criteria and the trade pages that each row names; where two texts
//! treat the equal case otherwise, both are checked.

use super::trade_arithmetic::{grade, told};
use super::weighing::checked;
use trochoid::judge::Grade;
use trochoid::shop::Shop;

#[test]
fn a_spacer_is_of_its_engines_set_and_as_thick_as_its_mark() {
    let shop = Shop::shipped();
    let spacer = |generation: &str, mark: &str, thickness: &str| {
        let record = format!("generation: {generation}\nspacer: {mark}\nspacer_thickness: {thickness} mm\n");
        let found = checked(&shop, &record);
        let thickness = found.rulings.iter().find(|told| told.path == "spacer_thickness").map(|told| told.grade);
        (grade(&found, "spacer"), thickness)
    };
    assert_eq!(spacer("side_exhaust", "B", "8.005"), (Grade::Good, Some(Grade::Good)));
    assert_eq!(spacer("side_exhaust", "B", "8.025"), (Grade::Good, Some(Grade::Out)));
    assert_eq!(spacer("side_exhaust", "Z", "8.02"), (Grade::Out, None));
    assert_eq!(spacer("boosted_2mm", "Z", "8.02"), (Grade::Good, Some(Grade::Good)));
    assert_eq!(spacer("boosted_2mm", "B", "8.005"), (Grade::Out, None));
}

#[test]
fn the_tip_stands_back_as_its_casting_era_wants() {
    let shop = Shop::shipped();
    let apex = |era: &str, thousandths: f64| {
        let tip = 3.143 - thousandths / 1000.0;
        let record = format!(
            "generation: cast_2mm\nrotor: {{ front: {{ casting: {era}, apex: {{ 1: {{ land_height: 3.1430 in, tip_height: {tip:.4} in }} }} }} }}\n"
        );
        grade(&checked(&shop, &record), "rotor.front.apex.1.tip_relief")
    };
    for (era, thousandths, wanted) in [
        ("early", 4.0, Grade::Good),
        ("early", 6.0, Grade::Good),
        ("early", 3.9, Grade::Out),
        // Too far back only leaks: worn, and out past what race rotors are relieved.
        ("early", 6.1, Grade::Worn),
        ("early", 12.0, Grade::Worn),
        ("early", 12.1, Grade::Out),
        ("early", -1.0, Grade::Out),
        ("late", 5.9, Grade::Out),
        ("late", 6.0, Grade::Good),
        ("late", 8.0, Grade::Good),
        ("late", 8.1, Grade::Worn),
        ("late", 12.1, Grade::Out),
    ] {
        assert_eq!(apex(era, thousandths), wanted, "{era}, {thousandths}");
    }
}

/// Three letter codes, each read as itself; a seal number belongs to its rank and a seal's size to its rotor's.
#[test]
fn three_letter_codes_are_never_taken_for_each_other() {
    let shop = Shop::shipped();
    let rotor = |rank: &str, seal: u8, size: &str| {
        checked(
            &shop,
            &format!(
                "generation: side_exhaust\nrotor: {{ front: {{ weight_class: C, side_seal_rank: {rank}, corner_seal_size: S,
  side: {{ gear: {{ side_seal: {{ 1: {{ seal_number: {seal} }} }}, corner_seal: {{ 1: {{ size: {size} }} }} }} }} }},
  rear: {{ weight_class: D }} }}\n"
            ),
        )
    };
    for (ranks, seal) in [("FGHI", 1), ("JKLM", 2), ("NOPQ", 3), ("RSTU", 4), ("VWXY", 5)] {
        for rank in ranks.chars() {
            // YAML 1.1 reads a bare N or Y as no or yes.
            let rank = format!("\"{rank}\"");
            let path = "rotor.front.side.gear.side_seal.1.seal_number";
            assert_eq!(grade(&rotor(&rank, seal, "S"), path), Grade::Good, "{rank}");
            assert_eq!(grade(&rotor(&rank, seal % 5 + 1, "S"), path), Grade::Out, "{rank}");
        }
    }
    let path = "rotor.front.side.gear.corner_seal.1.size";
    assert_eq!(grade(&rotor("G", 1, "S"), path), Grade::Good);
    assert_eq!(grade(&rotor("G", 1, "L"), path), Grade::Out);
    assert_eq!(grade(&rotor("G", 1, "S"), "letter_gap"), Grade::Good, "C and D are neighbours, whatever the ranks");
}

/// Nicks of an oil seal, by length or by count: the equal case is another in each text.
#[test]
fn nicks_count_by_length_or_by_number() {
    let shop = Shop::shipped();
    let seal = |generation: &str, length: &str, count: u8| {
        let record = format!(
            "generation: {generation}\nrotor: {{ front: {{ side: {{ gear: {{ oil_seal: {{ inner: {{ chip_length: {length} mm, chip_count: {count} }} }} }} }} }} }}\n"
        );
        let found = checked(&shop, &record);
        let path = |what: &str| format!("rotor.front.side.gear.oil_seal.inner.{what}");
        [grade(&found, &path("chip_length")), grade(&found, &path("chip_count"))]
    };
    assert_eq!(seal("narrow_3mm", "2.5", 10), [Grade::Good, Grade::Good], "only above 10");
    assert_eq!(seal("side_exhaust", "2.5", 10), [Grade::Good, Grade::Out], "at 10 or more");
    assert_eq!(seal("side_exhaust", "2.6", 9), [Grade::Out, Grade::Good]);
    let counted = |what: &str, number: u8| {
        let record = format!("generation: boosted_2mm\n{}\n", what.replace('#', &number.to_string()));
        let found = checked(&shop, &record);
        found.rulings.iter().find(|told| told.path.ends_with("_complete")).unwrap().grade
    };
    let pins = "rotor: { front: { gear_pins: # } }";
    assert_eq!([8, 9, 10, 12].map(|number| counted(pins, number)), [Grade::Out, Grade::Good, Grade::Out, Grade::Good]);
    let studs = "fasteners: { studs: # }";
    assert_eq!([0, 1, 15, 16].map(|number| counted(studs, number)), [Grade::Good, Grade::Out, Grade::Out, Grade::Good]);
}

/// First with the used seal, then with a new one; first as found, then with the gear tapped home. The first look says what
/// to do next and never fails a build, the second decides.
#[test]
fn the_first_of_two_looks_says_what_to_do_and_the_second_decides() {
    let shop = Shop::shipped();
    let slot = |second: &str| {
        let record = format!(
            "generation: cast_2mm\nrotor: {{ front: {{ apex_seal: {{ 1: {{ used_slot_clearance: 0.17 mm{second} }} }} }} }}\n"
        );
        let found = checked(&shop, &record);
        let first = told(&found, "rotor.front.apex_seal.1.used_slot_clearance");
        assert!(first.advisory && first.grade == Grade::Out);
        assert!(first.remedy.as_deref().unwrap().contains("with a new seal"));
        grade(&found, "rotor.front.apex_seal.1.slot_clearance")
    };
    assert_eq!(slot(""), Grade::Unmeasured);
    assert_eq!(slot(", slot_clearance: 0.09 mm"), Grade::Good);
    assert_eq!(slot(", slot_clearance: 0.16 mm"), Grade::Out);
    let side = |second: &str| {
        let record = format!(
            "generation: cast_2mm\nhousing: {{ front: {{ width: {{ plug_side: 80.00 mm }} }} }}\n\
             rotor: {{ front: {{ width_as_found: [79.92 mm, 79.93 mm]{second} }} }}\n"
        );
        let found = checked(&shop, &record);
        let first = told(&found, "rotor.front.side_clearance_as_found");
        assert!(
            first.advisory && first.grade == Grade::Out && first.remedy.as_deref().unwrap().contains("soft hammer")
        );
        grade(&found, "rotor.front.side_clearance")
    };
    assert_eq!(side(""), Grade::Unmeasured);
    assert_eq!(side(", width: [79.88 mm, 79.89 mm]"), Grade::Good);
    assert_eq!(side(", width: [79.91 mm, 79.91 mm]"), Grade::Out);
}
