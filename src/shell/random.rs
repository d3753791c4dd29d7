//! The machine's randomness, and the one id that is made of it.

use rustix::rand::{GetRandomFlags, getrandom};

use super::failure::Failure;
use super::store::Store;
use crate::pure::civil::Instant;

/// So many random bytes.
pub fn bytes(count: usize) -> Result<Vec<u8>, Failure> {
    let mut bytes = vec![0_u8; count];
    let mut filled = 0;
    while filled < count {
        let got = getrandom(&mut bytes[filled..], GetRandomFlags::empty());
        filled += got.map_err(|error| {
            Failure::failed(format!(
                "The machine gives no randomness ({error}). Nothing was changed; try again later."
            ))
        })?;
    }
    Ok(bytes)
}

/// A random id made once: it tells this person's exports from those of others without naming anybody.
pub fn export_owner(store: &mut Store, now: Instant) -> Result<String, Failure> {
    const OWNER: &str = "export_owner";
    if let Some(owner) = store.fact(OWNER)? {
        return Ok(owner);
    }
    let owner: String = bytes(16)?
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    store.set_fact(OWNER, &owner, now)?;
    Ok(owner)
}
