//! What an entry is kept under: a digest of everything it rests on. Refuses to know what that is.

use crate::disk;
use sha2::{Digest, Sha256};

/// Bytes of a key.
const KEY: usize = 32;

/// Bytes of the seal over an entry.
const SEAL: usize = 16;

/// SHA-256 (FIPS 180-4) of everything an entry rests on.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Key([u8; KEY]);

impl Key {
    /// The key for what rests on these parts, in this order: other parts, or the same cut otherwise, have another key.
    #[must_use]
    pub fn of<'a>(parts: impl IntoIterator<Item = &'a [u8]>) -> Key {
        let mut digest = Sha256::new();
        for part in parts {
            digest.update((part.len() as u64).to_le_bytes());
            digest.update(part);
        }
        Key(digest.finalize().into())
    }

    /// The key of this program, as its file stands on disk: another build of it takes nothing this one kept. None where it
    /// cannot be read.
    #[must_use]
    pub fn of_program() -> Option<Key> {
        disk::read_program().map(|bytes| Key::of([bytes.as_slice()]))
    }

    /// Its bytes, to be part of another key.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        &self.0
    }

    /// Where the entry is in the table. Two keys may share a place; then the later entry is there, and is told by its key.
    pub(super) fn place(&self) -> i64 {
        self.0.first_chunk().map_or(0, |first| i64::from_le_bytes(*first))
    }

    /// Bytes with this key and a seal over both before them.
    pub(super) fn seal(&self, bytes: &[u8]) -> Vec<u8> {
        [self.0.as_slice(), &self.seal_of(bytes), bytes].concat()
    }

    /// The bytes that were sealed under this key; none where key, seal or bytes are not as they were.
    pub(super) fn unseal<'a>(&self, sealed: &'a [u8]) -> Option<&'a [u8]> {
        let (key, rest) = sealed.split_at_checked(KEY)?;
        let (seal, bytes) = rest.split_at_checked(SEAL)?;
        (key == self.0 && seal == self.seal_of(bytes)).then_some(bytes)
    }

    fn seal_of(&self, bytes: &[u8]) -> [u8; SEAL] {
        let digest: [u8; KEY] = Sha256::new().chain_update(self.0).chain_update(bytes).finalize().into();
        let mut seal = [0; SEAL];
        seal.iter_mut().zip(digest).for_each(|(seal, byte)| *seal = byte);
        seal
    }
}
