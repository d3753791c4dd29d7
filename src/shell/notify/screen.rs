//! A look at the notification server from outside of the service, for the doctor.

use std::process::{Command, Stdio};
use std::time::Duration;

use tokio::time::timeout;
use zbus::{Connection, Variant};

use super::{OBJECT, PATIENCE, SERVICE};

/// How long the question after "do not disturb" may take: servers that do not know it answer at once.
const QUIET_PATIENCE: Duration = Duration::from_secs(2);

/// The server on the session bus.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Screen {
    /// Its name.
    pub name: String,
    /// It holds notifications back ("do not disturb"); the command, or the deed, that ends it.
    pub quiet: Option<&'static str>,
}

/// Asks the session bus of this process for its notification server, outside of any runtime; `None` =
/// nobody has the name.
pub fn screen() -> Result<Option<Screen>, String> {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .map_err(|e| e.to_string())?;
    runtime.block_on(async {
        let bus = timeout(PATIENCE, Connection::session())
            .await
            .map_err(|e| e.to_string())?;
        let bus = bus.map_err(|error| error.to_string())?;
        let call = bus.call_method(
            Some(SERVICE),
            OBJECT,
            Some(SERVICE),
            "GetServerInformation",
            &(),
        );
        let message = match timeout(PATIENCE, call).await {
            Ok(Ok(message)) => message,
            Ok(Err(_)) => return Ok(None),
            Err(error) => return Err(format!("the notification server hangs: {error}")),
        };
        let about: Result<(String, String, String, String), _> = message.body().deserialize();
        let Ok((name, _, _, _)) = about else {
            return Ok(None);
        };
        let quiet = quiet(&bus, &name).await;
        Ok(Some(Screen { name, quiet }))
    })
}

/// What ends "do not disturb", where a server is known to be in it. Each desktop tells in its own way.
async fn quiet(bus: &Connection, name: &str) -> Option<&'static str> {
    // Plasma adds this property to the specification's interface; from memory.
    if property(bus, SERVICE, "Inhibited").await {
        return Some("switch do not disturb off in the desktop's notification settings");
    }
    // dunst(5) and dunstctl(1).
    if property(bus, "org.dunstproject.cmd0", "paused").await {
        return Some("dunstctl set-paused false");
    }
    // GNOME keeps it in its settings and not on the bus; from memory.
    let asked = || {
        let output = Command::new("gsettings")
            .args(["get", "org.gnome.desktop.notifications", "show-banners"])
            .stdin(Stdio::null())
            .stderr(Stdio::null())
            .output()
            .ok()?;
        Some(output.stdout.starts_with(b"false"))
    };
    if name == "gnome-shell" && asked() == Some(true) {
        return Some("gsettings set org.gnome.desktop.notifications show-banners true");
    }
    None
}

/// A property of the server that is yes or no; one that it does not have is no.
async fn property(bus: &Connection, interface: &str, name: &str) -> bool {
    let which = (interface, name);
    let get = bus.call_method(
        Some(SERVICE),
        OBJECT,
        Some("org.freedesktop.DBus.Properties"),
        "Get",
        &which,
    );
    let Ok(Ok(message)) = timeout(QUIET_PATIENCE, get).await else {
        return false;
    };
    let body = message.body();
    let value: Result<Variant<'_>, _> = body.deserialize();
    value.is_ok_and(|value| bool::try_from(&value) == Ok(true))
}
