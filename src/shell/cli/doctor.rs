//! `doctor`: looks for what would stop prompts, and says what to do about each finding.

mod around;
mod own;

use serde_json::json;

use super::{Context, Said};
use crate::shell::failure::Failure;
use crate::shell::world::{Checked, World};

/// One thing that was looked at.
struct Finding {
    /// What it is about.
    about: &'static str,
    /// What was found.
    found: String,
    /// What to do about it; `None` = nothing.
    remedy: Option<String>,
    /// Whether it would stop prompts or answers, or bring them at the wrong time.
    stops: bool,
}

impl Finding {
    fn fine(about: &'static str, found: impl Into<String>) -> Self {
        let found = found.into();
        Self {
            about,
            found,
            remedy: None,
            stops: false,
        }
    }

    fn advice(about: &'static str, found: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self {
            remedy: Some(remedy.into()),
            ..Self::fine(about, found)
        }
    }

    fn wrong(about: &'static str, found: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self {
            stops: true,
            ..Self::advice(about, found, remedy)
        }
    }
}

/// Looks; fails with exit status 1 if something would stop prompts.
pub fn run(context: &Context) -> Result<Said, Failure> {
    let now = context.rough_now()?;
    let runs = around::service(context);
    let mut findings = Vec::new();
    // A file that cannot even be read is a finding like any other.
    match World::check(context.home(), now) {
        Ok(Checked {
            world,
            mut complaints,
            routine_complaints,
        }) => {
            complaints.extend(routine_complaints);
            findings.push(own::files(&complaints));
            findings.extend(own::zone(&world, now));
        }
        Err(failure) => findings.push(Finding::wrong(
            "Files",
            failure.message,
            format!(
                "make them readable: chmod -R u+rwX {}",
                context.home().config.display()
            ),
        )),
    }
    findings.extend([
        around::unit(context.home(), !runs.stops),
        around::runtime(context.home()),
        around::notifications(),
        own::store(context),
        own::clock(context, now),
    ]);
    findings.insert(0, runs);
    report(context, &findings)
}

fn report(context: &Context, findings: &[Finding]) -> Result<Said, Failure> {
    let wrong = findings.iter().filter(|finding| finding.stops).count();
    let mut text = String::new();
    for Finding {
        about,
        found,
        remedy,
        ..
    } in findings
    {
        text.push_str(&format!("{about}: {found}\n"));
        if let Some(remedy) = remedy {
            text.push_str(&format!("  -> {remedy}\n"));
        }
    }
    let listed: Vec<_> = findings
        .iter()
        .map(|finding| {
            json!({
                "about": finding.about,
                "found": finding.found,
                "remedy": finding.remedy,
                "stops": finding.stops,
            })
        })
        .collect();
    let json = json!({ "ok": wrong == 0, "findings": listed });
    let said = Said { text, json };
    if wrong == 0 {
        return Ok(said);
    }
    super::print(&said, context.json())?;
    Err(Failure::failed(format!(
        "{wrong} of these would stop prompts or answers; what helps stands behind the arrows."
    )))
}
