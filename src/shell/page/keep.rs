//! What the page keeps over restarts of the service: its port and its secrets, in a private file.
//!
//! A page that is open in a browser stays signed in when the service starts anew, and an evening that is
//! being followed can be recorded afterwards.

use std::fs;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use crate::shell::failure::Failure;
use crate::shell::home::{Home, write_private};

/// Bytes of a secret.
const SECRET_BYTES: usize = 32;

/// A random value, in hexadecimal digits. Not printed by accident: its debug form hides it.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Secret(String);

impl std::fmt::Debug for Secret {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Secret")
    }
}

impl Secret {
    /// A new one from the kernel's random numbers.
    pub fn new() -> io::Result<Self> {
        let mut bytes = [0_u8; SECRET_BYTES];
        let mut filled = 0;
        while filled < bytes.len() {
            filled += rustix::rand::getrandom(
                &mut bytes[filled..],
                rustix::rand::GetRandomFlags::empty(),
            )?;
        }
        let digits = bytes.iter().map(|byte| format!("{byte:02x}"));
        Ok(Self(digits.collect()))
    }

    /// Its digits.
    pub fn digits(&self) -> &str {
        &self.0
    }

    /// Whether `given` is this secret; takes the same time wherever they differ.
    pub fn is(&self, given: &str) -> bool {
        let (own, given) = (self.0.as_bytes(), given.as_bytes());
        if own.len() != given.len() || own.len() != 2 * SECRET_BYTES {
            return false;
        }
        let differing = own
            .iter()
            .zip(given)
            .fold(0_u8, |sum, (a, b)| std::hint::black_box(sum | (a ^ b)));
        differing == 0
    }

    fn is_well_formed(&self) -> bool {
        self.0.len() == 2 * SECRET_BYTES && self.0.bytes().all(|byte| byte.is_ascii_hexdigit())
    }
}

/// The kept values.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Kept {
    /// The port that was free last time; 0 = none yet.
    pub port: u16,
    /// What the cookie of a signed-in browser holds.
    pub session: Secret,
    /// What every form of the page carries.
    pub form: Secret,
}

/// Where a home keeps them.
pub fn path(home: &Home) -> PathBuf {
    home.data.join("page.json")
}

/// Reads them, or makes new ones where there are none or they are damaged: nothing is lost by that but
/// the browser's being signed in.
pub fn load(home: &Home) -> Result<Kept, Failure> {
    let path = path(home);
    match fs::read(&path) {
        Ok(bytes) => match serde_json::from_slice::<Kept>(&bytes) {
            Ok(kept) if kept.session.is_well_formed() && kept.form.is_well_formed() => {
                make_private(&path)?;
                Ok(kept)
            }
            _ => new(home),
        },
        Err(error) if error.kind() == ErrorKind::NotFound => new(home),
        Err(error) => Err(Failure::file("Cannot read", &path, &error)),
    }
}

fn new(home: &Home) -> Result<Kept, Failure> {
    let secret = || {
        Secret::new().map_err(|error| {
            Failure::failed(format!(
                "No random numbers for the page: {error}. Start again; without them the page stays off."
            ))
        })
    };
    let kept = Kept {
        port: 0,
        session: secret()?,
        form: secret()?,
    };
    save(home, &kept)?;
    Ok(kept)
}

/// Writes them, for this person only.
pub fn save(home: &Home, kept: &Kept) -> Result<(), Failure> {
    let path = path(home);
    let text = serde_json::to_string(kept).unwrap_or_default();
    write_private(&path, text.as_bytes())
        .map_err(|error| Failure::file("Cannot write", &path, &error))
}

/// A file that was copied or restored with a wider mode is narrowed again.
fn make_private(path: &Path) -> Result<(), Failure> {
    use std::os::unix::fs::PermissionsExt;
    let narrow = || -> io::Result<()> {
        if fs::metadata(path)?.permissions().mode() & 0o077 != 0 {
            fs::set_permissions(path, fs::Permissions::from_mode(0o600))?;
        }
        Ok(())
    };
    narrow().map_err(|error| Failure::file("Cannot make private", path, &error))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn secrets_are_long_different_and_compared_whole() {
        let (one, other) = (Secret::new().unwrap(), Secret::new().unwrap());
        assert_eq!(one.digits().len(), 64);
        assert_ne!(one, other);
        assert!(one.is(one.digits()));
        assert!(!one.is(other.digits()));
        assert!(!one.is(&one.digits()[..63]));
        assert!(!one.is(""));
        let last = if one.digits().ends_with('0') {
            "1"
        } else {
            "0"
        };
        assert!(!one.is(&format!("{}{last}", &one.digits()[..63])));
        assert_eq!(format!("{one:?}"), "Secret");
    }

    #[test]
    fn the_file_is_private_and_read_back() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let home = Home::at(folder.path());
        let first = load(&home).unwrap();
        let mode = |home| fs::metadata(path(home)).unwrap().permissions().mode() & 0o777;
        assert_eq!(mode(&home), 0o600);
        fs::set_permissions(path(&home), fs::Permissions::from_mode(0o644)).unwrap();
        assert_eq!(load(&home).unwrap(), first);
        assert_eq!(mode(&home), 0o600);
    }

    #[test]
    fn a_damaged_file_gives_new_secrets() {
        let folder = tempfile::tempdir().unwrap();
        let home = Home::at(folder.path());
        let first = load(&home).unwrap();
        for damaged in ["", "{}", "{\"port\":1,\"session\":\"\",\"form\":\"\"}"] {
            fs::write(path(&home), damaged).unwrap();
            let second = load(&home).unwrap();
            assert_ne!(first.session, second.session);
            assert_eq!(load(&home).unwrap(), second);
        }
    }
}
