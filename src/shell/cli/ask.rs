//! Questions on the terminal: one line each, Enter takes what stands in brackets.

use std::io::{BufRead, IsTerminal, Write};

use crate::shell::failure::Failure;

/// Whether there is somebody to ask.
pub fn can_ask() -> bool {
    std::io::stdin().is_terminal()
}

/// Asks until the answer can be read; `read` says what is wrong and what to write instead.
pub fn ask<T>(
    question: &str,
    default: &str,
    read: impl Fn(&str) -> Result<T, String>,
) -> Result<T, Failure> {
    loop {
        let line = line(&format!("{question} [{default}] "))?;
        let answer = if line.trim().is_empty() {
            default
        } else {
            line.trim()
        };
        match read(answer) {
            Ok(value) => return Ok(value),
            Err(wrong) => println!("  {wrong}"),
        }
    }
}

/// Asks for yes or no.
pub fn yes(question: &str, default: bool) -> Result<bool, Failure> {
    ask(
        question,
        if default { "yes" } else { "no" },
        |answer| match answer.to_lowercase().as_str() {
            "y" | "yes" => Ok(true),
            "n" | "no" => Ok(false),
            _ => Err("Write yes or no.".to_owned()),
        },
    )
}

fn line(prompt: &str) -> Result<String, Failure> {
    let mut out = std::io::stdout().lock();
    let shown = out.write_all(prompt.as_bytes()).and_then(|()| out.flush());
    shown.map_err(|error| Failure::failed(format!("Cannot ask on this terminal: {error}.")))?;
    let mut line = String::new();
    match std::io::stdin().lock().read_line(&mut line) {
        Ok(0) => Err(Failure::failed(
            "The answers ended early; nothing was written. Start again when you like.",
        )),
        Ok(_) => Ok(line),
        Err(error) => Err(Failure::failed(format!(
            "Cannot read the answer: {error}. Nothing was written."
        ))),
    }
}
