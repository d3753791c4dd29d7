//! `morning`: records a night and the ratings after it, by flags or by a few questions.

mod flags;
mod form;
mod report;

use serde_json::{Value, json};

use super::ask::can_ask;
use super::{Context, Said};
use crate::pure::agenda::Plan;
use crate::pure::civil::{Instant, Night, Zone};
use crate::pure::diary::{Answered, Answers, Morning, Refusal};
use crate::shell::failure::Failure;
use crate::shell::store::Store;
use crate::shell::world::World;

pub use flags::Arguments;
pub(crate) use report::as_json;

/// A command in its middle.
struct Turn<'c> {
    context: &'c Context,
    world: World,
    plan: Plan,
    store: Store,
    now: Instant,
    night: Night,
}

/// Records, shows or corrects.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    let answers = arguments.answers();
    let asks = answers.is_empty() && !arguments.as_usual && !arguments.anew;
    if asks && !arguments.shows() && (context.json() || !can_ask()) {
        return Err(Failure::wrong(NOTHING_SAID));
    }
    let (now, world) = context.open()?;
    let plan = world.plan();
    let night = match arguments.show.flatten().or(arguments.night) {
        Some(date) => Night(date),
        None => plan.last_night(now),
    };
    let mut turn = Turn {
        context,
        store: context.store()?,
        world,
        plan,
        now,
        night,
    };
    if arguments.history {
        turn.history()
    } else if arguments.shows() {
        turn.show()
    } else if asks {
        turn.form()
    } else {
        turn.flags(arguments, &answers)
    }
}

const NOTHING_SAID: &str = "There is nothing to record and no terminal to ask on. Write at least one rating or the \
     times, for example: evenfall morning --sleep 3 --fresh 3 --sore 4 --mood 3 --lights-out 22:50 --asleep-after 15 \
     --woke 06:20; or evenfall morning --as-usual.";

impl Turn<'_> {
    fn zone(&self) -> Zone {
        self.plan.zone_of(self.night).clone()
    }

    /// The zone whose clock a record was made by.
    fn zone_of(&self, morning: &Morning) -> Zone {
        let own = self.zone();
        if morning.zone == own.name() {
            return own;
        }
        self.world.zones.load(&morning.zone).unwrap_or(own)
    }

    fn show(&self) -> Result<Said, Failure> {
        match self.store.morning(self.night)? {
            Some(morning) => Ok(self.said(&morning, &[], "")),
            None => Err(self.not_recorded()),
        }
    }

    fn not_recorded(&self) -> Failure {
        let night = self.night;
        Failure::failed(format!(
            "No morning is recorded for the night of {night}. Record it with: evenfall morning --night {night}"
        ))
    }

    fn history(&self) -> Result<Said, Failure> {
        let rows = self.store.morning_history(self.night)?;
        if rows.is_empty() {
            return Err(self.not_recorded());
        }
        let mut text = String::new();
        let mut records: Vec<Value> = Vec::new();
        for row in rows {
            let zone = self.zone_of(&row.morning);
            let at = zone.local(row.at);
            text.push_str(&format!("Recorded {}\n", at.format("%Y-%m-%d %H:%M")));
            text.push_str(&report::words(&row.morning, &zone));
            text.push('\n');
            let mut record = as_json(&row.morning, &zone);
            record["recorded_at"] = json!(at.to_rfc3339());
            records.push(record);
        }
        Ok(Said {
            text,
            json: json!({ "night": self.night.to_string(), "records": records }),
        })
    }

    fn flags(&mut self, arguments: &Arguments, answers: &Answers) -> Result<Said, Failure> {
        let recorded = self.store.morning(self.night)?;
        let mut known = recorded.clone().filter(|_| !arguments.anew);
        if arguments.as_usual {
            if known.as_ref().is_some_and(|known| !known.estimated) {
                return Err(Failure::wrong(format!(
                    "The night of {} is recorded with your own answers, which \"as usual\" would replace. Correct \
                     single answers by their flags, or add --anew to start over.",
                    self.night
                )));
            }
            known = known.or_else(|| Some(self.as_usual()));
        }
        let answered = answers
            .on_top_of(known.as_ref(), self.night, &self.zone())
            .map_err(|refusals| refused(&refusals))?;
        if answered.morning.is_empty() {
            return Err(Failure::wrong(NOTHING_SAID));
        }
        self.keep(recorded.as_ref(), answered)
    }

    fn as_usual(&self) -> Morning {
        let times = self.plan.night(self.night);
        let zone = self.zone();
        Morning::as_usual(self.night, zone.name(), times.bedtime.at, times.wake.at)
    }

    /// Writes a record unless it says what is there already.
    fn keep(&mut self, known: Option<&Morning>, answered: Answered) -> Result<Said, Failure> {
        let Answered { morning, notes } = answered;
        let zone = self.zone();
        if self.night.morning() > zone.local(self.now).date_naive() {
            return Err(Failure::wrong(format!(
                "The night of {} is still to come. Write --night with the date of an evening before today.",
                self.night
            )));
        }
        let head = match known {
            Some(known) if *known == morning => "Nothing changed: this is what is recorded.\n\n",
            Some(_) => {
                "Corrected; the earlier answer stays in the history (evenfall morning --history).\n\n"
            }
            None => "Recorded.\n\n",
        };
        if known != Some(&morning) {
            self.store.add_morning(&morning, self.now, &zone)?;
            self.context.tell_service();
        }
        Ok(self.said(&morning, &notes, head))
    }

    fn said(&self, morning: &Morning, notes: &[String], head: &str) -> Said {
        let zone = self.zone_of(morning);
        let mut text = head.to_owned();
        text.push_str(&report::words(morning, &zone));
        for note in notes {
            text.push_str(&format!("\n{note}\n"));
        }
        let mut json = as_json(morning, &zone);
        json["notes"] = json!(notes);
        Said { text, json }
    }
}

/// Every question, one a line.
fn refused(refusals: &[Refusal]) -> Failure {
    let lines: Vec<String> = refusals.iter().map(ToString::to_string).collect();
    Failure::wrong(lines.join("\n"))
}
