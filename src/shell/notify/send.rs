//! Sending one notification.

use notify_rust::{CloseReason, Hint, Notification, NotificationResponse, Timeout, Urgency};
use tokio::sync::mpsc;
use tokio::time::timeout;
use zbus::Connection;
use zbus::fdo::DBusProxy;
use zbus::names::BusName;

use super::desk::{Raw, Signal};
use super::{OBJECT, PATIENCE, SERVICE};
use crate::pure::prompt::{Key, Kind, Token};
use crate::pure::words::{self, Words};

/// Sends a notification and says what became of it. A server that is slow keeps this task, not the
/// service, and its answer still counts when it comes.
pub(super) async fn send(
    bus: &Connection,
    key: Key,
    showing: u32,
    words: &Words,
    replaces: Option<Token>,
    able: &Abilities,
    raw: &mpsc::UnboundedSender<Raw>,
) -> Raw {
    let mut notification = notification(key.kind, words, able);
    if let Some(token) = replaces {
        notification.id(token.id);
    }
    let handle = match notification.show_async().await {
        Ok(handle) => handle,
        Err(error) => {
            return Raw::Refused {
                key,
                showing,
                reason: error.to_string(),
            };
        }
    };
    let server = owner(bus).await.unwrap_or_default();
    let token = Token {
        server,
        id: handle.id(),
    };
    let (raw, waited) = (raw.clone(), token.clone());
    let waiting = tokio::spawn(async move {
        let respond = move |response: &NotificationResponse| {
            if let Some(button) = button_of(response) {
                let _ = raw.send(Raw::Signal(Signal {
                    token: waited,
                    button,
                }));
            }
        };
        handle.wait_for_action_async(respond).await;
    });
    Raw::Taken {
        key,
        showing,
        token,
        waiting: waiting.abort_handle(),
    }
}

fn button_of(response: &NotificationResponse) -> Option<Option<String>> {
    match response {
        NotificationResponse::Default => Some(Some("default".to_owned())),
        NotificationResponse::Action(key) => Some(Some(key.clone())),
        NotificationResponse::Closed(CloseReason::Dismissed) => Some(None),
        // Expired, closed by our own call, undefined: nobody answered anything.
        _ => None,
    }
}

/// What a server can do.
#[derive(Debug, Default)]
pub(super) struct Abilities {
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
    let said = match ask("GetCapabilities").await {
        Ok(Ok(message)) => message.body().deserialize().unwrap_or_default(),
        _ => return Abilities::default(),
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
        said,
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
pub(super) fn notification(kind: Kind, words: &Words, able: &Abilities) -> Notification {
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
