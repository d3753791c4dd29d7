//! Listening on the bus, before anything is sent.

use notify_rust::CloseReason;
use tokio::sync::mpsc;
use zbus::fdo::DBusProxy;
use zbus::message::Type;
use zbus::{Connection, MatchRule, Message, MessageStream};

use super::SERVICE;
use super::desk::{Raw, Signal};
use crate::pure::prompt::Token;

/// Connects to the session bus and listens to what is answered to our calls, to the server's signals and to
/// changes of its owner.
///
/// All of it comes through one stream, in the order the bus sent it. So a new owner is known before what it
/// answers, and an answer before the end of whoever gave it.
pub(super) async fn start(raw: mpsc::UnboundedSender<Raw>) -> zbus::Result<Connection> {
    let bus = Connection::session().await?;
    let mut messages = MessageStream::from(&bus);
    let broker = DBusProxy::new(&bus).await?;
    let signals = MatchRule::builder()
        .msg_type(Type::Signal)
        .interface(SERVICE)
        .build()?;
    broker.add_match_rule(signals).await?;
    let owners = MatchRule::builder()
        .msg_type(Type::Signal)
        .sender("org.freedesktop.DBus")
        .member("NameOwnerChanged")
        .arg(0, SERVICE)
        .build()?;
    broker.add_match_rule(owners).await?;
    tokio::spawn(async move {
        while let Some(message) = next(&mut messages).await {
            if let Some(event) = read(&message)
                && raw.send(event).is_err()
            {
                return;
            }
        }
        let _ = raw.send(Raw::BusGone);
    });
    Ok(bus)
}

async fn next(stream: &mut MessageStream) -> Option<Message> {
    use std::pin::Pin;
    let next = std::future::poll_fn(|context| {
        zbus::export::futures_core::Stream::poll_next(Pin::new(&mut *stream), context)
    });
    next.await?.ok()
}

fn read(message: &Message) -> Option<Raw> {
    let header = message.header();
    match header.message_type() {
        Type::MethodReturn | Type::Error => Some(Raw::Replied {
            call: header.reply_serial()?,
            taken: read_reply(message),
        }),
        Type::Signal => match header.interface()?.as_str() {
            SERVICE => read_signal(message).map(Raw::Signal),
            "org.freedesktop.DBus" => read_owner(message).map(Raw::Owner),
            _ => None,
        },
        Type::MethodCall => None,
    }
}

/// Where a notification stands, as the answer to `Notify` says; the error in words.
fn read_reply(message: &Message) -> Result<Token, String> {
    let header = message.header();
    if header.message_type() == Type::Error {
        return Err(zbus::Error::from(message.clone()).to_string());
    }
    let id = message.body().deserialize();
    let id = id.map_err(|error: zbus::Error| error.to_string())?;
    let server = header.sender().map(ToString::to_string).unwrap_or_default();
    Ok(Token { server, id })
}

/// Some servers send signals to all, some to the sender of the notification alone: this connection is both.
fn read_signal(message: &Message) -> Option<Signal> {
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
            // Expired, closed by our own call, undefined: nobody answered anything.
            (CloseReason::from(reason) == CloseReason::Dismissed).then_some(Signal {
                token: Token { server, id },
                button: None,
            })
        }
        _ => None,
    }
}

fn read_owner(message: &Message) -> Option<Option<String>> {
    let header = message.header();
    if header.member()?.as_str() != "NameOwnerChanged" {
        return None;
    }
    let (name, _, new): (String, String, String) = message.body().deserialize().ok()?;
    (name == SERVICE).then_some((!new.is_empty()).then_some(new))
}
