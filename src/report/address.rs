//! Paths as addresses have them. Refuses to know what lies there.

/// Everything but unreserved letters and `/` as percent and two digits, RFC 3986, 2.1 and 2.3.
pub(super) fn encoded(path: &str) -> String {
    let mut out = String::with_capacity(path.len());
    for byte in path.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.' | b'_' | b'~' | b'/') {
            out.push(char::from(byte));
        } else {
            out.push_str(&format!("%{byte:02X}"));
        }
    }
    out
}
