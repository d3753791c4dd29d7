use super::*;
use crate::pure::routine::Library;
use crate::pure::routine::library::Limits;

fn at(minutes: i64) -> Instant {
    DateTime::<Utc>::from_timestamp(1_767_650_000 + minutes * 60, 0).unwrap()
}

fn night() -> Night {
    Night("2026-01-05".parse().unwrap())
}

fn run(id: &str) -> Run {
    let library = Library::shipped();
    let (routine, _) = library.routine(&library.evenings["legs"], &Limits::default());
    Run {
        id: id.to_owned(),
        holder: "one".to_owned(),
        started_ms: at(0).timestamp_millis(),
        heard_ms: at(0).timestamp_millis(),
        position_ms: 0,
        spans: Vec::new(),
        routine: KeptRoutine::of(night(), &routine),
    }
}

fn place(id: &str, holder: &str, to: u64) -> Place {
    Place {
        id: id.to_owned(),
        holder: holder.to_owned(),
        take: false,
        position_ms: to,
        spans: vec![(0, to)],
    }
}

fn store() -> (tempfile::TempDir, Store) {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(&folder.path().join("diary.db")).unwrap();
    (folder, store)
}

#[test]
fn a_kept_routine_is_the_routine() {
    let library = Library::shipped();
    for evening in library.evenings.values() {
        let (routine, _) = library.routine(evening, &Limits::default());
        let kept = KeptRoutine::of(night(), &routine);
        let text = serde_json::to_string(&kept).unwrap();
        let read: KeptRoutine = serde_json::from_str(&text).unwrap();
        assert_eq!(read.routine(), routine);
        assert_eq!(read.night(), night());
    }
}

#[test]
fn what_was_played_twice_counts_once_and_never_more_than_the_routine() {
    let mut run = run("a");
    let total = run.routine.routine().total_ms();
    run.spans = vec![(10_000, 30_000), (0, 15_000), (20_000, 25_500)];
    assert_eq!(run.played_s(), 30);
    run.spans.push((0, u64::MAX));
    assert_eq!(u64::from(run.played_s()), total / 1000);
    run.spans = vec![(5, 5), (9, 3)];
    assert_eq!(run.played_s(), 0);
}

#[test]
fn a_run_is_recorded_once_however_often_it_is_sent() {
    let (_folder, mut store) = store();
    let zone = Zone::utc();
    let run = run("a");
    begin(&mut store, &run, at(0), &zone).unwrap();
    begin(&mut store, &run, at(0), &zone).unwrap();
    assert_eq!(
        note(&mut store, place("a", "one", 60_000), at(1)).unwrap(),
        Noted::Kept
    );
    assert_eq!(open(&store).unwrap().unwrap().position_ms, 60_000);
    let row = done(&mut store, place("a", "one", 90_000), at(2), &zone)
        .unwrap()
        .unwrap();
    assert_eq!(row.done_s, 90);
    assert!(!row.is_done());
    assert!(is_recorded(&store, "a").unwrap());
    // Late copies of every message.
    assert_eq!(
        done(&mut store, place("a", "one", 90_000), at(2), &zone).unwrap(),
        None
    );
    begin(&mut store, &run, at(3), &zone).unwrap();
    assert_eq!(
        note(&mut store, place("a", "one", 1), at(3)).unwrap(),
        Noted::Elsewhere
    );
    assert_eq!(open(&store).unwrap(), None);
    let rows = store.evenings_since(night()).unwrap();
    assert_eq!(rows, [row]);
}

#[test]
fn only_the_window_that_took_it_keeps_it() {
    let (_folder, mut store) = store();
    begin(&mut store, &run("a"), at(0), &Zone::utc()).unwrap();
    let taken = Place {
        take: true,
        ..place("a", "two", 5_000)
    };
    assert_eq!(note(&mut store, taken, at(1)).unwrap(), Noted::Kept);
    assert_eq!(
        note(&mut store, place("a", "one", 9_000), at(1)).unwrap(),
        Noted::Elsewhere
    );
    assert_eq!(
        note(&mut store, place("b", "two", 9_000), at(1)).unwrap(),
        Noted::Unknown
    );
    assert_eq!(open(&store).unwrap().unwrap().position_ms, 5_000);
}

#[test]
fn a_run_left_behind_is_recorded_as_far_as_it_went() {
    let (_folder, mut store) = store();
    let zone = Zone::utc();
    begin(&mut store, &run("a"), at(0), &zone).unwrap();
    note(&mut store, place("a", "one", 60_000), at(1)).unwrap();
    assert!(!sweep(&mut store, at(60), &zone).unwrap());
    assert!(sweep(&mut store, at(122), &zone).unwrap());
    assert!(!sweep(&mut store, at(122), &zone).unwrap());
    assert_eq!(store.evenings_since(night()).unwrap()[0].done_s, 60);
    // Another one that never got going leaves nothing.
    begin(&mut store, &run("b"), at(130), &zone).unwrap();
    begin(&mut store, &run("c"), at(140), &zone).unwrap();
    assert_eq!(store.evenings_since(night()).unwrap().len(), 1);
    assert_eq!(open(&store).unwrap().unwrap().id, "c");
}
