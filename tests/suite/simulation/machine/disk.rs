//! The disk of the machine: what a power cut leaves of the store.

use evenfall::pure::prompt::{Event, Key};
use evenfall::shell::store::Store;

use crate::support::chance::Chance;

/// What the disk has for certain, and what it may have.
#[derive(Debug, Default)]
pub struct Disk {
    /// The last event that was waited for.
    certain: i64,
    /// The writes after it, none of which was waited for, each with the last event in the store then.
    unawaited: Vec<(i64, Vec<(Key, Event)>)>,
    /// The service is made to wait for nothing.
    pub nothing_waits: bool,
}

impl Disk {
    /// The service wrote events.
    pub fn wrote(&mut self, store: &Store, events: &[(Key, Event)]) {
        let of_the_screen = |(_, event): &(Key, Event)| event.is_about_the_screen_only();
        if self.nothing_waits || events.iter().all(of_the_screen) {
            self.unawaited.push((last(store), events.to_vec()));
        } else {
            self.waited(store);
        }
    }

    /// Something was written that was waited for: all before it is on the disk too.
    pub fn waited(&mut self, store: &Store) {
        self.certain = last(store);
        self.unawaited.clear();
    }

    /// The power is cut somewhere after what was waited for. Returns what is lost, in order.
    pub fn cut(&mut self, chance: &mut Chance, store: &mut Store) -> Vec<(Key, Event)> {
        let kept = chance.below(self.unawaited.len() as u64 + 1);
        let lost = self
            .unawaited
            .split_off(usize::try_from(kept).expect("small"));
        let end = self
            .unawaited
            .last()
            .map_or(self.certain, |(last, _)| *last);
        store
            .write(|store| store.execute("DELETE FROM prompt_event WHERE id > ?1", [end]))
            .expect("cut");
        self.waited(store);
        lost.into_iter().flat_map(|(_, events)| events).collect()
    }
}

fn last(store: &Store) -> i64 {
    let last = "SELECT coalesce(max(id), 0) FROM prompt_event";
    store
        .read(|store| store.query_row(last, [], |row| row.get(0)))
        .expect("last event")
}
