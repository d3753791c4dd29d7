//! `doctor`: looks for what would stop prompts, and says what to do about each finding.

use chrono::{Datelike, Duration};
use serde_json::json;

use super::{Context, Said};
use crate::shell::control::Request;
use crate::shell::failure::Failure;
use crate::shell::notify::server_name;
use crate::shell::world::{Checked, World};

/// One thing that was looked at.
struct Finding {
    /// What it is about.
    about: &'static str,
    /// What was found.
    found: String,
    /// What to do, where something would stop prompts; `None` = nothing.
    remedy: Option<String>,
}

/// Looks; fails with exit status 1 if something would stop prompts.
pub fn run(context: &Context) -> Result<Said, Failure> {
    let now = context.rough_now()?;
    let Checked {
        world,
        mut complaints,
        routine_complaints,
    } = World::check(context.home(), now)?;
    complaints.extend(routine_complaints);
    let mut findings = vec![
        files(&complaints),
        service(context)?,
        notifications(),
        store(context),
    ];
    findings.extend(zone(&world, now));
    findings.push(clock(now.year()));
    let wrong = findings
        .iter()
        .filter(|finding| finding.remedy.is_some())
        .count();
    let mut text = String::new();
    for Finding {
        about,
        found,
        remedy,
    } in &findings
    {
        text.push_str(&format!("{about}: {found}\n"));
        if let Some(remedy) = remedy {
            text.push_str(&format!("  -> {remedy}\n"));
        }
    }
    let listed: Vec<_> = findings
        .iter()
        .map(
            |Finding {
                 about,
                 found,
                 remedy,
             }| json!({ "about": about, "found": found, "remedy": remedy }),
        )
        .collect();
    let json = json!({ "ok": wrong == 0, "findings": listed });
    if wrong == 0 {
        return Ok(Said { text, json });
    }
    if context.json() {
        println!("{json}");
    } else {
        print!("{text}");
    }
    Err(Failure::failed(format!(
        "{wrong} of these would stop prompts or answers; what helps stands behind the arrows."
    )))
}

fn files(complaints: &[crate::pure::complaint::Complaint]) -> Finding {
    let found = match complaints {
        [] => "settings, block and routines are in order".to_owned(),
        [only] => only.to_string(),
        [first, rest @ ..] => format!("{first} And {} more.", rest.len()),
    };
    let remedy = (!complaints.is_empty())
        .then(|| "evenfall check lists every slip with its place".to_owned());
    Finding {
        about: "Files",
        found,
        remedy,
    }
}

fn service(context: &Context) -> Result<Finding, Failure> {
    let runs = context.ask(&Request::Status)?.is_some();
    let found = if runs {
        "runs"
    } else {
        "does not run, so no prompt will show"
    };
    let remedy =
        (!runs).then(|| "start it: evenfall daemon, in a terminal that stays open".to_owned());
    Ok(Finding {
        about: "Service",
        found: found.to_owned(),
        remedy,
    })
}

/// Asks the session bus of this terminal; the service may live on another.
fn notifications() -> Finding {
    let (found, remedy) = match server_name() {
        Ok(Some(name)) => (format!("{name} shows them"), None),
        Ok(None) => (
            "nothing on the session bus shows notifications".to_owned(),
            Some("start your desktop's notification service, or install one such as notification-daemon".to_owned()),
        ),
        Err(error) => (
            format!("the session bus cannot be reached ({error})"),
            Some("run this inside your desktop session; DBUS_SESSION_BUS_ADDRESS has to be set".to_owned()),
        ),
    };
    Finding {
        about: "Notifications",
        found,
        remedy,
    }
}

fn store(context: &Context) -> Finding {
    let path = context.home().diary();
    let checked = context.store().and_then(|store| store.check());
    let (found, remedy) = match checked {
        Ok(()) => (format!("{} is intact", path.display()), None),
        // The message of the store says what to do itself.
        Err(failure) => (failure.message, Some("nothing was overwritten".to_owned())),
    };
    Finding {
        about: "Diary",
        found,
        remedy,
    }
}

fn zone(world: &World, now: crate::pure::civil::Instant) -> Vec<Finding> {
    let mut findings = Vec::new();
    let system = world.zones.system();
    let name = world.zone.name();
    findings.push(Finding {
        about: "Zone",
        found: format!("{name}, found by {}", system.found_by.words()),
        remedy: system.complaint.clone(),
    });
    if world.settings.timezone == crate::pure::settings::ZoneChoice::System
        && !system.follows_travel()
    {
        findings.push(Finding {
            about: "Travel",
            found: "TZ is set, so a change of the machine's zone is not followed".to_owned(),
            remedy: Some(
                "start the service without TZ, or name the zone in settings.toml".to_owned(),
            ),
        });
    }
    if let Some(differs) = world.zones.differs(name, now, now + Duration::days(366)) {
        findings.push(Finding {
            about: "Zone data",
            found: format!(
                "from {} on the machine's rules for {name} say {}, the program's own {}; the machine's count",
                differs.first.format("%Y-%m-%d"),
                differs.system,
                differs.embedded
            ),
            remedy: None,
        });
    }
    findings
}

fn clock(year: i32) -> Finding {
    let sane = (2026..2100).contains(&year);
    Finding {
        about: "Clock",
        found: format!("the year is {year}"),
        remedy: (!sane).then(|| "set the clock: timedatectl set-ntp true".to_owned()),
    }
}
