//! `setup`: asks the few questions and writes settings and block.

use chrono::{NaiveDate, NaiveTime};
use serde_json::json;

use super::ask::{ask, can_ask, choose, show_numbered, yes};
use super::count::breaths_per_min;
use super::lines::say;
use super::{Context, Said};
use crate::pure::avoid::Avoid;
use crate::pure::block::{SHIPPED, next_monday, parse, set_start};
use crate::pure::caution::SCREENING;
use crate::pure::civil::ZoneNames;
use crate::pure::diary::time_as_typed;
use crate::pure::settings::{Settings, ZoneChoice, new_settings_text, time_text};
use crate::shell::failure::Failure;
use crate::shell::home::write_private;
use crate::shell::zones::ZoneFiles;

/// How to set up.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Ask nothing: write the defaults
    #[arg(long)]
    defaults: bool,
    /// Shipped block: nine_week_home, stair_climb_ten_weeks or return_four_weeks
    #[arg(long, value_name = "ID")]
    block: Option<String>,
    /// First day of the block [default: the next Monday]
    #[arg(long, value_name = "DATE", value_parser = super::read_date)]
    starts: Option<NaiveDate>,
    /// Replace files that are there
    #[arg(long)]
    replace: bool,
}

/// Asks and writes.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    let home = context.home();
    home.make()?;
    for path in [home.settings(), home.block()] {
        if path.exists() && !arguments.replace {
            return Err(Failure::failed(format!(
                "{} is there already and stays as it is. Edit it, or write a new one with --replace.",
                path.display()
            )));
        }
    }
    let zones = ZoneFiles::of_machine();
    let today = zones.system().zone.local(context.rough_now()?).date_naive();
    let mut answers = Answers {
        settings: Settings::default(),
        block: arguments
            .block
            .clone()
            .unwrap_or_else(|| SHIPPED[0].0.to_owned()),
        starts: arguments.starts.unwrap_or_else(|| next_monday(today)),
    };
    if !arguments.defaults {
        if !can_ask() {
            return Err(Failure::wrong(
                "There is no terminal to ask on. Run evenfall setup in a terminal, or evenfall setup --defaults.",
            ));
        }
        say(&format!("{SCREENING}\n"));
        answers.ask(&zones)?;
    }
    let block = answers.block_text()?;
    let settings = new_settings_text(&answers.settings);
    crate::pure::settings::parse("settings.toml", &settings, &zones)?;
    write(&home.settings(), &settings)?;
    write(&home.block(), &block)?;
    context.tell_service();
    // Said before the questions where there were any.
    let before = if arguments.defaults {
        format!("{SCREENING}\n\n")
    } else {
        String::new()
    };
    let text = format!(
        "{before}Written:\n  {}\n  {}\n\nThe block starts on {}. Next: evenfall tonight shows this evening, {} runs the \
         service.\n",
        home.settings().display(),
        home.block().display(),
        answers.starts.format("%A %-d %B %Y"),
        crate::shell::daemon::start_command(home)
    );
    let json = json!({
        "settings": home.settings(), "block": home.block(), "starts": answers.starts.to_string(),
    });
    Ok(Said { text, json })
}

fn write(path: &std::path::Path, text: &str) -> Result<(), Failure> {
    write_private(path, text.as_bytes())
        .map_err(|error| Failure::file("Cannot write", path, &error))
}

struct Answers {
    settings: Settings,
    block: String,
    starts: NaiveDate,
}

impl Answers {
    fn ask(&mut self, zones: &ZoneFiles) -> Result<(), Failure> {
        let settings = &mut self.settings;
        settings.timezone = ask(
            &format!(
                "Time zone: system ({} here), or a name such as Europe/Oslo",
                zones.system().zone.name()
            ),
            "system",
            |answer| match answer {
                "system" => Ok(ZoneChoice::System),
                name if zones.knows(name) => Ok(ZoneChoice::Named(name.to_owned())),
                name => Err(format!(
                    "{name} is no known zone. Write system, or Continent/City."
                )),
            },
        )?;
        let time = |answer: &str| {
            time_as_typed(answer)
                .ok_or_else(|| "Write hours and minutes, for example 22:30 or 00:15.".to_owned())
        };
        settings.nights.bedtime = ask("Lights out", &shown(settings.nights.bedtime), time)?;
        settings.nights.wake = ask("Wake", &shown(settings.nights.wake), time)?;
        settings.evening.minutes = ask("Minutes of wind-down", "8", |answer| {
            answer
                .parse()
                .ok()
                .filter(|minutes| (3..=30).contains(minutes))
                .ok_or_else(|| "Write 3 to 30; 5 to 10 is usual.".to_owned())
        })?;
        settings.born = ask(
            "Year of birth, for the recommended hours of sleep (or no)",
            "no",
            |answer| match answer.parse() {
                Ok(year) if (1900..=2020).contains(&year) => Ok(Some(year)),
                _ if answer == "no" => Ok(None),
                _ => Err("Write a year such as 1991, or no.".to_owned()),
            },
        )?;
        self.ask_rate()?;
        self.ask_holds()?;
        self.ask_positions()?;
        self.ask_block()
    }

    /// Where the breathing starts from: the person's own pace, if it is to.
    fn ask_rate(&mut self) -> Result<(), Failure> {
        let question = "Your own breaths a minute at rest, to start slowly from there (a number, count, or no)";
        let read = |answer: &str| match answer {
            "no" => Ok(Some(None)),
            "count" => Ok(None),
            number => match number.replace(',', ".").parse::<f64>() {
                Ok(rate) if (4.0..=40.0).contains(&rate) => Ok(Some(Some(rate))),
                _ => Err("Write a number from 4 to 40 such as 14, or count, or no.".to_owned()),
            },
        };
        self.settings.evening.breaths_per_min = loop {
            match ask(question, "no", read)? {
                Some(rate) => break rate,
                None => match breaths_per_min() {
                    Ok(rate) => break Some(rate),
                    Err(failure) => say(&format!("  {failure}")),
                },
            }
        };
        Ok(())
    }

    /// The one-time question before any pattern that holds the breath.
    fn ask_holds(&mut self) -> Result<(), Failure> {
        say(
            "\nSome breathing patterns hold the breath for up to seven seconds. Does any of these apply to you?",
        );
        let flags: Vec<Avoid> = Avoid::ids()
            .filter_map(Avoid::from_id)
            .filter(|avoid| avoid.rules_out_holds() && avoid.id() != "holds")
            .collect();
        for flag in &flags {
            println!("  - {}", flag.words());
        }
        let any = yes("Any of these, or you prefer not to hold your breath", true)?;
        self.settings.evening.holds = !any;
        if any {
            say("Patterns without holds, then. Ask your clinician before you hold your breath.");
            if let Some(holds) = Avoid::from_id("holds") {
                self.settings.avoid.insert(holds);
            }
        }
        Ok(())
    }

    /// What stretches are to leave out.
    fn ask_positions(&mut self) -> Result<(), Failure> {
        say("\nStretches to leave out, for any of these:");
        let others: Vec<Avoid> = Avoid::ids()
            .filter_map(Avoid::from_id)
            .filter(|avoid| !avoid.rules_out_holds())
            .collect();
        let words: Vec<&str> = others.iter().map(|avoid| avoid.words()).collect();
        show_numbered(&words);
        let left_out = choose("Numbers that apply", others.len())?;
        self.settings
            .avoid
            .extend(left_out.into_iter().map(|place| others[place]));
        Ok(())
    }

    fn ask_block(&mut self) -> Result<(), Failure> {
        say("\nBlocks that come with evenfall; a coach's own goes into block.toml later:");
        for (index, (id, text)) in SHIPPED.iter().enumerate() {
            let name = parse(id, text, Some(self.starts))
                .map(|block| block.name)
                .unwrap_or_default();
            println!("  {}  {name}", index + 1);
        }
        let index: usize = ask("Which", "1", |answer| {
            answer
                .parse()
                .ok()
                .filter(|number| (1..=SHIPPED.len()).contains(number))
                .ok_or_else(|| format!("Write a number from 1 to {}.", SHIPPED.len()))
        })?;
        self.block = SHIPPED[index - 1].0.to_owned();
        self.starts = ask("First day", &self.starts.to_string(), |answer| {
            answer
                .parse()
                .map_err(|_| "Write a date such as 2026-01-05.".to_owned())
        })?;
        Ok(())
    }

    fn block_text(&self) -> Result<String, Failure> {
        let Some((_, text)) = SHIPPED.iter().find(|(id, _)| *id == self.block) else {
            let known: Vec<&str> = SHIPPED.iter().map(|(id, _)| *id).collect();
            return Err(Failure::wrong(format!(
                "There is no shipped block {}. Write one of {}.",
                self.block,
                known.join(", ")
            )));
        };
        set_start(text, self.starts).map_err(|error| Failure::failed(error.to_string()))
    }
}

fn shown(time: NaiveTime) -> String {
    time_text(time)
}
