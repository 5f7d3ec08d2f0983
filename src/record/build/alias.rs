//! Aliases on the tape: the steps of the marked value once more, as long as they stay few and shallow.

use super::{Builder, Due, step};
use crate::finding::{Code, Finding};
use crate::record::anchors::Meant;
use crate::record::sheet::{Scalar, Token};
use crate::record::{MOST_DEEP, MOST_UNFOLDED, wording};
use crate::text::Span;

impl Builder<'_> {
    /// Puts on the tape once more what an alias stands for.
    pub(super) fn alias(&mut self, anchor: usize, span: Span) {
        if self.skipping > 0 {
            return;
        }
        let due = self.open.last().map(|open| open.due);
        if due == Some(Due::Nothing) {
            return self.complete(0, 0);
        }
        let (steps, height) = match self.anchors.meant(anchor) {
            Meant::Steps(steps, height) => (steps, height),
            // What it stands for was left out, and that was said there.
            Meant::LeftOut => return self.leave_out(None),
            Meant::Itself => {
                let finding = Finding::new(Code::AliasTooLarge, wording::ALIAS_CIRCLE)
                    .at(self.source.place(span), wording::ALIAS_LABEL)
                    .help(wording::ALIAS_HELP);
                return self.leave_out(Some(finding));
            }
        };
        if due == Some(Due::Key) {
            return match self.tape.get(steps.start) {
                Some(&Token::Scalar(scalar)) => self.alias_key(span, scalar),
                _ => self.compound_key(span),
            };
        }
        if self.open.len() + height > MOST_DEEP {
            return self.too_deep(span);
        }
        if !self.anchors.unfold(steps.len()) {
            let finding = (!self.unfolding_said).then(|| {
                Finding::new(Code::AliasTooLarge, wording::alias_too_large(MOST_UNFOLDED))
                    .at(self.source.place(span), wording::ALIAS_LABEL)
                    .help(wording::ALIAS_HELP)
            });
            self.unfolding_said = true;
            return self.leave_out(finding);
        }
        let at = self.tape.len();
        let moved = step(at - steps.start);
        self.tape.extend_from_within(steps);
        for token in self.tape.iter_mut().skip(at) {
            if let Token::Map(branch) | Token::List(branch) = token {
                branch.next += moved;
            }
        }
        self.complete(span.end as usize, height);
    }

    /// A key that repeats a scalar marked above.
    fn alias_key(&mut self, span: Span, scalar: Scalar) {
        let key = scalar.text.of(self.source, &self.stored).to_owned();
        if !self.is_new(&key, scalar.text, span) {
            return;
        }
        let Some(open) = self.open.last_mut() else { return };
        open.due = Due::Value(self.tape.len());
        self.tape.push(Token::Scalar(scalar));
    }
}
