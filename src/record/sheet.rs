//! A record as read: a flat tape of maps, lists and scalars, each with the bytes it was written in. Knows no meaning.

use crate::text::{Place, Source, Span, named_alike};

/// Where the text of a scalar is kept.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum TextRef {
    /// It stands in the source exactly so.
    Written(Span),
    /// Escapes or folded lines had to be worked out: it stands in the sheet's own store.
    Stored(Span),
}

impl TextRef {
    /// The text, of a source and of what is stored beside it.
    pub(super) fn of<'t>(self, source: &'t Source, stored: &'t str) -> &'t str {
        match self {
            TextRef::Written(span) => source.slice(span),
            TextRef::Stored(span) => stored.get(span.range()).unwrap_or(""),
        }
    }
}

/// One step of the tape. A map is followed by its keys and values in turn, a list by its items.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Token {
    /// A map of keys to values.
    Map(Branch),
    /// A list of values.
    List(Branch),
    /// A key or a value that holds nothing else.
    Scalar(Scalar),
}

/// A map or list on the tape.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Branch {
    /// From its first byte to the last byte of its last value, brackets included.
    pub span: Span,
    /// How many keys, or items, it has.
    pub count: u32,
    /// The step of the tape just past it.
    pub next: u32,
}

/// A text on the tape.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Scalar {
    /// Its bytes as written: quotes included, no blanks and no comment after it.
    pub span: Span,
    /// Its text, with escapes and folds worked out.
    pub text: TextRef,
    /// Whether it was written plain, without quotes and not as a block.
    pub plain: bool,
}

/// A record as read, with the place of every value.
///
/// What an alias (`*name`) stands for is on the tape as often as it is used, each time with the places of the value
/// that was written once.
#[derive(Clone, PartialEq, Debug)]
pub struct Sheet {
    /// The file it was read from.
    pub source: Source,
    pub(super) tape: Vec<Token>,
    pub(super) stored: String,
    pub(super) whole: bool,
}

impl Sheet {
    /// The value that holds all the others.
    #[must_use]
    pub fn root(&self) -> Option<Node<'_>> {
        Node::at(self, 0).map(|(node, _)| node)
    }

    /// The steps in order: every map and list before what it holds.
    #[must_use]
    pub fn tape(&self) -> &[Token] {
        &self.tape
    }

    /// Whether everything in the file is on the tape. Where not, a value that seems missing may be one that could not
    /// be read.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.whole
    }

    /// The place of a span, to say something about it.
    #[must_use]
    pub fn place(&self, span: Span) -> Place {
        self.source.place(span)
    }

    /// The sheet with other texts for some of its keys, each at the place where it was written; `None` if every key keeps its
    /// own. `other` is given each map with its key in turn, and how many maps it is inside.
    #[must_use]
    pub fn with_keys(&self, other: impl Fn(&MapNode<'_>, ScalarNode<'_>, &[&str]) -> Option<String>) -> Option<Sheet> {
        let mut renamed: Vec<(u32, String)> = Vec::new();
        // Records nest at most 64 deep; the steps still to be looked at are kept on our own stack.
        let mut open: Vec<(u32, Vec<&str>)> = vec![(0, Vec::new())];
        while let Some((at, above)) = open.pop() {
            match Node::at(self, at) {
                Some((Node::Map(map), _)) => {
                    let mut entries = map.entries();
                    loop {
                        let at = entries.at;
                        let Some((key, _)) = entries.next() else { break };
                        renamed.extend(other(&map, key, &above).map(|text| (at, text)));
                        let below = above.iter().copied().chain([key.text()]).collect();
                        open.push((at + 1, below));
                    }
                }
                Some((Node::List(list), _)) => {
                    let mut items = list.items();
                    loop {
                        let at = items.at;
                        if items.next().is_none() {
                            break;
                        }
                        open.push((at, above.clone()));
                    }
                }
                _ => {}
            }
        }
        if renamed.is_empty() {
            return None;
        }
        let mut sheet = self.clone();
        for (at, text) in renamed {
            let start = sheet.stored.len();
            sheet.stored.push_str(&text);
            let stored = TextRef::Stored(Span::new(start, sheet.stored.len()));
            if let Some(Token::Scalar(scalar)) = sheet.tape.get_mut(at as usize) {
                scalar.text = stored;
            }
        }
        Some(sheet)
    }

    /// The text a reference stands for.
    #[must_use]
    pub fn text(&self, text: TextRef) -> &str {
        text.of(&self.source, &self.stored)
    }
}

/// A value of a sheet: where it stands on the tape, copied freely.
#[derive(Clone, Copy, Debug)]
pub enum Node<'a> {
    /// Keys and values.
    Map(MapNode<'a>),
    /// Items in order.
    List(ListNode<'a>),
    /// A text.
    Scalar(ScalarNode<'a>),
}

impl<'a> Node<'a> {
    /// The value at a step, and the step past it.
    #[inline]
    fn at(sheet: &'a Sheet, at: u32) -> Option<(Node<'a>, u32)> {
        let inside = at + 1;
        Some(match sheet.tape.get(at as usize)? {
            Token::Map(branch) => (Node::Map(MapNode { sheet, branch, inside }), branch.next),
            Token::List(branch) => (Node::List(ListNode { sheet, branch, inside }), branch.next),
            Token::Scalar(scalar) => (Node::Scalar(ScalarNode { sheet, scalar }), inside),
        })
    }

    /// The bytes it was written in.
    #[must_use]
    pub fn span(&self) -> Span {
        match self {
            Node::Map(map) => map.span(),
            Node::List(list) => list.span(),
            Node::Scalar(scalar) => scalar.span(),
        }
    }

    /// Its place, to say something about it.
    #[must_use]
    pub fn place(&self) -> Place {
        self.sheet().place(self.span())
    }

    /// The sheet it is on.
    #[must_use]
    pub fn sheet(&self) -> &'a Sheet {
        match self {
            Node::Map(map) => map.sheet,
            Node::List(list) => list.sheet,
            Node::Scalar(scalar) => scalar.sheet,
        }
    }

    /// The map, if it is one.
    #[must_use]
    pub fn as_map(&self) -> Option<MapNode<'a>> {
        if let Node::Map(map) = self { Some(*map) } else { None }
    }

    /// The list, if it is one.
    #[must_use]
    pub fn as_list(&self) -> Option<ListNode<'a>> {
        if let Node::List(list) = self { Some(*list) } else { None }
    }

    /// The scalar, if it is one.
    #[must_use]
    pub fn as_scalar(&self) -> Option<ScalarNode<'a>> {
        if let Node::Scalar(scalar) = self { Some(*scalar) } else { None }
    }

    /// Whether it is a value that was left empty: nothing at all behind its colon. Quotes round nothing are something.
    #[must_use]
    pub fn is_unwritten(&self) -> bool {
        matches!(self, Node::Scalar(scalar) if scalar.span().is_empty() && scalar.text().is_empty())
    }
}

/// A map on a sheet. No key stands in it twice.
#[derive(Clone, Copy, Debug)]
pub struct MapNode<'a> {
    sheet: &'a Sheet,
    branch: &'a Branch,
    /// The step of its first key.
    inside: u32,
}

impl<'a> MapNode<'a> {
    /// Its keys and values, in the order written.
    #[must_use]
    pub fn entries(&self) -> Entries<'a> {
        Entries { sheet: self.sheet, at: self.inside, left: self.branch.count }
    }

    /// The value of a key, written so or in other capitals where only one key is. Walks the keys: for a few look-ups in a small
    /// map.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<Node<'a>> {
        named_alike(self.entries(), key, |(written, _)| written.text()).map(|(_, value)| value)
    }

    /// How many keys.
    #[must_use]
    pub fn len(&self) -> usize {
        self.branch.count as usize
    }

    /// Whether there is no key.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.branch.count == 0
    }

    /// The bytes it was written in.
    #[must_use]
    pub fn span(&self) -> Span {
        self.branch.span
    }

    /// Its place, to say something about it.
    #[must_use]
    pub fn place(&self) -> Place {
        self.sheet.place(self.branch.span)
    }
}

/// A list on a sheet.
#[derive(Clone, Copy, Debug)]
pub struct ListNode<'a> {
    sheet: &'a Sheet,
    branch: &'a Branch,
    /// The step of its first item.
    inside: u32,
}

impl<'a> ListNode<'a> {
    /// Its items, in the order written.
    #[must_use]
    pub fn items(&self) -> Items<'a> {
        Items { sheet: self.sheet, at: self.inside, left: self.branch.count }
    }

    /// How many items.
    #[must_use]
    pub fn len(&self) -> usize {
        self.branch.count as usize
    }

    /// Whether there is no item.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.branch.count == 0
    }

    /// The bytes it was written in.
    #[must_use]
    pub fn span(&self) -> Span {
        self.branch.span
    }

    /// Its place, to say something about it.
    #[must_use]
    pub fn place(&self) -> Place {
        self.sheet.place(self.branch.span)
    }
}

/// A scalar on a sheet: its text is never taken for a number, a date or a truth value here.
#[derive(Clone, Copy, Debug)]
pub struct ScalarNode<'a> {
    sheet: &'a Sheet,
    scalar: &'a Scalar,
}

impl<'a> ScalarNode<'a> {
    /// Its text with escapes and folds worked out. A value left empty has the empty text; `~` has the text `~`.
    #[must_use]
    #[inline]
    pub fn text(&self) -> &'a str {
        self.sheet.text(self.scalar.text)
    }

    /// Whether it was written plain, without quotes and not as a block.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        self.scalar.plain
    }

    /// The bytes it was written in, quotes included.
    #[must_use]
    pub fn span(&self) -> Span {
        self.scalar.span
    }

    /// The bytes its text stands in, without the quotes; nothing where the text differs from what was written, so that
    /// no part of it can be pointed at.
    #[must_use]
    pub fn text_span(&self) -> Option<Span> {
        if let TextRef::Written(span) = self.scalar.text { Some(span) } else { None }
    }

    /// Its place, to say something about it.
    #[must_use]
    pub fn place(&self) -> Place {
        self.sheet.place(self.scalar.span)
    }
}

/// The keys and values of a map.
#[derive(Clone, Debug)]
pub struct Entries<'a> {
    sheet: &'a Sheet,
    at: u32,
    left: u32,
}

impl<'a> Iterator for Entries<'a> {
    type Item = (ScalarNode<'a>, Node<'a>);

    #[inline]
    fn next(&mut self) -> Option<Self::Item> {
        self.left = self.left.checked_sub(1)?;
        let Token::Scalar(scalar) = self.sheet.tape.get(self.at as usize)? else { return None };
        let (value, next) = Node::at(self.sheet, self.at + 1)?;
        self.at = next;
        Some((ScalarNode { sheet: self.sheet, scalar }, value))
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        (0, Some(self.left as usize))
    }
}

/// The items of a list.
#[derive(Clone, Debug)]
pub struct Items<'a> {
    sheet: &'a Sheet,
    at: u32,
    left: u32,
}

impl<'a> Iterator for Items<'a> {
    type Item = Node<'a>;

    fn next(&mut self) -> Option<Self::Item> {
        self.left = self.left.checked_sub(1)?;
        let (item, next) = Node::at(self.sheet, self.at)?;
        self.at = next;
        Some(item)
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        (0, Some(self.left as usize))
    }
}
