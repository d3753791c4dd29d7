//! The tones in step with the guide, with a program in the player's place that notes what it was given.

use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::time::SystemTime;

use super::*;
use crate::pure::pace::{Pace, Player as Course};
use crate::pure::routine::Library;
use crate::pure::tonight::breathing_only;

/// Notes the size of the track and the moment of its start, and then pretends to play.
fn player(folder: &Path) -> Player {
    let program = folder.join("aplay");
    let script = format!(
        "#!/bin/sh\necho \"$(stat -c %s \"$2\") $(date +%s%3N)\" >> {0}/started\nexec sleep 30\n",
        folder.display()
    );
    fs::write(&program, script).expect("script");
    fs::set_permissions(&program, fs::Permissions::from_mode(0o755)).expect("mode");
    Player::find_in(folder.as_os_str()).expect("player")
}

/// Half a minute of breathing.
fn breathing() -> Timeline {
    let library = Library::shipped();
    let routine = breathing_only(&library.patterns["longer_out_4_6"], 30);
    Timeline::compile(&routine, &library)
}

/// The starts so far: from which millisecond of the timeline, and when.
fn starts(folder: &Path, timeline: &Timeline) -> Vec<(u64, u64)> {
    let noted = fs::read_to_string(folder.join("started")).unwrap_or_default();
    let start = |line: &str| {
        let (size, at) = line.split_once(' ')?;
        let size: u64 = size.parse().ok()?;
        // 48 samples of two octets a millisecond, after a header of 44 octets.
        Some((timeline.total_ms - (size - 44) / 96, at.parse().ok()?))
    };
    noted.lines().filter_map(start).collect()
}

fn wait_for(folder: &Path, timeline: &Timeline, count: usize) -> Vec<(u64, u64)> {
    for _ in 0..600 {
        let starts = starts(folder, timeline);
        if starts.len() >= count {
            return starts;
        }
        thread::sleep(Duration::from_millis(50));
    }
    panic!("the player was not started {count} times");
}

fn now_ms() -> u64 {
    let since = SystemTime::UNIX_EPOCH.elapsed().expect("clock");
    u64::try_from(since.as_millis()).expect("milliseconds")
}

#[test]
fn the_tones_begin_with_the_guide_and_join_in_again_where_it_is() {
    let folder = tempfile::tempdir().expect("folder");
    let timeline = breathing();
    let course = Course::new(&timeline, Pace::REAL).expect("course");
    let moment = |seconds, note| Moment {
        player: &course,
        position: Duration::from_secs(seconds),
        note,
    };
    let mut tones = Tones::start(player(folder.path()), &timeline).expect("tones");
    // A person reads the first screen meanwhile.
    thread::sleep(Duration::from_millis(1500));
    tones.follow(&moment(0, Note::Playing));
    let (first, _) = wait_for(folder.path(), &timeline, 1)[0];
    // On a slow machine the whole track may not be ready at once; then it joins in like any other time.
    assert!(first < 20_000, "started from {first} ms");

    tones.follow(&moment(1, Note::Paused));
    assert!(tones.course.is_none());
    let resumed = now_ms();
    tones.follow(&moment(10, Note::Playing));
    let (from, at) = wait_for(folder.path(), &timeline, 2)[1];
    assert!(from >= 10_000 + 1500, "joined in from {from} ms");
    let position = 10_000 + (at - resumed);
    assert!(
        position + 50 >= from && position <= from + 2000,
        "started at {position} ms what belongs to {from} ms"
    );
}

#[test]
fn a_cue_on_time_does_not_start_the_tones_anew() {
    let folder = tempfile::tempdir().expect("folder");
    let timeline = breathing();
    let course = Course::new(&timeline, Pace::REAL).expect("course");
    let mut tones = Tones::start(player(folder.path()), &timeline).expect("tones");
    let at = |position| Moment {
        player: &course,
        position,
        note: Note::Playing,
    };
    tones.follow(&at(Duration::ZERO));
    let first = tones.course;
    tones.follow(&at(Duration::from_millis(100)));
    assert_eq!(tones.course, first);
    tones.follow(&at(Duration::from_secs(8)));
    assert_ne!(tones.course, first);
    tones.silence();
    assert_eq!(tones.course, None);
}
