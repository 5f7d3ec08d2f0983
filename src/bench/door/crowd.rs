//! Who is at the door: every connection with what it is doing. When there are too many, the one that has waited longest without
//! having asked anything makes room. Refuses to know what is asked.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Instant;
use tokio::sync::Notify;

/// What a connection is doing.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Doing {
    /// Nothing was asked yet.
    Nothing,
    /// A request has begun to arrive.
    Asking,
    /// A whole request is being answered, or a stream of events is open.
    BeingAnswered,
    /// The answer is on its way, or the next request is awaited.
    Answered,
}

/// One connection.
#[derive(Debug)]
struct Seat {
    doing: Doing,
    since: Instant,
    leave: Arc<Notify>,
}

/// All of them.
#[derive(Debug)]
pub(super) struct Crowd {
    most: usize,
    seats: Mutex<(u64, BTreeMap<u64, Seat>)>,
    gone: Notify,
}

impl Crowd {
    /// Nobody yet, and so many at most.
    pub(super) fn new(most: usize) -> Arc<Crowd> {
        Arc::new(Crowd { most, seats: Mutex::default(), gone: Notify::new() })
    }

    fn seats(&self) -> MutexGuard<'_, (u64, BTreeMap<u64, Seat>)> {
        self.seats.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Lets one more in. If there are too many, the one that has waited longest is told to leave; `None` if each of them is
    /// being answered.
    pub(super) fn enter(self: &Arc<Crowd>) -> Option<Guest> {
        let mut seats = self.seats();
        let (next, here) = &mut *seats;
        if here.len() >= self.most {
            let idle = here.iter().filter(|(_, seat)| seat.doing != Doing::BeingAnswered);
            let oldest = idle.min_by_key(|(number, seat)| (seat.since, **number)).map(|(number, _)| *number)?;
            if let Some(seat) = here.remove(&oldest) {
                seat.leave.notify_one();
            }
        }
        let (number, leave) = (*next, Arc::new(Notify::new()));
        *next += 1;
        here.insert(number, Seat { doing: Doing::Nothing, since: Instant::now(), leave: leave.clone() });
        Some(Guest { crowd: self.clone(), number, leave })
    }

    /// Waits until everybody is gone.
    pub(super) async fn empty(&self) {
        loop {
            let gone = self.gone.notified();
            if self.seats().1.is_empty() {
                return;
            }
            gone.await;
        }
    }
}

/// One connection's place in the crowd, given up when it is dropped.
#[derive(Debug)]
pub(super) struct Guest {
    crowd: Arc<Crowd>,
    number: u64,
    /// Rings when it has to make room.
    pub(super) leave: Arc<Notify>,
}

impl Guest {
    /// Does something else from now on. `false` if it has lost its place: nothing may be begun any more.
    pub(super) fn now(&self, doing: Doing) -> bool {
        match self.crowd.seats().1.get_mut(&self.number) {
            Some(seat) => {
                seat.doing = doing;
                seat.since = Instant::now();
                true
            }
            None => false,
        }
    }

    /// What it is doing, and since when; `None` if it has lost its place.
    pub(super) fn doing(&self) -> Option<(Doing, Instant)> {
        self.crowd.seats().1.get(&self.number).map(|seat| (seat.doing, seat.since))
    }
}

impl Drop for Guest {
    fn drop(&mut self) {
        self.crowd.seats().1.remove(&self.number);
        self.crowd.gone.notify_waiters();
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test may stop at the first surprise")]

    use super::*;

    #[test]
    fn the_one_that_waited_longest_makes_room() {
        let crowd = Crowd::new(3);
        let guests: Vec<Guest> = (0..3).map(|_| crowd.enter().unwrap()).collect();
        assert!(guests[0].now(Doing::BeingAnswered) && guests[1].now(Doing::Asking));
        // The third has waited longest: the first is being answered, the second began to ask after it.
        let fourth = crowd.enter().unwrap();
        assert_eq!(guests[2].doing(), None);
        assert!(!guests[2].now(Doing::BeingAnswered), "it may not begin any more");
        let fifth = crowd.enter().unwrap();
        assert_eq!(guests[1].doing(), None);
        assert!(fourth.now(Doing::BeingAnswered) && fifth.now(Doing::BeingAnswered));
        assert!(crowd.enter().is_none(), "nobody who is being answered is sent away");
        drop(fourth);
        let sixth = crowd.enter().unwrap();
        assert_eq!(sixth.doing().map(|(doing, _)| doing), Some(Doing::Nothing));
        drop((guests, fifth, sixth));
        assert!(crowd.seats().1.is_empty());
    }
}
