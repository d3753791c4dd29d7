//! `routine`: the library - list, show, the compiled cues, a sound track.

use std::path::PathBuf;

use serde_json::{Value, json};

use super::count::breaths_per_min;
use super::tonight::{length, routine_json, routine_words};
use super::{Context, Said};
use crate::pure::complaint::nearest;
use crate::pure::edit::set_value;
use crate::pure::region::Region;
use crate::pure::routine::breath::in_words;
use crate::pure::routine::figure;
use crate::pure::routine::{Pattern, Position, Prop, Routine, Step, Stretch, Timeline, change_s};
use crate::pure::tonight::{breathing_only, tonight};
use crate::shell::failure::Failure;
use crate::shell::guide::sound::{TrackError, Voice, write_track};
use crate::shell::guide::{Letters, Look};
use crate::shell::home::write_private;
use crate::shell::known;
use crate::shell::world::World;

/// Seconds of a pattern that is named without an evening.
const PATTERN_ALONE_S: u32 = 300;

/// What to do with the library.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// List stretches, patterns and evenings
    List {
        /// Only stretches for this region
        #[arg(long, value_name = "REGION")]
        region: Option<String>,
        /// Only stretches in this position: standing, kneeling, seated, lying
        #[arg(long, value_name = "POSITION")]
        position: Option<String>,
        /// Only stretches that need this; "none" for those that need nothing
        #[arg(long, value_name = "PROP")]
        prop: Option<String>,
    },
    /// Show the words and the figure of one
    Show {
        /// Id of a stretch, pattern or evening
        id: String,
    },
    /// The compiled cues
    Timeline {
        /// Id of an evening, pattern or stretch, or "tonight"
        #[arg(default_value = "tonight")]
        id: String,
    },
    /// Count your own breaths with the space bar; the patterns then start near them
    Count,
    /// Write a sound track to play with the screen off (.wav or .flac), and its words (.vtt)
    Sound {
        /// Id of an evening, pattern or stretch, or "tonight", then the file; one word alone is the file
        #[arg(num_args = 1..=2, required = true, value_names = ["ID", "FILE"])]
        id_and_file: Vec<String>,
        /// Speak the stretches, where a speech synthesiser is installed
        #[arg(long)]
        spoken: bool,
    },
}

/// Runs it.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    match &arguments.what {
        What::List {
            region,
            position,
            prop,
        } => list(
            context,
            region.as_deref(),
            position.as_deref(),
            prop.as_deref(),
        ),
        What::Show { id } => show(context, id),
        What::Timeline { id } => timeline(context, id),
        What::Count => count(context),
        What::Sound {
            id_and_file,
            spoken,
        } => {
            let (id, file) = match id_and_file.as_slice() {
                [file] => ("tonight", file),
                [id, file, ..] => (id.as_str(), file),
                [] => return Err(Failure::wrong("Write the file, for example tonight.flac.")),
            };
            sound(context, id, PathBuf::from(file), *spoken)
        }
    }
}

fn one_of_words<T: Copy>(
    what: &str,
    written: &str,
    words: &[(&'static str, T)],
) -> Result<T, Failure> {
    if let Some((_, value)) = words.iter().find(|(word, _)| *word == written) {
        return Ok(*value);
    }
    let known: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
    let meant =
        nearest(written, known.iter().copied()).map(|word| format!(" Did you mean {word}?"));
    Err(Failure::wrong(format!(
        "{what} \"{written}\" is not known.{} Write one of: {}.",
        meant.unwrap_or_default(),
        known.join(", ")
    )))
}

fn list(
    context: &Context,
    region: Option<&str>,
    position: Option<&str>,
    prop: Option<&str>,
) -> Result<Said, Failure> {
    let region = region
        .map(|region| one_of_words("region", region, &Region::ALL))
        .transpose()?;
    let position = position
        .map(|position| one_of_words("position", position, &Position::ALL))
        .transpose()?;
    let prop = match prop {
        None => None,
        Some("none") => Some(None),
        Some(prop) => Some(Some(one_of_words("prop", prop, &Prop::ALL)?)),
    };
    let (_, world) = context.open()?;
    let wanted = |stretch: &&Stretch| {
        region.is_none_or(|region| stretch.regions.contains_key(&region))
            && position.is_none_or(|position| stretch.position == position)
            && prop.is_none_or(|prop| match prop {
                None => stretch.props.is_empty(),
                Some(prop) => stretch.props.contains(&prop),
            })
    };
    let stretches: Vec<&Stretch> = world.library.stretches.values().filter(wanted).collect();
    let mut text = String::new();
    for stretch in &stretches {
        let regions: Vec<&str> = stretch
            .regions
            .keys()
            .map(|region| region.words())
            .collect();
        text.push_str(&format!(
            "{:<26} {:<9} {}\n",
            stretch.id,
            stretch.position.id(),
            regions.join(", ")
        ));
    }
    let filtered = region.is_some() || position.is_some() || prop.is_some();
    if stretches.is_empty() {
        text.push_str("No stretch fits all of that.\n");
    }
    if !filtered {
        text.push_str("\nPatterns\n");
        for pattern in world.library.patterns.values() {
            text.push_str(&format!("{:<26} {}\n", pattern.id, in_words(pattern)));
        }
        text.push_str("\nEvenings\n");
        for evening in world.library.evenings.values() {
            text.push_str(&format!("{:<26} {}\n", evening.id, evening.name));
        }
    }
    let json = json!({
        "stretches": stretches.iter().map(|stretch| stretch_json(stretch)).collect::<Vec<_>>(),
        "patterns": world.library.patterns.keys().collect::<Vec<_>>(),
        "evenings": world.library.evenings.keys().collect::<Vec<_>>(),
    });
    Ok(Said { text, json })
}

fn stretch_json(stretch: &Stretch) -> Value {
    json!({
        "id": stretch.id,
        "name": stretch.name,
        "regions": stretch.regions.keys().map(|region| region.id()).collect::<Vec<_>>(),
        "position": stretch.position.id(),
        "sides": if stretch.two_sided { 2 } else { 1 },
        "hold_s": [stretch.hold_s.0, stretch.hold_s.1],
        "props": stretch.props.iter().map(|prop| prop.id()).collect::<Vec<_>>(),
        "bed_friendly": stretch.bed_friendly,
        "leave_out": stretch.leave_out.iter().map(|avoid| avoid.id()).collect::<Vec<_>>(),
    })
}

fn stretch_with_words(stretch: &Stretch) -> Value {
    let mut json = stretch_json(stretch);
    json["set_up"] = json!(stretch.set_up);
    json["feel"] = json!(stretch.feel);
    json["ease_off"] = json!(stretch.ease_off);
    json["easier"] = json!(stretch.easier);
    json
}

fn show(context: &Context, id: &str) -> Result<Said, Failure> {
    let (_, world) = context.open()?;
    if let Some(stretch) = world.library.stretches.get(id) {
        return Ok(Said {
            text: stretch_words(stretch),
            json: stretch_with_words(stretch),
        });
    }
    if let Some(pattern) = world.library.patterns.get(id) {
        return Ok(Said {
            text: pattern_words(pattern),
            json: routine_json(&breathing_only(pattern, PATTERN_ALONE_S), &world.library),
        });
    }
    let routine = named(&world, id)?;
    Ok(Said {
        text: routine_words(&routine, &world.library),
        json: routine_json(&routine, &world.library),
    })
}

fn stretch_words(stretch: &Stretch) -> String {
    let mut text = format!("{}\n", stretch.name);
    if let Some(pose) = stretch.figure() {
        let drawn = figure::draw(pose, stretch.sides()[0]);
        let lines = match Look::of_process().letters {
            Letters::Unicode => figure::lines::braille(&drawn, 44, 16),
            Letters::Ascii => figure::lines::ascii(&drawn, 44, 16),
        };
        for line in lines {
            text.push_str(&format!("{}\n", line.trim_end()));
        }
        if stretch.two_sided {
            text.push_str("Drawn for the left side; the right one is its mirror image.\n");
        }
    }
    let sides = if stretch.two_sided {
        "each side"
    } else {
        "once"
    };
    let regions: Vec<&str> = stretch
        .regions
        .keys()
        .map(|region| region.words())
        .collect();
    text.push_str(&format!(
        "\n{}, {} to {} s, {sides}. For: {}.\n\n{}\n{}\n{}\nEasier: {}\n",
        stretch.position.id(),
        stretch.hold_s.0,
        stretch.hold_s.1,
        regions.join(", "),
        stretch.set_up,
        stretch.feel,
        stretch.ease_off,
        stretch.easier
    ));
    if !stretch.props.is_empty() {
        let props: Vec<&str> = stretch.props.iter().map(|prop| prop.words()).collect();
        text.push_str(&format!("At hand: {}.\n", props.join(", ")));
    }
    if !stretch.leave_out.is_empty() {
        let reasons: Vec<&str> = stretch
            .leave_out
            .iter()
            .map(|avoid| avoid.words())
            .collect();
        text.push_str(&format!("Leave it out with: {}.\n", reasons.join(", ")));
    }
    text
}

fn pattern_words(pattern: &Pattern) -> String {
    let rate = 60_000.0 / f64::from(pattern.cycle_ms());
    let mut text = format!(
        "{}\n\n{}; {rate:.1} breaths a minute.\n{}\n",
        pattern.name,
        in_words(pattern),
        pattern.about
    );
    if pattern.has_holds() {
        text.push_str("It holds the breath: only after the question about holds was answered (evenfall setup).\n");
    }
    text.push_str(&format!("\n{}\n", crate::pure::routine::safety::STOP_RULE));
    text
}

/// The routine of an id: an evening, a pattern for five minutes, or a stretch on both sides with two
/// minutes of breathing.
pub fn named(world: &World, id: &str) -> Result<Routine, Failure> {
    let limits = world.limits();
    if let Some(evening) = world.library.evenings.get(id) {
        let (routine, notes) = world.library.routine(evening, &limits);
        for note in notes {
            eprintln!("{note}");
        }
        return Ok(routine);
    }
    if let Some(pattern) = world.library.patterns.get(id) {
        return Ok(breathing_only(pattern, PATTERN_ALONE_S));
    }
    if let Some(stretch) = world.library.stretches.get(id) {
        return Ok(alone(world, stretch));
    }
    let known = world
        .library
        .evenings
        .keys()
        .chain(world.library.patterns.keys())
        .chain(world.library.stretches.keys());
    let meant = nearest(id, known.map(String::as_str)).map(|word| format!(" Did you mean {word}?"));
    Err(Failure::wrong(format!(
        "The library has no \"{id}\".{} evenfall routine list shows what there is.",
        meant.unwrap_or_default()
    )))
}

fn alone(world: &World, stretch: &Stretch) -> Routine {
    let limits = world.limits();
    let (pattern, _) = crate::pure::routine::breath::pattern_for(
        &limits.avoid,
        limits.holds_ok,
        "longer_out_4_6",
        &world.library,
    );
    let mut before = None;
    let mut steps = Vec::new();
    for side in stretch.sides() {
        steps.push(Step {
            stretch: stretch.id.clone(),
            side: *side,
            hold_s: stretch.usual_hold_s(),
            change_s: change_s(before, stretch.position),
        });
        before = Some(stretch.position);
    }
    Routine {
        id: stretch.id.clone(),
        steps,
        ..breathing_only(&pattern, 120)
    }
}

fn routine_of(context: &Context, id: &str) -> Result<(World, Routine), Failure> {
    let (now, world) = context.open()?;
    if id != "tonight" {
        let routine = named(&world, id)?;
        return Ok((world, routine));
    }
    let plan = world.plan();
    let night = plan.tonight(now);
    let known = known::for_night(&context.store()?, night)?;
    let routine = tonight(&plan, &world.library, night, now, &known).routine;
    Ok((world, routine))
}

fn timeline(context: &Context, id: &str) -> Result<Said, Failure> {
    let (world, routine) = routine_of(context, id)?;
    let timeline = Timeline::compile(&routine, &world.library);
    let mut text = String::new();
    for cue in &timeline.cues {
        let (minutes, seconds, tenths) = (
            cue.at_ms / 60_000,
            cue.at_ms / 1000 % 60,
            cue.at_ms / 100 % 10,
        );
        text.push_str(&format!(
            "{minutes:>3}:{seconds:02}.{tenths}  {:<8} {}\n",
            cue.kind.id(),
            cue.text
        ));
    }
    let cues: Vec<Value> = timeline
        .cues
        .iter()
        .map(|cue| json!({ "at_ms": cue.at_ms, "for_ms": cue.for_ms, "cue": cue.kind.id(), "text": cue.text }))
        .collect();
    Ok(Said {
        text,
        json: json!({ "id": timeline.id, "total_ms": timeline.total_ms, "cues": cues }),
    })
}

/// Counts and writes the rate to the settings, if there are any.
fn count(context: &Context) -> Result<Said, Failure> {
    let path = context.home().settings();
    let rate = breaths_per_min()?;
    let mut text = format!("About {rate} breaths a minute.\n");
    match std::fs::read_to_string(&path) {
        Ok(settings) => {
            let changed = set_value(&settings, &["evening", "breaths_per_min"], rate)
                .map_err(|error| Failure::failed(error.to_string()))?;
            write_private(&path, changed.as_bytes())
                .map_err(|error| Failure::file("Cannot write", &path, &error))?;
            context.tell_service();
            text.push_str("Written to the settings: the first evening breathes at this pace, and the out-breath grows by half a second an evening.\n");
        }
        Err(_) => text.push_str("There is no settings file yet: evenfall setup writes one.\n"),
    }
    Ok(Said {
        text,
        json: json!({ "breaths_per_min": rate }),
    })
}

fn sound(context: &Context, id: &str, path: PathBuf, spoken: bool) -> Result<Said, Failure> {
    let (world, routine) = routine_of(context, id)?;
    let timeline = Timeline::compile(&routine, &world.library);
    let voice = if spoken {
        Voice::Spoken
    } else {
        Voice::TonesOnly
    };
    let report = write_track(&timeline, &path, voice).map_err(|error| match error {
        TrackError::Ending(_) | TrackError::TooLong(_) => Failure::wrong(error.to_string()),
        error => Failure::failed(error.to_string()),
    })?;
    let mut text = format!(
        "{} of {}\nThe same in words: {}\nSet the volume so that you can just follow it.\n",
        length(i64::try_from(report.total_ms / 1000).unwrap_or(0)),
        report.track.display(),
        report.text.display()
    );
    for note in &report.notes {
        text.push_str(&format!("{note}\n"));
    }
    let json = json!({
        "track": report.track, "text": report.text, "total_ms": report.total_ms,
        "sentences": report.sentences, "notes": report.notes,
    });
    Ok(Said { text, json })
}
