//! Files are the person's alone from the instant they exist, and the log says nothing of what they hold.

use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::support::bus::{Bus, Script, Server};
use crate::support::service::{Service, seconds_ahead, wait_for_event, wind_down_at};
use crate::support::{Home, eventually, not_tested};

fn all_below(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("folder").flatten() {
        found.push(entry.path());
        if entry.path().is_dir() {
            all_below(&entry.path(), found);
        }
    }
}

/// Paths that others could read, with their modes.
fn open_to_others(folder: &Path) -> Vec<String> {
    let mut found = Vec::new();
    all_below(folder, &mut found);
    let mode = |path: &PathBuf| {
        let mode = std::fs::symlink_metadata(path).ok()?.permissions().mode() & 0o777;
        (mode & 0o077 != 0).then(|| format!("{} {mode:o}", path.display()))
    };
    found.iter().filter_map(mode).collect()
}

#[test]
fn every_file_is_private_whatever_the_umask() {
    let folder = tempfile::tempdir().expect("folder");
    let home = folder.path().join("home");
    let run = |arguments: &[&str]| {
        let output = Command::new("sh")
            .args([
                "-c",
                "umask 0; exec \"$@\"",
                "sh",
                env!("CARGO_BIN_EXE_evenfall"),
            ])
            .args([
                "--home",
                home.to_str().expect("path"),
                "--at",
                "2026-01-06T09:00",
            ])
            .args(arguments)
            .env("TZ", "UTC")
            .output()
            .expect("sh");
        assert!(
            output.status.success(),
            "{arguments:?}: {}",
            String::from_utf8_lossy(&output.stderr)
        );
    };
    run(&["setup", "--defaults"]);
    run(&["morning", "--night", "2026-01-05", "--sleep", "3"]);
    run(&[
        "export",
        "all",
        home.join("all.evenfall").to_str().expect("path"),
    ]);
    run(&[
        "export",
        "mornings",
        home.join("mornings.csv").to_str().expect("path"),
    ]);
    assert_eq!(open_to_others(folder.path()), Vec::<String>::new());
    assert!(home.join("diary.db").exists() && home.join("settings.toml").exists());
}

#[test]
fn the_service_makes_private_files_and_a_private_socket() {
    let home = Home::new();
    home.write("settings.toml", &wind_down_at(seconds_ahead(0), ""));
    std::fs::set_permissions(
        home.path().join("settings.toml"),
        PermissionsExt::from_mode(0o600),
    )
    .expect("mode");
    let bus = Bus::start();
    let server = Server::start(&bus, Script::default());
    let mut service = Command::new("sh")
        .args([
            "-c",
            "umask 0; exec \"$@\"",
            "sh",
            env!("CARGO_BIN_EXE_evenfall"),
        ])
        .args(["--home", home.path().to_str().expect("path"), "daemon"])
        .env("DBUS_SESSION_BUS_ADDRESS", &bus.address)
        .env("TZ", "UTC")
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("sh");
    server.wait_for(1);
    eventually("the socket", || {
        home.path().join("service.sock").exists().then_some(())
    });
    // The daily copy is among what is looked at.
    eventually("the daily copy", || {
        let copies = evenfall::shell::store::copies(&home.path().join("diary.db"));
        (copies.len() == 1).then_some(())
    });
    assert!(home.path().join("diary.db-wal").exists());
    let open = open_to_others(home.path());
    service.kill().expect("kill");
    service.wait().expect("wait");
    assert_eq!(open, Vec::<String>::new());
}

/// No file is made with a wider mode first and narrowed later: every call that makes one says 0600 or
/// 0700, or comes after the umask was set.
#[test]
fn there_is_no_window_in_which_a_file_is_open() {
    let folder = tempfile::tempdir().expect("folder");
    let home = folder.path().join("home");
    let trace = folder.path().join("trace");
    let traced = Command::new("strace")
        .args([
            "-f",
            "-qq",
            "-e",
            "trace=openat,open,creat,mkdir,mkdirat,umask,chmod,fchmod,fchmodat",
        ])
        .arg("-o")
        .arg(&trace)
        .arg(env!("CARGO_BIN_EXE_evenfall"))
        .args([
            "--home",
            home.to_str().expect("path"),
            "--at",
            "2026-01-06T09:00",
        ])
        .args(["morning", "--night", "2026-01-05", "--sleep", "3"])
        .env("TZ", "UTC")
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    if !traced.is_ok_and(|status| status.success()) {
        return not_tested("the modes at the making of files", "Install strace");
    }
    let text = std::fs::read_to_string(&trace).expect("trace");
    let umask = text.find("umask(077)").expect("the umask is set");
    let made = |line: &&str| line.contains("O_CREAT") || line.contains("mkdir");
    let early: Vec<&str> = text[..umask].lines().filter(made).collect();
    assert_eq!(early, Vec::<&str>::new(), "made before the umask was set");
    let lines: Vec<&str> = text.lines().filter(made).collect();
    assert!(lines.len() >= 2, "the trace shows no file being made");
}

/// Another user at the other end of the socket is not heard, also where the modes would let them in.
#[test]
fn the_socket_hears_nobody_else() {
    let home = Home::new();
    home.write("settings.toml", &wind_down_at(seconds_ahead(3600), ""));
    let bus = Bus::start();
    let _service = Service::start(&home, &bus);
    let open = |path: &Path, mode| {
        std::fs::set_permissions(path, PermissionsExt::from_mode(mode)).expect("mode");
    };
    open(home.path(), 0o755);
    open(&home.path().join("service.sock"), 0o777);
    // The program where everybody can run it.
    let folder = tempfile::tempdir().expect("folder");
    open(folder.path(), 0o755);
    let program = folder.path().join("evenfall");
    std::fs::copy(env!("CARGO_BIN_EXE_evenfall"), &program).expect("copy");
    let output = Command::new("setpriv")
        .args(["--reuid=65534", "--regid=65534", "--clear-groups"])
        .arg(&program)
        .args(["--home", home.path().to_str().expect("path")])
        .args(["--json", "status"])
        .output();
    let Some(output) = output.ok().filter(|output| output.stderr.is_empty()) else {
        return not_tested("a request of another user", "Run it as root");
    };
    // It could connect (or it would say so and fail) and was not answered.
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(said.contains("\"running\":false"), "{output:?}");
    assert_eq!(home.status().expect("status")["running"], true);
}

#[test]
fn the_log_holds_no_ratings_and_no_notes() {
    let home = Home::new();
    let more = "[[prompts.own]]\nwhen = \"0 30 13 * * *\"\ntext = \"Ring the physiotherapist\"\n";
    let settings = format!("{}\n{more}", wind_down_at(seconds_ahead(2), ""));
    // Tables after [page] stay valid TOML: the own prompt is written before it.
    let settings = settings.replace(
        &format!("[page]\non = false\n\n{more}"),
        &format!("{more}[page]\non = false\n"),
    );
    home.write("settings.toml", &settings);
    let bus = Bus::start();
    let server = Server::start(&bus, Script::default());
    let service = Service::start(&home, &bus);
    let at = chrono::Utc::now().format("%Y-%m-%dT%H:%M").to_string();
    for arguments in [
        &[
            "morning",
            "--sleep",
            "2",
            "--mood",
            "1",
            "--note",
            "argued with Mira",
        ][..],
        &[
            "pain",
            "--in",
            "knee_left",
            "--level",
            "6",
            "--note",
            "after the stairs",
        ],
        &[
            "train",
            "--minutes",
            "31",
            "--rpe",
            "9",
            "--note",
            "quit early",
        ],
    ] {
        home.run(&at, arguments);
    }
    let shown = server.wait_for(1);
    server.press(shown.id, "not_tonight");
    wait_for_event(&home, "wind_down", "answered");
    let (_, out, err) = service.stop();
    let log = format!("{out}{err}").to_lowercase();
    for secret in [
        "mira",
        "stairs",
        "quit",
        "knee",
        "physiotherapist",
        "mood",
        "rpe",
        "pain",
        "rating",
    ] {
        assert!(!log.contains(secret), "{secret} is in the log: {log}");
    }
    assert!(log.contains("next"), "there is no log at all: {log}");
}
