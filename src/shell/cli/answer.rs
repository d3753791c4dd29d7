//! `later` and `not-tonight`: answer the standing prompt, through the service if it runs.

use serde_json::json;

use super::{Context, Said};
use crate::pure::prompt::{Key, Token};
use crate::pure::step::Reply;
use crate::pure::words::{LATER_MINUTES, Words};
use crate::shell::control::Request;
use crate::shell::daemon::{Core, Desk, Ledger};
use crate::shell::failure::Failure;

/// How much later.
#[derive(Debug, clap::Args)]
pub struct LaterArguments {
    /// Minutes
    #[arg(default_value_t = LATER_MINUTES, value_parser = clap::value_parser!(u32).range(1..=720))]
    minutes: u32,
}

/// The standing prompt again in some minutes.
pub fn later(context: &Context, arguments: &LaterArguments) -> Result<Said, Failure> {
    let minutes = arguments.minutes;
    answer(
        context,
        &Request::Later {
            minutes,
            prompt: None,
        },
        Reply::Later { minutes },
    )
}

/// No wind-down tonight.
pub fn not_tonight(context: &Context) -> Result<Said, Failure> {
    answer(context, &Request::NotTonight, Reply::NotTonight)
}

fn answer(context: &Context, request: &Request, reply: Reply) -> Result<Said, Failure> {
    let said = match context.ask(request)? {
        Some(answer) if answer.ok => answer.said,
        Some(answer) => return Err(Failure::failed(answer.said)),
        None => without_service(context, reply)?,
    };
    Ok(Said {
        text: format!("{said}\n"),
        json: json!({ "ok": true, "said": said }),
    })
}

/// No service runs: the same rules write the answer straight to the store.
fn without_service(context: &Context, reply: Reply) -> Result<String, Failure> {
    let (now, world) = context.open()?;
    let ledger = Ledger::of(context.store()?);
    let mut core = Core::new(ledger, world.plan(), NoDesk, now);
    core.answer_alone(now, reply).map_err(Failure::failed)
}

/// A command has no screen to put prompts on.
struct NoDesk;

impl Desk for NoDesk {
    fn show(&mut self, _: Key, _: u32, _: Words, _: Option<Token>) {}
    fn knows(&mut self, _: Key, _: u32, _: Option<Token>) {}
    fn withdraw(&mut self, _: Key, _: Option<Token>) {}
    fn say(&mut self, _: Words) {}
}
