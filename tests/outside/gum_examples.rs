//! The short examples of JCGM 100:2008 and NIST TN 1900, each as a rulebook and a record (`data/uncertainty.yaml`; there
//! it says which are quoted from memory: those of 4.3, 4.4.3, 5.2.2, 7.2.4, F.2.2.1 and G.4.1 are).

use super::check_values::{Item, items};
use super::weighing::{budgets, float, judged, near, number, only, readings, shop, told};
use trochoid::judge::uncertainty::{Budget, Influence};
use trochoid::statistics::{coverage, distribution};

fn item(name: &str) -> Item {
    items(include_str!("data/uncertainty.yaml")).into_iter().find(|item| item.item == name).unwrap()
}

fn expected(name: &str, field: &str) -> f64 {
    item(name).number("expected", field).to_f64()
}

/// One length with what the record says of it: its budget.
fn one_length(gauge: &str, reading: &str) -> Budget {
    let shop = shop(
        "rulebook \"One\" edition 2026-03-01
unit mm = 0.001 m
unit um = 0.001 mm
part block {
    width : mm
}
generation g \"one\" {
    block.width limit at most 1000 mm
}
",
    );
    let record = format!("generation: g\ngauges:\n  one: {{ {gauge} }}\nwidth: {{ value: 100 mm, {reading} }}\n");
    only(&shop, &readings(&shop, &record)).1
}

/// The standard uncertainty of one length, in micrometres.
fn standard_of(gauge: &str, reading: &str) -> f64 {
    float(&one_length(gauge, reading).uncertainty.standard()) * 1e6
}

/// 5.2.2: ten resistors, each compared with the same standard, in a row. Lengths here: the law is the same.
#[test]
fn what_ten_share_adds_up_and_not_by_squares() {
    let shop = shop(
        "rulebook \"Ten\" edition 2026-03-01
unit mm = 0.001 m
part row {
    part one at 1 to 10 { size : mm }
    derive total : mm = sum of one.size
}
generation g \"ten\" {
    row.total limit at most 20000 mm
}
",
    );
    let record = |each: &str| {
        let ten: String =
            (1..=10).map(|number| format!("  {number}: {{ size: {{ value: 1000 mm, {each} }} }}\n")).collect();
        format!("generation: g\ngauges:\n  standard: {{ uncertainty: 0.2 mm }}\none:\n{ten}")
    };
    let standard = |each: &str| {
        let (ruling, budget) = only(&shop, &readings(&shop, &record(each)));
        near(judged(&ruling), 10.0, 1e-12, "ten of them in m");
        float(&budget.uncertainty.standard()) * 1e3
    };
    near(standard("gauge: standard"), expected("gum-522-correlated-resistors", "u_r1_ohm"), 1e-9, "by one standard");
    near(
        standard("uncertainty: 0.2 mm"),
        expected("gum-522-correlated-resistors", "u_r0_ohm"),
        1e-9,
        "each by its own",
    );
}

/// 4.3.3, 4.3.4: a certificate's width over its factor. What a record says has k = 2: three standard deviations of 240 are
/// written as 160, and 129 at 99 % (k = 2.58) as 100.
#[test]
fn a_certificate_gives_its_width_over_its_factor() {
    let stated = item("gum-433-certificate");
    let (width, k) = (stated.number("inputs", "stated").to_f64(), stated.number("inputs", "k").to_f64());
    near(2.0 * width / k, 160.0, 1e-9, "240 at three standard deviations, as a record has it");
    let u = expected("gum-433-certificate", "u");
    near(standard_of("uncertainty: 160 um", "gauge: one"), u, 1e-9, "of a gauge");
    near(standard_of("note: none", "uncertainty: 160 um"), u, 1e-9, "of a reading");
    let stated = item("gum-434-certificate-99");
    let (width, k) = (stated.number("inputs", "U").to_f64(), stated.number("inputs", "k").to_f64());
    near(2.0 * width / k, 100.0, 1e-9, "129 at 99 %, as a record has it");
    near(standard_of("uncertainty: 100 um", "gauge: one"), expected("gum-434-certificate-99", "u"), 1e-9, "of a gauge");
}

/// F.2.2.1 and 4.3.7: anywhere within a step.
#[test]
fn a_resolution_is_rectangular() {
    let u = expected("gum-f221-resolution", "u");
    near(standard_of("resolution: 1 um", "gauge: one"), u, 1e-9, "a step of one");
    // A half width of 0.40 is a step of 0.80.
    near(standard_of("resolution: 0.80 um", "gauge: one"), expected("gum-437-rectangular", "u"), 1e-9, "a half width");
    // A gauge with both: the root of the sum of squares.
    let both = standard_of("uncertainty: 2 um, resolution: 1 um", "gauge: one");
    near(both, (1.0 + u * u).sqrt(), 1e-9, "calibration and resolution");
}

/// 4.4.3, Table 1: twenty temperatures. The uncertainty of their mean is type A, with 19 degrees of freedom.
#[test]
fn twenty_temperatures_give_their_mean_and_its_uncertainty() {
    let shop = shop(
        "rulebook \"Twenty\" edition 2026-03-01
unit degC = 1 K zero at 273.15 K
part bath {
    reading : degC, 2 readings or more
    derive middle : degC = mean of reading
}
generation g \"twenty\" {
    bath.middle limit at most 200 degC
}
",
    );
    let item = item("gum-443-type-a");
    let list: Vec<String> =
        item.numbers("inputs", "readings").iter().map(|number| format!("{} degC", number.to_decimal(2))).collect();
    assert_eq!(list.len(), 20);
    let record = format!("generation: g\nreading: [{}]\n", list.join(", "));
    let (ruling, budget) = only(&shop, &readings(&shop, &record));
    near(judged(&ruling) - 273.15, expected("gum-443-type-a", "mean"), 1e-9, "the mean in °C");
    near(float(&budget.uncertainty.standard()), expected("gum-443-type-a", "u"), 1e-9, "its uncertainty");
    assert_eq!(budget.uncertainty.degrees_of_freedom, Some(number("19")));
    assert!(budget.uncertainty.incomplete, "nobody said by which thermometer");
    // 95.45 % with 19 degrees of freedom: Table G.2.
    assert_eq!(budget.uncertainty.factor, number("2.14"));
}

/// H.2.2, Table H.2: five readings of a voltage, a current and an angle. Only their means' own uncertainties are claimed:
/// readings taken at once that move together have a covariance (Table H.2: r = 0.86), which a record has no way to say.
#[test]
fn the_means_of_simultaneous_readings_have_their_type_a_uncertainty() {
    let shop = shop(
        "rulebook \"Five\" edition 2026-03-01
part set {
    voltage : number, 2 readings or more
    current : number, 2 readings or more
    phase : rad, 2 readings or more
    derive middle_voltage : number = mean of voltage
    derive middle_current : number = mean of current / 1000
    derive middle_phase : rad = mean of phase
}
generation g \"five\" {
    set.middle_voltage limit at most 10
    set.middle_current limit at most 10
    set.middle_phase limit at most 10 rad
}
",
    );
    let item = item("gum-h2-type-a");
    let list = |field: &str, unit: &str| {
        let list: Vec<String> =
            item.numbers("inputs", field).iter().map(|number| format!("{}{unit}", number.to_text(6))).collect();
        list.join(", ")
    };
    let record = format!(
        "generation: g\nvoltage: [{}]\ncurrent: [{}]\nphase: [{}]\n",
        list("V", ""),
        list("I_mA", ""),
        list("phi_rad", " rad")
    );
    let found = budgets(&shop, &readings(&shop, &record));
    let means = item.numbers("expected", "mean");
    let standards = item.numbers("expected", "u_mean");
    assert_eq!((found.len(), means.len(), standards.len()), (3, 3, 3));
    for (((ruling, budget), mean), standard) in found.iter().zip(&means).zip(&standards) {
        near(judged(ruling), mean.to_f64(), 1e-9 * mean.to_f64(), "a mean");
        let budget = budget.as_ref().unwrap();
        let standard = standard.to_f64();
        near(float(&budget.uncertainty.standard()), standard, 1e-9 * standard, "its uncertainty");
        assert_eq!(budget.uncertainty.degrees_of_freedom, Some(number("4")));
        assert!(matches!(budget.lines[0].influence, Influence::Repeats(_)));
    }
}

/// G.4.1: a product of three, with relative uncertainties of 0.25 %, 0.57 % and 0.82 % from 10, 5 and 15 readings.
#[test]
fn a_product_of_three_has_the_degrees_of_freedom_of_welch_and_satterthwaite() {
    let shop = shop(
        "rulebook \"Three\" edition 2026-03-01
unit mm = 0.001 m
part block {
    a : mm
    b : mm
    c : mm
    derive volume : mm3 = a * b * c
}
generation g \"three\" {
    block.volume limit at most 2000000000 mm3
}
",
    );
    let record = "generation: g
gauges:
  one: { uncertainty: 5 mm }
  two: { uncertainty: 11.4 mm }
  three: { uncertainty: 16.4 mm }
a: { value: 1000 mm, gauge: one }
b: { value: 1000 mm, gauge: two }
c: { value: 1000 mm, gauge: three }
";
    let item = item("gum-g41-welch-satterthwaite");
    let mut readings = readings(&shop, record);
    for (gauge, freedom) in readings.gauges.iter_mut().zip(item.numbers("inputs", "nu")) {
        gauge.degrees_of_freedom = Some(freedom);
    }
    let (ruling, budget) = only(&shop, &readings);
    let percent = float(&budget.uncertainty.standard()) / judged(&ruling) * 100.0;
    near(percent, item.number("expected", "uc_percent").to_f64(), 1e-9, "u(y) in per cent");
    let freedom = budget.uncertainty.degrees_of_freedom.unwrap();
    near(freedom.to_f64(), item.number("expected", "nu_eff").to_f64(), 1e-8, "effective degrees of freedom");
    // 18.9987: the clause prints 19.0 and takes t at 19; here they are cut off, as G.4.1 itself says of non-integers.
    assert_eq!(budget.uncertainty.factor, number("2.15"));
    assert_eq!(coverage::factor(Some(&number("19"))), Some(number("2.14")));
    // The factor for 95 % is Student's; the program expands to 95.45 %.
    near(
        distribution::student_two_sided(0.05, 19.0).unwrap(),
        item.number("expected", "t95_19").to_f64(),
        1e-9,
        "t95(19)",
    );
}

/// 7.2.4: 0.35 mg with 9 degrees of freedom is 0.79 mg at 95 %. The program expands to 95.45 %, where Table G.2 has 2.32.
#[test]
fn nine_degrees_of_freedom_expand_as_the_tables_say() {
    let item = item("gum-724-report");
    let (u, k) = (item.number("inputs", "uc_mg").to_f64(), distribution::student_two_sided(0.05, 9.0).unwrap());
    near(k, item.number("expected", "k").to_f64(), 1e-9, "t95(9)");
    near(u * k, item.number("expected", "U").to_f64(), 1e-9, "U at 95 %");
    let shop = shop(
        "rulebook \"A mass\" edition 2026-03-01
unit g = 0.001 kg
unit mg = 0.001 g
part weight {
    mass : g
}
generation g \"a weight\" {
    weight.mass limit at most 200 g
}
",
    );
    let record =
        "generation: g\ngauges:\n  balance: { uncertainty: 0.70 mg }\nmass: { value: 100.02147 g, gauge: balance }\n";
    let mut readings = readings(&shop, record);
    readings.gauges[0].degrees_of_freedom = Some(item.number("inputs", "nu"));
    let (_, budget) = only(&shop, &readings);
    assert_eq!(budget.uncertainty.factor, number("2.32"));
    near(float(&budget.uncertainty.standard()) * 1e6, u, 1e-12, "u in mg");
    near(float(&budget.uncertainty.expanded()) * 1e6, 0.35 * 2.32, 1e-12, "U in mg");
    // With degrees of freedom as good as without end, as the record alone says: k = 2, and 0.70 mg.
    assert_eq!(told(&shop, record).uncertainty.unwrap().expanded, "0.00070 g");
}

/// NIST TN 1900, example E13: the expansion of a copper bar from its length at two temperatures.
#[test]
fn the_expansion_of_a_bar_is_as_printed() {
    let shop = shop(
        "rulebook \"A bar\" edition 2026-03-01
unit \"um/m/K\" = 0.000001 / (1 K)
part bar {
    cold : m
    cold_at : K
    hot : m
    hot_at : K
    derive growth : um/m/K = (hot - cold) / (cold * (hot_at - cold_at))
}
generation g \"a bar\" {
    bar.growth limit at most 100 um/m/K
}
",
    );
    let record = "generation: g
cold: { value: 1.4999 m, uncertainty: 0.0002 m }
cold_at: { value: 288.15 K, uncertainty: 0.04 K }
hot: { value: 1.5021 m, uncertainty: 0.0004 m }
hot_at: { value: 373.10 K, uncertainty: 0.10 K }
";
    let (ruling, budget) = only(&shop, &readings(&shop, record));
    let alpha = expected("tn1900-e13-expansion", "alpha");
    near(judged(&ruling), alpha, 1e-9 * alpha, "the expansion");
    let standard = float(&budget.uncertainty.standard());
    let u = expected("tn1900-e13-expansion", "u");
    near(standard, u, 1e-9 * u, "its uncertainty");
    let printed = item("tn1900-e13-expansion").numbers("expected", "printed");
    near(standard, printed[1].to_f64(), 0.005 * printed[1].to_f64(), "its uncertainty as printed");
}
