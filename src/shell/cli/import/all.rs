//! `import FILE.evenfall`: restores an archive.

use std::path::{Path, PathBuf};

use serde_json::json;

use super::super::{Context, Said};
use crate::pure::phrase::counted;
use crate::pure::routine::library::Kind;
use crate::shell::failure::Failure;
use crate::shell::given::{self, MOST_OF_A_TEXT};
use crate::shell::home::{Home, write_private};
use crate::shell::store::{Restored, archived_files};

/// Restores records and files. What is there and the same stays; what is there and different is never
/// overwritten, and then nothing is changed.
pub fn run(context: &Context, file: &Path, dry_run: bool) -> Result<Said, Failure> {
    let home = context.home();
    let mut missing: Vec<(PathBuf, Vec<u8>)> = Vec::new();
    for (name, octets) in archived_files(file)? {
        let path = place(home, &name).ok_or_else(|| {
            Failure::wrong(format!(
                "{}: it holds a file {name:?}, which has no place in a home. Nothing was changed.",
                file.display()
            ))
        })?;
        let there =
            given::octets(&path, MOST_OF_A_TEXT).map_err(|refused| refused.failure(&path))?;
        match there {
            None => missing.push((path, octets)),
            Some(there) if there == octets => {}
            Some(_) => {
                return Err(Failure::failed(format!(
                    "{} is there already and says something else than the one in {}. Nothing was changed. Move it \
                     aside, or restore into an empty home with --home.",
                    path.display(),
                    file.display()
                )));
            }
        }
    }
    let command = missing
        .iter()
        .find(|(path, _)| *path == home.settings())
        .and_then(|(_, octets)| start_command(octets));
    if dry_run {
        let said = said(file, None, missing.len(), "would be restored");
        return Ok(with_command(said, command));
    }
    let copy = home.data.join("diary.import");
    let restored = context.store()?.restore(file, &copy)?;
    for (path, octets) in &missing {
        write_private(path, octets).map_err(|error| Failure::file("Cannot write", path, &error))?;
    }
    context.tell_service();
    let rows = match restored {
        Restored::Rows(rows) => rows,
        Restored::Nothing => 0,
    };
    let said = said(file, Some(rows), missing.len(), "restored");
    Ok(with_command(said, command))
}

/// The command that settings run when a prompt is started.
fn start_command(settings: &[u8]) -> Option<String> {
    let settings: toml::Table = std::str::from_utf8(settings).ok()?.parse().ok()?;
    let words = settings.get("evening")?.get("start")?.as_array()?.iter();
    let words: Vec<&str> = words.filter_map(toml::Value::as_str).collect();
    Some(words.join(" "))
}

/// An archive may come from somebody else, and a command in it runs as the person.
fn with_command(mut said: Said, command: Option<String>) -> Said {
    if let Some(command) = command {
        said.text.push_str(&format!(
            "The settings in it run a command when a prompt is started: {command}\n\
             If it is not yours, take start out of the settings.\n"
        ));
        said.json["runs"] = command.into();
    }
    said
}

fn said(file: &Path, rows: Option<usize>, files: usize, done: &str) -> Said {
    let text = match (rows, files) {
        (Some(0), 0) => "Everything in it is there already.\n".to_owned(),
        (Some(rows), files) => format!(
            "{} and {} {done}.\n",
            counted(rows, "rows"),
            counted(files, "files")
        ),
        (None, files) => format!("The records and {} {done}.\n", counted(files, "files")),
    };
    let file = file.display().to_string();
    let json = json!({ "kind": "all", "rows": rows, "files": files, "file": file });
    Said { text, json }
}

/// Where a file of an archive goes; nothing for a name that an archive cannot have.
fn place(home: &Home, name: &str) -> Option<PathBuf> {
    let parts: Vec<&str> = name.split('/').collect();
    match parts[..] {
        ["settings.toml"] => Some(home.settings()),
        ["block.toml"] => Some(home.block()),
        ["routines", folder, file]
            if Kind::ALL.iter().any(|(known, _)| *known == folder)
                && file.ends_with(".toml")
                && !file.starts_with('.')
                && !file.contains(['\\', '\0']) =>
        {
            Some(home.routines().join(folder).join(file))
        }
        _ => None,
    }
}
