//! What is not changed, and what is said of it.

use super::*;

#[test]
fn what_is_repeated_or_marked_is_not_changed() {
    let text = "a: &x\n  b: 1\nc: *x\nd: !t 1\ne: &y 2\nf: *y\ng: { h: [&z 1] }\n";
    assert_eq!(is_refused(text, &set("a.b", "2"), &Why::Anchor).place.line_column().line, 2);
    is_refused(text, &set("a", "2"), &Why::Anchor);
    assert_eq!(is_refused(text, &set("c.b", "2"), &Why::Alias).place.line_column().line, 3);
    is_refused(text, &set("c", "2"), &Why::Alias);
    is_refused(text, &set("d", "2"), &Why::Tag);
    is_refused(text, &set("e", "3"), &Why::Anchor);
    is_refused(text, &set("f", "3"), &Why::Alias);
    is_refused(text, &remove("g"), &Why::Anchor);
    // Beside them everything is.
    becomes(text, &set("g.i", "2"), &text.replace("[&z 1]", "[&z 1], i: 2"));
}

#[test]
fn a_record_that_cannot_be_read_whole_is_not_changed() {
    for text in ["a: 1\n---\nb: 2\n", "a: [1\nb: 2\n", "a: 1\na: 2\n", "a: 1\n<<: *x\n", "a:1\nb: 2\n", "a:\n\tb: 1\n"]
    {
        let fault = edited(text, &set("b", "2")).unwrap_err();
        assert!(matches!(fault.why, Why::Unreadable(_)), "{text:?}: {fault:?}");
        assert!(fault.to_string().contains("nothing was changed"));
    }
    let fault = edited("a: 1\nb: [1\n", &set("a", "2")).unwrap_err();
    assert_eq!(fault.place.line_column().line, 2);
    let deep = "[".repeat(70) + &"]".repeat(70);
    assert!(matches!(edited(&format!("a: {deep}\n"), &set("b", "2")).unwrap_err().why, Why::Unreadable(_)));
}

#[test]
fn a_path_that_leads_nowhere_is_not_followed() {
    let text = "a: 1\nb: [1]\nc: { d: 1 }\n";
    is_refused(text, &set("a.x", "2"), &Why::ThroughText);
    is_refused(text, &set("b.x", "2"), &Why::ThroughList);
    is_refused(text, &set("c.[0]", "2"), &Why::NotAList);
    is_refused(text, &set("b.[2]", "2"), &Why::NotThere);
    is_refused(text, &set("n.[1]", "2"), &Why::NotThere);
    is_refused(text, &remove("n"), &Why::NotThere);
    is_refused(text, &remove("b.[1]"), &Why::NotThere);
    is_refused("", &remove("n"), &Why::NotThere);
    is_refused("- 1\n", &set("a", "2"), &Why::ThroughList);
    is_refused("just words\n", &set("a", "2"), &Why::ThroughText);
    is_refused(text, &Change::Remove { path: Vec::new() }, &Why::NoPath);
    is_refused(text, &Change::Set { path: vec![Step::Key("k".into()); 65], value: "1".into() }, &Why::TooDeep);
    let deep = (0..64).fold(Written::from("1"), |value, _| Written::List(vec![value]));
    is_refused(text, &set("k", deep), &Why::TooDeep);
}

#[test]
fn what_is_written_oddly_is_not_changed() {
    is_refused("? a\n: 1\nb: 2\n", &set("a", "3"), &Why::Unusual);
    is_refused("a: [b: 1]\n", &set("a.[0].b", "3"), &Why::Unusual);
    is_refused("&k a: 1\nb: 2\n", &set("b", "3"), &Why::Unusual);
    becomes("a: 1\n...\n", &set("b", "3"), "a: 1\nb: 3\n...\n");
}

#[test]
fn what_would_read_differently_is_not_written() {
    let twice = map(&[("a", "1".into()), ("a", "2".into())]);
    let fault = edited("x: 1\n", &set("x", twice)).unwrap_err();
    assert!(matches!(fault.why, Why::NotSafe(Some(_))), "{fault:?}");
    let long = "k".repeat(2000);
    assert!(matches!(edited("x: 1\n", &set(&long, "1")).unwrap_err().why, Why::NotSafe(_)));
    // Without `b` the comment would be a line of `a`.
    is_refused("a: |\n  x\nb: 1\n    # c\nd: 2\n", &remove("b"), &Why::NotSafe(None));
    // Quoted, a text before a number sign reads as itself.
    becomes("a: \"housing\" #3\n", &set("a", "iron"), "a: \"iron\" #3\n");
}
