//! `trochoid bench`: opens the pages at the bench of a shop, and says in the terminal where they are. Refuses to know what is on
//! them.

use super::arguments::{Colour, Drawing};
use super::{COULD_NOT, sheet_folder, square, terminal, wording_bench as words};
use crate::bench::{Notice, Options, Workshop, serve};
use crate::disk;
use crate::finding::Finding;
use crate::report::{Look, terminal as drawing};
use clap::Args;
use std::io::{self, BufRead, BufReader, Write};
use std::net::{IpAddr, Ipv4Addr};
use std::path::PathBuf;
use std::sync::Arc;

/// Enter readings in a browser, graded as they are typed
///
/// Opens pages on this machine on which the builds of a shop are listed, and readings are entered and graded as they are typed.
/// They are written into the same records that every other command reads. Only this machine can open the pages, unless
/// `--network` is given; then each phone or tablet is paired with a code that is shown here.
#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  trochoid bench                          the shop in this folder
  trochoid bench SHOP --read-only         show its pages; nobody can write
  trochoid bench --port 9000              at http://localhost:9000/
  trochoid bench --network                also for phones and tablets of the shop
  trochoid bench --network=192.0.2.7      the same, only at this address of this machine

It runs until Ctrl-C is pressed. What is being written then is finished first.

With --network, type a key and Enter: d lists the paired devices, a number drops that device,
n makes a new code, q stops. A device stays paired for 16 hours. What devices send is not
encrypted: use --network only on the shop's own network.

Exit status:
  0  it was stopped
  2  it could not be opened: no such folder, rulebooks with errors, a port that is taken")]
pub(super) struct Bench {
    /// The shop's folder
    #[arg(default_value = ".")]
    shop: PathBuf,
    /// Judge by this rulebook, or by every rulebook in this folder
    #[arg(long, value_name = "PATH")]
    books: Option<PathBuf>,
    /// Listen on this port, 0 for one that the system chooses [default: 8654, or the next that is free]
    #[arg(long, value_name = "PORT")]
    port: Option<u16>,
    /// Let phones and tablets on the network in, each paired with a code; at this address of this machine, or at all of IPv4
    // With a blank before the address the shop's folder would be taken for one.
    #[arg(long, value_name = "ADDRESS", num_args = 0..=1, require_equals = true, default_missing_value = "0.0.0.0", value_parser = address)]
    network: Option<IpAddr>,
    /// Show the pages, and let nobody write
    #[arg(long)]
    read_only: bool,
}

/// An address to listen on. All of IPv6 is not one: on some systems it is all of IPv4 too.
fn address(text: &str) -> Result<IpAddr, String> {
    match text.parse() {
        Ok(IpAddr::V6(address)) if address.is_unspecified() => Err(words::ALL_OF_IPV6.to_owned()),
        Ok(address) => Ok(address),
        Err(_) => Err(words::NO_ADDRESS.to_owned()),
    }
}

/// Serves until it is stopped, and gives the exit status.
pub(super) fn run(asked: &Bench) -> io::Result<u8> {
    if !disk::is_folder(&asked.shop) {
        writeln!(io::stderr(), "{}", super::wording::complaint(&words::no_folder(&asked.shop)))?;
        return Ok(COULD_NOT);
    }
    let workshop = Workshop::new(&asked.shop, asked.books.clone(), asked.read_only, || sheet_folder::today(None));
    let shop = workshop.shop();
    let look = terminal::look_as(Drawing { width: None, colour: Colour::Auto });
    let findings: Vec<&Finding> = shop.findings().iter().chain(shop.gauge_findings()).collect();
    findings.iter().try_for_each(|finding| io::stderr().write_all(drawing::draw(finding, look).as_bytes()))?;
    if !shop.is_sound() {
        return Ok(COULD_NOT);
    }
    let name = shop.name.clone().unwrap_or_else(|| words::unnamed(&disk::settled(&asked.shop)));
    let is_read_only = asked.read_only;
    let options = Options {
        port: asked.port,
        network: asked
            .network
            .map(|address| Some(address).filter(|address| *address != IpAddr::V4(Ipv4Addr::UNSPECIFIED))),
    };
    // Whoever started it in the background has a terminal that must not be read, so without the network no key is taken.
    let keys = options.network.map(|_| Box::new(BufReader::new(io::stdin())) as Box<dyn BufRead + Send>);
    let tell = move |notice: Notice| {
        let mut stdout = io::stdout().lock();
        // The bench goes on where nobody reads what it says.
        let _ = stdout.write_all(said_of(&notice, &name, (options, is_read_only), look).as_bytes());
        let _ = stdout.flush();
    };
    match serve(Arc::new(workshop), options, keys, tell) {
        Ok(()) => Ok(0),
        Err(fault) => {
            writeln!(io::stderr(), "{}", super::wording::complaint(&words::no_door(&fault)))?;
            Ok(COULD_NOT)
        }
    }
}

/// What is said of something that happened at the bench.
fn said_of(notice: &Notice, shop: &str, (options, is_read_only): (Options, bool), look: Look) -> String {
    match notice {
        Notice::Open(addresses) => {
            let mut said = words::open(shop, addresses);
            if is_read_only {
                said.push_str(words::READ_ONLY);
            }
            if options.network.is_some() {
                said.push_str(words::NOT_ENCRYPTED);
                said.push_str(words::KEYS);
            }
            said.push_str(words::STOP);
            said
        }
        Notice::Code(code, address) => {
            let mut said = words::code(code, address.as_deref());
            let square = address.as_deref().filter(|_| look.unicode);
            said.push_str(&square.and_then(|address| square::drawn(address, look.colour)).unwrap_or_default());
            said
        }
        Notice::Paired(number, address) => words::paired(*number, *address),
        Notice::Devices(devices) => words::devices(devices),
        Notice::Dropped(number) => words::dropped(*number),
        Notice::NoDevice(number) => words::no_device(*number),
        Notice::ShutOut(address) => words::shut_out(*address),
        Notice::PairingClosed => words::PAIRING_CLOSED.to_owned(),
        Notice::Keys => words::KEYS.to_owned(),
    }
}
