//! Listening to the server's signals, before anything is sent.

use std::num::NonZeroUsize;
use std::time::Duration;

use tokio::sync::mpsc;
use zbus::{Connection, MatchRule, MessageStream};

use super::desk::{Raw, Signal};
use super::{KEPT, SERVICE};
use crate::pure::prompt::Token;

/// Connects to the session bus and listens to the server's signals and to changes of its owner.
pub(super) async fn start(raw: mpsc::UnboundedSender<Raw>) -> zbus::Result<Connection> {
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
