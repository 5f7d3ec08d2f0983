//! Does one work on several things at once, on as many threads as the machine has; refuses to know what the work is.

use std::num::NonZero;
use std::panic::resume_unwind;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// More threads than this are never begun: a shop has a dozen books and as many generations.
const MOST: usize = 8;

/// As much as the first thread of a program mostly has.
const STACK: usize = 8 << 20;

/// What comes of the work on each thing, in their order.
pub(super) fn together<T: Sync, D: Send>(things: &[T], work: impl Fn(&T) -> D + Sync) -> Vec<D> {
    let threads = thread::available_parallelism().map_or(1, NonZero::get).min(things.len()).min(MOST);
    let next = AtomicUsize::new(0);
    // Whoever is free takes the next: they are of very different sizes.
    let take = || {
        let mut done = Vec::new();
        loop {
            let number = next.fetch_add(1, Ordering::Relaxed);
            let Some(thing) = things.get(number) else { return done };
            done.push((number, work(thing)));
        }
    };
    let mut done = thread::scope(|scope| {
        // Where no thread is to be had, this one does it all.
        let begun = (1..threads).map(|_| thread::Builder::new().stack_size(STACK).spawn_scoped(scope, take));
        let others: Vec<_> = begun.filter_map(Result::ok).collect();
        let mut done = take();
        for other in others {
            done.extend(other.join().unwrap_or_else(|panic| resume_unwind(panic)));
        }
        done
    });
    done.sort_unstable_by_key(|(number, _)| *number);
    done.into_iter().map(|(_, done)| done).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::panic, clippy::unwrap_used, reason = "a test may stop at the first surprise")]

    use super::*;
    use std::panic::{AssertUnwindSafe, catch_unwind};

    #[test]
    fn what_comes_of_it_is_in_order_and_each_thing_is_worked_on_once() {
        for count in [0_u64, 1, 2, 100] {
            let things: Vec<u64> = (0..count).collect();
            let worked = AtomicUsize::new(0);
            let done = together(&things, |number| {
                worked.fetch_add(1, Ordering::Relaxed);
                // The first take longest.
                thread::sleep(std::time::Duration::from_micros(500 / (number + 1)));
                number * number
            });
            assert_eq!(done, things.iter().map(|number| number * number).collect::<Vec<_>>());
            assert_eq!(worked.into_inner(), things.len());
        }
    }

    #[test]
    fn a_panic_is_passed_on() {
        let work = |number: &u32| if *number == 7 { panic!("seven") } else { *number };
        let caught = catch_unwind(AssertUnwindSafe(|| together(&(0..20).collect::<Vec<_>>(), work)));
        assert_eq!(caught.unwrap_err().downcast_ref::<&str>(), Some(&"seven"));
    }
}
