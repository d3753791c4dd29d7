//! What the service stands on: its process, its start at login, the runtime folder, the desktop.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use super::super::Context;
use super::Finding;
use crate::shell::control::Request;
use crate::shell::daemon::{is_managed, start_command};
use crate::shell::home::Home;
use crate::shell::notify::{Screen, screen};

pub(super) fn service(context: &Context) -> Finding {
    const ABOUT: &str = "Service";
    let home = context.home();
    let terminal = match home.single {
        true => format!("evenfall --home {} daemon", home.config.display()),
        false => "evenfall daemon".to_owned(),
    };
    match context.ask(&Request::Status) {
        Ok(Some(_)) => Finding::fine(ABOUT, "runs"),
        Ok(None) => Finding::wrong(
            ABOUT,
            "does not run, so no prompt will show",
            if is_managed(home) {
                start_command(home).to_owned()
            } else {
                format!("{terminal}, in a terminal that stays open")
            },
        ),
        Err(failure) => Finding::wrong(
            ABOUT,
            failure.message,
            format!(
                "systemctl --user restart evenfall.service, or end it and run {terminal} in a terminal"
            ),
        ),
    }
}

/// Whether the service starts by itself at the next login: by systemd, else by the desktop.
pub(super) fn unit(home: &Home, runs: bool) -> Finding {
    const ABOUT: &str = "Start at login";
    if home.single {
        return Finding::fine(ABOUT, "a home named by --home is started by hand");
    }
    let state = is_enabled();
    match (state.as_deref(), autostart(home)) {
        (Some("enabled" | "enabled-runtime" | "linked" | "static"), _) => {
            Finding::fine(ABOUT, "systemd starts it at login")
        }
        (Some(state @ ("disabled" | "masked")), _) => {
            let found = format!("the unit is {state}, so the service is gone after the next login");
            let remedy = match state {
                "masked" => {
                    "systemctl --user unmask evenfall.service && systemctl --user enable --now evenfall.service"
                }
                _ => "systemctl --user enable --now evenfall.service",
            };
            Finding {
                stops: !runs,
                ..Finding::advice(ABOUT, found, remedy)
            }
        }
        (_, Some(entry)) => Finding::fine(
            ABOUT,
            format!("the desktop starts it by {}", entry.display()),
        ),
        (_, None) => Finding::advice(
            ABOUT,
            "neither systemd nor the desktop knows of it",
            format!(
                "put evenfall.service of the package into {0}/systemd/user and run systemctl --user enable --now \
                 evenfall.service; without systemd put its autostart entry into {0}/autostart",
                base(home).display()
            ),
        ),
    }
}

/// The folder that holds the programs' folders of settings.
fn base(home: &Home) -> &Path {
    home.config.parent().unwrap_or(&home.config)
}

/// The entry by which a desktop starts it (Desktop Application Autostart Specification): the person's own
/// hides the system's.
fn autostart(home: &Home) -> Option<PathBuf> {
    let system = std::env::var("XDG_CONFIG_DIRS").unwrap_or_default();
    let system = match system.as_str() {
        "" => "/etc/xdg",
        named => named,
    };
    let folders = std::iter::once(base(home)).chain(system.split(':').map(Path::new));
    let mut entries = folders.map(|folder| folder.join("autostart/evenfall.desktop"));
    let entry = entries.find(|entry| entry.is_file())?;
    let text = std::fs::read_to_string(&entry).ok()?;
    let hidden = text.lines().any(|line| line.trim() == "Hidden=true");
    (!hidden).then_some(entry)
}

/// What systemd says of the unit; nothing where there is no systemd for the user, or no answer in time.
fn is_enabled() -> Option<String> {
    let mut child = Command::new("systemctl")
        .args(["--user", "is-enabled", "evenfall.service"])
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .ok()?;
    for _ in 0..60 {
        if child.try_wait().ok()?.is_some() {
            let output = child.wait_with_output().ok()?;
            let said = String::from_utf8_lossy(&output.stdout).trim().to_owned();
            return (!said.is_empty()).then_some(said);
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    let _ = child.kill();
    let _ = child.wait();
    None
}

pub(super) fn runtime(home: &Home) -> Finding {
    const ABOUT: &str = "Runtime folder";
    let set = std::env::var_os("XDG_RUNTIME_DIR");
    match set.map(PathBuf::from) {
        _ if home.single => Finding::fine(ABOUT, "lock and socket are in the home named by --home"),
        Some(folder) if folder.is_absolute() && folder.is_dir() => {
            Finding::fine(ABOUT, folder.display().to_string())
        }
        Some(folder) if folder.is_absolute() => Finding::wrong(
            ABOUT,
            format!(
                "XDG_RUNTIME_DIR is {}, which is not there",
                folder.display()
            ),
            "log in anew, or set it: export XDG_RUNTIME_DIR=/run/user/$(id -u)",
        ),
        _ => Finding::advice(
            ABOUT,
            format!(
                "XDG_RUNTIME_DIR names no folder, so lock and socket are in {}",
                home.runtime.display()
            ),
            "set it for the service and for this terminal alike: export XDG_RUNTIME_DIR=/run/user/$(id -u)",
        ),
    }
}

/// Asks the session bus of this terminal; the service may live on another.
pub(super) fn notifications() -> Finding {
    const ABOUT: &str = "Notifications";
    match screen() {
        Ok(Some(Screen { name, quiet: None })) => {
            Finding::fine(ABOUT, format!("{name} shows them"))
        }
        Ok(Some(Screen {
            name,
            quiet: Some(remedy),
        })) => Finding::wrong(
            ABOUT,
            format!("{name} holds them back: do not disturb is on"),
            remedy,
        ),
        Ok(None) => Finding::wrong(
            ABOUT,
            "nothing on the session bus shows notifications",
            "start your desktop's notification service, or install one such as notification-daemon",
        ),
        Err(error) => Finding::wrong(
            ABOUT,
            format!("the session bus cannot be reached ({error})"),
            "run this inside your desktop session; DBUS_SESSION_BUS_ADDRESS has to be set",
        ),
    }
}
