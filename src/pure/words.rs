//! What a notification says, and which buttons it has.
//!
//! The summary may show on a lock screen, so it carries nothing private: no session, no region, no
//! rating. The body says the rest in a sentence or two, and how to answer where there are no buttons.

use super::agenda::{Due, Plan, seconds_left};
use super::civil::Instant;
use super::prompt::Kind;
use super::step::Reply;

/// Minutes that the button "later" puts a prompt off for.
pub const LATER_MINUTES: u32 = 15;

/// A button of a notification.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Button {
    /// The key that the desktop hands back.
    pub key: &'static str,
    /// Its label.
    pub label: &'static str,
    /// What pressing it means.
    pub reply: Reply,
    /// The command that does the same.
    pub command: &'static str,
}

const fn button(
    key: &'static str,
    label: &'static str,
    reply: Reply,
    command: &'static str,
) -> Button {
    Button {
        key,
        label,
        reply,
        command,
    }
}

const WIND_DOWN: &[Button] = &[
    button("start", "Start", Reply::Start, "evenfall follow"),
    button(
        "later",
        "In 15 minutes",
        Reply::Later {
            minutes: LATER_MINUTES,
        },
        "evenfall later",
    ),
    button(
        "not_tonight",
        "Not tonight",
        Reply::NotTonight,
        "evenfall not-tonight",
    ),
];
const MORNING: &[Button] = &[
    button(
        "as_usual",
        "As usual",
        Reply::AsUsual,
        "evenfall morning --as-usual",
    ),
    button("start", "Answer", Reply::Start, "evenfall morning"),
    button(
        "later",
        "Later",
        Reply::Later {
            minutes: LATER_MINUTES,
        },
        "evenfall later",
    ),
];
const SESSION: &[Button] = &[button("start", "Look", Reply::Start, "evenfall today")];
const REVIEW: &[Button] = &[button("start", "Look", Reply::Start, "evenfall review")];

/// The buttons of a kind, the first of them also what a click on the body means.
pub fn buttons(kind: Kind) -> &'static [Button] {
    match kind {
        Kind::WindDown => WIND_DOWN,
        Kind::Morning => MORNING,
        Kind::Session => SESSION,
        Kind::WeekReview => REVIEW,
        Kind::LightsOut | Kind::Own => &[],
    }
}

/// What a key handed back by the desktop means for a kind.
pub fn reply_of(kind: Kind, key: &str) -> Option<Reply> {
    let buttons = buttons(kind);
    if key == "default" {
        // A click on the body opens; it never answers a morning as usual by accident.
        return buttons
            .iter()
            .map(|button| button.reply)
            .find(|reply| *reply == Reply::Start);
    }
    buttons
        .iter()
        .find(|button| button.key == key)
        .map(|button| button.reply)
}

/// The words of a notification.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Words {
    /// One line, fit for a lock screen.
    pub summary: String,
    /// A sentence or two.
    pub body: String,
}

/// The words of a prompt at the instant it is shown. `detail` says more where the caller knows more
/// (what tonight's routine is for, what is suggested today).
pub fn notification(plan: &Plan, due: &Due, now: Instant, detail: Option<&str>) -> Words {
    let zone = plan.zone_of(due.key.night);
    let clock = |at: Instant| zone.local(at).format("%H:%M").to_string();
    let night = plan.night(due.key.night);
    let (summary, body) = match due.key.kind {
        Kind::WindDown => (
            "Time to wind down",
            wind_down(
                plan.seconds_on(due.key.night),
                now,
                night.bedtime.at,
                &clock(night.bedtime.at),
            ),
        ),
        Kind::LightsOut => (
            "Lights out",
            format!("As planned at {}.", clock(night.bedtime.at)),
        ),
        Kind::Morning => (
            "Good morning",
            "How was the night, and how do you feel? Under a minute.".to_owned(),
        ),
        Kind::Session => ("Today's plan", format!("{}.", due.text)),
        Kind::WeekReview => (
            "Your week",
            "What was recorded this week, in a few sentences.".to_owned(),
        ),
        Kind::Own => ("Reminder", due.text.clone()),
    };
    let body = match detail {
        Some(detail) => format!("{body} {detail}"),
        None => body,
    };
    Words {
        summary: summary.to_owned(),
        body,
    }
}

fn wind_down(planned: u32, now: Instant, lights_out: Instant, at: &str) -> String {
    match seconds_left(planned, now, lights_out) {
        Some(left) if left < planned => {
            format!(
                "It is late: {} minutes are left of the wind-down. Lights out was planned at {at}.",
                left / 60
            )
        }
        _ => format!("{} minutes, then lights out at {at}.", planned.div_ceil(60)),
    }
}

/// How to answer without buttons.
pub fn by_command(kind: Kind) -> Option<String> {
    let commands: Vec<&str> = buttons(kind).iter().map(|button| button.command).collect();
    if commands.is_empty() {
        None
    } else {
        Some(format!("To answer, run: {}.", commands.join(", or ")))
    }
}
