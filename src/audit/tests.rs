//! How builds move when a rule does, on a book of pumps.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    reason = "a test may stop at the first surprise"
)]

use super::*;
use crate::record::Record;
use crate::shop::Shop;
use crate::text::Source;
use proptest::prelude::*;
use std::sync::Arc;

const HEAD: &str = "rulebook \"An invented pump\" edition 2026-03-01
unit mm = 0.001 m
part pump {
    gap at a, b : mm
    vane  : mm
    spare : mm, optional
}
generation small \"20 mm gears\" {
";

fn shop(rows: &str) -> Arc<Shop> {
    let shop = Shop::of_sources(&[Source::new("pump.rulebook", format!("{HEAD}{rows}\n}}\n"))]);
    assert!(shop.is_sound(), "{:?}", shop.findings());
    Arc::new(shop)
}

fn audit(before: &str, after: &str, record: &str) -> Audited {
    let source = Source::new("builds/P-1.yaml", format!("build: P-1\ngeneration: small\n{record}"));
    Comparison::new(shop(before), shop(after)).audit(&Record::of(source), (None, None), false)
}

const RECORD: &str = "gap: { a: 0.11 mm, b: 0.15 mm }\nvane: 2 mm\n";

#[test]
fn a_tightened_limit_fails_what_passed_and_says_where_it_stood() {
    let audited = audit(
        "each of pump.gap standard at most 0.12 mm limit at most 0.20 mm\npump.vane limit at least 1.9 mm",
        "pump.vane limit at least 1.9 mm\neach of pump.gap standard at most 0.10 mm limit at most 0.14 mm",
        RECORD,
    );
    assert_eq!((audited.before, audited.after), (Some(Grade::Worn), Some(Grade::Out)));
    assert_eq!((audited.fate(), audited.same), (Fate::FailsNow, 1));
    let moves: Vec<_> = audited.moves.iter().map(|one| (one.key.as_str(), one.kind)).collect();
    assert_eq!(moves, [("gap.b", MoveKind::NewlyFails), ("gap.a", MoveKind::Worse)]);
    let (before, after) = (audited.moves[0].before.as_ref().unwrap(), audited.moves[0].after.as_ref().unwrap());
    assert_eq!((before.limit.as_deref(), before.room.as_deref()), (Some("at most 0.20 mm"), Some("0.05 mm")));
    assert_eq!((after.limit.as_deref(), after.room.as_deref()), (Some("at most 0.14 mm"), None));
    assert_eq!(after.beyond.as_deref(), Some("0.01 mm over"));
}

#[test]
fn what_was_not_asked_for_and_what_is_not_any_more() {
    let both = "pump.vane limit at least 1.9 mm";
    let asked = audit(both, &format!("{both}\neach of pump.gap limit at most 0.12 mm"), RECORD);
    assert_eq!(asked.fate(), Fate::FailsNow);
    // Newly asked and good is nothing to act on.
    assert_eq!(
        asked.moves.iter().map(|one| (one.key.as_str(), one.kind)).collect::<Vec<_>>(),
        [("gap.b", MoveKind::NewlyAsked)]
    );
    assert!(asked.moves[0].before.is_none());
    let dropped = audit(&format!("{both}\neach of pump.gap limit at most 0.12 mm"), both, RECORD);
    assert_eq!((dropped.fate(), dropped.moves[0].kind), (Fate::PassesNow, MoveKind::NoLongerAsked));
    assert!(dropped.moves[0].after.is_none());
}

#[test]
fn what_fails_still_is_told_only_where_its_range_moved() {
    let before = "each of pump.gap limit at most 0.10 mm\npump.vane limit at least 1.9 mm";
    let still = audit(before, before, RECORD);
    assert_eq!((still.fate(), still.moves.len(), still.same), (Fate::FailsStill, 0, 3));
    let moved = audit(before, "each of pump.gap limit at most 0.09 mm\npump.vane limit at least 1.9 mm", RECORD);
    assert_eq!((moved.fate(), moved.count(MoveKind::StillFails)), (Fate::FailsOtherwise, 2));
}

#[test]
fn a_record_one_side_does_not_know_is_not_judged() {
    let source = Source::new("builds/P-1.yaml", "build: P-1\ngeneration: large\nvane: 2 mm\n");
    let rows = "pump.vane limit at least 1.9 mm";
    let audited = Comparison::new(shop(rows), shop(rows)).audit(&Record::of(source), (None, None), false);
    assert_eq!((audited.fate(), audited.build.as_str()), (Fate::NotJudged, "P-1"));
    assert!(audited.findings.iter().any(Finding::is_error));
}

#[test]
fn an_advisory_row_fails_no_build() {
    let rows =
        |most: &str| format!("pump.vane limit at most {most} mm advisory\neach of pump.gap limit at most 0.2 mm");
    let audited = audit(&rows("3"), &rows("1"), RECORD);
    assert_eq!((audited.after, audited.fate()), (Some(Grade::Worn), Fate::PassesOtherwise));
    assert_eq!(audited.moves[0].kind, MoveKind::Worse);
}

proptest! {
    /// Against the plain way: each record judged twice by itself.
    #[test]
    fn an_audit_comes_to_what_two_checks_come_to(
        limits in proptest::array::uniform4(1_u32..20),
        taken in proptest::array::uniform3(1_u32..20),
    ) {
        let rows = |gap: u32, vane: u32| {
            format!("each of pump.gap limit at most 0.{gap:02} mm\npump.vane limit at most 0.{vane:02} mm")
        };
        let (before, after) = (rows(limits[0], limits[1]), rows(limits[2], limits[3]));
        let record = format!(
            "gap: {{ a: 0.{:02} mm, b: 0.{:02} mm }}\nvane: 0.{:02} mm\n", taken[0], taken[1], taken[2]
        );
        let audited = audit(&before, &after, &record);
        // By hand: over its limit or not.
        let fails = |value: u32, limit: u32| value > limit;
        let mut moved = [0_usize; 3];
        let mut same = 0;
        for (value, old, new) in
            [(taken[0], limits[0], limits[2]), (taken[1], limits[0], limits[2]), (taken[2], limits[1], limits[3])]
        {
            match (fails(value, old), fails(value, new)) {
                (false, true) => moved[0] += 1,
                (true, false) => moved[1] += 1,
                (true, true) if old != new => moved[2] += 1,
                _ => same += 1,
            }
        }
        prop_assert_eq!(audited.count(MoveKind::NewlyFails), moved[0]);
        prop_assert_eq!(audited.count(MoveKind::NewlyPasses), moved[1]);
        prop_assert_eq!(audited.count(MoveKind::StillFails), moved[2]);
        prop_assert_eq!(audited.same, same);
        prop_assert_eq!(audited.moves.len() + same, 3);
    }
}
