//! Works on one thing after another on every core and hands what comes of them over in their order. Refuses to know what the
//! work is, and never holds more than a window of it.

use rayon::ThreadPool;
use std::collections::VecDeque;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::mpsc::channel;

/// How many things a thread takes at a time, once the work is under way.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Handful {
    /// Of things that are soon done, and small once they are: enough that handing them out costs next to nothing, and that the
    /// thread that does so seldom takes a core from those that work.
    Large,
    /// Of others: few, since a window of them is held.
    Small,
}

impl Handful {
    fn size(self) -> usize {
        match self {
            Handful::Large => 64,
            Handful::Small => 8,
        }
    }
}

/// How many handfuls there are for each thread, in hand, waiting or not yet handed over: enough that none waits for another.
const HANDFULS_EACH: usize = 3;

/// Takes what `things` gives, on this thread, does `work` on it, on the threads of the pool, and gives what came of it to
/// `hand_over`, on this thread again and in the order of the things. Takes no more once `hand_over` has failed.
///
/// # Errors
/// Where `hand_over` fails.
pub(super) fn in_order<T: Send, D: Send, E: Send>(
    pool: Option<&ThreadPool>,
    handful: Handful,
    things: impl Iterator<Item = T>,
    work: impl Fn(T) -> D + Sync,
    mut hand_over: impl FnMut(Vec<D>) -> Result<(), E>,
) -> Result<(), E> {
    let mut things = things.fuse();
    // The first are small, so that something is seen at once.
    let mut size = 1;
    let mut next = move || {
        let taken: Vec<T> = things.by_ref().take(size).collect();
        size = (size * 2).min(handful.size());
        (!taken.is_empty()).then_some(taken)
    };
    let work = &work;
    let done = move |taken: Vec<T>| -> Vec<D> { taken.into_iter().map(work).collect() };
    let Some(pool) = pool else {
        while let Some(taken) = next() {
            hand_over(done(taken))?;
        }
        return Ok(());
    };
    let most = pool.current_num_threads() * HANDFULS_EACH;
    let (sender, receiver) = channel();
    pool.in_place_scope(|scope| {
        // What came of the handfuls begun and not handed over, the first of them in front.
        let mut window: VecDeque<Option<Vec<D>>> = VecDeque::with_capacity(most);
        let mut handed_over = 0;
        loop {
            while window.len() < most
                && let Some(taken) = next()
            {
                let (sender, number) = (sender.clone(), handed_over + window.len());
                window.push_back(None);
                scope.spawn(move |_| {
                    // A panic must reach the thread that waits, or it would wait for ever.
                    let done = catch_unwind(AssertUnwindSafe(|| done(taken)));
                    // Nobody waits any more where handing over failed.
                    drop(sender.send((number, done)));
                });
            }
            if window.is_empty() {
                return Ok(());
            }
            // This thread has a sender too, so there is always something to come.
            let Ok((number, done)) = receiver.recv() else { return Ok(()) };
            if let Some(place) = window.get_mut(number - handed_over) {
                *place = Some(done.unwrap_or_else(|panic| resume_unwind(panic)));
            }
            while let Some(done) = window.front_mut().and_then(Option::take) {
                window.pop_front();
                handed_over += 1;
                hand_over(done)?;
            }
        }
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

    use super::*;
    use std::time::Duration;

    fn pool(threads: usize) -> ThreadPool {
        rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap()
    }

    /// Takes longest over the first things, so that the later ones are done before them.
    fn slow_at_first(number: u64) -> u64 {
        std::thread::sleep(Duration::from_micros(2_000 / (number + 1)));
        number * number
    }

    #[test]
    fn what_comes_of_it_comes_in_order_whatever_the_threads() {
        let wanted: Vec<u64> = (0..500).map(|number| number * number).collect();
        for threads in [0, 1, 2, 7] {
            let mut got = Vec::new();
            let pool = (threads > 0).then(|| pool(threads));
            let all: Result<(), ()> = in_order(pool.as_ref(), Handful::Large, 0..500, slow_at_first, |done| {
                got.extend(done);
                Ok(())
            });
            assert_eq!((all, &got), (Ok(()), &wanted), "{threads} threads");
        }
    }

    #[test]
    fn nothing_is_taken_once_handing_over_failed_and_never_more_than_a_window() {
        for (threads, handful) in [(0, Handful::Large), (2, Handful::Large), (2, Handful::Small)] {
            let pool = (threads > 0).then(|| pool(threads));
            let taken = std::cell::Cell::new(0);
            let things = (0..100_000_u64).inspect(|_| taken.set(taken.get() + 1));
            let mut handed_over = 0;
            let failed = in_order(
                pool.as_ref(),
                handful,
                things,
                |number| number,
                |done| {
                    handed_over += done.len();
                    assert!(
                        taken.get() - handed_over <= threads * HANDFULS_EACH * handful.size(),
                        "{} {handed_over}",
                        taken.get()
                    );
                    if handed_over > 1_000 { Err("the pipe is broken") } else { Ok(()) }
                },
            );
            assert_eq!(failed, Err("the pipe is broken"));
            assert!(taken.get() < 1_000 + (threads + 1) * HANDFULS_EACH * handful.size(), "{}", taken.get());
        }
    }

    #[test]
    fn a_panic_is_passed_on_and_nobody_waits_for_ever() {
        let pool = pool(2);
        let work = |number: u64| if number == 77 { panic!("seventy-seven") } else { number };
        let caught = catch_unwind(AssertUnwindSafe(|| {
            in_order(Some(&pool), Handful::Large, 0..10_000, work, |_| Ok::<(), ()>(()))
        }));
        assert_eq!(caught.unwrap_err().downcast_ref::<&str>(), Some(&"seventy-seven"));
    }
}
