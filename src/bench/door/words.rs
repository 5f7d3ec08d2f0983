//! The sentences with which the door refuses. Refuses to know when, and to repeat anything that a request says.

/// A name or port that is not this bench's, as when another page gives its own name to this machine.
pub(super) fn not_served(address: &str) -> String {
    format!("This address is not served here. Open {address} instead.\n")
}

pub(super) const ONE_HOST: &str = "A request needs one Host header.\n";
pub(super) const OTHER_PAGE: &str = "Another page asked for this. Open the page of the bench itself and try again.\n";
pub(super) const NO_ORIGIN: &str = "This request does not say which page sent it, so nothing was written. Send `X-Trochoid: 1` \
     with it if it comes from a program of your own.\n";
pub(super) const METHODS: &str = "Only GET, HEAD and POST are answered here.\n";
pub(super) const UNREADABLE: &str = "This address cannot be read.\n";
pub(super) const NO_PAGE: &str = "There is no such page.\n";
pub(super) const READ_ONLY: &str = "This bench is read-only: nothing can be written.\n";
pub(super) const NOT_PAIRED: &str =
    "This device is not paired. Open the page /pair and enter the code shown in the terminal of the bench.\n";
pub(super) const NO_CODE: &str = "No code was sent. Open the page /pair and type the code.\n";
pub(super) const BODY_LATE: &str = "What was sent did not arrive in time. Send it again.\n";
pub(super) const BODY_BROKEN: &str = "What was sent did not arrive whole. Send it again.\n";
pub(super) const FAILED: &str =
    "A fault of the program stopped this request. The files are whole. The terminal shows where it happened.\n";

/// More was sent than is taken.
pub(super) fn too_large(most: usize) -> String {
    if most >= 1 << 20 {
        format!("This is too large: at most {} MiB can be sent.\n", most >> 20)
    } else {
        format!("This is too large: at most {} KiB can be sent.\n", most >> 10)
    }
}
