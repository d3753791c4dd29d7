//! The real service as a child process, ended when dropped.

use std::io::Read;
use std::process::{Child, Command, Stdio};

use chrono::{DateTime, Duration, Utc};
use serde_json::Value;

use super::{Home, bus::Bus, eventually};

/// A running service.
pub struct Service {
    child: Child,
}

impl Service {
    /// Starts it on a home and a bus, and waits until it answers.
    pub fn start(home: &Home, bus: &Bus) -> Self {
        Self::start_with(home, bus, &[])
    }

    /// The same with more in its environment.
    pub fn start_with(home: &Home, bus: &Bus, environment: &[(&str, &str)]) -> Self {
        let service = Self::spawn_with(home, bus, environment);
        eventually("the service to answer", || {
            home.status().filter(|status| status["running"] == true)
        });
        service
    }

    /// Starts it without waiting.
    pub fn spawn(home: &Home, bus: &Bus) -> Self {
        Self::spawn_with(home, bus, &[])
    }

    fn spawn_with(home: &Home, bus: &Bus, environment: &[(&str, &str)]) -> Self {
        let child = home
            .command("", &["daemon"])
            .env("DBUS_SESSION_BUS_ADDRESS", &bus.address)
            .envs(environment.iter().copied())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the service starts");
        Self { child }
    }

    /// Its process id.
    pub fn id(&self) -> u32 {
        self.child.id()
    }

    /// Ends it at once: it puts nothing in order.
    pub fn kill(mut self) {
        self.child.kill().expect("kill");
        self.child.wait().expect("wait");
    }

    /// Asks it to end (SIGTERM) and returns its exit status and what it wrote.
    pub fn stop(mut self) -> (Option<i32>, String, String) {
        let id = self.child.id().to_string();
        assert!(
            Command::new("kill")
                .args(["-TERM", &id])
                .status()
                .expect("kill")
                .success()
        );
        let status = self.child.wait().expect("wait");
        let (mut out, mut err) = (String::new(), String::new());
        self.child
            .stdout
            .take()
            .expect("out")
            .read_to_string(&mut out)
            .expect("out");
        self.child
            .stderr
            .take()
            .expect("err")
            .read_to_string(&mut err)
            .expect("err");
        (status.code(), out, err)
    }
}

impl Drop for Service {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// What happened to prompts, as the store has it: kind and event.
pub fn events(home: &Home) -> Vec<(String, Value)> {
    let Ok(store) = rusqlite::Connection::open(home.path().join("diary.db")) else {
        return Vec::new();
    };
    let Ok(mut statement) = store.prepare("SELECT kind, event FROM prompt_event ORDER BY id")
    else {
        return Vec::new();
    };
    let rows = statement.query_map([], |row| {
        Ok((row.get::<_, String>(0)?, row.get::<_, String>(1)?))
    });
    rows.expect("rows")
        .map(|row| {
            let (kind, event) = row.expect("row");
            (kind, serde_json::from_str(&event).expect("event"))
        })
        .collect()
}

/// Waits until an event of a kind of prompt is in the store.
pub fn wait_for_event(home: &Home, kind: &str, what: &str) -> Value {
    eventually(&format!("{what} of {kind}"), || {
        events(home)
            .into_iter()
            .find(|(k, event)| k == kind && event["what"] == what)
            .map(|(_, event)| event)
    })
}

/// Settings whose wind-down prompt is due at an instant: 28 minutes before lights out. Only the
/// wind-down is prompted.
pub fn wind_down_at(due: DateTime<Utc>, more: &str) -> String {
    let bedtime = due + Duration::minutes(28);
    let wake = bedtime + Duration::hours(8);
    format!(
        "timezone = \"UTC\"\n[nights]\nbedtime = \"{}\"\nwake = \"{}\"\n[evening]\nminutes = 8\nsettle = 15\n{more}\n\
         [prompts]\nmorning = \"off\"\nsession = \"off\"\nlights_out = \"off\"\nweek_review = \"off\"\n[page]\non = false\n",
        bedtime.format("%H:%M:%S"),
        wake.format("%H:%M:%S")
    )
}

/// An instant so many seconds ahead, on a whole second.
pub fn seconds_ahead(seconds: i64) -> DateTime<Utc> {
    let at = Utc::now() + Duration::seconds(seconds);
    DateTime::from_timestamp(at.timestamp(), 0).expect("instant")
}

impl Home {
    /// What `status` says, if it can be asked.
    pub fn status(&self) -> Option<Value> {
        let said = self.run("", &["--json", "status"]);
        serde_json::from_str(&said.out).ok()
    }
}
