//! One man page: what the definitions say, then what they do not know.

use std::io;

use clap::Command;
use clap_mangen::Man;
use clap_mangen::roff::{Inline, Roff, bold, italic, roman};

use crate::examples::{Example, examples_of};
use crate::words::{self, Entry};

/// The program and every command of it, each with its full name (`evenfall routine list`).
pub fn commands(program: &Command) -> Vec<Command> {
    let mut built = program.clone();
    built.build();
    let mut found = Vec::new();
    collect(&built, &mut found);
    found
}

fn collect(command: &Command, found: &mut Vec<Command>) {
    found.push(command.clone());
    for inner in command.get_subcommands() {
        collect(inner, found);
    }
}

/// Full name with spaces, as it is typed.
pub fn typed(command: &Command) -> &str {
    command.get_bin_name().unwrap_or_else(|| command.get_name())
}

/// Name of the page: `evenfall-routine-list`.
fn page_name(command: &Command) -> String {
    typed(command).replace(' ', "-")
}

/// File name of the page.
pub fn file_name(command: &Command) -> String {
    format!("{}.1", page_name(command))
}

/// The page in roff.
pub fn text(command: &Command) -> io::Result<Vec<u8>> {
    let main = !typed(command).contains(' ');
    // What follows the help in the terminal has sections of its own here.
    let usage = command.clone().render_usage().to_string();
    let command = command
        .clone()
        .override_usage(usage.trim_start_matches("Usage: ").to_owned())
        .after_help(None)
        .display_name(page_name(command))
        .subcommand_help_heading("COMMANDS");
    let man = Man::new(command.clone())
        .title(page_name(&command).to_uppercase())
        .date(words::released())
        .source(format!("evenfall {}", env!("CARGO_PKG_VERSION")))
        .manual("evenfall");
    let mut page = Vec::new();
    man.render_title(&mut page)?;
    man.render_name_section(&mut page)?;
    man.render_synopsis_section(&mut page)?;
    man.render_description_section(&mut page)?;
    let mut about = Roff::new();
    for paragraph in words::description(typed(&command)) {
        about.control("PP", []);
        about.text([roman(*paragraph)]);
    }
    about.to_writer(&mut page)?;
    man.render_options_section(&mut page)?;
    if command.has_subcommands() {
        man.render_subcommands_section(&mut page)?;
    }
    own_sections(&command, main).to_writer(&mut page)?;
    Ok(page)
}

fn own_sections(command: &Command, main: bool) -> Roff {
    let mut roff = Roff::new();
    if main {
        entries(&mut roff, "FILES", words::FILES);
        entries(&mut roff, "ENVIRONMENT", words::ENVIRONMENT);
    }
    entries(&mut roff, "EXIT STATUS", words::EXIT_STATUS);
    examples(&mut roff, examples_of(typed(command)));
    let cautions = words::cautions(typed(command));
    if !cautions.is_empty() {
        roff.control("SH", ["CAUTIONS"]);
        for (index, caution) in cautions.iter().enumerate() {
            if index > 0 {
                roff.control("PP", []);
            }
            roff.text([roman(*caution)]);
        }
    }
    see_also(&mut roff, command, main);
    roff
}

fn entries(roff: &mut Roff, heading: &str, entries: &[Entry]) {
    roff.control("SH", [heading]);
    for (name, meaning) in entries {
        roff.control("TP", []);
        roff.text([italic(*name)]);
        roff.text([roman(*meaning)]);
    }
}

fn examples(roff: &mut Roff, examples: &[Example]) {
    if examples.is_empty() {
        return;
    }
    roff.control("SH", ["EXAMPLES"]);
    for (line, what) in examples {
        roff.control("TP", []);
        roff.text([bold(*line)]);
        roff.text([roman(*what)]);
    }
}

fn see_also(roff: &mut Roff, command: &Command, main: bool) {
    let own = page_name(command);
    let above = own.rsplit_once('-').map(|(above, _)| above.to_owned());
    let mut pages: Vec<String> = command
        .get_subcommands()
        .map(page_name)
        .chain(above.filter(|above| {
            above != crate::NAME && !main && typed(command).matches(' ').count() > 1
        }))
        .chain((!main).then(|| crate::NAME.to_owned()))
        .collect();
    pages.sort();
    let mut line: Vec<Inline> = Vec::new();
    for page in pages {
        if !line.is_empty() {
            line.push(roman(", "));
        }
        line.extend([bold(page), roman("(1)")]);
    }
    roff.control("SH", ["SEE ALSO"]);
    roff.text(line);
}
