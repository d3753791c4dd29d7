//! Writes the man pages and the shell completions of evenfall into a folder:
//! `cargo run --example manual -- FOLDER`.
//!
//! They come from the definitions of the command line itself, at packaging time, so that no copy of them
//! can fall behind. What the definitions do not know (files, examples, cautions) is in [`words`] and
//! [`examples`]; the tests here hold the examples against the definitions.

mod examples;
mod page;
mod words;

use std::error::Error;
use std::path::{Path, PathBuf};

use clap::CommandFactory;
use clap_complete::{Shell, generate_to};
use evenfall::shell::cli::Arguments;

/// Name of the program, of its files and of its man page.
const NAME: &str = "evenfall";

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args_os()
        .nth(1)
        .map(PathBuf::from)
        .ok_or("Name the folder to write into: cargo run --example manual -- FOLDER")?;
    write_pages(&folder.join("man1"))?;
    write_completions(&folder.join("completions"))?;
    Ok(())
}

fn write_pages(folder: &Path) -> Result<(), Box<dyn Error>> {
    std::fs::create_dir_all(folder)?;
    for command in page::commands(&Arguments::command()) {
        std::fs::write(
            folder.join(page::file_name(&command)),
            page::text(&command)?,
        )?;
    }
    Ok(())
}

/// One file a shell, under the names that the shells look for.
fn write_completions(folder: &Path) -> Result<(), Box<dyn Error>> {
    for shell in [Shell::Bash, Shell::Zsh, Shell::Fish] {
        let of_shell = folder.join(shell.to_string());
        std::fs::create_dir_all(&of_shell)?;
        let written = generate_to(shell, &mut Arguments::command(), NAME, &of_shell)?;
        if shell == Shell::Bash {
            std::fs::rename(written, of_shell.join(NAME))?;
        }
    }
    Ok(())
}
