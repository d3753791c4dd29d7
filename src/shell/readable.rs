//! A kernel object that becomes readable, awaited on the runtime.

use std::io;
use std::os::fd::{AsRawFd, OwnedFd, RawFd};

use tokio::io::Interest;
use tokio::io::unix::AsyncFd;

/// An owned descriptor registered with the runtime.
#[derive(Debug)]
pub struct Readable {
    inner: AsyncFd<Owned>,
}

#[derive(Debug)]
struct Owned(OwnedFd);

impl AsRawFd for Owned {
    fn as_raw_fd(&self) -> RawFd {
        self.0.as_raw_fd()
    }
}

impl Readable {
    /// Registers a descriptor, which has to be non-blocking.
    #[allow(unsafe_code)]
    pub fn new(descriptor: OwnedFd) -> io::Result<Self> {
        // SAFETY: `Owned` keeps the descriptor open and unchanged for as long as it is registered: it
        // owns it, never replaces it and never hands it out.
        let inner =
            unsafe { AsyncFd::register_with_interest(Owned(descriptor), Interest::READABLE) }?;
        Ok(Self { inner })
    }

    /// The descriptor, for calls that do not close it.
    pub fn descriptor(&self) -> &OwnedFd {
        &self.inner.get_ref().0
    }

    /// Waits until `read` gives something other than "would block".
    pub async fn read<T>(&self, mut read: impl FnMut(&OwnedFd) -> io::Result<T>) -> io::Result<T> {
        loop {
            let mut ready = self.inner.readable().await?;
            if let Ok(result) = ready.try_io(|inner| read(&inner.get_ref().0)) {
                return result;
            }
        }
    }
}
