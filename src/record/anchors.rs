//! Which steps of the tape an alias stands for, and how much aliases may unfold. Refuses to know what the steps hold.

use std::ops::Range;

use super::MOST_UNFOLDED;

/// A marked value (`&name`).
struct Anchor {
    number: usize,
    begin: usize,
    /// Past its last step, and how many maps and lists it nests; nothing while it is open.
    complete: Option<(usize, usize)>,
}

/// What an alias stands for.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Meant {
    /// These steps, nesting so many maps and lists.
    Steps(Range<usize>, usize),
    /// A value it is inside of.
    Itself,
    /// A value that is not on the tape.
    LeftOut,
}

/// All marked values so far, in the order marked.
#[derive(Default)]
pub(super) struct Anchors {
    all: Vec<Anchor>,
    /// Places in `all` of those not complete.
    open: Vec<usize>,
    unfolded: usize,
}

impl Anchors {
    /// Marks a complete value. The number 0 marks nothing.
    #[inline]
    pub(super) fn set(&mut self, number: usize, steps: Range<usize>, height: usize) {
        if number != 0 {
            self.all.push(Anchor { number, begin: steps.start, complete: Some((steps.end, height)) });
        }
    }

    /// Marks a map or list that begins at a step. The number 0 marks nothing.
    #[inline]
    pub(super) fn open(&mut self, number: usize, begin: usize) {
        if number != 0 {
            self.open.push(self.all.len());
            self.all.push(Anchor { number, begin, complete: None });
        }
    }

    /// Completes the map or list that began at a step, if it is marked.
    #[inline]
    pub(super) fn close(&mut self, begin: usize, end: usize, height: usize) {
        let Some(at) = self.open.last().copied() else { return };
        if let Some(anchor) = self.all.get_mut(at).filter(|anchor| anchor.begin == begin) {
            anchor.complete = Some((end, height));
            self.open.pop();
        }
    }

    /// Forgets what was marked from a step on: those steps are taken off the tape.
    pub(super) fn forget_from(&mut self, step: usize) {
        let kept = self.all.partition_point(|anchor| anchor.begin < step);
        self.all.truncate(kept);
        self.open.retain(|at| *at < kept);
    }

    /// What an alias with the number of a mark stands for.
    pub(super) fn meant(&self, number: usize) -> Meant {
        let found = self.all.binary_search_by_key(&number, |anchor| anchor.number).ok();
        match found.and_then(|at| self.all.get(at)) {
            Some(Anchor { begin, complete: Some((end, height)), .. }) => Meant::Steps(*begin..*end, *height),
            Some(_) => Meant::Itself,
            None => Meant::LeftOut,
        }
    }

    /// Counts so many steps more; whether that is still little enough.
    pub(super) fn unfold(&mut self, steps: usize) -> bool {
        let fits = steps <= MOST_UNFOLDED - self.unfolded;
        if fits {
            self.unfolded += steps;
        }
        fits
    }
}
