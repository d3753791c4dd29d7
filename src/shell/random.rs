//! The machine's randomness.

use rustix::rand::{GetRandomFlags, getrandom};

use super::failure::Failure;

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
