//! Notices changed files: settings, block, routines, and the link that names the system's zone.
//!
//! Folders are watched, not files: editors replace a file by renaming, and a watch on the old one
//! would see nothing.

use std::io;
use std::path::Path;

#[cfg(target_os = "linux")]
mod kernel {
    use std::mem::MaybeUninit;

    use rustix::fs::inotify::{self, CreateFlags, Reader, WatchFlags};

    use super::{Path, io};
    use crate::shell::readable::Readable;

    /// Watches folders for changes.
    #[derive(Debug)]
    pub struct Watch {
        changes: Readable,
    }

    impl Watch {
        /// Watches those of the folders that exist.
        pub fn new<'p>(folders: impl IntoIterator<Item = &'p Path>) -> io::Result<Self> {
            let descriptor = inotify::init(CreateFlags::NONBLOCK | CreateFlags::CLOEXEC)?;
            let flags = WatchFlags::CLOSE_WRITE
                | WatchFlags::MOVED_TO
                | WatchFlags::MOVED_FROM
                | WatchFlags::CREATE
                | WatchFlags::DELETE;
            for folder in folders.into_iter().filter(|folder| folder.is_dir()) {
                inotify::add_watch(&descriptor, folder, flags)?;
            }
            Ok(Self {
                changes: Readable::new(descriptor)?,
            })
        }

        /// Waits for a change to a file that matters: one whose name `matters` accepts.
        pub async fn changed(&self, matters: impl Fn(&str) -> bool) -> io::Result<()> {
            loop {
                let mut seen = false;
                self.changes
                    .read(|descriptor| {
                        let mut buffer = [MaybeUninit::uninit(); 4096];
                        let mut reader = Reader::new(descriptor, &mut buffer);
                        // Take what is there in one go: an editor's save is several events.
                        let first = reader.next()?;
                        let name = |event: &inotify::Event<'_>| {
                            event
                                .file_name()
                                .is_some_and(|name| name.to_str().is_ok_and(&matters))
                        };
                        seen |= name(&first);
                        while let Ok(event) = reader.next() {
                            seen |= name(&event);
                        }
                        Ok(())
                    })
                    .await?;
                if seen {
                    return Ok(());
                }
            }
        }
    }
}

#[cfg(not(target_os = "linux"))]
mod portable {
    use super::{Path, io};

    /// Where the kernel tells nothing, changes are read at the next prompt and when a command says so.
    #[derive(Debug)]
    pub struct Watch;

    impl Watch {
        /// Watches nothing.
        pub fn new<'p>(_folders: impl IntoIterator<Item = &'p Path>) -> io::Result<Self> {
            Ok(Self)
        }

        /// Never returns.
        pub async fn changed(&self, _matters: impl Fn(&str) -> bool) -> io::Result<()> {
            std::future::pending().await
        }
    }
}

#[cfg(target_os = "linux")]
pub use kernel::Watch;
#[cfg(not(target_os = "linux"))]
pub use portable::Watch;
