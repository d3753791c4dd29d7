//! The service under systemd: what it tells the manager that started it, and what it opens outside its unit.
//! The protocol is sd_notify(3): datagrams of lines to the socket of `NOTIFY_SOCKET`. The whole, with a real
//! manager, is tried by `packaging/try-install`.

use std::os::unix::fs::PermissionsExt;
use std::os::unix::net::UnixDatagram;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use crate::support::bus::{Bus, Script, Server};
use crate::support::service::{seconds_ahead, wind_down_at};
use crate::support::{Home, eventually};

/// A service that takes itself for a unit's main process, with a socket for what it tells its manager.
struct Unit {
    service: Child,
    told: UnixDatagram,
    _bus: Bus,
    server: Server,
}

impl Unit {
    /// Starts it with a folder of programs that come before those of the machine.
    fn start(home: &Home, programs: &std::path::Path) -> Self {
        let socket = home.path().join("manager.sock");
        let told = UnixDatagram::bind(&socket).expect("the manager's socket");
        told.set_read_timeout(Some(Duration::from_secs(30)))
            .expect("a limit");
        let bus = Bus::start();
        let server = Server::start(&bus, Script::default());
        let path = std::env::var("PATH").expect("a path");
        // The shell becomes the service, so that the process id is the one that is named.
        let service = Command::new("sh")
            .args(["-c", "SYSTEMD_EXEC_PID=$$ exec \"$0\" --home \"$1\" daemon"])
            .arg(env!("CARGO_BIN_EXE_evenfall"))
            .arg(home.path())
            .env("PATH", format!("{}:{path}", programs.display()))
            .env("NOTIFY_SOCKET", &socket)
            .env("DBUS_SESSION_BUS_ADDRESS", &bus.address)
            .env("TZ", "UTC")
            .stdout(Stdio::piped())
            .spawn()
            .expect("the service starts");
        Self {
            service,
            told,
            _bus: bus,
            server,
        }
    }

    /// The next thing it told.
    fn next_told(&self) -> String {
        let mut words = [0; 4096];
        let length = self.told.recv(&mut words).expect("a word to the manager");
        String::from_utf8_lossy(&words[..length]).trim().to_owned()
    }

    /// Asks it to end, and gives what it printed.
    fn stop(mut self) -> String {
        let id = self.service.id().to_string();
        let asked = Command::new("kill").args(["-TERM", &id]).status();
        assert!(asked.expect("kill").success());
        let mut printed = String::new();
        let mut out = self.service.stdout.take().expect("output");
        std::io::Read::read_to_string(&mut out, &mut printed).expect("output");
        let status = self.service.wait().expect("its end");
        assert_eq!(status.code(), Some(0));
        assert_eq!(self.next_told(), "STOPPING=1");
        printed
    }
}

impl Drop for Unit {
    fn drop(&mut self) {
        let _ = self.service.kill();
        let _ = self.service.wait();
    }
}

/// A home whose wind-down is due at once, and which opens the page at Start.
fn due_now() -> Home {
    let home = Home::new();
    let settings = wind_down_at(seconds_ahead(0), "").replace("on = false", "on = true");
    home.write("settings.toml", &settings);
    home
}

/// A program that writes its arguments down, one a line.
fn note_taker(home: &Home, name: &str) {
    let noted = home.path().join(format!("{name}.noted"));
    let path = format!("programs/{name}");
    let text = format!(
        "#!/bin/sh\nprintf '%s\\n' \"$@\" >'{0}.new'\nmv '{0}.new' '{0}'\n",
        noted.display()
    );
    home.write(&path, &text);
    let mode = std::fs::Permissions::from_mode(0o755);
    std::fs::set_permissions(home.path().join(path), mode).expect("to be run");
}

fn noted(home: &Home, name: &str) -> Option<Vec<String>> {
    let text = std::fs::read_to_string(home.path().join(format!("{name}.noted"))).ok()?;
    Some(text.lines().map(str::to_owned).collect())
}

#[test]
fn the_manager_is_told_ready_what_is_next_and_stopping_and_the_journal_gets_no_address() {
    let home = due_now();
    let unit = Unit::start(&home, &home.path().join("programs"));
    assert_eq!(unit.next_told(), "READY=1");
    let status = unit.next_told();
    assert!(status.starts_with("STATUS=Next: "), "{status}");
    unit.server.wait_for(1);
    let printed = unit.stop();
    assert!(printed.contains("evenfall page"), "{printed}");
    assert!(!printed.contains("http://"), "{printed}");
}

#[test]
fn from_a_unit_start_opens_the_page_as_a_unit_of_its_own() {
    let home = due_now();
    note_taker(&home, "systemd-run");
    note_taker(&home, "xdg-open");
    let unit = Unit::start(&home, &home.path().join("programs"));
    let shown = unit.server.wait_for(1);
    unit.server.press(shown.id, "start");
    let words = eventually("systemd-run", || noted(&home, "systemd-run"));
    let at = words.iter().position(|word| word == "--");
    let (options, opened) = words.split_at(at.expect("a separator"));
    assert!(options.contains(&"--user".to_owned()), "{options:?}");
    // The page's address is in the command line, which would be logged as the unit's description.
    assert!(
        options.contains(&"--description=Opened by evenfall".to_owned()),
        "{options:?}"
    );
    assert_eq!(opened[1], "xdg-open");
    assert!(opened[2].starts_with("http://127.0.0.1:"), "{opened:?}");
    assert_eq!(
        noted(&home, "xdg-open"),
        None,
        "not as a child of the service"
    );
}

#[test]
fn a_program_that_is_missing_is_told_of_from_a_unit_too() {
    let home = Home::new();
    let start = "start = [\"no-such-terminal\"]";
    home.write("settings.toml", &wind_down_at(seconds_ahead(0), start));
    note_taker(&home, "systemd-run");
    let unit = Unit::start(&home, &home.path().join("programs"));
    let shown = unit.server.wait_for(1);
    unit.server.press(shown.id, "start");
    let told = unit.server.wait_for(2);
    assert_eq!(told.summary, "Could not open");
    assert_eq!(noted(&home, "systemd-run"), None);
}
