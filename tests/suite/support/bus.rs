//! A private session bus, and a notification server on it that a test scripts.

use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use tokio::sync::mpsc;
use zbus::message::Type;
use zbus::{Connection, MessageStream};

use super::eventually;

const NAME: &str = "org.freedesktop.Notifications";
const PATH: &str = "/org/freedesktop/Notifications";

/// A bus of its own for one test, without any service that could start by itself.
pub struct Bus {
    daemon: Child,
    /// Its address.
    pub address: String,
    _folder: tempfile::TempDir,
}

impl Bus {
    /// Starts one; `dbus-daemon` has to be installed.
    pub fn start() -> Self {
        let folder = tempfile::tempdir().expect("folder");
        let config = folder.path().join("bus.conf");
        let text = format!(
            "<busconfig><type>session</type><listen>unix:tmpdir={}</listen><auth>EXTERNAL</auth>\
             <policy context=\"default\"><allow send_destination=\"*\" eavesdrop=\"true\"/><allow eavesdrop=\"true\"/><allow own=\"*\"/></policy></busconfig>",
            folder.path().display()
        );
        std::fs::write(&config, text).expect("config");
        let mut daemon = Command::new("dbus-daemon")
            .args(["--nofork", "--print-address=1", "--config-file"])
            .arg(&config)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("dbus-daemon starts (package dbus)");
        let mut address = String::new();
        let output = daemon.stdout.take().expect("output");
        BufReader::new(output)
            .read_line(&mut address)
            .expect("address");
        Self {
            daemon,
            address: address.trim().to_owned(),
            _folder: folder,
        }
    }
}

impl Drop for Bus {
    fn drop(&mut self) {
        let _ = self.daemon.kill();
        let _ = self.daemon.wait();
    }
}

/// One call of `Notify`.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    /// When the call came in.
    pub at: chrono::DateTime<chrono::Utc>,
    /// The id given out.
    pub id: u32,
    /// The id that was to be replaced, 0 for none.
    pub replaces: u32,
    /// The summary.
    pub summary: String,
    /// The body.
    pub body: String,
    /// Unique name of the connection that sent it.
    pub sender: String,
    /// Keys and labels in turn.
    pub actions: Vec<String>,
    /// `urgency`, if it was given.
    pub urgency: Option<u8>,
    /// `desktop-entry`, if it was given.
    pub desktop_entry: Option<String>,
}

/// How the server behaves.
#[derive(Clone, Debug)]
pub struct Script {
    /// Its name.
    pub name: &'static str,
    /// What `GetCapabilities` says.
    pub capabilities: Vec<&'static str>,
    /// Press this button at once after the answer to `Notify`.
    pub press_at_once: Option<&'static str>,
    /// The press comes before the answer.
    pub press_first: bool,
    /// Tell the sender of a notification alone what becomes of it.
    pub unicast: bool,
    /// Never answer `Notify`.
    pub hang: bool,
    /// Hold notifications back, and say so under `Inhibited`.
    pub quiet: bool,
}

impl Default for Script {
    fn default() -> Self {
        Self {
            name: "scripted",
            capabilities: vec!["actions", "body", "body-markup"],
            press_at_once: None,
            press_first: false,
            unicast: false,
            hang: false,
            quiet: false,
        }
    }
}

#[derive(Debug)]
enum Order {
    Press(u32, String),
    Close(u32, u32),
}

#[derive(Default)]
struct Seen {
    shown: Vec<Shown>,
    closed: Vec<u32>,
}

/// A notification server in a thread of its own; goes away when dropped, as a killed one would.
pub struct Server {
    seen: Arc<Mutex<Seen>>,
    orders: mpsc::UnboundedSender<Order>,
    thread: Option<std::thread::JoinHandle<()>>,
    stop: Option<tokio::sync::oneshot::Sender<()>>,
}

impl Server {
    /// Starts one and waits until it has the name.
    pub fn start(bus: &Bus, script: Script) -> Self {
        let seen = Arc::new(Mutex::new(Seen::default()));
        let (orders, mut received) = mpsc::unbounded_channel();
        let (stop, mut stopped) = tokio::sync::oneshot::channel();
        let (ready, is_ready) = std::sync::mpsc::channel();
        let (address, shared) = (bus.address.clone(), Arc::clone(&seen));
        let thread = std::thread::spawn(move || {
            let runtime = tokio::runtime::Builder::new_current_thread()
                .enable_all()
                .build()
                .expect("runtime");
            runtime.block_on(async move {
                let connection = zbus::connection::Builder::address(address.as_str())
                    .build()
                    .await
                    .expect("the server reaches the bus");
                let mut messages = MessageStream::from(&connection);
                connection.request_name(NAME).await.expect("name");
                ready.send(()).expect("ready");
                loop {
                    tokio::select! {
                        message = next(&mut messages) => match message {
                            Some(message) => serve(&connection, &message, &script, &shared).await,
                            None => break,
                        },
                        Some(order) = received.recv() => {
                            carry_out(&connection, order, &script, &shared).await;
                        }
                        _ = &mut stopped => break,
                    }
                }
                let _ = connection.close().await;
            });
        });
        is_ready
            .recv_timeout(Duration::from_secs(20))
            .expect("the server is up");
        Self {
            seen,
            orders,
            thread: Some(thread),
            stop: Some(stop),
        }
    }

    /// Every call of `Notify` so far.
    pub fn shown(&self) -> Vec<Shown> {
        self.seen.lock().expect("seen").shown.clone()
    }

    /// Ids that were closed by call.
    pub fn closed(&self) -> Vec<u32> {
        self.seen.lock().expect("seen").closed.clone()
    }

    /// Waits for the `count`-th call of `Notify` and returns it.
    pub fn wait_for(&self, count: usize) -> Shown {
        eventually(&format!("notification {count}"), || {
            self.shown().get(count - 1).cloned()
        })
    }

    /// Presses a button.
    pub fn press(&self, id: u32, key: &str) {
        self.orders
            .send(Order::Press(id, key.to_owned()))
            .expect("server");
    }

    /// Closes a notification with a reason of the specification (2 = by the person).
    pub fn close(&self, id: u32, reason: u32) {
        self.orders.send(Order::Close(id, reason)).expect("server");
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        if let Some(stop) = self.stop.take() {
            let _ = stop.send(());
        }
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

async fn next(messages: &mut MessageStream) -> Option<zbus::Message> {
    use std::pin::Pin;
    use zbus::export::futures_core::Stream;
    std::future::poll_fn(|context| Stream::poll_next(Pin::new(&mut *messages), context))
        .await?
        .ok()
}

async fn carry_out(connection: &Connection, order: Order, script: &Script, seen: &Mutex<Seen>) {
    let (Order::Press(id, _) | Order::Close(id, _)) = &order;
    let to = sender_of(*id, seen).filter(|_| script.unicast);
    let to = to.as_deref();
    let sent = match order {
        Order::Press(id, key) => {
            connection
                .emit_signal(to, PATH, NAME, "ActionInvoked", &(id, key))
                .await
        }
        Order::Close(id, reason) => {
            connection
                .emit_signal(to, PATH, NAME, "NotificationClosed", &(id, reason))
                .await
        }
    };
    sent.expect("signal");
}

fn sender_of(id: u32, seen: &Mutex<Seen>) -> Option<String> {
    let seen = seen.lock().expect("seen");
    let shown = seen.shown.iter().rfind(|shown| shown.id == id);
    shown.map(|shown| shown.sender.clone())
}

async fn serve(
    connection: &Connection,
    message: &zbus::Message,
    script: &Script,
    seen: &Mutex<Seen>,
) {
    let header = message.header();
    if header.message_type() != Type::MethodCall {
        return;
    }
    match header.interface().map(|name| name.to_string()).as_deref() {
        Some(NAME) => {}
        Some("org.freedesktop.DBus.Properties") => {
            let body = message.body();
            let (_, name): (String, String) = body.deserialize().expect("property");
            let value = zbus::Variant::from(script.quiet && name == "Inhibited");
            return connection.reply(&header, &value).await.expect("reply");
        }
        _ => return,
    }
    match header.member().map(|member| member.to_string()).as_deref() {
        Some("GetCapabilities") => connection
            .reply(&header, &script.capabilities)
            .await
            .expect("reply"),
        Some("GetServerInformation") => {
            let about = (script.name, "evenfall tests", "1", "1.2");
            connection.reply(&header, &about).await.expect("reply");
        }
        Some("CloseNotification") => {
            let id: u32 = message.body().deserialize().expect("id");
            seen.lock().expect("seen").closed.push(id);
            connection.reply(&header, &()).await.expect("reply");
        }
        Some("Notify") => notify(connection, message, script, seen).await,
        _ => {}
    }
}

type NotifyArguments<'m> = (
    &'m str,
    u32,
    &'m str,
    &'m str,
    &'m str,
    Vec<&'m str>,
    std::collections::HashMap<&'m str, zbus::Variant<'m>>,
    i32,
);

async fn notify(
    connection: &Connection,
    message: &zbus::Message,
    script: &Script,
    seen: &Mutex<Seen>,
) {
    let body = message.body();
    let (_, replaces, _, summary, text, actions, hints, _): NotifyArguments<'_> =
        body.deserialize().expect("arguments of Notify");
    let id = {
        let mut seen = seen.lock().expect("seen");
        let fresh = seen.shown.iter().map(|shown| shown.id).max().unwrap_or(0) + 1;
        let id = if replaces == 0 { fresh } else { replaces };
        seen.shown.push(Shown {
            at: chrono::Utc::now(),
            id,
            replaces,
            sender: message.header().sender().expect("sender").to_string(),
            summary: summary.to_owned(),
            body: text.to_owned(),
            actions: actions.iter().map(ToString::to_string).collect(),
            urgency: hints
                .get("urgency")
                .and_then(|hint| u8::try_from(hint).ok()),
            desktop_entry: hints
                .get("desktop-entry")
                .and_then(|hint| <&str>::try_from(hint).ok())
                .map(str::to_owned),
        });
        id
    };
    if script.hang {
        return;
    }
    let press = |key: &str| carry_out(connection, Order::Press(id, key.to_owned()), script, seen);
    if let Some(key) = script.press_at_once.filter(|_| script.press_first) {
        press(key).await;
    }
    connection
        .reply(&message.header(), &id)
        .await
        .expect("reply");
    if let Some(key) = script.press_at_once.filter(|_| !script.press_first) {
        press(key).await;
    }
}
