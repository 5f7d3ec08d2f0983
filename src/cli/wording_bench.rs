//! Every sentence `bench` says in the terminal. Refuses to know when.

use crate::bench::{Device, NoDoor};
use crate::report::clean;
use std::io::ErrorKind;
use std::net::IpAddr;
use std::path::Path;

/// Where the bench is open.
pub(super) fn open(shop: &str, addresses: &[String]) -> String {
    let shop = clean(shop);
    addresses.iter().map(|address| format!("{shop}: {address}\n")).collect()
}

pub(super) const STOP: &str = "Press Ctrl-C to stop.\n";
pub(super) const READ_ONLY: &str = "Nothing can be written: --read-only was given.\n";
pub(super) const KEYS: &str = "Keys, each followed by Enter: d lists the paired devices, a number drops that device, n makes a \
     new code, q stops.\n";
pub(super) const NOT_ENCRYPTED: &str = "What devices send is not encrypted: use this only on the shop's own network.\n";
pub(super) const PAIRING_CLOSED: &str =
    "Pairing is closed after too many wrong codes. Press n and Enter for a new code.\n";
pub(super) const NO_ADDRESS: &str = "write an address of this machine, as in `--network=192.0.2.7`";
pub(super) const ALL_OF_IPV6: &str = "write one address of this machine, or only `--network` for all of IPv4";
pub(super) const NO_DEVICES: &str = "No device is paired.\n";

/// The code in force, and the page it is typed on.
pub(super) fn code(code: &str, address: Option<&str>) -> String {
    let spaced = match code.split_at_checked(4) {
        Some((first, last)) => format!("{first} {last}"),
        None => code.to_owned(),
    };
    match address {
        Some(address) => format!("Code for the next device: {spaced}\n{address}\n"),
        None => format!(
            "Code for the next device: {spaced}\nOpen the page /pair at the address of this machine, which is not known here. \
             `--network=ADDRESS` names it.\n"
        ),
    }
}

pub(super) fn paired(number: u32, address: IpAddr) -> String {
    format!("Device {number} is paired: {address}.\n")
}

pub(super) fn devices(devices: &[Device]) -> String {
    if devices.is_empty() {
        return NO_DEVICES.to_owned();
    }
    devices.iter().map(|device| format!("{:>4}  {}\n", device.number, device.address)).collect()
}

pub(super) fn dropped(number: u32) -> String {
    format!("Device {number} is dropped.\n")
}

pub(super) fn no_device(number: u32) -> String {
    format!("There is no device {number}. d lists them.\n")
}

pub(super) fn shut_out(address: IpAddr) -> String {
    format!("{address} sent too many wrong codes and is shut out for 16 hours.\n")
}

/// Why the bench is not open.
pub(super) fn no_door(fault: &NoDoor) -> String {
    let said = match fault {
        NoDoor::Taken(port) => format!("port {port} is used by another program; choose another with `--port`"),
        NoDoor::AllTaken(0, _) => "the system has no free port".to_owned(),
        NoDoor::AllTaken(first, last) => {
            format!("the ports {first} to {last} are used by other programs; choose another with `--port`")
        }
        NoDoor::NotHere(address, error) => match error.kind() {
            ErrorKind::AddrNotAvailable => format!("{address} is not an address of this machine"),
            ErrorKind::PermissionDenied => "this port may not be used; choose one above 1023 with `--port`".to_owned(),
            _ => format!("{address} cannot be used: {error}"),
        },
        NoDoor::System(error) => format!("the bench cannot be opened: {error}"),
    };
    format!("trochoid: {said}")
}

/// A shop whose settings do not name it goes by its folder.
pub(super) fn unnamed(folder: &Path) -> String {
    folder.file_name().map_or_else(|| "shop".to_owned(), |name| name.to_string_lossy().into_owned())
}

pub(super) fn no_folder(path: &Path) -> String {
    format!("trochoid: there is no folder {}", clean(&path.to_string_lossy()))
}
