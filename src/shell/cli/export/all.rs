//! `export all`: records, settings, block and own routines as one archive.

use std::path::{Path, PathBuf};

use serde_json::json;

use super::super::{Context, Said};
use crate::pure::phrase::counted;
use crate::pure::routine::library::Kind;
use crate::shell::failure::Failure;
use crate::shell::given::{self, MOST_OF_A_TEXT};
use crate::shell::home::Home;
use crate::shell::store::ArchivedFile;

/// Writes the archive beside its place and then puts it there, so that an older one stays whole.
pub fn run(context: &Context, file: &Path) -> Result<Said, Failure> {
    if file.extension().is_none_or(|ending| ending != "evenfall") {
        return Err(Failure::wrong(format!(
            "{}: an archive is told by its ending. Name it so that it ends in .evenfall.",
            file.display()
        )));
    }
    let trouble = |error| Failure::file("Cannot write", file, &error);
    let path = std::path::absolute(file).map_err(trouble)?;
    let beside = path.with_extension("evenfall.new");
    let _ = std::fs::remove_file(&beside);
    let files = files_of(context.home())?;
    let made = context
        .store()?
        .write_archive(&beside, &files)
        .and_then(|()| {
            let placed = std::fs::File::open(&beside)
                .and_then(|made| made.sync_all())
                .and_then(|()| std::fs::rename(&beside, &path));
            placed.map_err(trouble)
        });
    if made.is_err() {
        let _ = std::fs::remove_file(&beside);
    }
    made?;
    Ok(Said {
        text: format!(
            "Everything is in {}: the records and {}. evenfall --home DIR import {} restores it.\n",
            file.display(),
            counted(files.len(), "files"),
            file.display()
        ),
        json: json!({ "kind": "all", "files": files.len(), "file": file.display().to_string() }),
    })
}

/// The person's own files, by their path below the home.
fn files_of(home: &Home) -> Result<Vec<ArchivedFile>, Failure> {
    let mut paths: Vec<(String, PathBuf)> = vec![
        ("settings.toml".to_owned(), home.settings()),
        ("block.toml".to_owned(), home.block()),
    ];
    for (folder, kind) in Kind::ALL {
        for path in home.routine_files(kind)? {
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            paths.push((format!("routines/{folder}/{name}"), path.clone()));
        }
    }
    let mut files = Vec::new();
    for (name, path) in paths {
        let read = given::octets(&path, MOST_OF_A_TEXT);
        let octets = read.map_err(|refused| refused.failure(&path))?;
        files.extend(octets.map(|octets| (name, octets)));
    }
    Ok(files)
}
