//! `page`: an address that opens the page once, printed or opened.

use serde_json::json;

use super::{Context, Said};
use crate::shell::control::Request;
use crate::shell::daemon;
use crate::shell::failure::Failure;

/// What to do with it.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Open it in the browser
    #[arg(long)]
    open: bool,
}

/// Asks the service for a fresh address.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    context.refuse_at("page")?;
    let Some(reply) = context.ask(&Request::PageAddress)? else {
        return Err(Failure::failed(format!(
            "The service does not run, and the page with it. Start it with: {}",
            daemon::start_command(context.home())
        )));
    };
    let address = reply
        .status
        .as_ref()
        .and_then(|status| status["page"].as_str())
        .ok_or_else(|| Failure::failed(reply.said.clone()))?
        .to_owned();
    if arguments.open {
        daemon::browse(&address).map_err(|error| {
            Failure::failed(format!(
                "xdg-open: {error}. Open it by hand, once, within ten minutes: {address}"
            ))
        })?;
    }
    Ok(Said {
        text: format!("{address}\n"),
        json: json!({ "page": address }),
    })
}
