//! Desktop notifications, following the Desktop Notifications Specification.
//!
//! Sending and the wait for a unicast answer go through notify-rust. Around it stands one connection
//! of our own, because of what notification servers do in practice:
//!
//! - a server that dies takes every notification along and ends no wait: its name on the bus is watched;
//! - a server that hangs hangs the call: a showing that takes long is left alone as unconfirmed, and
//!   its answer is taken whenever it comes;
//! - an answer can arrive before the id of the notification is known: signals are listened to before
//!   anything is shown, and kept while a showing is under way;
//! - ids start again at 1 with the server: an id counts only together with the server's unique name.

use std::collections::{HashMap, VecDeque};
use std::num::NonZeroUsize;
use std::sync::Arc;
use std::time::Duration;

use notify_rust::{CloseReason, Hint, Notification, NotificationResponse, Timeout, Urgency};
use tokio::sync::mpsc;
use tokio::task::AbortHandle;
use tokio::time::timeout;
use zbus::fdo::DBusProxy;
use zbus::names::BusName;
use zbus::{Connection, MatchRule, MessageStream};

use crate::pure::prompt::{Key, Kind, Token};
use crate::pure::words::{self, Words};

const SERVICE: &str = "org.freedesktop.Notifications";
const OBJECT: &str = "/org/freedesktop/Notifications";
/// How long one call to the bus may take before the evening goes on without it.
const PATIENCE: Duration = Duration::from_secs(5);
/// Signals kept for a notification whose id is not known yet.
const KEPT: usize = 64;

/// What the service asks of the desktop.
#[derive(Debug)]
pub enum Job {
    /// Put a notification on the screen.
    Show {
        /// Which prompt.
        key: Key,
        /// Which showing.
        showing: u32,
        /// What it says.
        words: Words,
        /// A notification that may still stand and is then replaced.
        replaces: Option<Token>,
    },
    /// One that was put there by a service before this one: reactions to it count.
    Knows {
        /// Which prompt.
        key: Key,
        /// Which showing.
        showing: u32,
        /// Where it stood when last known.
        token: Token,
    },
    /// Take it off the screen.
    Withdraw {
        /// Which prompt.
        key: Key,
        /// Which of them, if there may be several; else the one that stands.
        token: Option<Token>,
    },
    /// Say something that asks for no answer and is kept nowhere.
    Say {
        /// What.
        words: Words,
    },
}

/// What the desktop reports.
#[derive(Debug)]
pub enum Report {
    /// A showing was taken, or was not.
    Shown {
        /// Which prompt.
        key: Key,
        /// Which showing.
        showing: u32,
        /// Where it stands; the error in words.
        result: Result<Option<Token>, String>,
    },
    /// The person pressed a button, clicked the body, or closed it.
    Reacted {
        /// Which prompt.
        key: Key,
        /// The key of the button; `None` = closed.
        button: Option<String>,
    },
    /// A notification server appeared.
    ServerAppeared,
    /// The notification server went away.
    ServerGone,
}

/// Runs the desktop's side until `jobs` ends.
pub async fn run(mut jobs: mpsc::UnboundedReceiver<Job>, reports: mpsc::UnboundedSender<Report>) {
    let (raw, mut raws) = mpsc::unbounded_channel();
    let mut desk = Desk {
        raw,
        reports,
        bus: None,
        server: None,
        able: None,
        standing: HashMap::new(),
        under_way: 0,
        early: VecDeque::new(),
    };
    desk.connect().await;
    loop {
        tokio::select! {
            job = jobs.recv() => match job {
                Some(job) => desk.take(job).await,
                None => break,
            },
            Some(raw) = raws.recv() => desk.notice(raw),
        }
    }
}

/// A signal or result as it comes from one of the listening tasks.
#[derive(Debug)]
enum Raw {
    /// What a server can do, with its unique name as it was when it was asked.
    Able(Option<String>, Arc<Abilities>),
    Taken {
        key: Key,
        showing: u32,
        token: Token,
        waiting: AbortHandle,
    },
    Refused {
        key: Key,
        showing: u32,
        reason: String,
    },
    Signal(Signal),
    Owner(Option<String>),
    BusGone,
}

#[derive(Clone, Debug)]
struct Signal {
    token: Token,
    /// The button's key; `None` = closed by the person.
    button: Option<String>,
}

struct Standing {
    showing: u32,
    token: Token,
    /// The task that waits for an answer on the connection that sent it, if this process sent it.
    waiting: Option<AbortHandle>,
}

impl Drop for Standing {
    fn drop(&mut self) {
        if let Some(waiting) = &self.waiting {
            waiting.abort();
        }
    }
}

struct Desk {
    raw: mpsc::UnboundedSender<Raw>,
    reports: mpsc::UnboundedSender<Report>,
    bus: Option<Connection>,
    server: Option<String>,
    /// What the present server can do, once it was asked.
    able: Option<Arc<Abilities>>,
    standing: HashMap<Key, Standing>,
    /// Showings that were sent and whose id is not known yet.
    under_way: usize,
    early: VecDeque<Signal>,
}

impl Desk {
    async fn connect(&mut self) {
        let Ok(Ok(bus)) = timeout(PATIENCE, listen(self.raw.clone())).await else {
            return;
        };
        self.server = owner(&bus).await;
        self.bus = Some(bus);
    }

    async fn take(&mut self, job: Job) {
        if self.bus.is_none() {
            self.connect().await;
        }
        match job {
            Job::Show {
                key,
                showing,
                words,
                replaces,
            } => self.show(key, showing, words, replaces),
            Job::Knows {
                key,
                showing,
                token,
            } if Some(&token.server) == self.server.as_ref() => {
                let standing = Standing {
                    showing,
                    token,
                    waiting: None,
                };
                self.standing.insert(key, standing);
            }
            Job::Knows { .. } => {}
            Job::Withdraw { key, token } => self.withdraw(&key, token).await,
            Job::Say { words } => {
                if let Some(bus) = self.bus.clone() {
                    tokio::spawn(async move {
                        let able = capabilities(&bus).await;
                        let _ = timeout(
                            PATIENCE,
                            notification(Kind::Own, &words, &able).show_async(),
                        )
                        .await;
                    });
                }
            }
        }
    }

    fn show(&mut self, key: Key, showing: u32, words: Words, replaces: Option<Token>) {
        self.under_way += 1;
        let Some(bus) = self.bus.clone() else {
            let reason = "there is no session bus".to_owned();
            let _ = self.raw.send(Raw::Refused {
                key,
                showing,
                reason,
            });
            return;
        };
        // An id of a server that is gone names nothing, or somebody else's notification.
        let standing = self.standing.remove(&key);
        let replaces = standing
            .map(|standing| standing.token.clone())
            .or(replaces)
            .filter(|token| Some(&token.server) == self.server.as_ref());
        let (raw, known, server) = (self.raw.clone(), self.able.clone(), self.server.clone());
        tokio::spawn(async move {
            // Asked once a server: two questions less between the due instant and the screen.
            let able = match known {
                Some(able) => able,
                None => {
                    let able = Arc::new(capabilities(&bus).await);
                    let _ = raw.send(Raw::Able(server, Arc::clone(&able)));
                    able
                }
            };
            let _ = raw.send(send(&bus, key, showing, &words, replaces, &able, &raw).await);
        });
    }

    async fn withdraw(&mut self, key: &Key, token: Option<Token>) {
        let stands = self.standing.get(key).map(|standing| &standing.token);
        let token = token.or(stands.cloned());
        if stands == token.as_ref() {
            self.standing.remove(key);
        }
        let token = token.filter(|token| Some(&token.server) == self.server.as_ref());
        if let (Some(token), Some(bus)) = (token, self.bus.clone()) {
            let close = bus.call_method(
                Some(SERVICE),
                OBJECT,
                Some(SERVICE),
                "CloseNotification",
                &(token.id),
            );
            let _ = timeout(PATIENCE, close).await;
        }
    }

    fn notice(&mut self, raw: Raw) {
        match raw {
            // A server that did not say what it can do is asked again, and so is another one.
            Raw::Able(server, able) => {
                if server == self.server && !able.said.is_empty() {
                    self.able = Some(able);
                }
            }
            Raw::Taken {
                key,
                showing,
                token,
                waiting,
            } => self.taken(key, showing, token, waiting),
            Raw::Refused {
                key,
                showing,
                reason,
            } => {
                self.show_ended();
                let _ = self.reports.send(Report::Shown {
                    key,
                    showing,
                    result: Err(reason),
                });
            }
            Raw::Signal(signal) => self.signal(signal),
            Raw::Owner(owner) => self.owner_changed(owner),
            Raw::BusGone => {
                self.bus = None;
                self.owner_changed(None);
            }
        }
    }

    fn taken(&mut self, key: Key, showing: u32, token: Token, waiting: AbortHandle) {
        let early = self
            .early
            .iter()
            .find(|signal| signal.token == token)
            .cloned();
        self.show_ended();
        // A slow server may take an older showing after a newer one.
        let newest = self.standing.get(&key).map(|standing| standing.showing);
        let waiting = Some(waiting);
        if newest.is_none_or(|newest| newest <= showing) {
            let token = token.clone();
            let standing = Standing {
                showing,
                token,
                waiting,
            };
            self.standing.insert(key.clone(), standing);
        }
        let _ = self.reports.send(Report::Shown {
            key,
            showing,
            result: Ok(Some(token)),
        });
        if let Some(signal) = early {
            self.signal(signal);
        }
    }

    fn show_ended(&mut self) {
        self.under_way = self.under_way.saturating_sub(1);
        if self.under_way == 0 {
            self.early.clear();
        }
    }

    fn signal(&mut self, signal: Signal) {
        let key = self
            .standing
            .iter()
            .find(|(_, standing)| standing.token == signal.token)
            .map(|(key, _)| key.clone());
        match key {
            Some(key) => {
                self.standing.remove(&key);
                let _ = self.reports.send(Report::Reacted {
                    key,
                    button: signal.button,
                });
            }
            None if self.under_way > 0 => {
                if self.early.len() == KEPT {
                    self.early.pop_front();
                }
                self.early.push_back(signal);
            }
            None => {}
        }
    }

    fn owner_changed(&mut self, owner: Option<String>) {
        if owner == self.server {
            return;
        }
        let had_one = self.server.is_some();
        self.able = None;
        self.server = owner;
        self.standing.clear();
        if had_one {
            let _ = self.reports.send(Report::ServerGone);
        }
        // A server that our own call brought up shows that call: nothing is to be sent again.
        if self.server.is_some() && self.under_way == 0 {
            let _ = self.reports.send(Report::ServerAppeared);
        }
    }
}

/// Sends a notification and says what became of it. A server that is slow keeps this task, not the
/// service, and its answer still counts when it comes.
async fn send(
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
struct Abilities {
    /// As it says itself.
    said: Vec<String>,
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
async fn capabilities(bus: &Connection) -> Abilities {
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

async fn owner(bus: &Connection) -> Option<String> {
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

/// Connects to the session bus and listens to the server's signals and to changes of its owner.
async fn listen(raw: mpsc::UnboundedSender<Raw>) -> zbus::Result<Connection> {
    let bus = zbus::connection::Builder::session()
        .method_timeout(Duration::from_secs(60))
        .build()
        .await?;
    let signals = MatchRule::builder()
        .msg_type(zbus::message::Type::Signal)
        .interface(SERVICE)
        .build()?;
    let mut signals = MessageStream::for_match_rule(signals, &bus, NonZeroUsize::new(KEPT)).await?;
    let owners = MatchRule::builder()
        .msg_type(zbus::message::Type::Signal)
        .sender("org.freedesktop.DBus")
        .member("NameOwnerChanged")
        .arg(0, SERVICE)
        .build()?;
    let mut owners = MessageStream::for_match_rule(owners, &bus, NonZeroUsize::new(KEPT)).await?;
    tokio::spawn(async move {
        loop {
            let raw_event = tokio::select! {
                signal = next(&mut signals) => match signal {
                    Some(message) => read_signal(&message).map(Raw::Signal),
                    None => break,
                },
                change = next(&mut owners) => match change {
                    Some(message) => read_owner(&message).map(Raw::Owner),
                    None => break,
                },
            };
            if let Some(event) = raw_event
                && raw.send(event).is_err()
            {
                return;
            }
        }
        let _ = raw.send(Raw::BusGone);
    });
    Ok(bus)
}

async fn next(stream: &mut MessageStream) -> Option<zbus::Message> {
    use std::pin::Pin;
    let next = std::future::poll_fn(|context| {
        zbus::export::futures_core::Stream::poll_next(Pin::new(&mut *stream), context)
    });
    next.await?.ok()
}

fn read_signal(message: &zbus::Message) -> Option<Signal> {
    let header = message.header();
    let server = header.sender()?.to_string();
    match header.member()?.as_str() {
        "ActionInvoked" => {
            let (id, key): (u32, String) = message.body().deserialize().ok()?;
            Some(Signal {
                token: Token { server, id },
                button: Some(key),
            })
        }
        "NotificationClosed" => {
            let (id, reason): (u32, u32) = message.body().deserialize().ok()?;
            (reason == 2).then_some(Signal {
                token: Token { server, id },
                button: None,
            })
        }
        _ => None,
    }
}

fn read_owner(message: &zbus::Message) -> Option<Option<String>> {
    let (_, _, new): (String, String, String) = message.body().deserialize().ok()?;
    Some((!new.is_empty()).then_some(new))
}
