//! The forms a value may have, each changed.

use super::*;

const RECORD: &str = "\
# Front rotor first.
build: K-0301   # the name

rotor:
  front:
    mass: 4.35 kg   # weighed twice
    # The wide end.
    width: [79.83 mm, 79.84 mm]

  rear: { mass: 4.36 kg, width: [79.85 mm, 79.86 mm] } # still warm
";

#[test]
fn a_value_in_a_block_map_is_written_over() {
    becomes(RECORD, &set("rotor.front.mass", "4.3 kg"), &RECORD.replace("4.35 kg", "4.3 kg"));
    becomes(RECORD, &set("rotor.front.mass", "4.35 kg"), RECORD);
    let span = edited(RECORD, &set("rotor.front.mass", "4.3 kg")).unwrap();
    assert_eq!(span.text.get(span.span.unwrap().range()), Some("4.3 kg"));
}

#[test]
fn a_value_in_a_flow_map_is_written_over() {
    becomes(RECORD, &set("rotor.rear.mass", "4.4 kg"), &RECORD.replace("4.36 kg", "4.4 kg"));
    becomes(RECORD, &set("rotor.rear.width.[1]", "79.9 mm"), &RECORD.replace("79.86 mm", "79.9 mm"));
    becomes("{ mass: 1 kg }", &set("mass", "2 kg"), "{ mass: 2 kg }");
    becomes(
        "rotor: {\n  mass: 1 kg, # first\n  width: [1 mm,\n    2 mm] }\n",
        &set("rotor.width", list(&["1 mm", "3 mm"])),
        "rotor: {\n  mass: 1 kg, # first\n  width: [1 mm,\n    3 mm] }\n",
    );
}

#[test]
fn lists_of_both_styles_grow_and_shrink() {
    let block = "a:\n  - 1 mm # first\n  - 2 mm\nb: 3\n";
    becomes(block, &set("a", list(&["1 mm", "9 mm"])), "a:\n  - 1 mm # first\n  - 9 mm\nb: 3\n");
    becomes(block, &set("a", list(&["1 mm", "2 mm", "3 mm"])), "a:\n  - 1 mm # first\n  - 2 mm\n  - 3 mm\nb: 3\n");
    becomes(block, &set("a", list(&["8 mm"])), "a:\n  - 8 mm # first\nb: 3\n");
    becomes(block, &set("a.[2]", "3 mm"), "a:\n  - 1 mm # first\n  - 2 mm\n  - 3 mm\nb: 3\n");
    becomes(block, &remove("a.[0]"), "a:\n  # first\n  - 2 mm\nb: 3\n");
    becomes("a: [1, 2]\n", &set("a", list(&["1", "2", "3"])), "a: [1, 2, 3]\n");
    becomes("a: [1, 2, ]\n", &set("a", list(&["1", "2", "3"])), "a: [1, 2, 3, ]\n");
    becomes("a: [1, 2]\n", &set("a", list(&["1"])), "a: [1]\n");
    becomes("a: []\n", &set("a", list(&["1"])), "a: [1]\n");
    becomes("a:\n- 1\n- 2\nb: 3\n", &set("a.[2]", "3"), "a:\n- 1\n- 2\n- 3\nb: 3\n");
}

#[test]
fn a_value_becomes_one_of_another_kind() {
    becomes("a: 1 mm # c\n", &set("a", list(&["1 mm", "2 mm"])), "a: [1 mm, 2 mm] # c\n");
    let map = map(&[("value", list(&["1 mm"])), ("gauge", "mic-0-25".into()), ("note", "worn: see #3".into())]);
    becomes("a: 1 mm # c\n", &set("a", map), "a: { value: [1 mm], gauge: mic-0-25, note: \"worn: see #3\" } # c\n");
    becomes("a: { value: 1 mm, gauge: x } # c\n", &set("a", "2 mm"), "a: 2 mm # c\n");
    becomes("a:\n  - 1 mm # first\n  - 2 mm\n\nb: 3\n", &set("a", "2 mm"), "a: 2 mm\n  # first\n\nb: 3\n");
    becomes("a: # c\n  b: 1\n  # d\n  c: 2\nd: 3\n", &set("a", "2 mm"), "a: 2 mm # c\n  # d\nd: 3\n");
    becomes("a: [1, # one\n  2] # two\n", &set("a", "3"), "a: 3  # one\n    # two\n");
}

#[test]
fn the_map_of_a_reading_changes_key_by_key() {
    becomes(
        "a: { value: 1 mm, gauge: x } # c\n",
        &set("a", map(&[("value", "1 mm".into()), ("note", "n".into()), ("gauge", "y".into())])),
        "a: { value: 1 mm, note: n, gauge: y } # c\n",
    );
    becomes(
        "a:\n  value: 1 mm # one\n  gauge: x # two\n",
        &set("a", map(&[("value", "2 mm".into()), ("at", "20 degC".into())])),
        "a:\n  value: 2 mm # one\n  at: 20 degC\n  # two\n",
    );
}

#[test]
fn quoted_keys_are_found() {
    becomes("\"a\": 1\n'it''s': 2\n", &set("a", "3"), "\"a\": 3\n'it''s': 2\n");
    becomes("\"a\": 1\n'it''s': 2\n", &set("it's", "3"), "\"a\": 1\n'it''s': 3\n");
    becomes("a: { \"b\":1,'c' : 2}\n", &set("a.b", "5 mm"), "a: { \"b\":5 mm,'c' : 2}\n");
    becomes("a: { \"b\":1,'c' : 2}\n", &set("a.c", "5 mm"), "a: { \"b\":1,'c' : 5 mm}\n");
    becomes("a: 1\n", &set("x y: z", "3"), "a: 1\n\"x y: z\": 3\n");
}

#[test]
fn a_new_key_goes_behind_the_others_of_its_map() {
    becomes(
        RECORD,
        &set("rotor.front.casting", "late"),
        &RECORD.replace("79.84 mm]\n", "79.84 mm]\n    casting: late\n"),
    );
    becomes(RECORD, &set("rotor.rear.casting", "late"), &RECORD.replace("79.86 mm] }", "79.86 mm], casting: late }"));
    becomes(RECORD, &set("duty", "race"), &format!("{RECORD}duty: race\n"));
    becomes("a: {}\n", &set("a.b.c", "1 mm"), "a: { b: { c: 1 mm } }\n");
    becomes("a: { b }\n", &set("a.b", "1 mm"), "a: { b: 1 mm }\n");
    becomes("a: { b: , c: }\n", &set("a.b", "1"), "a: { b: 1, c: }\n");
    becomes("a: { b: , c: }\n", &set("a.c", "1"), "a: { b: , c: 1 }\n");
    becomes("a: { b: 1 # c\n  }\n", &set("a.d", "1"), "a: { b: 1, d: 1 # c\n  }\n");
    becomes("a: {\n  b: 1, # c\n  }\n", &set("a.d", "1"), "a: {\n  b: 1, # c\n  d: 1,\n  }\n");
    becomes("a: {\n  b: 1 # c\n  }\n", &set("a.d", "1"), "a: {\n  b: 1, # c\n  d: 1\n  }\n");
}

#[test]
fn parts_that_are_not_there_are_added_with_all_keys_between() {
    becomes("build: K\n", &set("rotor.front.mass", "4.35 kg"), "build: K\nrotor:\n  front:\n    mass: 4.35 kg\n");
    let deep = "a:\n    b: 1\n";
    becomes(deep, &set("rotor.front.mass", "4.35 kg"), "a:\n    b: 1\nrotor:\n    front:\n        mass: 4.35 kg\n");
    becomes("rotor:\n  front:\nb: 1\n", &set("rotor.front.mass", "4 kg"), "rotor:\n  front:\n    mass: 4 kg\nb: 1\n");
    becomes("rotor: {}\n", &set("rotor.front.mass", "4 kg"), "rotor: { front: { mass: 4 kg } }\n");
    becomes("parts:\n  - tag: R-1\n", &set("parts.[1].tag", "R-2"), "parts:\n  - tag: R-1\n  - { tag: R-2 }\n");
    becomes("parts:\n  - tag: R-1\n", &set("parts.[0].mass", "4 kg"), "parts:\n  - tag: R-1\n    mass: 4 kg\n");
}

#[test]
fn a_new_key_goes_where_the_order_says() {
    let at = |text: &str, change: &Change| {
        let order = |_: &[Step], keys: &[&str], new: &str| by_list(&["a", "b", "c", "d"], keys, new);
        edit(&Source::new("r.yaml", text), change, &order).unwrap().text
    };
    assert_eq!(at("a: 1\nc: 3\n", &set("b", "2")), "a: 1\nb: 2\nc: 3\n");
    assert_eq!(at("# top\n\nb: 1\nc: 3\n", &set("a", "2")), "# top\n\na: 2\nb: 1\nc: 3\n");
    assert_eq!(at("x: { b: 1, d: 3 }\n", &set("x.c", "2")), "x: { b: 1, c: 2, d: 3 }\n");
    assert_eq!(at("x: { b: 1, d: 3 }\n", &set("x.a", "2")), "x: { a: 2, b: 1, d: 3 }\n");
    assert_eq!(at("x:\n  - b: 1\n    d: 3\n", &set("x.[0].a", "2")), "x:\n  - a: 2\n    b: 1\n    d: 3\n");
    assert_eq!(at("{\n  \"b\": 1\n}\n", &set("a", "2")), "{\n  \"a\": \"2\",\n  \"b\": 1\n}\n");
    assert_eq!(at("a: 1\n  # own\n# of c\nc: 3\n", &set("b", "2")), "a: 1\n  # own\nb: 2\n# of c\nc: 3\n");
}

#[test]
fn line_ends_and_the_end_of_the_file_stay() {
    becomes("a: 1\r\nb:\r\n  c: 2\r\n", &set("b.d", "3"), "a: 1\r\nb:\r\n  c: 2\r\n  d: 3\r\n");
    becomes("a: 1\r\nb:\r\n  c: 2 # x\r\n", &set("b.c", "3"), "a: 1\r\nb:\r\n  c: 3 # x\r\n");
    becomes("a: 1\r\nb: 2\r\nc: 3\r\n", &remove("b"), "a: 1\r\nc: 3\r\n");
    becomes("a: 1\r\n", &set("b.c", "3"), "a: 1\r\nb:\r\n  c: 3\r\n");
    becomes("a: 1", &set("b", "3"), "a: 1\nb: 3");
    becomes("a: 1", &set("a", "3"), "a: 3");
    becomes("a:", &set("a", "3"), "a: 3");
    becomes("a:\n  b: 1", &set("a.c", "3"), "a:\n  b: 1\n  c: 3");
    becomes("\u{feff}a: 1\nb: 2\n", &set("c", "3"), "\u{feff}a: 1\nb: 2\nc: 3\n");
    becomes("\u{feff}a: 1\nb: 2\n", &remove("a"), "\u{feff}b: 2\n");
}

#[test]
fn an_empty_record_gets_its_first_value() {
    becomes("", &set("a", "1"), "a: 1\n");
    becomes("", &set("a.b", "1"), "a:\n  b: 1\n");
    becomes("# only\n# remarks\n", &set("a", "1"), "# only\n# remarks\na: 1\n");
    becomes("# only", &set("a", "1"), "# only\na: 1");
    becomes("---\n", &set("a", "1"), "---\na: 1\n");
    becomes("\n\n", &set("a", "1"), "\n\na: 1\n");
    becomes("{}\n", &set("a", "1"), "{ \"a\": \"1\" }\n");
}

#[test]
fn a_key_without_a_value_gets_one_and_its_comment_keeps_its_column() {
    becomes("a:\nb: 1\n", &set("a", "4.35 kg"), "a: 4.35 kg\nb: 1\n");
    becomes("a:          # kg\n", &set("a", "4.35 kg"), "a: 4.35 kg  # kg\n");
    becomes("a:          # kg\n", &set("a", "4.35555 kg"), "a: 4.35555 kg  # kg\n");
    becomes("a: # kg\nb: 1\n", &set("a", "4 kg"), "a: 4 kg  # kg\nb: 1\n");
    becomes("a:  \nb: 1\n", &set("a", "4 kg"), "a: 4 kg  \nb: 1\n");
    becomes("a:\n  -\n  - 2\n", &set("a.[0]", "1"), "a:\n  - 1\n  - 2\n");
    let blank =
        "rotor:\n  width:                 # mm\n                         # Micrometer.\n    plug_side:\n    b:\n";
    becomes(blank, &set("rotor.width.b", "80.00 mm"), &blank.replace("b:", "b: 80.00 mm"));
    let back = edited(blank, &set("rotor.width.b", "80.00 mm")).unwrap();
    becomes(&back.text, &set("rotor.width.b", Written::Nothing), blank);
    becomes("a: 4.35 kg  # kg\n", &set("a", Written::Nothing), "a:          # kg\n");
    becomes("x: { a: 4.35 kg, b: 1 }\n", &set("x.a", Written::Nothing), "x: { a:, b: 1 }\n");
}

#[test]
fn a_key_in_a_comment_becomes_one() {
    let blank = "rotor:\n  front:\n    # tip_ridge:           # mm, optional\n                           # Look closely.\n    mass:                  # kg\n    # a = b: at most 1 mm\n";
    becomes(
        blank,
        &set("rotor.front.tip_ridge", "0.05 mm"),
        &blank.replace("# tip_ridge:           # mm", "tip_ridge: 0.05 mm     # mm"),
    );
    becomes("front:\n  # mark:   # words\nrear:\n", &set("front.mark", "A 1"), "front:\n  mark: A 1  # words\nrear:\n");
    becomes("a: 1\n# b:\nc: 2\n", &set("b", "3"), "a: 1\nb: 3\nc: 2\n");
    becomes("# b:\n# rest\n", &set("b", "3"), "b: 3\n# rest\n");
    // A sentence, another map's key and a key in the middle of another map are none.
    becomes("a: 1\n# b: see below\n", &set("b", "3"), "a: 1\nb: 3\n# b: see below\n");
    becomes("a:\n  x: 1\n  # b:\nc: 2\n", &set("b", "3"), "a:\n  x: 1\n  # b:\nc: 2\nb: 3\n");
    becomes("a:\n  x: 1\n# b:\n  y: 1\n", &set("b", "3"), "a:\n  x: 1\n# b:\n  y: 1\nb: 3\n");
}

#[test]
fn texts_over_several_lines_are_replaced_whole() {
    let lines = "a: |  # why\n  one\n  # two\n\n# next\nb: >-\n    x\n    y\n\nc: 1\n";
    becomes(lines, &set("a", "3"), "a: 3  # why\n\n# next\nb: >-\n    x\n    y\n\nc: 1\n");
    becomes(lines, &set("b", "3"), "a: |  # why\n  one\n  # two\n\n# next\nb: 3\n\nc: 1\n");
    becomes("a: |+\n  x\n\n\nb: 1\n", &set("c", "3"), "a: |+\n  x\n\n\nb: 1\nc: 3\n");
    becomes("b: 1\na: |+\n  x\n\n\n", &set("c", "3"), "b: 1\na: |+\n  x\n\n\nc: 3\n");
    becomes("a: one\n  two # c\nb: 1\n", &set("a", "3"), "a: 3 # c\nb: 1\n");
    becomes("a: \"one\n  two\"\nb: 1\n", &set("a", "3"), "a: 3\nb: 1\n");
    becomes("n: |\n  x\n  y", &remove("n"), "");
    becomes("a: 1\n", &set("a", "one\ntwo: #3"), "a: \"one\\ntwo: #3\"\n");
}

#[test]
fn json_stays_json() {
    let json = "{\n  \"build\": \"K-1\",\n  \"rotor\": {\"front\": {\"mass\": \"4.35 kg\"}},\n  \"redline\": 7000\n}\n";
    becomes(json, &set("rotor.front.mass", "4.3 kg"), &json.replace("4.35", "4.3"));
    becomes(json, &set("redline", "7200"), &json.replace("7000", "\"7200\""));
    becomes(json, &set("duty", "race"), &json.replace("7000\n", "7000,\n  \"duty\": \"race\"\n"));
    becomes(
        json,
        &set("rotor.rear.width", list(&["1 mm", "2 mm"])),
        &json.replace("}},", "}, \"rear\": { \"width\": [\"1 mm\", \"2 mm\"] }},"),
    );
    becomes(json, &remove("build"), &json.replace("\"build\": \"K-1\",\n  ", ""));
    becomes(json, &remove("redline"), &json.replace(",\n  \"redline\": 7000", ""));
    becomes(json, &set("redline", Written::Nothing), &json.replace("7000", "\"\""));
    becomes(json, &set("redline", "a \"b\" \\ \u{1}"), &json.replace("7000", "\"a \\\"b\\\" \\\\ \\u0001\""));
    for change in [set("a.b", "x\ty"), set("redline", list(&["1"])), remove("rotor.front.mass")] {
        let text = edited(json, &change).unwrap().text;
        let value: serde_json::Value = serde_json::from_str(&text).unwrap();
        assert_eq!(value["build"], "K-1", "{text}");
    }
}

#[test]
fn a_value_is_taken_away_and_its_comments_stay() {
    becomes(RECORD, &remove("rotor.front.mass"), &RECORD.replace("mass: 4.35 kg   #", "#"));
    becomes(RECORD, &remove("rotor.front.width"), &RECORD.replace("    width: [79.83 mm, 79.84 mm]\n", ""));
    becomes(RECORD, &remove("rotor.rear.mass"), &RECORD.replace("mass: 4.36 kg, ", ""));
    becomes(RECORD, &remove("rotor.rear.width"), &RECORD.replace(", width: [79.85 mm, 79.86 mm]", ""));
    becomes("a:\n  b: 1\nc: 2\n", &remove("a.b"), "a:\nc: 2\n");
    becomes("a: 1\n", &remove("a"), "");
    becomes("a: 1 # c\n", &remove("a"), "# c\n");
    becomes("a: { b: 1 }\n", &remove("a.b"), "a: {}\n");
    becomes("a:\n  - b: 1\n    c: 2\n", &remove("a.[0].b"), "a:\n  - c: 2\n");
    becomes("a:\n  - b: 1 # x\n    c: 2\n", &remove("a.[0].b"), "a:\n  - # x\n    c: 2\n");
    becomes("a:\n  - b: 1\nd: 1\n", &remove("a.[0].b"), "a:\n  -\nd: 1\n");
    becomes("a:\n  b: # x\n    c: 1\n\n    # y\n    d: 2\ne: 3\n", &remove("a.b"), "a:\n  # x\n\n    # y\ne: 3\n");
    becomes("a: [1, # one\n  2, # two\n  3]\n", &remove("a.[1]"), "a: [1, # one\n  # two\n  3]\n");
    // Further right than the text above, a comment would become part of it.
    becomes("a: |\n  x\nb:\n     # c\n  d: 1\n", &remove("b"), "a: |\n  x\n# c\n");
}
