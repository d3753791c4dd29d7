//! One service a home.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Read, Seek, Write};
use std::os::unix::fs::OpenOptionsExt;

use crate::shell::failure::Failure;
use crate::shell::home::Home;

/// Held for as long as the service runs; the kernel lets go of it however the process ends.
#[derive(Debug)]
pub struct Instance {
    _lock: File,
}

impl Instance {
    /// Takes the home's lock, or says who has it.
    pub fn take(home: &Home) -> Result<Self, Failure> {
        let path = home.lock();
        let mut file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .mode(0o600)
            .open(&path)
            .map_err(|error| Failure::file("Cannot open the lock", &path, &error))?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                let mut who = String::new();
                let _ = file.read_to_string(&mut who);
                return Err(Failure::failed(format!(
                    "A service already runs for this home (process {}). evenfall status asks it how things \
                     stand; stop it before starting another.",
                    who.trim()
                )));
            }
            Err(TryLockError::Error(error)) => {
                return Err(Failure::file("Cannot lock", &path, &error));
            }
        }
        let write = |file: &mut File| {
            file.set_len(0)?;
            file.rewind()?;
            writeln!(file, "{}", std::process::id())
        };
        write(&mut file).map_err(|error| Failure::file("Cannot write the lock", &path, &error))?;
        Ok(Self { _lock: file })
    }
}
