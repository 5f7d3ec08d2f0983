//! How much the door takes in, and how long it waits, each number with its reason. Refuses to do anything with them.
//!
//! Where no source is named a number is common practice for a small server, chosen against the machine a shop has.

use std::time::Duration;

/// The port, if none is asked for. Free for private use in the registry of RFC 6335 as far as we know: from memory, unverified.
pub const USUAL_PORT: u16 = 8654;

/// So many ports after the usual one are tried: as many benches on one machine as anybody opens. Common practice.
pub(super) const PORTS_TRIED: u16 = 20;

/// The most bytes of a request line and its headers: twice the usual 8 KiB of servers. Common practice.
pub(super) const MOST_HEAD_BYTES: usize = 16 * 1024;

/// The most header fields. A browser sends about twenty. Common practice.
pub(super) const MOST_HEADERS: usize = 64;

/// The most bytes of what is sent, but for photos: a hundred times the largest form. Common practice.
pub(super) const MOST_BODY_BYTES: usize = 1 << 20;

/// The most bytes of a photo: the camera of a phone makes 2 to 12 MiB. Common practice.
pub(super) const MOST_PHOTO_BYTES: usize = 16 << 20;

/// The most bytes sent with a code: eight letters, and what a browser puts around them. Common practice.
pub(super) const MOST_CODE_BYTES: usize = 4 * 1024;

/// The most bytes of bodies held at once, over all connections: eight photos. Common practice.
pub(super) const MOST_BODY_BYTES_AT_ONCE: usize = 8 * MOST_PHOTO_BYTES;

/// Headers must be there after this long, and a connection on which nothing is asked is closed. Common practice.
pub(super) const HEAD_WITHIN: Duration = Duration::from_secs(10);

/// A body must be there after this long: a photo of 12 MiB over a slow wireless network of 4 Mbit/s. Common practice.
pub(super) const BODY_WITHIN: Duration = Duration::from_secs(30);

/// An answer must be taken within this long: four times as long as a photo takes. Common practice.
pub(super) const TAKEN_WITHIN: Duration = Duration::from_secs(120);

/// The most connections: fifty devices with the six of a browser (RFC 9112, 9.4, names no number; six is common practice)
/// and their event streams. Half of the 1,024 files a process may usually have open.
pub(super) const MOST_CONNECTIONS: usize = 512;

/// The most connections that the operating system holds until they are let in. With fewer a burst of them makes everybody wait
/// a second, the time after which a lost beginning is sent again (RFC 6298, 2.1). Common practice.
pub(super) const MOST_AT_THE_GATE: u32 = 4096;

/// The most event streams: fifty devices with four pages each. Common practice.
pub(super) const MOST_STREAMS: usize = 200;

/// How often an event stream looks for news: two phones see each other's values within a second, with three looks to spare.
pub(super) const LOOK_EVERY: Duration = Duration::from_millis(250);

/// A stream without news says that it is still here: the HTML standard (9.2.7) advises a comment about every 15 seconds.
pub(super) const STILL_HERE_EVERY: Duration = Duration::from_secs(15);

/// So many events wait for a browser that does not take them. Common practice.
pub(super) const MOST_EVENTS_WAITING: usize = 8;

/// So many requests are answered at once; the others wait their turn. A judgement keeps a core busy for some milliseconds, a
/// write waits for the disk. Common practice.
pub(super) const MOST_HANDLERS: usize = 8;

/// Values that are graded at once, if the machine does not say how many cores it has: with no more than that, whoever came first
/// is answered first, and nobody waits for those who came later. Common practice.
pub(super) const USUAL_GRADERS: usize = 2;

/// So many threads mind the connections, which only ever wait. Common practice.
pub(super) const WORKERS: usize = 2;

/// What was sent with a request that is refused is read away for so long, so that the refusal arrives. Common practice.
pub(super) const READ_AWAY_WITHIN: Duration = Duration::from_secs(2);

/// So many looks for news at once. A look is one question to the disk. Common practice.
pub(super) const MOST_LOOKS: usize = 4;

/// When the program is told to end, answers under way must be taken within this long. Common practice.
pub(super) const END_WITHIN: Duration = Duration::from_secs(5);

/// After an accepting that failed, such as with too many files open, the next waits this long. Common practice.
pub(super) const AFTER_FAULT: Duration = Duration::from_millis(50);

/// A device is paired for so long, and an address shut out: a working day with overtime, wherever midnight is. Common practice.
pub(super) const A_DAY: Duration = Duration::from_secs(16 * 60 * 60);

/// Wrong codes of one address until it is shut out: more than anybody mistypes. Common practice.
pub(super) const MOST_WRONG_OF_ONE: u32 = 10;

/// Wrong codes of all addresses until pairing closes. With 20 letters in 8 places one guess hits with 1 in 25,600,000,000.
/// Common practice.
pub(super) const MOST_WRONG_OF_ALL: u32 = 50;

/// The longest wait after a wrong code of one address. Common practice.
pub(super) const LONGEST_WAIT_OF_ONE: Duration = Duration::from_secs(60);

/// The longest wait of everybody after wrong codes of several addresses: one that guesses must not keep the others waiting
/// for long. Common practice.
pub(super) const LONGEST_WAIT_OF_ALL: Duration = Duration::from_secs(8);
