//! Every construct of the language parses to the tree it should.

use super::sketch::{path, range, value};
use super::{clean, only_item, row, rows};
use crate::syntax::tree::{
    Collector, DecisionRule, FitsMember, FromKind, GenerationMember, HouseMember, Item, PartDeclaration, PartMember,
    PositionName, RowWord, TryMember, TypeNameKind,
};

#[test]
fn a_header_has_title_and_date() {
    let tree = clean("");
    let header = tree.header.unwrap();
    assert_eq!(&*header.title.text, "Test");
    assert_eq!(tree.source.slice(header.title.span), "\"Test\"");
    assert_eq!(header.edition.to_string(), "2026-03-01");
    assert_eq!(tree.source.slice(header.span), "rulebook \"Test\" edition 2026-03-01");
}

#[test]
fn use_names_a_file_and_may_be_shipped() {
    let tree = clean("use \"a \\\"b\\\" \\\\.rulebook\" use shipped \"parts.rulebook\"");
    let [Item::Use(own), Item::Use(shipped)] = &tree.items[..] else { panic!("{tree:?}") };
    assert_eq!((&*own.file.text, own.shipped), ("a \"b\" \\.rulebook", false));
    assert_eq!((&*shipped.file.text, shipped.shipped), ("parts.rulebook", true));
    assert_eq!(tree.source.slice(shipped.span), "use shipped \"parts.rulebook\"");
}

#[test]
fn units_have_names_size_and_zero() {
    let written = [
        ("unit mm, millimetre = 0.001 m", "mm,millimetre", "0.001_m", None),
        ("unit \"µm\", \"μm\", um = 0.001 mm", "µm,μm,um", "0.001_mm", None),
        ("unit psi = 1 lbf/in2", "psi", "1_lbf/in2", None),
        ("unit degC, \"°C\" = 1 K zero at 273.15 K", "degC,°C", "1_K", Some("273.15_K")),
        (
            "unit degF = 5/9 * 1 K zero at 459.67 * 5/9 * 1 K",
            "degF",
            "((5 / 9) * 1_K)",
            Some("(((459.67 * 5) / 9) * 1_K)"),
        ),
        ("unit \"N·m\", Nm, \"N*m\" = 1 J/rad", "N·m,Nm,N*m", "1_J/rad", None),
        ("unit rpm = 2 * pi * 1 rad/min", "rpm", "((2 * pi) * 1_rad/min)", None),
        ("unit x = 1 kg*m2/s^-2·K", "x", "1_kg*m2/s^-2·K", None),
        ("unit y = -(2 + 3) ^ 2 * 1 m", "y", "((neg (2 + 3)^2) * 1_m)", None),
    ];
    for (text, names, size, zero) in &written {
        let (tree, item) = only_item(text);
        let Item::Unit(unit) = item else { panic!("{text}") };
        assert_eq!(unit.names.iter().map(|name| &*name.text).collect::<Vec<_>>().join(","), *names);
        assert_eq!(value(&unit.size), *size, "{text}");
        assert_eq!(unit.zero.as_ref().map(value).as_deref(), *zero, "{text}");
        assert_eq!(tree.source.slice(unit.span), *text);
    }
}

#[test]
fn classes_choices_constants_sources() {
    let tree = clean(
        "class letter = A, B, C  # ordered\nchoice era = early, late\nconstant eccentricity : mm\nsource handbook \"Author, Title\"\nextend rotor at middle, 4\n",
    );
    let [Item::Set(class), Item::Set(choice), Item::Constant(constant), Item::Source(source), Item::Extend(extend)] =
        &tree.items[..]
    else {
        panic!("{tree:?}")
    };
    assert!(class.ordered && !choice.ordered);
    assert_eq!(class.members.iter().map(|name| &*name.text).collect::<Vec<_>>(), ["A", "B", "C"]);
    assert_eq!(tree.source.slice(class.span), "class letter = A, B, C");
    assert_eq!(&*choice.name.text, "era");
    assert!(matches!(&constant.kind.kind, TypeNameKind::Named(unit) if &**unit == "mm"));
    assert_eq!(&*source.citation.text, "Author, Title");
    assert_eq!(path(&extend.part), "rotor");
    assert_eq!(extend.positions.len(), 2);
}

#[test]
fn a_formula_has_parameters_and_a_body() {
    let text = "formula volume(e: mm, r: mm, b: kgf/cm2) : cm3 = 3 * sqrt(3) * e * r * b";
    let (tree, item) = only_item(text);
    let Item::Formula(formula) = item else { panic!() };
    assert_eq!(formula.parameters.len(), 3);
    assert_eq!(tree.source.slice(formula.parameters[2].kind.span), "kgf/cm2");
    assert_eq!(tree.source.slice(formula.result.span), "cm3");
    assert_eq!(value(&formula.body), "((((3 * sqrt[3]) * e) * r) * b)");
    let Item::Formula(none) = only_item("formula one() : number = 1").1 else { panic!() };
    assert!(none.parameters.is_empty());
}

fn part(text: &str) -> (crate::syntax::Tree, PartDeclaration) {
    let (tree, item) = only_item(text);
    let Item::Part(part) = item else { panic!("{text}") };
    (tree, part)
}

#[test]
fn parts_nest_and_have_positions() {
    let text = "part engine {\n  part rotor at front, rear {\n    part seal at 1 to 3, 07 { height : mm }\n  }\n}";
    let (tree, engine) = part(text);
    assert_eq!(tree.source.slice(engine.span), text);
    assert!(engine.positions.is_empty());
    let PartMember::Part(rotor) = &engine.members[0] else { panic!() };
    assert!(matches!(&rotor.positions[..], [PositionName::One(a), PositionName::One(_)] if &*a.text == "front"));
    let PartMember::Part(seal) = &rotor.members[0] else { panic!() };
    let [PositionName::Run { first: 1, last: 3, span }, PositionName::One(seven)] = &seal.positions[..] else {
        panic!()
    };
    assert_eq!(tree.source.slice(*span), "1 to 3");
    assert_eq!(&*seven.text, "7");
    assert_eq!(tree.source.slice(seal.span), "part seal at 1 to 3, 07 { height : mm }");
}

#[test]
fn readings_of_every_type() {
    let (tree, engine) = part(
        "part engine {
            end_play : mm
            boost : bar, optional
            width at plug_side, b, c : mm
            mass : kg, 2 readings or more
            bow : mm, optional, exactly 3 readings { because \"a\" }
            duty : choice street, track, race, optional
            letter : letter
            count : number
            lot : text, 1 reading or more
            leak : yes/no
        }",
    );
    let readings: Vec<_> = engine
        .members
        .iter()
        .map(|member| match member {
            PartMember::Reading(reading) => reading,
            _ => panic!("{member:?}"),
        })
        .collect();
    assert_eq!(readings.len(), 10);
    assert!(!readings[0].optional && readings[1].optional && readings[4].optional && readings[5].optional);
    assert_eq!(readings[2].stations.iter().map(|name| &*name.text).collect::<Vec<_>>(), ["plug_side", "b", "c"]);
    let count = readings[3].count.unwrap();
    assert_eq!((count.readings, count.or_more), (2, true));
    assert_eq!(tree.source.slice(count.span), "2 readings or more");
    let count = readings[4].count.unwrap();
    assert_eq!((count.readings, count.or_more), (3, false));
    assert_eq!(tree.source.slice(readings[4].span), "bow : mm, optional, exactly 3 readings { because \"a\" }");
    assert_eq!(&*readings[4].texts.because.as_ref().unwrap().text, "a");
    assert!(matches!(&readings[5].kind.kind, TypeNameKind::Choice(names) if names.len() == 3));
    assert_eq!(&*readings[7].name.text, "count");
    assert!(matches!(readings[9].kind.kind, TypeNameKind::YesNo));
    assert_eq!(tree.source.slice(readings[9].kind.span), "yes/no");
}

#[test]
fn values_and_conditions_group_as_written() {
    let written = [
        ("a - b - c", "((a - b) - c)"),
        ("a + b * c - d / e", "((a + (b * c)) - (d / e))"),
        ("-a ^ 2", "(neg a^2)"),
        ("--a", "(neg (neg a))"),
        ("(a + b) * 2 mm * x", "(((a + b) * 2_mm) * x)"),
        ("2 N*m", "2_N*m"),
        ("2 mm/s^2", "2_mm/s^2"),
        ("6 mm/2", "(6_mm / 2)"),
        ("smallest of housing.width - largest of width", "(smallest<housing.width> - largest<width>)"),
        ("mean of (a, b + 1)", "mean<a, (b + 1)>"),
        ("count of seal.chipped", "count<seal.chipped>"),
        ("count + sum", "(count + sum)"),
        ("round(a, 0.01 mm) + volume()", "(round[a, 0.01_mm] + volume[])"),
        ("9.0 : 1", "9:1"),
        (".5", "0.5"),
        ("width.plug_side + apex_seal.1.height", "(width.plug_side + apex_seal.1.height)"),
        ("yes", "true"),
        ("chip above 2.5 mm or count at least 10", "((chip is > 2.5_mm) or (count is >= 10))"),
        ("a is early and b is not late or not c", "(((a is early) and (b is not late)) or (not c))"),
        ("p is cast or machined", "(p is cast|machined)"),
        ("p is cast or q is early", "((p is cast) or (q is early))"),
        ("p is cast or width at most 3 mm", "((p is cast) or (width is <= 3_mm))"),
        ("p is cast or rotor.x", "((p is cast) or rotor.x)"),
        ("p is cast or machined and q", "((p is cast|machined) and q)"),
        ("p is not cast or machined", "(p is not cast|machined)"),
        ("a is 2 to 3 mm", "(a is 2 .. 3_mm)"),
        ("a is not at least 3", "(a is not >= 3)"),
        ("a is yes", "(a is yes)"),
        ("a exactly b + 1", "(a is = (b + 1))"),
        ("a is 5 mm ± 1 mm", "(a is 5_mm ± 1_mm)"),
        ("not not a", "(not (not a))"),
        ("((a) is (b) to (c + d))", "(a is b .. (c + d))"),
    ];
    for (text, drawn) in written {
        let (tree, part) = part(&format!("part p {{ derive x : mm = {text}\n y : mm }}"));
        let PartMember::Derive(derive) = &part.members[0] else { panic!() };
        assert_eq!(value(&derive.body), drawn, "{text}");
        assert_eq!(tree.source.slice(derive.body.span), text);
        assert_eq!(part.members.len(), 2, "{text}");
    }
}

#[test]
fn ranges_of_every_form() {
    let written = [
        ("0.12 to 0.21 mm", "0.12 .. 0.21_mm"),
        ("-0.01 mm to 0.02 mm", "(neg 0.01_mm) .. 0.02_mm"),
        ("at least ratio - 0.3", ">= (ratio - 0.3)"),
        ("at most C", "<= C"),
        ("A to C", "A .. C"),
        ("above 3 mm", "> 3_mm"),
        ("below 3 °C", "< 3_°C"),
        ("exactly 12 %", "= 12_%"),
        ("5 thou ± 1 thou", "5_thou ± 1_thou"),
        ("5 +/- 1 thou", "5 ± 1_thou"),
        ("50 +0.02 -0.01 mm", "50 <0.02 -0.01_mm>"),
        ("50 mm -0.03 mm +0 mm", "50_mm <-0.03_mm 0_mm>"),
        ("size +0.02 -0.01", "size <0.02 -0.01>"),
        ("a + 2 to 3 mm", "(a + 2) .. 3_mm"),
        ("1 +2 -3 to 5 mm", "((1 + 2) - 3) .. 5_mm"),
        ("cast or machined", "cast|machined"),
        ("not cast or machined", "not cast|machined"),
        ("yes", "yes"),
        ("no", "no"),
    ];
    for (text, drawn) in written {
        let (tree, row) = row(&format!("rotor.x limit {text} advisory"));
        let limit = row.limit.unwrap();
        assert_eq!(range(&limit.range), drawn, "{text}");
        assert_eq!(tree.source.slice(limit.range.span), text);
        assert_eq!(tree.source.slice(limit.word), "limit");
        assert!(row.advisory.is_some());
    }
}

#[test]
fn rows_of_every_shape() {
    let tree = clean(
        "generation third \"654 cc, boosted\" follows second {
            constant ratio = 9.0 : 1 { from common practice }
            fitted rotor at front, 2 to 3
            replace each of rotor.width standard 1 to 2 mm limit at least 0.5 mm advisory where casting is early {
                because \"b\" from handbook \"table 2\" remedy \"r\" caution \"c\"
            }
            spread of rotor.mass limit at most 5 g
            housing.rear.width.plug_side limit at most 80 mm { from memory }
            rotor.casting all the same across rotor
            rotor.tip where pocket is cast or machined
            common standard 1 to 2 limit 0 to 3 { standard from memory limit from handbook \"page 2\" }
            replace smallest of rotor.width outer limit at least 0.1 mm never excused where casting is early
            engine.outer outer limit 1 to 2 mm also 1 to 2 mm rounded to 0.1 mm
            oil_seal.outer limit no never excused
        }",
    );
    let Item::Generation(generation) = &tree.items[0] else { panic!() };
    assert_eq!(&*generation.name.text, "third");
    assert_eq!(&*generation.follows.as_ref().unwrap().text, "second");
    let GenerationMember::Constant { value: given, texts, span, .. } = &generation.members[0] else { panic!() };
    assert_eq!(value(given), "9:1");
    assert!(matches!(texts.from.as_ref().unwrap().kind, FromKind::CommonPractice));
    assert_eq!(tree.source.slice(*span), "constant ratio = 9.0 : 1 { from common practice }");
    let GenerationMember::Fitted { positions, span, .. } = &generation.members[1] else { panic!() };
    assert_eq!(positions.len(), 2);
    assert_eq!(tree.source.slice(*span), "fitted rotor at front, 2 to 3");

    let rows = rows(&tree);
    assert_eq!(rows.len(), 9);
    let [.., outer, named, never] = &rows[..] else { panic!() };
    assert!(outer.replace.is_some() && outer.word.is_some() && outer.condition.is_some());
    assert_eq!(outer.outer.map(|span| tree.source.slice(span)), Some("outer limit"));
    assert_eq!(outer.limit.as_ref().map(|limit| tree.source.slice(limit.range.span)), Some("at least 0.1 mm"));
    assert_eq!(outer.never_excused.map(|span| tree.source.slice(span)), Some("never excused"));
    assert!(path(&named.path) == "engine.outer" && named.outer.is_some() && named.rounded.is_some());
    assert!(path(&never.path) == "oil_seal.outer" && never.outer.is_none() && never.never_excused.is_some());
    let first = &rows[0];
    assert_eq!(tree.source.slice(first.replace.unwrap()), "replace");
    let (word, span) = first.word.unwrap();
    assert_eq!((word, tree.source.slice(span)), (RowWord::Each, "each of"));
    assert_eq!(range(&first.standard.as_ref().unwrap().range), "1 .. 2_mm");
    assert_eq!(value(first.condition.as_ref().unwrap()), "(casting is early)");
    let from = first.texts.from.as_ref().unwrap();
    assert_eq!(tree.source.slice(from.span), "from handbook \"table 2\"");
    assert!(matches!(&from.kind, FromKind::Source(name) if &*name.text == "handbook"));
    assert_eq!(&*first.texts.remedy.as_ref().unwrap().text, "r");
    assert_eq!(&*first.texts.caution.as_ref().unwrap().text, "c");
    assert!(
        tree.source.slice(first.span).starts_with("replace each of") && tree.source.slice(first.span).ends_with('}')
    );

    assert_eq!(rows[1].word.unwrap().0, RowWord::Collect(Collector::Spread));
    assert_eq!(path(&rows[2].path), "housing.rear.width.plug_side");
    assert!(matches!(rows[2].texts.from.as_ref().unwrap().kind, FromKind::Memory));
    assert_eq!(range(&rows[3].limit.as_ref().unwrap().range), "same across rotor");
    assert_eq!(tree.source.slice(rows[3].span), "rotor.casting all the same across rotor");
    assert_eq!(value(rows[4].condition.as_ref().unwrap()), "(pocket is cast|machined)");
    assert_eq!(path(&rows[5].path), "common");
    let texts = &rows[5].texts;
    assert!(texts.from.is_none() && matches!(texts.standard_from.as_ref().unwrap().kind, FromKind::Memory));
    let limit_from = texts.limit_from.as_ref().unwrap();
    assert_eq!(tree.source.slice(limit_from.span), "limit from handbook \"page 2\"");
    assert!(matches!(&limit_from.kind, FromKind::Source(name) if &*name.text == "handbook"));
}

#[test]
fn a_unit_stands_on_the_line_of_its_number_and_rows_need_no_lines() {
    let tree = clean("generation g \"x\" {\n a limit at most 1\n b limit at most 2 mm c limit at most 3\n}");
    let drawn: Vec<String> = rows(&tree).iter().map(|row| range(&row.limit.as_ref().unwrap().range)).collect();
    assert_eq!(drawn, ["<= 1", "<= 2_mm", "<= 3"]);
    let tree = clean("generation g \"x\" {\n a\n limit\n at # how much\n most 1 +\n 2 mm\n}");
    assert_eq!(range(&rows(&tree)[0].limit.as_ref().unwrap().range), "<= (1 + 2_mm)");
}

#[test]
fn a_basis_and_a_general_caution() {
    let text =
        "basis common_ground \"what all share\" { a limit at most 3 mm }\ngeneral caution \"Mind the springs\"\n";
    let tree = clean(text);
    let [Item::Generation(basis), Item::Caution(caution)] = &tree.items[..] else { panic!("{tree:?}") };
    assert!(basis.basis);
    assert_eq!(&*basis.name.text, "common_ground");
    assert_eq!(&*caution.words.text, "Mind the springs");
    assert_eq!(tree.source.slice(caution.span), "general caution \"Mind the springs\"");
    let Item::Generation(other) = only_item("generation g \"x\" { }").1 else { panic!() };
    assert!(!other.basis);
}

#[test]
fn a_house_has_scopes_and_overlays() {
    let text = "house \"Kestrel\" {
    judge by guard band 0.83
    judge by simple acceptance
    for third, fourth from 2026-06-01 to 2026-12-31 where duty is race {
        tighten rotor.clearance standard 0.15 to 0.20 mm { because \"Seized.\" }
        loosen each of seal.height limit at least 6.9 mm
        add rotor.relief limit at least 0.10 mm advisory where casting is late
        adopt seal.thickness
        retire rotor.bow where casting is early
    }
    retire engine.gap for third { because \"Balanced.\" }
}";
    let (tree, item) = only_item(text);
    let Item::House(house) = item else { panic!("{text}") };
    assert_eq!(tree.source.slice(house.span), text);
    let [HouseMember::Judge(guard), HouseMember::Judge(_), HouseMember::For(block), HouseMember::For(retired)] =
        &house.members[..]
    else {
        panic!("{house:?}")
    };
    let DecisionRule::GuardBand(Some(factor)) = &guard.rule else { panic!("{guard:?}") };
    assert_eq!(factor.to_string(), "0.83");
    let scope = &block.scope;
    assert_eq!(scope.generations.iter().map(|name| &*name.text).collect::<Vec<_>>(), ["third", "fourth"]);
    assert_eq!(scope.from.map(|(date, _)| date.to_string()).as_deref(), Some("2026-06-01"));
    assert_eq!(scope.to.map(|(date, _)| date.to_string()).as_deref(), Some("2026-12-31"));
    assert_eq!(scope.condition.as_ref().map(value).as_deref(), Some("(duty is race)"));
    let words: Vec<&str> = block.overlays.iter().map(|overlay| overlay.kind.word()).collect();
    assert_eq!(words, ["tighten", "loosen", "add", "adopt", "retire"]);
    assert_eq!(&*block.overlays[0].row.texts.because.as_ref().unwrap().text, "Seized.");
    assert!(block.overlays[2].row.advisory.is_some() && block.overlays[1].row.word.is_some());
    assert_eq!(path(&retired.overlays[0].row.path), "engine.gap");
    assert!(retired.overlays[0].row.texts.because.is_some() && retired.scope.from.is_none());
}

#[test]
fn a_try_gives_readings_and_expects_grades() {
    let (_, item) = only_item(
        "try \"letters apart\" {\n generation second\n finished 2026-05-01\n rotor.front.letter = B\n rotor.front.width = 79.86 mm, -3 in\n ratio = 9:1\n sealed = yes\n expect engine.gap is out\n expect each of rotor.width is not good or worn\n expect engine.gap outer limit is out\n}",
    );
    let Item::Try(example) = item else { panic!() };
    let mut told = Vec::new();
    for member in &example.members {
        told.push(match member {
            TryMember::Generation(name) => format!("generation {}", name.text),
            TryMember::Finished(date, _) => date.to_string(),
            TryMember::Given { path: of, values, .. } => {
                format!("{} {}", path(of), values.iter().map(|one| one.text.to_string()).collect::<Vec<_>>().join("|"))
            }
            TryMember::Expect { word, path: of, outer, negated, grades, .. } => {
                let outer = if *outer { " outer" } else { "" };
                format!("expect {} {}{outer} {negated} {}", word.is_some(), path(of), grades.len())
            }
        });
    }
    assert_eq!(
        told,
        [
            "generation second",
            "2026-05-01",
            "rotor.front.letter B",
            "rotor.front.width 79.86 mm|-3 in",
            "ratio 9:1",
            "sealed yes",
            "expect false engine.gap false 1",
            "expect true rotor.width true 2",
            "expect false engine.gap outer false 1",
        ]
    );
}

#[test]
fn tables_fits_telltales_and_printed_pairs() {
    let (_, item) = only_item("table share(speed: rpm) : number = 200 rpm: 0.86, 250 rpm: 1.00, -300 rpm: -1, held");
    let Item::Table(table) = item else { panic!() };
    assert_eq!((table.points.len(), table.held.is_some()), (3, true));
    assert_eq!(value(&table.points[2].0), "(neg 300_rpm)");
    let (_, item) = only_item(
        "fits \"ISO 286-1\" {\n sizes 3, 6, 10 mm\n grade 7 = 10, 12, 15 um\n shaft g = -2, -4, -5 um\n hole K grade 5 to 8 = 0, 3, 5 um\n}",
    );
    let Item::Fits(fits) = item else { panic!() };
    assert_eq!(fits.members.len(), 4);
    let FitsMember::Deviations { hole: true, letters, grades: Some((5, 8)), figures, .. } = &fits.members[3] else {
        panic!("{fits:?}")
    };
    assert_eq!((&*letters.text, figures.len()), ("K", 3));
    let (_, only) = row("rotor.a standard 0.12 to 0.18 mm also 0.0048 to 0.0070 in limit 43 mm H7 also at most 1.7 in");
    assert_eq!(range(only.standard.as_ref().unwrap().also.as_ref().unwrap()), "0.0048 .. 0.007_in");
    assert_eq!(range(&only.limit.as_ref().unwrap().range), "43_mm fit H7");
    let tree = clean(
        "generation g \"x\" {\n replace telltale seal.width 1.9 to 2.1 mm { from memory }\n telltale rotor.pocket machined or cast\n}",
    );
    let [Item::Generation(generation)] = &tree.items[..] else { panic!() };
    let [GenerationMember::Telltale(first), GenerationMember::Telltale(second)] = &generation.members[..] else {
        panic!("{generation:?}")
    };
    assert!(first.replace.is_some() && first.texts.from.is_some());
    assert_eq!(range(&second.range), "machined|cast");
}

#[test]
fn expansion_rounding_guard_bands_and_gauge_ratios() {
    let (tree, rotor) = part("part rotor { expansion 11.5 um/m/K ± 1 { from memory } width : mm }");
    let PartMember::Expansion(expansion) = &rotor.members[0] else { panic!("{rotor:?}") };
    assert_eq!((value(&expansion.coefficient), value(&expansion.half_width)), ("11.5_um/m/K".into(), "1".into()));
    assert_eq!(tree.source.slice(expansion.span), "expansion 11.5 um/m/K ± 1 { from memory }");
    assert!(matches!(expansion.texts.from.as_ref().unwrap().kind, FromKind::Memory));

    let (_, row) = row("rotor.gap standard 1 to 2 mm limit 0 to 3 mm rounded to 0.1 mm advisory where duty is race");
    assert_eq!(row.rounded.as_ref().map(value).as_deref(), Some("0.1_mm"));
    assert!(row.advisory.is_some() && row.condition.is_some());

    let rules = [
        ("judge by guard band", None),
        ("judge by guard band 1", Some("1")),
        ("judge by guard band 0.83 U", Some("0.83")),
        ("judge by guard band 2U", Some("2")),
    ];
    for (text, wanted) in rules {
        let (_, item) = only_item(&format!("house \"K\" {{ {text} gauges at least 4 : 1 }}"));
        let Item::House(house) = item else { panic!("{text}") };
        let [HouseMember::Judge(judge), HouseMember::Gauges { ratio, .. }] = &house.members[..] else {
            panic!("{house:?}")
        };
        let DecisionRule::GuardBand(factor) = &judge.rule else { panic!("{judge:?}") };
        assert_eq!(factor.as_ref().map(ToString::to_string).as_deref(), wanted, "{text}");
        assert_eq!(value(ratio), "4:1");
    }
}
