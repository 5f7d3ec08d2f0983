//! Quantities as a shop types them, in the shipped units, against values worked out by hand from the exact factors of
//! NIST SP 811 (2008), appendix B.8: inch 0.0254 m, pound 0.453 592 37 kg, ounce a sixteenth of it, pound-force 0.453 592 37 × 9.806 65 N.

use trochoid::quantity::{Number, Value};
use trochoid::shop::{Shop, shipped};

#[test]
fn what_a_shop_types_has_the_value_of_the_published_factors() {
    let shop = Shop::of_sources(&[shipped::book("units.rulebook").unwrap()]);
    for (typed, base) in [
        ("9 lb 9.5 oz", "4.3516517996875"),
        ("9 LBS 9 1/2 OZ", "4.3516517996875"),
        ("3/16 in", "0.0047625"),
        ("3/16\"", "0.0047625"),
        ("1-3/16 in", "0.0301625"),
        ("2 1/2 inches", "0.0635"),
        ("2½″", "0.0635"),
        ("5' 6\"", "1.6764"),
        ("5 ft 6 in", "1.6764"),
        ("100 CC", "0.0001"),
        ("79.85\u{2009}MM", "0.07985"),
    ] {
        let (number, unit) = shop.book.units.quantity(typed).unwrap_or_else(|| panic!("{typed}"));
        assert_eq!(unit.to_base(&number), Value::from(Number::parse(base).unwrap()), "{typed}");
    }
    // Torques are per radian, which has no value of its own.
    for (typed, base) in [
        ("26 ft lbs", "35.2512666566164104"),
        ("26 FT-LBS", "35.2512666566164104"),
        ("26 lbf ft", "35.2512666566164104"),
        ("14 in lbs", "1.5817876063866338"),
    ] {
        let (number, unit) = shop.book.units.quantity(typed).unwrap_or_else(|| panic!("{typed}"));
        let (_, torque) = shop.book.units.quantity("1 Nm").unwrap();
        assert_eq!(unit.dimension, torque.dimension, "{typed}");
        assert_eq!(unit.to_base(&number), Value::from(Number::parse(base).unwrap()), "{typed}");
    }
}

/// Every name of a shipped unit in capitals is that unit or nothing; and no unit is taken for another one.
#[test]
fn a_unit_in_capitals_is_itself_or_nothing() {
    let shop = Shop::of_sources(&[shipped::book("units.rulebook").unwrap()]);
    let units = &shop.book.units;
    let mut taken = 0;
    for name in units.names() {
        let own = units.find(name).unwrap();
        for other in [name.to_uppercase(), name.to_lowercase()] {
            if let Some(unit) = units.in_other_case(&other).filter(|_| units.resolve(&other).is_err()) {
                assert!(unit.measures_as(own), "{other} is {}, and {name} is {}", unit.symbol, own.symbol);
                taken += 1;
            }
        }
    }
    assert!(taken > 100, "{taken}");
    for distinct in ["Mm", "mpa", "NM", "G", "n", "K m", "Ms", "Km2", "PSi/Mm"] {
        assert!(
            units.quantity(&format!("1 {distinct}")).is_none_or(|(_, unit)| *unit.symbol == *distinct),
            "{distinct}"
        );
    }
    for (written, symbol) in
        [("MM", "mm"), ("CC", "cm³"), ("PSI", "psi"), ("Psi", "psi"), ("KPA", "kPa"), ("THOU", "thou")]
    {
        assert_eq!(units.in_other_case(written).map(|unit| &*unit.symbol), Some(symbol), "{written}");
    }
}
