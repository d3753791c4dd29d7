//! `follow`: guides tonight's routine, or a named one, and records how far it went.

use chrono::TimeDelta;
use serde_json::json;

use super::{Context, Said, routine};
use crate::pure::agenda::Plan;
use crate::pure::civil::{Instant, Zone};
use crate::pure::night::NightPlan;
use crate::pure::pace::Pace;
use crate::pure::prompt::{Answer, Event, Key, Kind};
use crate::pure::routine::{Routine, Timeline};
use crate::pure::tonight::tonight;
use crate::shell::clock::{Clock, SystemClock};
use crate::shell::control::Request;
use crate::shell::failure::Failure;
use crate::shell::guide::{self, GuideWords, Options, Output, Played, Told};
use crate::shell::known;
use crate::shell::store::{EveningRow, Store};
use crate::shell::world::World;

/// Prints how late the cues were on standard error at the end; for measurements.
const LATENESS: &str = "EVENFALL_LATENESS";

/// How to follow.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// An evening, pattern or stretch of the library by its id [default: tonight's]
    routine: Option<String>,
    /// Plain lines, one a cue: for screen readers and pipes
    #[arg(long)]
    plain: bool,
    /// How fast, for a rehearsal: 20 plays a minute in three seconds. Other than 1 it is not recorded
    #[arg(long, value_name = "F", default_value = "1", value_parser = read_pace)]
    pace: Pace,
    /// With soft tones for the breath and a bell for each change, where a sound player is installed
    #[arg(long)]
    sound: bool,
    /// Only what can be done in bed, for tonight's composed evening
    #[arg(long, conflicts_with = "routine")]
    in_bed: bool,
    /// Record it even so, and at any time of day
    #[arg(long)]
    record: bool,
}

fn read_pace(text: &str) -> Result<Pace, String> {
    let factor = text.replace(',', ".").parse().ok();
    factor
        .and_then(Pace::times)
        .ok_or_else(|| "this is no pace. Write a number from 0.1 to 1000".to_owned())
}

/// What is followed.
struct Followed {
    night: NightPlan,
    routine: Routine,
    timeline: Timeline,
    words: GuideWords,
}

impl Followed {
    fn new(title: &str, world: &World, night: NightPlan, routine: Routine) -> Self {
        Self {
            timeline: Timeline::compile(&routine, &world.library),
            words: GuideWords::of(title, &routine, &world.library),
            night,
            routine,
        }
    }
}

/// Guides the routine to its end, or to the person's.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    let (now, world) = context.open()?;
    let plan = world.plan();
    let mut followed = match &arguments.routine {
        Some(id) => named(&world, &plan, now, id)?,
        None => tonights(context, &world, &plan, now, arguments.in_bed)?,
    };
    if arguments.sound {
        followed.words.intro.extend(no_sound(arguments.pace));
    }
    let record =
        arguments.record || (arguments.pace == Pace::REAL && followed.night.is_evening(now));
    // Opened before anything is played: a store that cannot be written is said at once.
    let mut recorder = match record {
        true => Some(Recorder::new(context, &plan, &followed, now)?),
        false => None,
    };
    let output = if context.json() {
        Output::LinesToStandardError
    } else {
        Output::Standard
    };
    let options = Options {
        plain: arguments.plain,
        pace: arguments.pace,
        output,
        sound: arguments.sound,
        ..Options::default()
    };
    let played = guide::play(&followed.timeline, &followed.words, &options, &mut |told| {
        if let Some(recorder) = &mut recorder {
            recorder.hear(told);
        }
    });
    let recorded = recorder.map_or(Ok(false), Recorder::finish)?;
    let played = played.map_err(|error| {
        Failure::failed(format!(
            "The terminal cannot be used: {error}. What was played until then counts; --plain needs no terminal."
        ))
    })?;
    if std::env::var_os(LATENESS).is_some() {
        eprintln!("{}", played.lateness.sentence());
    }
    Ok(said(&followed, &played, recorded))
}

/// A routine of the library: an evening, a pattern or a stretch.
fn named(world: &World, plan: &Plan, now: Instant, id: &str) -> Result<Followed, Failure> {
    let routine = routine::named(world, id)?;
    let library = &world.library;
    let names = [
        library.evenings.get(id).map(|evening| &evening.name),
        library.patterns.get(id).map(|pattern| &pattern.name),
        library.stretches.get(id).map(|stretch| &stretch.name),
    ];
    let title = names
        .into_iter()
        .flatten()
        .next()
        .map_or(id, String::as_str);
    let night = plan.night(plan.tonight(now));
    Ok(Followed::new(title, world, night, routine))
}

/// Tonight's routine, with its notes before the start.
fn tonights(
    context: &Context,
    world: &World,
    plan: &Plan,
    now: Instant,
    in_bed: bool,
) -> Result<Followed, Failure> {
    let night = plan.tonight(now);
    let mut known = known::for_night(&context.store()?, night)?;
    known.chosen.in_bed |= in_bed;
    let tonight = tonight(plan, &world.library, night, now, &known);
    if tonight.routine.seconds() == 0 {
        return Err(Failure::failed(format!(
            "{} evenfall follow with the id of a routine plays one all the same.",
            tonight.notes.join(" ")
        )));
    }
    let written = world.library.evenings.get(&tonight.routine.id);
    let title = written.map_or("Wind-down", |evening| evening.name.as_str());
    let mut followed = Followed::new(title, world, tonight.night, tonight.routine);
    let zone = plan.zone_of(night);
    let lights_out = zone.local(followed.night.bedtime.at).format("%H:%M");
    followed.words.closing = vec![format!("Lights out is planned for {lights_out}.")];
    followed.words.intro = tonight.notes;
    Ok(followed)
}

/// Why there are no tones, if there are none.
fn no_sound(pace: Pace) -> Option<String> {
    if pace != Pace::REAL {
        return Some("A rehearsal at another pace plays without tones.".to_owned());
    }
    let missing = guide::sound::Player::find().is_none();
    missing.then(|| {
        "No program that plays sound was found (pw-play, paplay, aplay or play), so there are no tones."
            .to_owned()
    })
}

fn said(followed: &Followed, played: &Played, recorded: bool) -> Said {
    let far = format!(
        "{} of {}",
        guide::length(played.seconds_done()),
        guide::length(played.total_seconds())
    );
    let text = match (played.started, recorded) {
        (None, _) => "Left before the start; nothing is recorded.\n".to_owned(),
        (Some(_), true) => format!("Recorded: {far}.\n"),
        (Some(_), false) => format!("Played without recording: {far}.\n"),
    };
    let outcome = played.started.map(|_| played.outcome().id());
    Said {
        text,
        json: json!({
            "night": followed.night.night.to_string(),
            "routine": followed.routine.id,
            "seconds_done": played.seconds_done(),
            "total_seconds": played.total_seconds(),
            "outcome": outcome,
            "recorded": recorded,
        }),
    }
}

/// Writes what the guide tells at the moment it is told. What goes wrong is kept until the terminal is
/// free to say it.
struct Recorder<'c> {
    context: &'c Context,
    store: Store,
    zone: Zone,
    /// From the system's clock to the moment the command stands for (`--at`).
    shift: TimeDelta,
    row: EveningRow,
    trouble: Option<Failure>,
    recorded: bool,
}

impl<'c> Recorder<'c> {
    fn new(
        context: &'c Context,
        plan: &Plan,
        followed: &Followed,
        now: Instant,
    ) -> Result<Self, Failure> {
        let Followed {
            night,
            routine,
            timeline,
            ..
        } = followed;
        let night = night.night;
        let stretches = routine.stretch_ids();
        Ok(Self {
            context,
            store: context.store()?,
            zone: plan.zone_of(night).clone(),
            shift: now - SystemClock.now(),
            row: EveningRow {
                night,
                routine: routine.id.clone(),
                pattern: routine.pattern.id.clone(),
                stretches,
                started: now,
                planned_s: u32::try_from(timeline.total_ms / 1000).unwrap_or(u32::MAX),
                done_s: 0,
            },
            trouble: None,
            recorded: false,
        })
    }

    fn hear(&mut self, told: &Told) {
        let heard = match told {
            Told::Started(at) => self.started(*at + self.shift),
            Told::Over(played) => self.over(played),
        };
        if let Err(failure) = heard {
            self.trouble.get_or_insert(failure);
        }
    }

    fn started(&mut self, at: Instant) -> Result<(), Failure> {
        self.row.started = at;
        let key = Key::once(Kind::WindDown, self.row.night);
        let event = Event::Answered {
            answer: Answer::Started,
        };
        self.store.add_event(&key, at, &self.zone, &event)?;
        // A prompt still on the screen is taken away; if not, nothing is lost.
        let _ = self.context.ask(&Request::Reread);
        Ok(())
    }

    /// An evening of no seconds was not one.
    fn over(&mut self, played: &Played) -> Result<(), Failure> {
        self.row.done_s = u32::try_from(played.seconds_done()).unwrap_or(u32::MAX);
        if played.started.is_none() || self.row.done_s == 0 {
            return Ok(());
        }
        let at = SystemClock.now() + self.shift;
        self.store.add_evening(&self.row, at, &self.zone)?;
        self.recorded = true;
        let _ = self.context.ask(&Request::Reread);
        Ok(())
    }

    /// Whether it was recorded.
    fn finish(self) -> Result<bool, Failure> {
        self.trouble.map_or(Ok(self.recorded), Err)
    }
}
