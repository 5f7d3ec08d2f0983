//! Tests of the layout: each rule by an example, and what holds of any book.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    reason = "a test may stop at the first surprise"
)]

mod properties;

use super::tidy;
use crate::syntax::parse;
use crate::text::Source;

const HEADER: &str = "rulebook \"Test\" edition 2026-03-01\n";

/// A book's layout, header left out.
fn laid_out(body: &str) -> String {
    let text = tidy(&Source::new("test.rulebook", format!("{HEADER}{body}"))).unwrap();
    text.strip_prefix(HEADER).unwrap().to_owned()
}

/// The tree as text, places taken out: the same for two books that say the same.
fn meaning(text: &str) -> String {
    let (tree, findings) = parse(&Source::new("test.rulebook", text));
    assert!(findings.is_empty(), "{text}\n{findings:?}");
    let all = format!("{:?} {:?}", tree.header, tree.items);
    let mut parts = all.split("Span {");
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |said, part| said + part.split_once('}').unwrap().1)
}

/// The comments in order, by a reading of quotation marks of its own.
fn comments(text: &str) -> Vec<String> {
    let lines = text.split(['\n', '\r']).filter_map(|line| {
        let (mut quoted, mut escaped) = (false, false);
        let at = line.char_indices().find(|(_, letter)| {
            let found = *letter == '#' && !quoted;
            match letter {
                _ if escaped => escaped = false,
                '\\' => escaped = quoted,
                '"' => quoted = !quoted,
                _ => {}
            }
            found
        });
        at.map(|(at, _)| line[at..].replace('\t', " ").trim_end().to_owned())
    });
    lines.collect()
}

#[test]
fn rows_stand_in_columns_until_something_stands_between() {
    let body = "generation g \"x\" {
  p.gap standard 0.05 to 0.10 mm limit at most 0.15 mm { from memory }
  replace each of p.length limit 5 +/- 0.1 mm advisory { from memory }
  p.era all the same across gear
  p.mass limit at most 2 g where duty is race { because \"a\" }
  p.long limit at most 1 mm {
     because \"b\"
     from memory }
  # between
  p.x limit yes { from memory }
}
";
    let expected = "generation g \"x\" {
    p.gap                    standard 0.05 to 0.10 mm limit at most 0.15 mm                    { from memory }
    replace each of p.length                          limit 5 ± 0.1 mm      advisory           { from memory }
    p.era                    all the same across gear
    p.mass                                            limit at most 2 g     where duty is race { because \"a\" }
    p.long                                            limit at most 1 mm {
        because \"b\"
        from memory
    }
    # between
    p.x limit yes { from memory }
}
";
    assert_eq!(laid_out(body), expected);
}

#[test]
fn readings_derivations_constants_and_units_stand_in_columns() {
    let body = "unit mm=0.001 m # a
unit \"µm\" ,um = 0.001 mm# b
constant e:mm
constant radius :mm
part engine{duty:choice a,b
width at x,y : N*m,2 readings or more,optional
derive d:mm=e+radius*2
derive longer : yes/no = not (d is 3 to 4 mm)
part rotor at 1 to 3 { mass : kg }
}
";
    let expected = "unit mm       = 0.001 m   # a
unit \"µm\", um = 0.001 mm  # b
constant e      : mm
constant radius : mm
part engine {
    duty          : choice a, b
    width at x, y : N*m, 2 readings or more, optional
    derive d      : mm = e + radius * 2
    derive longer : yes/no = not (d is 3 to 4 mm)
    part rotor at 1 to 3 {
        mass : kg
    }
}
";
    assert_eq!(laid_out(body), expected);
}

#[test]
fn signs_and_units_stand_as_they_are_read() {
    let values = [
        ("a*-b", "a * -b"),
        ("- - a-b", "--a - b"),
        ("1 N * m", "1 N * m"),
        ("1 N*m", "1 N*m"),
        ("5 mm ^ 2", "5 mm ^ 2"),
        ("5  mm^2", "5 mm^2"),
        ("r ^ 2*( a+b )", "r^2 * (a + b)"),
        ("sqrt ( 3 ) /f( a ,b )", "sqrt(3) / f(a, b)"),
        ("smallest  of(a,b)", "smallest of (a, b)"),
        ("9.0:1", "9.0 : 1"),
        ("5/9*1 K", "5 / 9 * 1 K"),
        ("a +1 -2", "a + 1 - 2"),
        ("x is 20 mm +0.1 -0", "x is 20 mm +0.1 -0"),
        ("x is 20 mm+0.1 mm-0 mm", "x is 20 mm +0.1 mm -0 mm"),
        ("x at least a +1 -2", "x at least a + 1 - 2"),
        ("yes", "yes"),
    ];
    for (written, wanted) in values {
        let body = format!("part p {{\n    derive d : mm = {written}\n}}\n");
        assert_eq!(laid_out(&body), format!("part p {{\n    derive d : mm = {wanted}\n}}\n"));
    }
    let row = "generation g \"x\" {\np.a limit 20 mm  +0.1 mm   -0.2 mm advisory\n}\n";
    assert_eq!(laid_out(row), "generation g \"x\" {\n    p.a limit 20 mm +0.1 mm -0.2 mm advisory\n}\n");
}

#[test]
fn blank_lines_and_comments_stay_where_they_stand() {
    let body =
        "\n\n\n# own\nclass a = B # trailing\n\n\n\npart p {\n\n  # first\n  w : mm\n\n\n  # last\n\n}\n# end\n\n";
    let expected = "\n# own\nclass a = B  # trailing\n\npart p {\n    # first\n    w : mm\n\n    # last\n}\n# end\n";
    assert_eq!(laid_out(body), expected);
}

#[test]
fn lines_broken_by_hand_inside_a_member_stay_broken() {
    let body = "part p {\nderive area\n: mm2 =\n a * b +\n# why\n c # d\n * e { from memory }\n w : mm # x\n {\n because \"y\" }\n}\n";
    let expected = "part p {
    derive area
        : mm2 =
        a * b +
        # why
        c                    # d
        * e { from memory }
    w : mm                   # x
        {
        because \"y\"
    }
}
";
    let said = laid_out(body);
    assert_eq!(meaning(&format!("{HEADER}{body}")), meaning(&format!("{HEADER}{said}")));
    let plain = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(plain(&said), plain(expected));
    assert_eq!(said.lines().count(), expected.lines().count());
}

#[test]
fn sentences_share_a_line_while_it_has_room() {
    let short = "generation g \"x\" {\n    p.a limit yes { because \"a\" remedy \"b\" from memory }\n}\n";
    assert_eq!(laid_out(short), short);
    let words = "w".repeat(90);
    let long = format!("generation g \"x\" {{\n    p.a limit yes {{ because \"{words}\" remedy \"b\" }}\n}}\n");
    let expected = format!(
        "generation g \"x\" {{\n    p.a limit yes {{\n        because \"{words}\"\n        remedy  \"b\"\n    }}\n}}\n"
    );
    assert_eq!(laid_out(&long), expected);
    let one = format!("generation g \"x\" {{\n    p.a limit yes {{ from memory \"{words}{words}\" }}\n}}\n");
    assert_eq!(laid_out(&one), one);
    let tiers = format!(
        "generation g \"x\" {{\n    p.a standard no limit yes {{\n        because \"a\"\n        standard from memory\n        limit from h \"{words}\"\n    }}\n}}\n"
    );
    assert_eq!(laid_out(&tiers), tiers);
    assert_eq!(laid_out(&tiers.replace("\n        ", " ").replace("\n    }\n}", " }\n}")), tiers);
    assert_eq!(laid_out("source  h \"x\"   maker\n"), "source h \"x\" maker\n");
    assert_eq!(laid_out("generation g \"x\" {\n\n}\n"), "generation g \"x\" { }\n");
    assert_eq!(laid_out("part p { }\n"), "part p { }\n");
}

#[test]
fn houses_tries_tables_and_fits_have_a_layout() {
    let body = "plausible gauges   mm:0.5 um to 0.2 mm {from memory}
table share( s:rpm ) : number = 200 rpm:0.86,250 rpm : 1.00 , held
house \"H\" { judge by guard band 1
for g ,h from 2026-01-01 to 2026-06-30 where duty is race { tighten p.gap limit at most 1 mm { because \"a\" }
loosen p.longer limit at most 2 mm advisory { because \"b\" } narrow p.longer 1 to 2 mm narrow p.a 2 mm ± 1 mm }
retire p.x for g { because \"c\" } }
try \"t\" { generation g
finished 2026-03-01
p.a=1 mm,-2 mm
p.longer = yes
expect p.gap is not good or worn
expect p.x is out }
fits \"ISO\" { sizes 3,6 mm
grade 6=-1,2
hole H grade 6 to 8 = 0,-0.5 }
generation g \"x\" { telltale p.a cast
replace telltale p.bb 1.9 to 2.1 mm { from memory }
plausible p.a 1 to 2 mm
replace plausible p.bb   c - 1 mm   to 3 mm {from memory}
p.c standard 43 mm H7 limit at most 44 mm also at most 5 thou }
";
    let expected = "plausible gauges mm : 0.5 um to 0.2 mm { from memory }
table share(s: rpm) : number = 200 rpm: 0.86, 250 rpm: 1.00, held
house \"H\" {
    judge by guard band 1
    for g, h from 2026-01-01 to 2026-06-30 where duty is race {
        tighten p.gap   limit at most 1 mm          { because \"a\" }
        loosen p.longer limit at most 2 mm advisory { because \"b\" }
        narrow p.longer 1 to 2 mm
        narrow p.a      2 mm ± 1 mm
    }
    retire p.x for g { because \"c\" }
}
try \"t\" {
    generation g
    finished 2026-03-01
    p.a      = 1 mm, -2 mm
    p.longer = yes
    expect p.gap is not good or worn
    expect p.x   is out
}
fits \"ISO\" {
    sizes 3, 6 mm
    grade 6             = -1, 2
    hole H grade 6 to 8 = 0, -0.5
}
generation g \"x\" {
    telltale p.a          cast
    replace telltale p.bb 1.9 to 2.1 mm { from memory }
    plausible p.a          1 to 2 mm
    replace plausible p.bb c - 1 mm to 3 mm { from memory }
    p.c standard 43 mm H7 limit at most 44 mm also at most 5 thou
}
";
    assert_eq!(laid_out(body), expected);
}

#[test]
fn an_outer_limit_and_a_row_never_excused_stand_in_the_columns_of_rows() {
    let body = "generation g \"x\" {
p.a standard 1 to 2 mm   limit 0 to 3 mm advisory {from memory}
p.a outer  limit 0 to 9 mm never   excused {from common practice}
p.longer.outer limit no never excused where a is b
 p.outer outer limit 1 to 2 mm
}
try \"t\" { generation g expect p.a   outer limit is out }
";
    let expected = "generation g \"x\" {
    p.a            standard 1 to 2 mm limit 0 to 3 mm       advisory      { from memory }
    p.a                               outer limit 0 to 9 mm never excused { from common practice }
    p.longer.outer                    limit no              never excused where a is b
    p.outer                           outer limit 1 to 2 mm
}
try \"t\" {
    generation g
    expect p.a outer limit is out
}
";
    assert_eq!(laid_out(body), expected);
    assert_eq!(laid_out(expected), expected);
    assert_eq!(meaning(&format!("{HEADER}{body}")), meaning(&format!("{HEADER}{expected}")));
}

#[test]
fn a_book_with_mistakes_is_refused_with_what_is_wrong() {
    let findings = tidy(&Source::new("a", format!("{HEADER}clas a = B\n"))).unwrap_err();
    assert_eq!(findings.len(), 1);
}

#[test]
fn an_expansion_and_a_ratio_stand_in_no_column_of_their_neighbours() {
    let body = "part rotor {
  expansion   11.5   um/m/K +/- 1 um/m/K {from memory}
  width : mm, optional
  id:text
  }
house \"K\" {
judge by guard band 0.83   U
   gauges at least 4:1
 for g {   add rotor.width limit 1 to 2 mm   rounded   to 0.1 mm
 add rotor.longer_name limit 1 mm ± 0.1 mm rounded to 0.01 mm advisory { from memory } }
}
";
    let expected = "part rotor {
    expansion 11.5 um/m/K ± 1 um/m/K { from memory }
    width : mm, optional
    id    : text
}
house \"K\" {
    judge by guard band 0.83 U
    gauges at least 4 : 1
    for g {
        add rotor.width       limit 1 to 2 mm     rounded to 0.1 mm
        add rotor.longer_name limit 1 mm ± 0.1 mm rounded to 0.01 mm advisory { from memory }
    }
}
";
    assert_eq!(laid_out(body), expected);
    assert_eq!(laid_out(expected), expected);
    assert_eq!(meaning(&format!("{HEADER}{body}")), meaning(&format!("{HEADER}{expected}")));
}
