//! What belongs to the person: files, diary, zone and clock.

use std::path::Path;

use chrono::{Datelike, Duration};

use super::super::Context;
use super::Finding;
use crate::pure::civil::Instant;
use crate::pure::complaint::Complaint;
use crate::pure::settings::ZoneChoice;
use crate::shell::store::copies;
use crate::shell::world::World;

pub(super) fn files(complaints: &[Complaint]) -> Finding {
    let found = match complaints {
        [] => return Finding::fine("Files", "settings, block and routines are in order"),
        [only] => only.to_string(),
        [first, rest @ ..] => format!("{first} And {} more.", rest.len()),
    };
    let remedy = "list every slip with its place: evenfall check";
    Finding::wrong("Files", found, remedy)
}

pub(super) fn store(context: &Context) -> Finding {
    const ABOUT: &str = "Diary";
    let path = context.home().diary();
    match context.store().and_then(|store| store.check()) {
        Ok(()) => Finding::fine(ABOUT, format!("{} is intact", path.display())),
        Err(failure) => Finding::wrong(ABOUT, failure.message, mend(&path)),
    }
}

/// The command that puts the newest whole copy in a store's place and keeps what was there.
fn mend(store: &Path) -> String {
    let at = store.display();
    match copies(store).first() {
        Some(copy) => format!(
            "if it is damaged: for f in {at}*; do mv \"$f\" \"$f.aside\"; done; cp {} {at}",
            copy.display()
        ),
        None => format!("look at the file: ls -l {at}; there is no daily copy yet"),
    }
}

pub(super) fn zone(world: &World, now: Instant) -> Vec<Finding> {
    let mut findings = Vec::new();
    let system = world.zones.system();
    let follows_machine = world.settings.timezone == ZoneChoice::System;
    let name = world.zone.name();
    findings.push(match &system.complaint {
        // A named zone does not ask what the machine thinks.
        Some(complaint) if follows_machine => Finding::wrong(
            "Zone",
            format!("{name}: {}", system.found_by.words()),
            complaint,
        ),
        _ if follows_machine => Finding::fine(
            "Zone",
            format!("{name}, found by {}", system.found_by.words()),
        ),
        _ => Finding::fine("Zone", format!("{name}, named in the settings")),
    });
    if !follows_machine && system.zone.offset_at(now) != world.zone.offset_at(now) {
        let found = format!(
            "the machine is in {}, the settings name {name}",
            system.zone.name()
        );
        let remedy = "if you are travelling: evenfall travel; to follow the machine, write timezone = \"system\"";
        findings.push(Finding::advice("Another zone", found, remedy));
    }
    if follows_machine && !system.follows_travel() {
        findings.push(Finding::advice(
            "Travel",
            "TZ is set, so a change of the machine's zone is not followed",
            "start the service without it: env -u TZ evenfall daemon",
        ));
    }
    if let Some(differs) = world.zones.differs(name, now, now + Duration::days(366)) {
        let found = format!(
            "from {} on the machine's rules for {name} say {}, the program's own {}; the machine's count",
            differs.first.format("%Y-%m-%d"),
            differs.system,
            differs.embedded
        );
        findings.push(Finding::fine("Zone data", found));
    }
    findings
}

/// A clock that is behind what was written down was set back, or was ahead then.
pub(super) fn clock(context: &Context, now: Instant) -> Finding {
    const SET: &str = "set the clock: timedatectl set-ntp true";
    let year = now.year();
    let last = context.store().and_then(|store| store.last_event());
    match last {
        _ if !(2026..2100).contains(&year) => {
            Finding::wrong("Clock", format!("the year is {year}"), SET)
        }
        Ok(Some(last)) if last - now > Duration::hours(1) => Finding::wrong(
            "Clock",
            format!(
                "it is behind the last prompt, which was written down at {} UTC",
                last.format("%Y-%m-%d %H:%M")
            ),
            SET,
        ),
        _ => Finding::fine("Clock", format!("the year is {year}")),
    }
}
