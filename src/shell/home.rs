//! Where the person's files are.

use std::fs::{self, DirBuilder, OpenOptions};
use std::io::{self, Write};
use std::os::unix::fs::{DirBuilderExt, OpenOptionsExt};
use std::path::{Path, PathBuf};

use etcetera::BaseStrategy;

use super::failure::Failure;
use crate::pure::routine::library::Kind;

/// The folders of one person.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Home {
    /// Settings, block, routines.
    pub config: PathBuf,
    /// The diary.
    pub data: PathBuf,
    /// Socket and lock.
    pub runtime: PathBuf,
    /// One folder for everything was named.
    pub single: bool,
}

impl Home {
    /// Everything in one folder.
    pub fn at(folder: &Path) -> Self {
        let folder = std::path::absolute(folder).unwrap_or_else(|_| folder.to_path_buf());
        Self {
            config: folder.clone(),
            data: folder.clone(),
            runtime: folder,
            single: true,
        }
    }

    /// The folders of the XDG base directory specification.
    pub fn of_user() -> Result<Self, Failure> {
        let Ok(base) = etcetera::base_strategy::Xdg::new() else {
            return Err(Failure::failed(
                "No home folder is known for you. Set HOME, or name one with --home.",
            ));
        };
        let data = base.data_dir().join("evenfall");
        // Without a runtime folder the data folder serves: it is as private, if not as short-lived.
        let runtime = base
            .runtime_dir()
            .map_or_else(|| data.clone(), |folder| folder.join("evenfall"));
        Ok(Self {
            config: base.config_dir().join("evenfall"),
            data,
            runtime,
            single: false,
        })
    }

    /// The settings file.
    pub fn settings(&self) -> PathBuf {
        self.config.join("settings.toml")
    }

    /// The block file.
    pub fn block(&self) -> PathBuf {
        self.config.join("block.toml")
    }

    /// The person's own routine files.
    pub fn routines(&self) -> PathBuf {
        self.config.join("routines")
    }

    /// The person's own routine files of a kind, in the order of their names; none where there is no
    /// folder of that kind.
    pub fn routine_files(&self, kind: Kind) -> Result<Vec<PathBuf>, Failure> {
        let folder = self.routines().join(kind.folder());
        let entries = match fs::read_dir(&folder) {
            Ok(entries) => entries,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
            Err(error) => return Err(Failure::file("Cannot read", &folder, &error)),
        };
        let mut paths: Vec<PathBuf> = entries
            .filter_map(|entry| Some(entry.ok()?.path()))
            .collect();
        paths.retain(|path| path.extension().is_some_and(|ending| ending == "toml"));
        paths.sort();
        Ok(paths)
    }

    /// The store.
    pub fn diary(&self) -> PathBuf {
        self.data.join("diary.db")
    }

    /// The lock that keeps a second service out.
    pub fn lock(&self) -> PathBuf {
        self.runtime.join("service.lock")
    }

    /// The socket between the command line and the service. Socket paths have room for about 100
    /// bytes, so a deep home gets one in the user's runtime folder under a name of its own.
    pub fn socket(&self) -> PathBuf {
        let plain = self.runtime.join("service.sock");
        if plain.as_os_str().len() < 100 {
            return plain;
        }
        let folder =
            std::env::var_os("XDG_RUNTIME_DIR").map_or_else(std::env::temp_dir, PathBuf::from);
        folder.join(format!("evenfall-{:016x}.sock", fingerprint(&plain)))
    }

    /// Makes the folders that are missing, for this person only.
    pub fn make(&self) -> Result<(), Failure> {
        for folder in [&self.config, &self.data, &self.runtime] {
            make_folder(folder)
                .map_err(|error| Failure::file("Cannot make the folder", folder, &error))?;
        }
        Ok(())
    }
}

/// FNV-1a, so that a home always gets the same socket name.
fn fingerprint(path: &Path) -> u64 {
    path.as_os_str()
        .as_encoded_bytes()
        .iter()
        .fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
            (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
        })
}

/// Makes a folder with mode 0700, and those above it.
pub fn make_folder(folder: &Path) -> io::Result<()> {
    DirBuilder::new().recursive(true).mode(0o700).create(folder)
}

/// Writes a file of mode 0600 as a whole: to a neighbour first, then renamed, so that a reader sees
/// the old text or the new one and a crash leaves one of them.
pub fn write_private(path: &Path, text: &[u8]) -> io::Result<()> {
    let folder = path.parent().unwrap_or_else(|| Path::new("."));
    make_folder(folder)?;
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(".new");
    let beside = folder.join(name);
    let _ = fs::remove_file(&beside);
    let written = (|| {
        let mut file = OpenOptions::new()
            .write(true)
            .create_new(true)
            .mode(0o600)
            .open(&beside)?;
        file.write_all(text)?;
        file.sync_all()?;
        fs::rename(&beside, path)
    })();
    if written.is_err() {
        let _ = fs::remove_file(&beside);
    }
    written?;
    // The rename itself is only durable once the folder is.
    fs::File::open(folder)?.sync_all()
}
