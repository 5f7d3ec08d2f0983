//! How what all nodes of a tree are made of is packed: places, names, figures, lists.

use super::{Packed, Packer, Unpacker};
use crate::quantity::{Date, Number};
use crate::syntax::tree::{Name, UnitName, Words};
use crate::text::Span;

/// Where the text of a node is to be found.
mod text {
    /// As it stands at its place.
    pub(super) const THERE: u8 = 0;
    /// The same between quotation marks.
    pub(super) const INSIDE: u8 = 1;
    /// Not in the book: escapes are resolved in it. It follows.
    pub(super) const HERE: u8 = 2;
}

/// The most places after the point of a figure in a book: it is written with at most 60 digits.
const MOST_PLACES: u32 = 60;

fn between_marks(slice: &str) -> Option<&str> {
    slice.strip_prefix('"')?.strip_suffix('"')
}

fn pack_text(text: &str, span: Span, to: &mut Packer<'_>) {
    span.pack(to);
    let slice = to.text.get(span.range());
    if slice == Some(text) {
        to.bytes.push(text::THERE);
    } else if slice.and_then(between_marks) == Some(text) {
        to.bytes.push(text::INSIDE);
    } else {
        to.bytes.push(text::HERE);
        to.text(text);
    }
}

fn unpack_text(from: &mut Unpacker<'_>) -> Option<(Box<str>, Span)> {
    let span = Span::unpack(from)?;
    let text = match from.byte()? {
        text::THERE => from.slice(span)?,
        text::INSIDE => between_marks(from.slice(span)?)?,
        text::HERE => from.text()?,
        _ => return None,
    };
    Some((text.into(), span))
}

impl Packed for Span {
    fn pack(&self, to: &mut Packer<'_>) {
        let forward = i64::from(self.start) - i64::from(to.last);
        // The sign in the lowest bit, so that a small step back is a small number too.
        to.number(forward.unsigned_abs() << 1 | u64::from(forward < 0));
        to.whole &= self.start <= self.end;
        to.number(u64::from(self.end.saturating_sub(self.start)));
        to.last = self.start;
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<Span> {
        let forward = from.number()?;
        let far = u32::try_from(forward >> 1).ok()?;
        let start = if forward & 1 == 1 { from.last.checked_sub(far)? } else { from.last.checked_add(far)? };
        let end = start.checked_add(u32::try_from(from.number()?).ok()?)?;
        from.last = start;
        Some(Span { start, end })
    }
}

macro_rules! with_text {
    ($($node:ident)*) => {$(
        impl Packed for $node {
            fn pack(&self, to: &mut Packer<'_>) {
                pack_text(&self.text, self.span, to);
            }

            fn unpack(from: &mut Unpacker<'_>) -> Option<$node> {
                let (text, span) = unpack_text(from)?;
                Some($node { text, span })
            }
        }
    )*};
}

with_text!(Name UnitName Words);

impl Packed for Number {
    /// As the figure that begins where the last place does, if that is the same.
    fn pack(&self, to: &mut Packer<'_>) {
        let there = to.text.get(to.last as usize..).and_then(|text| Number::parse_prefix(text).ok());
        if there.is_some_and(|(number, _)| number == *self) {
            to.bytes.push(text::THERE);
            return;
        }
        to.bytes.push(text::HERE);
        let written = self.to_text(MOST_PLACES);
        to.whole &= Number::parse(&written).is_ok_and(|number| number == *self);
        to.text(&written);
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<Number> {
        match from.byte()? {
            text::THERE => Some(Number::parse_prefix(from.text.get(from.last as usize..)?).ok()?.0),
            text::HERE => Number::parse(from.text()?).ok(),
            _ => None,
        }
    }
}

impl Packed for Date {
    fn pack(&self, to: &mut Packer<'_>) {
        to.number(self.year().into());
        to.bytes.extend([self.month(), self.day()]);
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<Date> {
        Date::new(u16::unpack(from)?, from.byte()?, from.byte()?)
    }
}

impl Packed for Box<str> {
    fn pack(&self, to: &mut Packer<'_>) {
        to.text(self);
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<Box<str>> {
        Some(from.text()?.into())
    }
}

impl Packed for bool {
    fn pack(&self, to: &mut Packer<'_>) {
        to.bytes.push(u8::from(*self));
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<bool> {
        match from.byte()? {
            0 => Some(false),
            1 => Some(true),
            _ => None,
        }
    }
}

impl Packed for u8 {
    fn pack(&self, to: &mut Packer<'_>) {
        to.bytes.push(*self);
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<u8> {
        from.byte()
    }
}

impl Packed for u16 {
    fn pack(&self, to: &mut Packer<'_>) {
        to.number((*self).into());
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<u16> {
        from.number()?.try_into().ok()
    }
}

impl<T: Packed> Packed for Option<T> {
    fn pack(&self, to: &mut Packer<'_>) {
        self.is_some().pack(to);
        if let Some(inner) = self {
            inner.pack(to);
        }
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<Option<T>> {
        Some(if bool::unpack(from)? { Some(T::unpack(from)?) } else { None })
    }
}

impl<T: Packed> Packed for Box<T> {
    fn pack(&self, to: &mut Packer<'_>) {
        self.as_ref().pack(to);
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<Box<T>> {
        Some(Box::new(T::unpack(from)?))
    }
}

impl<T: Packed> Packed for Vec<T> {
    fn pack(&self, to: &mut Packer<'_>) {
        to.number(self.len() as u64);
        self.iter().for_each(|inner| inner.pack(to));
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<Vec<T>> {
        let count = usize::try_from(from.number()?).ok()?;
        // Everything takes a byte at least: no count can ask for more room than there are bytes.
        let mut all = Vec::with_capacity(count.min(from.rest.len()));
        for _ in 0..count {
            all.push(T::unpack(from)?);
        }
        Some(all)
    }
}

impl<A: Packed, B: Packed> Packed for (A, B) {
    fn pack(&self, to: &mut Packer<'_>) {
        self.0.pack(to);
        self.1.pack(to);
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<(A, B)> {
        Some((A::unpack(from)?, B::unpack(from)?))
    }
}
