//! A rulebook cut into pieces that may be set apart or together: words, whole units, marks, comments. Refuses to know
//! what they come to; the book is known to be without mistakes.

/// What a piece is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Shape {
    /// A word of the language, a name or a path.
    Word,
    /// A number or a date.
    Number,
    /// The unit of a number, or the name of a type.
    Unit,
    /// Words between quotation marks.
    Words,
    /// A mark.
    Mark(char),
    /// `#` and the rest of the line.
    Comment,
}

/// One piece.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Token {
    /// What it is.
    pub(super) shape: Shape,
    /// As it is to be written.
    pub(super) text: String,
    /// Its first byte.
    pub(super) start: usize,
    /// Line ends between it and the piece before.
    pub(super) breaks: usize,
    /// Whether nothing stands between it and the piece before.
    pub(super) touches: bool,
    /// Whether it is to be set right against the piece before.
    pub(super) tight: bool,
}

impl Token {
    /// Whether it is this mark.
    pub(super) fn is(&self, mark: char) -> bool {
        self.shape == Shape::Mark(mark)
    }

    /// Whether it is this word.
    pub(super) fn says(&self, word: &str) -> bool {
        self.shape == Shape::Word && self.text == word
    }
}

/// Words that stand between or before values, so that what follows them is no call and no unit.
const WORDS: [&str; 57] = [
    "rulebook",
    "edition",
    "use",
    "shipped",
    "unit",
    "class",
    "choice",
    "constant",
    "formula",
    "part",
    "extend",
    "source",
    "generation",
    "basis",
    "general",
    "follows",
    "fitted",
    "at",
    "to",
    "or",
    "and",
    "not",
    "is",
    "standard",
    "limit",
    "advisory",
    "where",
    "because",
    "remedy",
    "caution",
    "measure",
    "from",
    "replace",
    "derive",
    "optional",
    "exactly",
    "above",
    "below",
    "all",
    "yes",
    "no",
    "of",
    "house",
    "for",
    "table",
    "telltale",
    "plausible",
    "also",
    "try",
    "expect",
    "fits",
    "judge",
    "rounded",
    "expansion",
    "gauges",
    "never",
    "rework",
];

/// Words that begin a change a house makes.
const CHANGES: [&str; 6] = ["tighten", "loosen", "add", "adopt", "retire", "narrow"];

/// Whether a word is one of the language.
pub(super) fn is_word_of_language(word: &str) -> bool {
    WORDS.contains(&word) || CHANGES.contains(&word)
}

/// Cuts a text.
pub(super) fn tokens(text: &str) -> Vec<Token> {
    let mut cutter = Cutter { text, at: 0, list: Vec::new(), breaks: 0, touches: false };
    if text.starts_with('\u{feff}') {
        cutter.at = '\u{feff}'.len_utf8();
    }
    while cutter.step() {}
    cutter.list
}

struct Cutter<'a> {
    text: &'a str,
    at: usize,
    list: Vec<Token>,
    breaks: usize,
    touches: bool,
}

impl Cutter<'_> {
    fn rest(&self) -> &str {
        self.text.get(self.at..).unwrap_or("")
    }

    fn step(&mut self) -> bool {
        let rest = self.rest();
        let mut letters = rest.chars();
        let Some(letter) = letters.next() else { return false };
        let next = letters.next();
        match letter {
            '\r' if next == Some('\n') => self.pass(1, 0),
            '\n' | '\r' => self.pass(1, 1),
            ' ' | '\t' => self.pass(1, 0),
            '#' => {
                let length = rest.find(['\n', '\r']).unwrap_or(rest.len());
                self.push(Shape::Comment, length);
            }
            '"' => {
                let length = words_length(rest);
                self.push(Shape::Words, length);
            }
            '+' if rest.starts_with("+/-") => self.push(Shape::Mark('±'), 3),
            '0'..='9' | '.' => {
                let length = date_length(rest).unwrap_or_else(|| number_length(rest));
                self.push(Shape::Number, length);
                self.unit_of_number();
            }
            letter if is_unit_letter(letter) => match self.type_length() {
                0 => {
                    let length = path_length(rest);
                    self.push(Shape::Word, length);
                }
                length => self.push(Shape::Unit, length),
            },
            letter => self.push(Shape::Mark(letter), letter.len_utf8()),
        }
        true
    }

    fn pass(&mut self, length: usize, breaks: usize) {
        self.at += length;
        self.breaks += breaks;
        self.touches = false;
    }

    fn push(&mut self, shape: Shape, length: usize) {
        let length = length.max(1);
        let text = self.text.get(self.at..self.at + length).unwrap_or("");
        let text = match shape {
            // A comment cannot hold a line end, and a tab in it has no width of its own.
            Shape::Comment => text.replace('\t', " ").trim_end().to_owned(),
            Shape::Mark('±') => "±".to_owned(),
            _ => text.to_owned(),
        };
        let (breaks, touches) = (self.breaks, self.touches);
        self.list.push(Token { shape, text, start: self.at, breaks, touches, tight: false });
        self.at += length;
        self.breaks = 0;
        self.touches = true;
    }

    /// A number's unit stands on its line. What goes on with a dot is a path: the next member on the same line.
    fn unit_of_number(&mut self) {
        let rest = self.rest();
        let blank = rest.len() - rest.trim_start_matches([' ', '\t']).len();
        let after = rest.get(blank..).unwrap_or("");
        let length = unit_length(after);
        let goes_on = after.get(length..).is_some_and(|more| more.starts_with('.'));
        if length > 0 && !goes_on {
            if blank > 0 {
                self.pass(blank, 0);
            }
            self.push(Shape::Unit, length);
        }
    }

    /// After a colon the type of a name stands, which may be a unit of several factors.
    fn type_length(&self) -> usize {
        let before = self.list.iter().rfind(|token| token.shape != Shape::Comment);
        if !before.is_some_and(|before| before.is(':')) {
            return 0;
        }
        // After the name of an operation a path stands.
        let mut back = self.list.iter().rev().filter(|token| token.shape != Shape::Comment).skip(1);
        if back.next().is_some_and(|name| name.shape == Shape::Word)
            && back.next().is_some_and(|word| word.says("rework"))
        {
            return 0;
        }
        let rest = self.rest();
        if rest.starts_with("yes/no") { "yes/no".len() } else { unit_length(rest) }
    }
}

fn words_length(rest: &str) -> usize {
    let mut escaped = false;
    for (offset, letter) in rest.char_indices().skip(1) {
        match letter {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return offset + 1,
            _ => {}
        }
    }
    rest.len()
}

fn digits(text: &str) -> usize {
    text.len() - text.trim_start_matches(|letter: char| letter.is_ascii_digit()).len()
}

fn number_length(rest: &str) -> usize {
    let whole = digits(rest);
    let after = rest.get(whole..).unwrap_or("");
    let part = after.strip_prefix('.').map_or(0, digits);
    if part > 0 { whole + 1 + part } else { whole }
}

/// `2026-03-01` is one piece wherever it stands in one piece.
fn date_length(rest: &str) -> Option<usize> {
    const LENGTH: usize = 10;
    let date = rest.get(..LENGTH)?;
    let shaped = date.bytes().enumerate().all(|(at, byte)| match at {
        4 | 7 => byte == b'-',
        _ => byte.is_ascii_digit(),
    });
    let ends =
        !rest.get(LENGTH..)?.starts_with(|letter: char| letter.is_alphanumeric() || matches!(letter, '_' | '-' | '.'));
    (shaped && ends).then_some(LENGTH)
}

fn is_unit_letter(letter: char) -> bool {
    letter.is_alphabetic() || matches!(letter, '°' | '%')
}

fn path_length(rest: &str) -> usize {
    let belongs = |letter: char| is_unit_letter(letter) || letter.is_ascii_digit() || matches!(letter, '_' | '.');
    rest.find(|letter| !belongs(letter)).unwrap_or(rest.len())
}

/// The unit a text begins with, as the grammar has it: factors that touch, each with a power of one digit, and `ft-lb`.
fn unit_length(text: &str) -> usize {
    let mut length = factor_length(text);
    if length == 0 {
        return 0;
    }
    length += tail_length(text.get(length..).unwrap_or(""));
    loop {
        let rest = text.get(length..).unwrap_or("");
        let factor = rest.strip_prefix(['*', '·', '/']).map_or(0, factor_length);
        if factor == 0 {
            return length;
        }
        length += rest.chars().next().map_or(0, char::len_utf8) + factor;
    }
}

/// The hyphen and the second name of a unit such as `ft-lb`; nothing where a value goes on after a minus.
fn tail_length(rest: &str) -> usize {
    let Some(name) = rest.strip_prefix('-') else { return 0 };
    let length = name.find(|letter| !is_unit_letter(letter)).unwrap_or(name.len());
    let goes_on = |letter: char| letter.is_ascii_digit() || matches!(letter, '_' | '.' | '(');
    let is_value = name.get(length..).is_some_and(|after| after.starts_with(goes_on));
    if length == 0 || is_value || name.get(..length).is_some_and(is_word_of_language) { 0 } else { 1 + length }
}

fn factor_length(rest: &str) -> usize {
    if !rest.starts_with(is_unit_letter) {
        return 0;
    }
    let belongs = |letter: char| is_unit_letter(letter) || letter.is_ascii_digit() || letter == '_';
    let length = rest.find(|letter| !belongs(letter)).unwrap_or(rest.len());
    if rest.get(..length).is_some_and(is_word_of_language) {
        return 0;
    }
    let after = rest.get(length..).unwrap_or("");
    let power = after.strip_prefix('^').map_or(0, |power| {
        let digit = power.strip_prefix('-').unwrap_or(power);
        if digits(digit) > 0 { 1 + (power.len() - digit.len()) + 1 } else { 0 }
    });
    length + power
}
