//! The tree of a rulebook packed small, to be had again without reading the book: names and sentences are taken from its text, by
//! their places. Refuses a book that is not, to the letter, the one that was packed.

mod nodes;
mod values;

use super::Tree;
use super::tree::{Header, Item};
use crate::text::{Source, Span};

/// What packed trees begin with. A tree that is made otherwise gets another number.
const FORM: u8 = 2;

/// A tree as bytes, for [`unpack`]; none of a book with a figure that no decimal says.
#[must_use]
pub fn pack(tree: &Tree) -> Option<Vec<u8>> {
    let mut packer = Packer { text: tree.source.text(), bytes: vec![FORM], last: 0, whole: true };
    packer.bytes.extend(digest(tree.source.text()).to_le_bytes());
    tree.header.pack(&mut packer);
    tree.items.pack(&mut packer);
    packer.whole.then_some(packer.bytes)
}

/// The tree of a book without mistakes that was packed before; none if the bytes are of another text, or cannot be understood.
#[must_use]
pub fn unpack(bytes: &[u8], source: &Source) -> Option<Tree> {
    let rest = bytes.strip_prefix(&[FORM])?;
    let (packed, rest) = rest.split_first_chunk::<8>()?;
    if u64::from_le_bytes(*packed) != digest(source.text()) {
        return None;
    }
    let mut unpacker = Unpacker { text: source.text(), rest, last: 0 };
    let header: Option<Header> = Packed::unpack(&mut unpacker)?;
    let items: Vec<Item> = Packed::unpack(&mut unpacker)?;
    unpacker.rest.is_empty().then(|| Tree { source: source.clone(), header, items })
}

/// A number by which a text that was changed is told from the one that was packed, as FNV-1a makes it (Fowler, Noll, Vo: The FNV
/// Non-Cryptographic Hash Algorithm, IETF Internet-Draft draft-eastlake-fnv, section 2), here from eight bytes at a time. It holds
/// against forgetting to pack again, not against somebody who means harm: both are in the same program.
fn digest(text: &str) -> u64 {
    const BASIS: u64 = 0xcbf2_9ce4_8422_2325;
    const PRIME: u64 = 0x0000_0100_0000_01b3;
    let (eights, rest) = text.as_bytes().as_chunks::<8>();
    let step = |sum: u64, next: u64| (sum ^ next).wrapping_mul(PRIME).rotate_left(32);
    let sum = eights.iter().fold(step(BASIS, text.len() as u64), |sum, eight| step(sum, u64::from_le_bytes(*eight)));
    rest.iter().fold(sum, |sum, byte| step(sum, u64::from(*byte)))
}

/// Something of a tree that can be packed.
trait Packed: Sized {
    fn pack(&self, to: &mut Packer<'_>);

    fn unpack(from: &mut Unpacker<'_>) -> Option<Self>;
}

/// Bytes as they are packed.
struct Packer<'a> {
    text: &'a str,
    bytes: Vec<u8>,
    /// Where the last place began: the next one is mostly near.
    last: u32,
    /// Whether everything so far could be packed.
    whole: bool,
}

impl Packer<'_> {
    /// Seven bits a byte, the lowest first; more follow where the eighth is set.
    fn number(&mut self, mut number: u64) {
        while let rest @ 1.. = number >> 7 {
            self.bytes.push((number & 0x7f) as u8 | 0x80);
            number = rest;
        }
        self.bytes.push(number as u8);
    }

    fn text(&mut self, text: &str) {
        self.number(text.len() as u64);
        self.bytes.extend(text.as_bytes());
    }
}

/// Bytes as they are unpacked.
struct Unpacker<'a> {
    text: &'a str,
    rest: &'a [u8],
    last: u32,
}

impl<'a> Unpacker<'a> {
    fn byte(&mut self) -> Option<u8> {
        let (byte, rest) = self.rest.split_first()?;
        self.rest = rest;
        Some(*byte)
    }

    fn number(&mut self) -> Option<u64> {
        let mut number = 0;
        for shift in (0..63).step_by(7) {
            let byte = self.byte()?;
            number |= u64::from(byte & 0x7f) << shift;
            if byte < 0x80 {
                return Some(number);
            }
        }
        None
    }

    fn text(&mut self) -> Option<&'a str> {
        let length = usize::try_from(self.number()?).ok()?;
        let (text, rest) = self.rest.split_at_checked(length)?;
        self.rest = rest;
        std::str::from_utf8(text).ok()
    }

    /// The text of a place in the book.
    fn slice(&self, span: Span) -> Option<&'a str> {
        self.text.get(span.range())
    }
}
