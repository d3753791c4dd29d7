//! `check`: every complaint about settings, block and routine files at once.

use serde_json::json;

use super::{Context, Said};
use crate::pure::complaint::Complaint;
use crate::shell::failure::Failure;
use crate::shell::world::{Checked, World};

/// Checks, and fails with all complaints.
pub fn run(context: &Context) -> Result<Said, Failure> {
    let Checked {
        world,
        mut complaints,
        routine_complaints,
    } = World::check(context.home(), context.rough_now()?)?;
    complaints.extend(routine_complaints);
    if context.json() && !complaints.is_empty() {
        println!(
            "{}",
            json!({ "ok": false, "complaints": complaints.iter().map(complaint_json).collect::<Vec<_>>() })
        );
    }
    if !complaints.is_empty() {
        return Err(complaints.into());
    }
    let settings = if world.on_defaults {
        "defaults".to_owned()
    } else {
        world.home.settings().display().to_string()
    };
    let weeks: u32 = world.block.phases.iter().map(|phase| phase.weeks).sum();
    let length = match weeks {
        1 => "1 week".to_owned(),
        weeks => format!("{weeks} weeks"),
    };
    let text = format!(
        "Nothing to complain of.\nSettings: {settings}\nBlock: {}, {} from {}\nLibrary: {} stretches, {} patterns, {} evenings\n",
        world.block.name,
        length,
        world.block.starts,
        world.library.stretches.len(),
        world.library.patterns.len(),
        world.library.evenings.len(),
    );
    Ok(Said {
        text,
        json: json!({ "ok": true, "complaints": [] }),
    })
}

fn complaint_json(complaint: &Complaint) -> serde_json::Value {
    let Complaint {
        file,
        line,
        column,
        what,
        instead,
    } = complaint;
    json!({ "file": file, "line": line, "column": column, "what": what, "instead": instead })
}
