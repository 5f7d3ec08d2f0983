//! One mistake at a time, then several: what is said, what is underlined, and what is still read.

use super::*;

#[test]
fn probe() {
    for text in [
        "a: 1\n\tb: 2\nc: 3\n",
        "a:\n\tb: 2\n\tc: 4\nd: 3\n",
        "a:\n \tb: 2\n",
        "a: 1\n  b: 2\nc: 3\n",
        "a: [1, 2\nb: 3\n",
        "a: {x: 1\n  y: 2\nb: 3\n",
        "a: \"x\nb: 2\n",
        "a: b: c\nd: 1\n",
        "a: 1\nfoo\nb: 2\n",
        "- 1\na: 2\n",
        "a: @x\nb: 1\n",
        "a: `x`\n",
        "a: 5%\nb: %x\n",
        "a: *x\nb: *\n",
        "a: &x [*x]\nb: 1\n",
        "a: 1\n---\nb: 2\n",
        "a: 1}\nb: ]\n",
        "a: {b: 1]\nc: 2\n",
        "a: !e!x 1\nb: 2\n",
        "a: \"x\\qy\"\nb: 1\n",
        "a: 'x' y\nb: 1\n",
        "x: a\0b\nb: 1\n",
        "rotor:\n  front: \"x\n  rear:\n    w: 1\n    v: [1, 2\n    u: 3\nend: 2\n",
        "a: ,x\nb: 1\n",
        "r:\n  f: \"x\ne: 2\n",
        "a:\n  - 1\n - 2\nb: 1\n",
        "a:\n   b: 1\n  c: 2\nd: 3\n",
        "a: - 1\nb: 2\n",
        "a: 1#\n",
        "a: \"x\"#c\nb: 1\n",
        "a: |x\n  y\nb: 1\n",
        "%FOO bar\na: 1\n",
        "a: 1\n\u{feff}b: 2\n",
        "a: [1, 2]]\nb: 1\n",
        "{\"a\": 1 \"b\": 2}",
        "{\"a\": 1,, \"b\": 2}",
        "{\"a\": [1, 2}",
        "[",
        "\"",
        "a:1\nb: 2\n",
        "key\n",
        "a: 1\nb 2\nc: 3\n",
        "? [a]\n: 1\nb: 2\n",
        "<<: *x\na: 1\n",
        "a: !!int 5\nb: !foo {c: 1}\n",
        "a: 1\na: {x: [1, 2]}\nb: 2\na: 3\n",
        "...",
        "a: 'it's'\nb: 1\n",
        "a: 0.05 mm: 3\nb: 1\n",
        "a: one\n# c\n two\nb: 1\n",
        "a: \u{85}\u{7f}x\nb: 1\n",
        "a: &\nb: 2\n",
        "\tfoo",
        "a: [1,\n2,\n@]\nb: 4\n",
        "a: !<x 1\nb: 2",
        "- - -\n  :",
        "a:\n\t- 1\n\t- 2\nb: 1\n",
    ] {
        let (sheet, findings) = read(&source(text));
        println!("=== {text:?}  →  {}", sheet.as_ref().map_or("none".into(), drawn_sheet));
        for finding in findings {
            let (place, label) = finding.place.unwrap();
            let at = place.line_column();
            println!(
                "   {}: {} | {}:{} {:?} {label} | {:?} {:?}",
                finding.code,
                finding.message,
                at.line,
                at.column,
                place.text(),
                finding.help,
                finding.because.iter().map(|b| b.0.text()).collect::<Vec<_>>()
            );
        }
    }
}
