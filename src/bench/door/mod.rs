//! The door of the bench: connections, how many and how much they may bring, who may come in, and when it closes. Refuses to know
//! what is asked and answered inside.
//!
//! Everything that waits is here, on a few threads of `tokio`; everything that reads files, judges or writes runs on threads that
//! may wait, a bounded number of them.

mod admit;
mod chance;
mod crowd;
mod limits;
mod listen;
mod packed;
mod pair;
mod pairing;
mod request;
mod response;
mod stream;
mod words;

pub use limits::USUAL_PORT;
pub use pairing::Device;

use super::Workshop;
use admit::Ends;
use crowd::{Crowd, Doing};
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use limits::{
    AFTER_FAULT, END_WITHIN, HEAD_WITHIN, MOST_BODY_BYTES_AT_ONCE, MOST_CONNECTIONS, MOST_HANDLERS, MOST_HEAD_BYTES,
    MOST_HEADERS, MOST_LOOKS, MOST_STREAMS, TAKEN_WITHIN, USUAL_GRADERS, WORKERS,
};
use listen::Listening;
use pairing::Pairing;
use std::convert::Infallible;
use std::io::{self, BufRead};
use std::net::{IpAddr, SocketAddr};
use std::num::NonZero;
use std::pin::pin;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant, SystemTime};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Semaphore, mpsc, watch};

/// Where the bench listens.
#[derive(Clone, Copy, Debug, Default)]
pub struct Options {
    /// The port, 0 for one that the system chooses. `None` for [`USUAL_PORT`], or the next free one.
    pub port: Option<u16>,
    /// Whether devices of the network may be paired, and at which address of this machine: all of IPv4 if none is named.
    pub network: Option<Option<IpAddr>>,
}

/// Why the bench cannot be opened.
#[derive(Debug)]
pub enum NoDoor {
    /// Another program has the port that was asked for.
    Taken(u16),
    /// Other programs have all ports from the first to the last.
    AllTaken(u16, u16),
    /// The address is not one of this machine, or may not be used.
    NotHere(IpAddr, io::Error),
    /// The operating system gives no threads, signals or randomness.
    System(io::Error),
}

/// What the one who started the bench is told.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Notice {
    /// The bench is open at these addresses.
    Open(Vec<String>),
    /// The code that pairs the next device, and the address that opens the page with it, if this machine's own is known.
    Code(String, Option<String>),
    /// A device was paired.
    Paired(u32, IpAddr),
    /// The devices that are paired.
    Devices(Vec<Device>),
    /// A device was dropped.
    Dropped(u32),
    /// No paired device has this number.
    NoDevice(u32),
    /// An address typed too many wrong codes.
    ShutOut(IpAddr),
    /// There were too many wrong codes: no device can be paired.
    PairingClosed,
    /// Something was typed that means nothing.
    Keys,
}

/// Whom to tell.
type Tell = Box<dyn Fn(Notice) + Send + Sync>;

/// What all connections share.
struct Door {
    workshop: Arc<Workshop>,
    /// Which devices may come in; `None` if the network may not.
    pairing: Option<Mutex<Pairing>>,
    port: u16,
    /// The address of this machine on the network, if it is known.
    network: Option<IpAddr>,
    crowd: Arc<Crowd>,
    streams: Arc<Crowd>,
    handlers: Arc<Semaphore>,
    graders: Arc<Semaphore>,
    looks: Semaphore,
    body_bytes: Semaphore,
    ends: watch::Sender<bool>,
    started: (Instant, SystemTime),
    tell: Tell,
}

impl Door {
    /// A door nobody has come to yet. With a code devices of the network may be paired.
    fn new(workshop: Arc<Workshop>, code: Option<&str>, (port, network): (u16, Option<IpAddr>), tell: Tell) -> Door {
        Door {
            workshop,
            pairing: code.map(|code| Mutex::new(Pairing::new(code))),
            port,
            network,
            crowd: Crowd::new(MOST_CONNECTIONS),
            streams: Crowd::new(MOST_STREAMS),
            handlers: Arc::new(Semaphore::new(MOST_HANDLERS)),
            graders: Arc::new(Semaphore::new(graders())),
            looks: Semaphore::new(MOST_LOOKS),
            body_bytes: Semaphore::new(MOST_BODY_BYTES_AT_ONCE),
            ends: watch::Sender::new(false),
            started: (Instant::now(), SystemTime::now()),
            tell,
        }
    }

    /// Since the start, also while the machine slept: what is paired for a day is not paired for two.
    fn now(&self) -> Duration {
        self.started.0.elapsed().max(self.started.1.elapsed().unwrap_or_default())
    }

    fn pairing(&self) -> Option<MutexGuard<'_, Pairing>> {
        self.pairing.as_ref().map(|pairing| pairing.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// Whether somebody may come in: from this machine, or with the token of a paired device.
    fn lets_in(&self, ends: &Ends, token: Option<&str>) -> bool {
        let known = || self.pairing().zip(token).is_some_and(|(pairing, token)| pairing.knows(token, self.now()));
        ends.is_loopback() || known()
    }

    /// Tells the code that is in force now.
    fn tell_code(&self, code: String) {
        let address =
            self.network.map(|address| format!("http://{}/pair?code={code}", SocketAddr::new(address, self.port)));
        (self.tell)(Notice::Code(code, address));
    }

    /// Changes when the program is to end.
    fn ends(&self) -> watch::Receiver<bool> {
        self.ends.subscribe()
    }
}

/// Opens the bench and answers until the program is told to end (on Unix by SIGINT, SIGTERM or SIGHUP) or `q` is typed.
/// Requests under way are finished first. Of `keys` each line is a key: `d` lists devices, a number drops one, `n` makes a new
/// code, `q` ends.
///
/// # Errors
/// Why it cannot be opened.
pub fn serve(
    workshop: Arc<Workshop>,
    options: Options,
    keys: Option<Box<dyn BufRead + Send>>,
    tell: impl Fn(Notice) + Send + Sync + 'static,
) -> Result<(), NoDoor> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(WORKERS)
        .max_blocking_threads(MOST_HANDLERS + MOST_LOOKS + graders())
        .enable_all()
        .build()
        .map_err(NoDoor::System)?;
    // Dropping the runtime waits for whatever is being written.
    runtime.block_on(run(workshop, options, keys, Box::new(tell)))
}

/// So many values are graded at once.
fn graders() -> usize {
    std::thread::available_parallelism().map_or(USUAL_GRADERS, NonZero::get)
}

async fn run(
    workshop: Arc<Workshop>,
    options: Options,
    keys: Option<Box<dyn BufRead + Send>>,
    tell: Tell,
) -> Result<(), NoDoor> {
    let mut told_to_end = pin!(told_to_end().map_err(NoDoor::System)?);
    let Listening { listeners, port, network } = listen::listen(&options)?;
    let code = match options.network {
        Some(_) => Some(chance::code().map_err(|error| NoDoor::System(io::Error::other(error)))?),
        None => None,
    };
    let door = Arc::new(Door::new(workshop, code.as_deref(), (port, network), tell));
    let mut addresses = vec![format!("http://localhost:{port}/")];
    addresses.extend(network.map(|address| format!("http://{}/", SocketAddr::new(address, port))));
    (door.tell)(Notice::Open(addresses));
    if let Some(code) = code {
        door.tell_code(code);
    }
    for listener in listeners {
        tokio::spawn(accept(door.clone(), listener));
    }
    let mut typed = keys.map(lines);
    loop {
        let line = async {
            match &mut typed {
                Some(typed) => typed.recv().await,
                None => std::future::pending().await,
            }
        };
        tokio::select! {
            () = &mut told_to_end => break,
            line = line => match line {
                Some(line) => if !pressed(&door, line.trim()) { break },
                // Nobody types any more; the bench stays open.
                None => typed = None,
            },
        }
    }
    door.ends.send_replace(true);
    let _ = tokio::time::timeout(END_WITHIN, door.crowd.empty()).await;
    Ok(())
}

/// Ready when the program is told to end. The signals are minded from now on, not from when this is first waited for.
#[cfg(unix)]
fn told_to_end() -> io::Result<impl Future<Output = ()>> {
    use tokio::signal::unix::{SignalKind, signal};
    let mut interrupt = signal(SignalKind::interrupt())?;
    let mut terminate = signal(SignalKind::terminate())?;
    let mut hang_up = signal(SignalKind::hangup())?;
    Ok(async move {
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
            _ = hang_up.recv() => {}
        }
    })
}

/// Ready when the program is told to end.
#[cfg(not(unix))]
fn told_to_end() -> io::Result<impl Future<Output = ()>> {
    Ok(async {
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    })
}

/// The lines of a reader. Reading cannot be broken off, so it has a thread of its own, which the end of the program ends.
fn lines(keys: Box<dyn BufRead + Send>) -> mpsc::Receiver<String> {
    let (sender, receiver) = mpsc::channel(1);
    std::thread::spawn(move || {
        for line in keys.lines().map_while(Result::ok) {
            if sender.blocking_send(line).is_err() {
                return;
            }
        }
    });
    receiver
}

/// Does what a key asks for. `false` if the bench is to end.
fn pressed(door: &Door, key: &str) -> bool {
    let now = door.now();
    let notice = match (key, door.pairing()) {
        ("q", _) => return false,
        ("", _) => return true,
        ("d", Some(mut pairing)) => Notice::Devices(pairing.devices(now).to_vec()),
        ("n", Some(mut pairing)) => match chance::code() {
            Ok(code) => {
                pairing.reopen(&code);
                drop(pairing);
                door.tell_code(code);
                return true;
            }
            Err(_) => Notice::PairingClosed,
        },
        (key, Some(mut pairing)) => match key.parse() {
            Ok(number) if pairing.unpair(number) => Notice::Dropped(number),
            Ok(number) => Notice::NoDevice(number),
            Err(_) => Notice::Keys,
        },
        (_, None) => Notice::Keys,
    };
    (door.tell)(notice);
    true
}

/// Lets connections in until the program ends.
async fn accept(door: Arc<Door>, listener: TcpListener) {
    let mut ends = door.ends();
    loop {
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            _ = ends.changed() => return,
        };
        let Ok((stream, there)) = accepted else {
            tokio::time::sleep(AFTER_FAULT).await;
            continue;
        };
        // Without room for it, or without an end of its own, it is closed at once.
        if let (Some(guest), Ok(here)) = (door.crowd.enter(), stream.local_addr()) {
            tokio::spawn(attend(door.clone(), stream, Ends::new(here, there), Arc::new(guest)));
        }
        // A connection that just came in may say what it wants before the next one takes its place.
        tokio::task::yield_now().await;
    }
}

/// Answers one connection until it is closed, has to make room, or the program ends.
async fn attend(door: Arc<Door>, stream: TcpStream, ends: Ends, guest: Arc<crowd::Guest>) {
    // Answers are small and waited for.
    let _ = stream.set_nodelay(true);
    let service = hyper::service::service_fn(|request| {
        let (door, guest) = (door.clone(), guest.clone());
        async move { Ok::<_, Infallible>(request::respond(door, guest, ends, request).await) }
    });
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD_WITHIN)
        .max_buf_size(MOST_HEAD_BYTES)
        .max_header_size(MOST_HEAD_BYTES)
        .max_headers(MOST_HEADERS)
        .serve_connection(TokioIo::new(stream), service);
    let mut connection = pin!(connection);
    let mut ending = door.ends();
    let mut is_ending = false;
    loop {
        tokio::select! {
            // Closed, or broken: there is nobody to tell.
            _ = connection.as_mut() => return,
            () = guest.leave.notified() => return,
            _ = ending.changed(), if !is_ending => {
                is_ending = true;
                connection.as_mut().graceful_shutdown();
                if guest.doing().is_none_or(|(doing, _)| doing == Doing::Nothing) {
                    return;
                }
            }
            () = tokio::time::sleep(HEAD_WITHIN) => {
                let is_stuck = |(doing, since): (Doing, Instant)| doing == Doing::Answered && since.elapsed() >= TAKEN_WITHIN;
                if guest.doing().is_none_or(is_stuck) {
                    return;
                }
            }
        }
    }
}
