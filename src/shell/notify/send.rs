//! What is sent to the notification server.

use std::collections::HashMap;

use notify_rust::{Hint, Notification, Timeout, Urgency};
use serde::Serialize;
use tokio::time::timeout;
use zbus::fdo::DBusProxy;
use zbus::names::BusName;
use zbus::{Connection, DynamicType, Message, Variant};

use super::{OBJECT, PATIENCE, SERVICE};
use crate::pure::prompt::Kind;
use crate::pure::words::{self, Words};

/// The call that puts a notification on the screen, in place of the one with an id.
pub(super) fn notify(
    kind: Kind,
    words: &Words,
    able: &Abilities,
    replaces: Option<u32>,
) -> zbus::Result<Message> {
    let notification = notification(kind, words, able);
    let hints: HashMap<&str, Variant<'_>> = notification.hints.iter().map(Into::into).collect();
    let arguments = (
        notification.appname.as_str(),
        replaces.unwrap_or(0),
        notification.icon.as_str(),
        notification.summary.as_str(),
        notification.body.as_str(),
        &notification.actions,
        hints,
        i32::from(notification.timeout),
    );
    call("Notify", &arguments)
}

/// A call of the server. What it answers comes through the connection's stream, whenever it does: no wait
/// hangs on a server that hangs.
pub(super) fn call(
    method: &'static str,
    arguments: &(impl Serialize + DynamicType),
) -> zbus::Result<Message> {
    Message::method_call(OBJECT, method)
        .destination(SERVICE)
        .interface(SERVICE)
        .build(arguments)
}

/// Sends a call; the error in words.
pub(super) async fn send(bus: &Connection, message: &Message) -> Result<(), String> {
    match timeout(PATIENCE, bus.send(message)).await {
        Ok(sent) => sent.map_err(|error| error.to_string()),
        Err(_) => Err("the session bus takes nothing".to_owned()),
    }
}

/// What a server can do.
#[derive(Debug, Default)]
pub(super) struct Abilities {
    /// The unique name of the server that said so.
    pub server: Option<String>,
    /// As it says itself.
    pub said: Vec<String>,
    /// It takes buttons but keeps them in a menu that nobody finds by chance.
    hides_buttons: bool,
}

impl Abilities {
    fn can(&self, what: &str) -> bool {
        self.said.iter().any(|ability| ability == what)
    }

    fn shows_buttons(&self) -> bool {
        self.can("actions") && !self.hides_buttons
    }
}

/// What the server can do; nothing if it does not say in time.
pub(super) async fn capabilities(bus: &Connection) -> Abilities {
    let ask = |method: &'static str| {
        timeout(
            PATIENCE,
            bus.call_method(Some(SERVICE), OBJECT, Some(SERVICE), method, &()),
        )
    };
    let Ok(Ok(message)) = ask("GetCapabilities").await else {
        return Abilities::default();
    };
    let name = match ask("GetServerInformation").await {
        Ok(Ok(message)) => message
            .body()
            .deserialize()
            .map(|(name, _, _, _): (String, String, String, String)| name),
        _ => Ok(String::new()),
    };
    // Seen with dunst 1.9: only a mark "(A)" tells that there are buttons.
    Abilities {
        server: message.header().sender().map(ToString::to_string),
        said: message.body().deserialize().unwrap_or_default(),
        hides_buttons: name.is_ok_and(|name| name == "dunst"),
    }
}

/// Unique name of the server, if one has the name.
pub(super) async fn owner(bus: &Connection) -> Option<String> {
    let ask = async {
        let proxy = DBusProxy::new(bus).await.ok()?;
        proxy
            .get_name_owner(BusName::try_from(SERVICE).ok()?)
            .await
            .ok()
            .map(|name| name.to_string())
    };
    timeout(PATIENCE, ask).await.ok().flatten()
}

/// Whether the bus knows how to start a server once something is sent to it.
pub(super) async fn can_be_started(bus: &Connection) -> bool {
    let ask = async {
        let names = DBusProxy::new(bus).await?.list_activatable_names().await?;
        zbus::Result::Ok(names.iter().any(|name| name.as_str() == SERVICE))
    };
    matches!(timeout(PATIENCE, ask).await, Ok(Ok(true)))
}

/// The notification of a prompt, as far as the server can show it.
fn notification(kind: Kind, words: &Words, able: &Abilities) -> Notification {
    let mut body = words.body.clone();
    let buttons = words::buttons(kind);
    if !able.shows_buttons()
        && let Some(command) = words::by_command(kind)
    {
        body = format!("{body}\n{command}");
    }
    if able.can("body-markup") {
        body = body
            .replace('&', "&amp;")
            .replace('<', "&lt;")
            .replace('>', "&gt;");
    }
    let mut notification = Notification::new();
    notification
        .appname("evenfall")
        .summary(&words.summary)
        .icon("evenfall");
    if able.can("body") || able.said.is_empty() {
        notification.body(&body);
    } else {
        notification.summary(&format!("{}: {body}", words.summary));
    }
    if able.can("actions") {
        for button in buttons {
            notification.action(button.key, button.label);
        }
    }
    let urgency = if buttons.is_empty() {
        Urgency::Low
    } else {
        Urgency::Normal
    };
    notification.hint(Hint::Urgency(urgency));
    notification.hint(Hint::DesktopEntry("evenfall".to_owned()));
    notification.hint(Hint::Category("x-evenfall.prompt".to_owned()));
    if matches!(kind, Kind::WindDown | Kind::LightsOut) {
        notification.hint(Hint::SuppressSound(true));
    }
    // What waits for an answer stays; what only says something goes when the desktop likes.
    notification.timeout(if buttons.is_empty() {
        Timeout::Default
    } else {
        Timeout::Never
    });
    notification
}
