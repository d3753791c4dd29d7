//! Stores that cannot be used: each is named with what to do, and none is overwritten.

use std::path::Path;
use std::process::{Command, Stdio};

use chrono::NaiveDate;
use evenfall::shell::store::{Store, copies};
use rusqlite::Connection;

use super::{count, diary, integrity, lived_in, morning};
use crate::support::bus::{Bus, Script, Server};
use crate::support::service::{Service, seconds_ahead, wind_down_at};
use crate::support::{Home, Said, eventually};

/// Runs the program in a shell that sets the stage first.
fn staged(home: &Home, stage: &str, arguments: &[&str]) -> Said {
    let mut command = Command::new("sh");
    command
        .args(["-c", &format!("{stage} exec \"$@\""), "sh"])
        .arg(env!("CARGO_BIN_EXE_evenfall"))
        .arg("--home")
        .arg(home.path())
        .args(arguments)
        .env_remove("EVENFALL_HOME")
        .env("TZ", "UTC");
    let output = command.output().expect("sh");
    Said {
        code: output.status.code().unwrap_or(-1),
        out: String::from_utf8_lossy(&output.stdout).into_owned(),
        err: String::from_utf8_lossy(&output.stderr).into_owned(),
    }
}

fn bytes(path: &Path) -> Vec<u8> {
    std::fs::read(path).expect("read")
}

#[test]
fn a_disk_that_takes_no_more_is_said_and_nothing_is_lost() {
    let home = lived_in();
    // Files may not grow beyond 8 blocks of 512 bytes; the signal for it is ignored, so writing fails.
    let said = staged(
        &home,
        "trap '' XFSZ; ulimit -f 8;",
        &["morning", "--night", "2026-01-08", "--sleep", "3"],
    );
    assert_eq!(said.code, 1, "{said:?}");
    assert!(said.err.contains("diary.db"), "{said:?}");
    assert!(
        said.err.contains("free some space") || said.err.contains("Free some space"),
        "{said:?}"
    );
    assert_eq!(integrity(&diary(&home)), "ok");
    assert_eq!(count(&diary(&home), "morning"), 3);
    assert_eq!(morning(&home, "2026-01-08").code, 0);
}

#[test]
fn a_really_full_disk_is_said_too() {
    let home = lived_in();
    // A small file system of its own needs a namespace; where that is not allowed the test above has to do.
    let stage = format!(
        "mount -t tmpfs -o size=400k none {0} && cp -a {1}/. {0}/ && dd if=/dev/zero of={0}/filler bs=4k 2>/dev/null;",
        "\"$MOUNT\"",
        home.path().display()
    );
    let mount = tempfile::tempdir().expect("folder");
    let output = Command::new("unshare")
        .args(["-rm", "sh", "-c"])
        .arg(format!(
            "{stage} \"$0\" --home \"$MOUNT\" morning --night 2026-01-08 --sleep 3; echo status $?; rm \"$MOUNT/filler\"; sqlite3 \"$MOUNT/diary.db\" 'PRAGMA integrity_check' 'SELECT count(*) FROM morning'"
        ))
        .arg(env!("CARGO_BIN_EXE_evenfall"))
        .env("MOUNT", mount.path())
        .env("TZ", "UTC")
        .output();
    let Ok(output) = output else {
        println!("unshare is not installed: not tried");
        return;
    };
    let (out, err) = (
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr),
    );
    if !out.contains("status") {
        println!("no namespace to mount in: not tried ({err})");
        return;
    }
    assert!(out.contains("status 1\nok\n3\n"), "{out}\n{err}");
    assert!(err.contains("ree some space"), "{err}");
}

#[test]
fn a_store_held_by_another_program_is_named_after_a_patient_wait() {
    let home = lived_in();
    let holder = Connection::open(diary(&home)).expect("open");
    holder.execute_batch("BEGIN IMMEDIATE").expect("hold");
    let said = morning(&home, "2026-01-08");
    assert_eq!(said.code, 1, "{said:?}");
    assert!(said.err.contains("held by another program"), "{said:?}");
    holder.execute_batch("ROLLBACK").expect("let go");
    assert_eq!(count(&diary(&home), "morning"), 3);
    assert_eq!(morning(&home, "2026-01-08").code, 0);
}

#[test]
fn a_store_of_a_newer_version_is_left_alone() {
    let home = lived_in();
    let store = Connection::open(diary(&home)).expect("open");
    store
        .pragma_update(None, "user_version", 4711)
        .expect("version");
    drop(store);
    let before = bytes(&diary(&home));
    for arguments in [
        &["morning", "--night", "2026-01-08", "--sleep", "3"][..],
        &["today"],
        &["export", "all", "/tmp/never-written.evenfall"],
    ] {
        let said = home.run("2026-03-01T09:00", arguments);
        assert_eq!(said.code, 1, "{arguments:?}: {said:?}");
        assert!(said.err.contains("newer evenfall"), "{said:?}");
    }
    assert_eq!(bytes(&diary(&home)), before);
    assert!(!Path::new("/tmp/never-written.evenfall").exists());
}

/// The pages of a store in one file, without a journal beside it.
fn settled(home: &Home) -> Vec<u8> {
    let store = Connection::open(diary(home)).expect("open");
    store
        .query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))
        .expect("checkpoint");
    drop(store);
    bytes(&diary(home))
}

#[test]
fn a_store_cut_off_is_named_and_never_overwritten() {
    let home = lived_in();
    let whole = settled(&home);
    for keep in [
        1,
        50,
        100,
        512,
        4096,
        8192,
        whole.len() / 2,
        whole.len() - 1,
    ] {
        let cut = &whole[..keep];
        std::fs::write(diary(&home), cut).expect("write");
        for ending in ["db-wal", "db-shm"] {
            let _ = std::fs::remove_file(diary(&home).with_extension(ending));
        }
        let said = morning(&home, "2026-01-08");
        assert_eq!(said.code, 1, "cut to {keep}: {said:?}");
        assert!(said.err.contains("diary.db"), "cut to {keep}: {said:?}");
        assert!(said.err.contains("damaged"), "cut to {keep}: {said:?}");
        assert_eq!(bytes(&diary(&home)), cut, "cut to {keep} and written to");
    }
}

#[test]
fn an_emptied_store_is_not_taken_for_a_new_one_while_there_are_copies() {
    let home = lived_in();
    let store = Store::open(&diary(&home)).expect("open");
    store
        .keep_copy(NaiveDate::from_ymd_opt(2026, 1, 8).expect("date"))
        .expect("copy");
    drop(store);
    std::fs::write(diary(&home), b"").expect("emptied");
    for ending in ["db-wal", "db-shm"] {
        let _ = std::fs::remove_file(diary(&home).with_extension(ending));
    }
    let said = morning(&home, "2026-01-08");
    assert_eq!(said.code, 1, "{said:?}");
    let remedy = said.err.split("in its place: ").nth(1).expect("a command");
    // The command that it names mends it.
    let mended = Command::new("sh").args(["-c", remedy.trim()]).status();
    assert!(mended.expect("sh").success(), "{remedy}");
    assert_eq!(count(&diary(&home), "morning"), 3);
    assert_eq!(morning(&home, "2026-01-08").code, 0);
}

#[test]
fn flipped_bits_lead_to_a_message_or_to_an_answer_never_to_a_crash() {
    let home = lived_in();
    let whole = settled(&home);
    let (mut named, mut unseen) = (0, 0);
    for step in 0..160_usize {
        let mut flipped = whole.clone();
        // A prime stride visits headers, pages of every table and free space.
        let at = (step * 7919 + step / 8) % whole.len();
        flipped[at] ^= 1 << (step % 8);
        std::fs::write(diary(&home), &flipped).expect("write");
        for ending in ["db-wal", "db-shm"] {
            let _ = std::fs::remove_file(diary(&home).with_extension(ending));
        }
        let said = home.run("2026-01-08T09:00", &["today"]);
        assert!(matches!(said.code, 0 | 1), "bit {step} at {at}: {said:?}");
        assert!(
            !said.err.contains("panicked"),
            "bit {step} at {at}: {said:?}"
        );
        if said.code == 1 {
            named += 1;
            assert!(
                said.err.contains("diary.db"),
                "bit {step} at {at}: {said:?}"
            );
        } else {
            unseen += 1;
        }
    }
    println!("160 flipped bits: {named} named, {unseen} in places that changed nothing read");
    assert!(named > 0, "no flip was ever noticed");
}

#[test]
fn a_damaged_store_is_not_copied_over_good_copies() {
    let home = lived_in();
    let store = Store::open(&diary(&home)).expect("open");
    let day = |day| NaiveDate::from_ymd_opt(2026, 1, day).expect("date");
    store.keep_copy(day(8)).expect("copy");
    drop(store);
    let mut damaged = settled(&home);
    let page = 4096;
    for byte in &mut damaged[3 * page..4 * page] {
        *byte = 0xa5;
    }
    std::fs::write(diary(&home), &damaged).expect("write");
    let store = Store::open(&diary(&home)).expect("it opens: the first page is whole");
    assert!(store.check().is_err(), "the damage is found");
    assert!(store.keep_copy(day(9)).is_err());
    assert_eq!(copies(&diary(&home)).len(), 1);
    assert_eq!(integrity(&copies(&diary(&home))[0]), "ok");
}

#[test]
fn prompts_go_on_without_a_store_and_it_is_said_once() {
    let home = Home::new();
    home.write("settings.toml", &wind_down_at(seconds_ahead(3), ""));
    home.write(
        "diary.db",
        "this was a store once, and now it is a text of some length",
    );
    let before = bytes(&diary(&home));
    let bus = Bus::start();
    let server = Server::start(&bus, Script::default());
    let service = Service::start(&home, &bus);
    let shown = server.wait_for(1);
    assert_eq!(shown.summary, "Time to wind down");
    server.press(shown.id, "later");
    eventually("the answer to count", || {
        let status = home.status()?;
        (status["service"]["standing"][0]["later_until"].is_string()).then_some(())
    });
    assert_eq!(
        bytes(&diary(&home)),
        before,
        "the damaged store was written to"
    );
    let (code, _, err) = service.stop();
    assert_eq!(code, Some(0));
    assert_eq!(err.matches("is damaged").count(), 1, "{err}");
    assert!(err.contains("Prompts go on"), "{err}");
}

#[test]
fn a_frozen_store_of_every_version_is_brought_up_to_date() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/stores");
    let fresh = tempfile::tempdir().expect("folder");
    let fresh = Store::open(&fresh.path().join("diary.db")).expect("fresh");
    let schema = |connection: &Connection| {
        let mut statement = connection
            .prepare("SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY type, name")?;
        statement
            .query_map([], |row| row.get::<_, String>(0))?
            .collect::<rusqlite::Result<Vec<_>>>()
    };
    let newest = fresh.read(schema).expect("schema");
    let mut seen = 0;
    for entry in std::fs::read_dir(folder).expect("stores").flatten() {
        let text = std::fs::read_to_string(entry.path()).expect("store as text");
        let place = tempfile::tempdir().expect("folder");
        let path = place.path().join("diary.db");
        Connection::open(&path)
            .expect("open")
            .execute_batch(&text)
            .expect("fill");
        let store = Store::open(&path).expect("brought up to date");
        assert_eq!(
            store.read(schema).expect("schema"),
            newest,
            "{:?}",
            entry.path()
        );
        store.check().expect("intact");
        assert_eq!((count(&path, "morning"), count(&path, "session")), (3, 1));
        seen += 1;
    }
    assert!(seen > 0);
}

#[test]
fn a_home_that_cannot_be_written_is_named() {
    let home = lived_in();
    // Root writes where it likes; a namespace with a read-only mount binds it too.
    let output = Command::new("unshare")
        .args([
            "-rm",
            "sh",
            "-c",
            "mount --bind \"$1\" \"$1\" && mount -o remount,bind,ro \"$1\" && \
               { \"$0\" --home \"$1\" morning --night 2026-01-08 --sleep 3; echo status $?; }",
        ])
        .arg(env!("CARGO_BIN_EXE_evenfall"))
        .arg(home.path())
        .env("TZ", "UTC")
        .stdin(Stdio::null())
        .output();
    let Ok(output) = output else {
        println!("unshare is not installed: not tried");
        return;
    };
    let out = String::from_utf8_lossy(&output.stdout);
    let err = String::from_utf8_lossy(&output.stderr);
    if !out.contains("status") {
        println!("no namespace to mount in: not tried ({err})");
        return;
    }
    assert!(out.contains("status 1"), "{out}\n{err}");
    assert!(err.contains("writ") && err.contains("--home"), "{err}");
    assert_eq!(count(&diary(&home), "morning"), 3);
}
