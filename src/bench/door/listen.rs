//! The addresses the bench listens on. Refuses to accept anybody.

use super::limits::{MOST_AT_THE_GATE, PORTS_TRIED, USUAL_PORT};
use super::{NoDoor, Options};
use std::io::{self, ErrorKind};
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr, UdpSocket};
use tokio::net::{TcpListener, TcpSocket};

/// Where the bench listens.
#[derive(Debug)]
pub(super) struct Listening {
    pub(super) listeners: Vec<TcpListener>,
    pub(super) port: u16,
    /// The address at which other devices reach this machine, if they may and it is known.
    pub(super) network: Option<IpAddr>,
}

/// Listens on this machine's own addresses, and on that of the network if it is opened.
pub(super) fn listen(options: &Options) -> Result<Listening, NoDoor> {
    let first = options.port.unwrap_or(USUAL_PORT);
    let last = if options.port.is_some() { first } else { first.saturating_add(PORTS_TRIED) };
    // With port 0 the system chooses one for IPv4, which may be taken for IPv6: then it chooses again.
    let ports: Vec<u16> = if first == 0 { vec![0; usize::from(PORTS_TRIED)] } else { (first..=last).collect() };
    for port in ports {
        match on_port(port, options.network) {
            Ok((listeners, port)) => {
                let network = options.network.and_then(|address| address.map_or_else(outward, Some));
                return Ok(Listening { listeners, port, network });
            }
            Err((_, error)) if error.kind() == ErrorKind::AddrInUse => {}
            Err((address, error)) => return Err(NoDoor::NotHere(address, error)),
        }
    }
    Err(if options.port.is_some_and(|port| port != 0) { NoDoor::Taken(first) } else { NoDoor::AllTaken(first, last) })
}

/// The listeners of one port; else the address that cannot be listened on.
fn on_port(port: u16, network: Option<Option<IpAddr>>) -> Result<(Vec<TcpListener>, u16), (IpAddr, io::Error)> {
    let (this_machine, this_machine_6) = (IpAddr::V4(Ipv4Addr::LOCALHOST), IpAddr::V6(Ipv6Addr::LOCALHOST));
    let first = match network {
        // Every address of IPv4, this machine's own among them.
        Some(None) => IpAddr::V4(Ipv4Addr::UNSPECIFIED),
        _ => this_machine,
    };
    let listener = bind(first, port)?;
    let port = listener.local_addr().map_err(|error| (first, error))?.port();
    let mut listeners = vec![listener];
    match bind(this_machine_6, port) {
        Ok(listener) => listeners.push(listener),
        // Another program there would be shown to whoever opens `localhost`.
        Err((address, error)) if error.kind() == ErrorKind::AddrInUse => return Err((address, error)),
        // A machine without IPv6.
        Err(_) => {}
    }
    if let Some(Some(address)) = network
        && !address.is_loopback()
    {
        listeners.push(bind(address, port)?);
    }
    Ok((listeners, port))
}

fn bind(address: IpAddr, port: u16) -> Result<TcpListener, (IpAddr, io::Error)> {
    let bound = || {
        let socket = if address.is_ipv4() { TcpSocket::new_v4() } else { TcpSocket::new_v6() }?;
        // A bench that was just closed leaves connections of its port behind, which are not in the way. Elsewhere than on Unix
        // this would let two programs listen on one port.
        #[cfg(unix)]
        socket.set_reuseaddr(true)?;
        socket.bind(SocketAddr::new(address, port))?;
        socket.listen(MOST_AT_THE_GATE)
    };
    bound().map_err(|error| (address, error))
}

/// The address this machine has on the network its traffic leaves by. Nothing is sent: 192.0.2.1 is reserved for
/// documentation (RFC 5737), and choosing the way to it is enough.
fn outward() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    let address = socket.local_addr().ok()?.ip();
    (!address.is_unspecified() && !address.is_loopback()).then_some(address)
}
