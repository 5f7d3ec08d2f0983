//! Compression brought to sea level, against the table of the International Standard Atmosphere.
//!
//! Source: ISO 2533:1975, Standard Atmosphere, the table of pressure by geopotential altitude (ICAO Doc 7488/3 prints the same
//! values). The rulebook holds every 500 m of it; what is tested lies between, where the book draws a straight line.

use super::trade_arithmetic::{grade, value};
use super::weighing::{checked, near};
use trochoid::judge::Grade;
use trochoid::shop::Shop;

/// Geopotential altitude in metres, and pressure in pascals as printed: the rows that are not in the rulebook.
const PRINTED: [(f64, f64); 9] = [
    (600.0, 94321.7),
    (700.0, 93193.6),
    (800.0, 92076.4),
    (1100.0, 88789.8),
    (1300.0, 86651.9),
    (1400.0, 85598.8),
    (1700.0, 82501.3),
    (1800.0, 81489.2),
    (2300.0, 76578.4),
];

fn record(altitude: f64, compression: f64) -> String {
    format!(
        "generation: side_exhaust\ncompression_test: {{ altitude: {altitude} m }}\nrotor: {{ front: {{ face: {{ 1: {{ compression: {compression} kPa }} }} }} }}\n"
    )
}

#[test]
fn compression_at_sea_level_follows_the_printed_pressures() {
    let shop = Shop::shipped();
    const PATH: &str = "rotor.front.face.1.compression_at_sea_level";
    for (altitude, pressure) in PRINTED {
        let at_sea_level = value(&checked(&shop, &record(altitude, 700.0)), PATH, "kPa");
        near(at_sea_level, 700.0 * 101_325.0 / pressure, 0.0005 * at_sea_level, &altitude.to_string());
    }
    let at_sea = value(&checked(&shop, &record(0.0, 700.0)), PATH, "kPa");
    near(at_sea, 700.0, 1e-9, "at sea level");
    // 680 kPa is the least at sea level: as much at 1000 m is 680 * 89874.6 / 101325 = 603.15 kPa.
    assert_eq!(grade(&checked(&shop, &record(1000.0, 603.1)), PATH), Grade::Out);
    assert_eq!(grade(&checked(&shop, &record(1000.0, 603.2)), PATH), Grade::Worn);
    assert_eq!(grade(&checked(&shop, &record(1000.0, 603.2)), "rotor.front.face.1.compression"), Grade::Out);
}

/// No altitude in the record: nothing is asked, and the reading alone is judged.
#[test]
fn without_an_altitude_nothing_is_brought_to_sea_level() {
    let shop = Shop::shipped();
    let without = record(0.0, 700.0).replace("compression_test: { altitude: 0 m }\n", "");
    let found = checked(&shop, &without);
    assert!(found.rulings.iter().all(|told| told.path != "rotor.front.face.1.compression_at_sea_level"));
    assert!(found.rulings.iter().any(|told| told.path == "rotor.front.face.1.compression"));
}
