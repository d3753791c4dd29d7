//! `train`: records a session done, or a day without training.

mod form;
mod record;

use chrono::NaiveDate;
use serde_json::{Value, json};

use super::ask::can_ask;
use super::today::done_words;
use super::{Context, Said};
use crate::pure::agenda::Plan;
use crate::pure::block::Session;
use crate::pure::civil::{Instant, Night, Zone};
use crate::pure::complaint::{nearest, one_of};
use crate::pure::diary::Moment;
use crate::pure::load::{PartDone, TrainingDone, check_minutes, check_rpe, parse_reps};
use crate::shell::failure::Failure;
use crate::shell::store::{SessionRow, Store};

/// What was done.
#[derive(Debug, Default, clap::Args)]
#[command(allow_negative_numbers = true)]
pub struct Arguments {
    /// Which session of the block, by its id [default: the one planned that day]
    #[arg(long, value_name = "ID", conflicts_with = "other")]
    session: Option<String>,
    /// Something that is not in the block
    #[arg(long)]
    other: bool,
    /// The day [default: today]
    #[arg(long, value_name = "DATE", value_parser = super::read_date)]
    date: Option<NaiveDate>,
    /// Minutes, rests included [default: as planned]
    #[arg(long, value_name = "MIN")]
    minutes: Option<f64>,
    /// How hard the whole session was, 0 to 10 in half points
    #[arg(long, value_name = "0-10")]
    rpe: Option<f64>,
    /// Repetitions of each round or set: "intervals=12,12,11"; several parts with a semicolon between
    #[arg(long, value_name = "PART=N,N")]
    reps: Option<String>,
    /// When it ended, for the evening's plan
    #[arg(long, value_name = "TIME")]
    ended: Option<Moment>,
    /// A remark
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
    /// Nothing was trained that day
    #[arg(long, conflicts_with_all = ["session", "other", "minutes", "rpe", "reps", "ended", "note", "correct"])]
    rest: bool,
    /// Put this in the place of the day's last record of the session
    #[arg(long, conflicts_with = "remove")]
    correct: bool,
    /// Take the day's last record away; it was a mistake
    #[arg(long, conflicts_with_all = ["rest", "minutes", "rpe", "reps", "ended", "note"])]
    remove: bool,
    /// Show what is recorded for the day
    #[arg(long)]
    show: bool,
}

/// A command in its middle.
struct Turn<'c> {
    context: &'c Context,
    plan: Plan,
    store: Store,
    now: Instant,
    date: NaiveDate,
    /// What is recorded for the day.
    rows: Vec<SessionRow>,
}

const NOTHING_SAID: &str = "There is nothing to record and no terminal to ask on. Write for example: evenfall train \
     --rpe 8 --minutes 28; or evenfall train --rest for a day without training.";

/// Records, corrects, removes or shows.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    let (now, world) = context.open()?;
    let plan = world.plan();
    let today = plan.zone.local(now).date_naive();
    // After midnight and before the middle of the night the day that is meant is the one before.
    let date = arguments
        .date
        .unwrap_or_else(|| plan.last_night(now).morning());
    if date > today && !arguments.show {
        return Err(Failure::wrong(format!(
            "--date: {date} is still to come, today is {today}. Write the day on which the session was done."
        )));
    }
    let store = context.store()?;
    let rows = store.training(date, date)?;
    let mut turn = Turn {
        context,
        plan,
        store,
        now,
        date,
        rows,
    };
    if arguments.show {
        return turn.said("", &[]);
    }
    if arguments.rest {
        return turn.rest();
    }
    if arguments.remove {
        return turn.remove(arguments);
    }
    let asks = arguments.minutes.is_none() && arguments.rpe.is_none() && arguments.reps.is_none();
    if asks && (context.json() || !can_ask()) {
        return Err(Failure::wrong(NOTHING_SAID));
    }
    let id = turn.which(arguments)?;
    let earlier = turn.earlier(id.as_deref(), arguments.correct);
    if arguments.correct && earlier.is_none() {
        return Err(Failure::wrong(format!(
            "Nothing is recorded for {date} that could be corrected. Leave --correct out."
        )));
    }
    let mut said = arguments.parsed()?;
    if asks {
        said = turn.ask(id.as_deref(), said)?;
    }
    turn.record(id, earlier, said)
}

/// What was said, read.
#[derive(Clone, Debug, Default)]
struct Words {
    minutes: Option<f64>,
    rpe: Option<f64>,
    parts: Option<Vec<PartDone>>,
    ended: Option<Moment>,
    note: Option<String>,
}

impl Arguments {
    fn parsed(&self) -> Result<Words, Failure> {
        if let Some(minutes) = self.minutes {
            check_minutes(minutes).map_err(|bad| wrong("--minutes", bad))?;
        }
        if let Some(rpe) = self.rpe {
            check_rpe(rpe, self.minutes).map_err(|bad| wrong("--rpe", bad))?;
        }
        let parts = self.reps.as_deref().map(parse_reps).transpose();
        Ok(Words {
            minutes: self.minutes,
            rpe: self.rpe,
            parts: parts.map_err(|bad| wrong("--reps", bad))?,
            ended: self.ended,
            note: self.note.as_ref().map(|note| note.trim().to_owned()),
        })
    }
}

fn wrong(flag: &str, (what, instead): (String, String)) -> Failure {
    Failure::wrong(format!("{flag}: {what}. {instead}."))
}

impl Turn<'_> {
    fn zone(&self) -> &Zone {
        self.plan.zone_of(Night(self.date))
    }

    /// The session of the block that is meant; `None` = something else.
    fn which(&self, arguments: &Arguments) -> Result<Option<String>, Failure> {
        let sessions = &self.plan.block.sessions;
        if arguments.other {
            return Ok(None);
        }
        if let Some(id) = &arguments.session {
            let known = sessions.keys().map(String::as_str);
            if sessions.contains_key(id) {
                return Ok(Some(id.clone()));
            }
            let instead = match nearest(id, known.clone()) {
                Some(near) => format!("Did you mean {near}?"),
                None => format!("Write {}, or --other for something else.", one_of(known)),
            };
            return Err(Failure::wrong(format!(
                "--session: the block has no session `{id}`. {instead}"
            )));
        }
        let planned = self.plan.block.day(self.date).sessions;
        let recorded = |id: &str| {
            self.rows
                .iter()
                .filter_map(|row| row.day.done())
                .any(|done| done.session.as_deref() == Some(id) && done.rpe.is_some())
        };
        let open = planned.iter().find(|session| !recorded(&session.id));
        Ok(open.or(planned.last()).map(|session| session.id.clone()))
    }

    /// The record that a new one takes the place of: the one to be corrected, or one that still lacks its
    /// rating or minutes, which is completed.
    fn earlier(&self, id: Option<&str>, correct: bool) -> Option<SessionRow> {
        self.rows
            .iter()
            .rfind(|row| {
                row.day.done().is_some_and(|done| {
                    done.session.as_deref() == id && (correct || done.load().is_none())
                })
            })
            .cloned()
    }

    fn session(&self, id: Option<&str>) -> Option<&Session> {
        self.plan.block.sessions.get(id?)
    }

    fn planned_minutes(&self, id: Option<&str>) -> Option<f64> {
        let week = self.plan.block.day(self.date).week.unwrap_or(1);
        self.session(id)
            .map(|session| f64::from(session.minutes_in_week(week)))
    }

    /// What is recorded for the day now.
    fn said(&self, head: &str, notes: &[String]) -> Result<Said, Failure> {
        let mut text = head.to_owned();
        text.push_str(&format!("{}\n", self.date.format("%A %-d %B %Y")));
        let done: Vec<&TrainingDone> = self.rows.iter().filter_map(|row| row.day.done()).collect();
        for done in &done {
            text.push_str(&format!("  {}\n", done_words(done)));
            if !done.note.is_empty() {
                text.push_str(&format!("    {}\n", done.note));
            }
        }
        let rest = done.is_empty() && !self.rows.is_empty();
        if rest {
            text.push_str("  no training\n");
        } else if done.is_empty() {
            text.push_str("  nothing recorded\n");
        }
        for note in notes {
            text.push_str(&format!("{note}\n"));
        }
        let loads: Option<Vec<f64>> = done.iter().map(|done| done.load()).collect();
        let last = done.last();
        Ok(Said {
            text,
            json: json!({
                "date": self.date.to_string(),
                "session": last.and_then(|done| done.session.as_ref()),
                "minutes": last.and_then(|done| done.minutes),
                "rpe": last.and_then(|done| done.rpe),
                "load": last.and_then(|done| done.load()),
                "reps": last.map(|done| reps_json(done)),
                "day_load": if self.rows.is_empty() { None } else { loads.map(|loads| loads.iter().sum::<f64>()) },
                "records": done.iter().map(|done| record_json(done)).collect::<Vec<_>>(),
                "rest": rest,
                "notes": notes,
            }),
        })
    }
}

fn record_json(done: &TrainingDone) -> Value {
    json!({
        "session": done.session,
        "minutes": done.minutes,
        "rpe": done.rpe,
        "load": done.load(),
        "reps": reps_json(done),
        "note": (!done.note.is_empty()).then_some(&done.note),
    })
}

fn reps_json(done: &TrainingDone) -> Value {
    done.parts
        .iter()
        .map(|part| (part.part.clone(), json!(part.counts)))
        .collect()
}
