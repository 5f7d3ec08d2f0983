//! Records as awkward as YAML allows: every style, comments everywhere, any indentation and line end.

use super::properties::{Dice, KEYS};

const PLAIN: &[&str] =
    &["79.86 mm", "4.35 kg", "a b", "no", "~", "1e3", "-1", "x#y", "a:b", "µ °C", "5 ± 1", "late", "012", "K-0301"];

struct Pen<'d> {
    dice: &'d mut Dice,
    text: String,
    comments: usize,
    indent: usize,
    /// Whether the last value is a block of lines, into which whatever is further right would go.
    in_lines: bool,
}

/// A record.
pub(super) fn record(dice: &mut Dice) -> String {
    let indent = *dice.of(&[2, 2, 2, 4, 4, 1, 3]);
    let mut pen = Pen { dice, text: String::new(), comments: 0, indent, in_lines: false };
    match pen.dice.below(12) {
        0 => pen.text.push_str("---\n"),
        1 => pen.text.push('\u{feff}'),
        _ => {}
    }
    if pen.dice.one_in(2) {
        pen.between(0);
    }
    match pen.dice.below(20) {
        0 => pen.between(0),
        1 => pen.flow(3),
        2 => pen.json(3, 0),
        3 => pen.items(0, 3),
        _ => pen.keys(0, 4),
    }
    let mut text = std::mem::take(&mut pen.text);
    if dice.one_in(6) {
        text.truncate(text.trim_end().len());
    }
    if dice.one_in(5) { text.replace('\n', "\r\n") } else { text }
}

impl Pen<'_> {
    fn comment(&mut self) {
        self.comments += 1;
        self.text.push_str(&format!("# c{}", self.comments));
        if self.dice.one_in(4) {
            self.text.push_str(" of: [two, \"words");
        }
    }

    /// Blank lines, comments and commented keys.
    fn between(&mut self, column: usize) {
        while self.dice.one_in(3) {
            match self.dice.below(4) {
                0 => {}
                1 => {
                    let further = if self.in_lines { 0 } else { self.dice.below(2 * self.indent) };
                    self.text.push_str(&" ".repeat(column + further));
                    self.comment();
                }
                2 => {
                    self.text.push_str(&" ".repeat(column));
                    self.comment();
                }
                _ => {
                    let key = *self.dice.of(KEYS);
                    let key = crate::record::scalar(key);
                    self.text.push_str(&format!("{}# {key}:", " ".repeat(column)));
                    if self.dice.one_in(2) {
                        self.text.push_str("   ");
                        self.comment();
                    }
                }
            }
            self.text.push('\n');
        }
    }

    /// The end of a line, perhaps with a comment.
    fn end(&mut self) {
        match self.dice.below(6) {
            0 => {
                let blanks = 1 + self.dice.below(12);
                self.text.push_str(&" ".repeat(blanks));
                self.comment();
            }
            1 => self.text.push_str("  "),
            _ => {}
        }
        self.text.push('\n');
    }

    /// Different keys.
    fn some_keys(&mut self) -> Vec<&'static str> {
        let mut keys = Vec::new();
        for _ in 0..=self.dice.below(4) {
            let key = *self.dice.of(KEYS);
            if !keys.contains(&key) {
                keys.push(key);
            }
        }
        keys
    }

    fn key(&mut self, key: &str) {
        self.in_lines = false;
        let written = match self.dice.below(5) {
            0 => format!("'{}'", key.replace('\'', "''")),
            1 => format!("\"{}\"", key.replace('"', "\\\"")),
            _ => crate::record::scalar(key),
        };
        self.text.push_str(&written);
        if self.dice.one_in(10) {
            self.text.push(' ');
        }
        self.text.push(':');
    }

    fn keys(&mut self, column: usize, deep: usize) {
        for (number, key) in self.some_keys().into_iter().enumerate() {
            if number > 0 || column == 0 {
                self.text.push_str(&" ".repeat(column));
            }
            self.key(key);
            self.block_value(column, deep, true);
            self.between(column);
        }
    }

    fn items(&mut self, column: usize, deep: usize) {
        for _ in 0..=self.dice.below(3) {
            self.text.push_str(&" ".repeat(column));
            self.text.push('-');
            self.in_lines = false;
            if deep > 0 && self.dice.one_in(4) {
                let gap = 1 + self.dice.below(2);
                self.text.push_str(&" ".repeat(gap));
                self.keys(column + 1 + gap, deep - 1);
            } else {
                self.block_value(column, deep, false);
            }
            self.between(column);
        }
    }

    /// What stands behind a colon or a dash, and the end of its line.
    fn block_value(&mut self, column: usize, deep: usize, in_map: bool) {
        let inner = column + self.indent;
        match self.dice.below(if deep == 0 { 7 } else { 12 }) {
            0 => self.end(),
            1..=3 => {
                self.text.push(' ');
                self.scalar(inner, true);
                self.end();
            }
            4 => {
                let sign = *self.dice.of(&["|", ">", "|-", ">+", "|+", ">-"]);
                self.text.push_str(&format!(" {sign}"));
                self.end();
                for _ in 0..=self.dice.below(2) {
                    self.text.push_str(&format!("{}words # {}\n", " ".repeat(inner), self.comments));
                }
                if self.dice.one_in(3) {
                    self.text.push('\n');
                }
                self.in_lines = true;
            }
            5 | 6 => {
                self.text.push(' ');
                self.flow(deep.min(2));
                self.end();
            }
            7 | 8 if in_map => {
                self.end();
                self.between(inner);
                let column = if self.dice.one_in(2) { column } else { inner };
                self.items(column, deep - 1);
            }
            _ => {
                self.end();
                self.between(inner);
                self.text.push_str(&" ".repeat(inner));
                self.keys(inner, deep - 1);
            }
        }
    }

    fn scalar(&mut self, column: usize, lines: bool) {
        let gap = if lines && self.dice.one_in(8) { format!("\n{}", " ".repeat(column + 1)) } else { " ".into() };
        let text = match self.dice.below(5) {
            0 => format!("'it''s # c:{gap}[x'"),
            1 => format!("\"a \\\"b\\\"{gap}# µ\""),
            2 if gap != " " => format!("one{gap}two"),
            _ => (*self.dice.of(PLAIN)).to_owned(),
        };
        self.text.push_str(&text);
    }

    /// Between brackets; now and then over lines, with comments.
    fn flow(&mut self, deep: usize) {
        let lines = self.dice.one_in(4);
        let is_map = self.dice.one_in(2);
        let keys = self.some_keys();
        let count = if self.dice.one_in(8) { 0 } else { keys.len() };
        self.text.push(if is_map { '{' } else { '[' });
        self.gap(lines);
        for (number, key) in keys.into_iter().take(count).enumerate() {
            if is_map {
                self.key(key);
                self.text.push(' ');
            }
            match self.dice.below(if deep == 0 { 4 } else { 6 }) {
                0 if is_map => {}
                0..=3 => self.scalar(0, false),
                _ => self.flow(deep - 1),
            }
            if self.dice.one_in(10) {
                self.text.push(' ');
            }
            if number + 1 < count || self.dice.one_in(8) {
                self.text.push(',');
            }
            self.gap(lines);
        }
        self.text.push(if is_map { '}' } else { ']' });
    }

    fn gap(&mut self, lines: bool) {
        self.text.push(' ');
        if lines && self.dice.one_in(2) {
            self.end();
            let column = 20 + self.dice.below(4);
            self.text.push_str(&" ".repeat(column));
        }
    }

    fn json(&mut self, deep: usize, column: usize) {
        let margin = " ".repeat(column + 2);
        let keys = self.some_keys();
        let count = keys.len();
        self.text.push_str("{\n");
        for (number, key) in keys.into_iter().enumerate() {
            self.text.push_str(&format!("{margin}\"{}\": ", key.replace('"', "\\\"")));
            match self.dice.below(if deep == 0 { 3 } else { 5 }) {
                0 => self.text.push_str("\"79.86 mm\""),
                1 => self.text.push_str("7000"),
                2 => self.text.push_str("[\"1 mm\", \"2 mm\"]"),
                _ => self.json(deep - 1, column + 2),
            }
            self.text.push_str(if number + 1 < count { ",\n" } else { "\n" });
        }
        self.text.push_str(&format!("{}}}", " ".repeat(column)));
    }
}
