//! What comes on the screen now, what waits for its turn, and when to look again.

use chrono::Duration;

use super::{Action, Due, Event, Instant, Kind, Plan, Record, Service, Turn};

/// A prompt shown later than so many seconds counts as late.
const ON_TIME: i64 = 60;
/// Seconds between two late prompts.
const SPACING: i64 = 60;

impl Turn<'_> {
    /// Shows what is on time at once, and of the late ones (and those that go on the screen once more)
    /// the most pressing, a minute apart. The others wait for their turn.
    pub(super) fn show(&mut self, ready: Vec<Due>) {
        // A desktop that takes nothing is asked again with the next prompt, or when a server appears.
        let mut ready = ready;
        ready.retain(|due| !(self.service.desk_refuses && self.was_refused(due)));
        let (on_time, mut late): (Vec<Due>, Vec<Due>) =
            ready.into_iter().partition(|due| self.is_on_time(due));
        let nothing_on_time = on_time.is_empty();
        for due in on_time {
            self.put_on_screen(due);
        }
        late.sort_by_key(|due| (due.key.kind, std::cmp::Reverse(due.due_at)));
        let now = self.now;
        let spaced = |shown: Instant| (now - shown).num_seconds() >= SPACING;
        if nothing_on_time && self.service.last_shown.is_none_or(spaced) && !late.is_empty() {
            let due = late.remove(0);
            self.put_on_screen(due);
        }
        self.look_again_from(&late);
        self.service.holds_back = !late.is_empty();
    }

    /// Whether only the desktop keeps it from the screen. A reminder is asked for in any case.
    fn was_refused(&self, due: &Due) -> bool {
        let record = self.record_of(&due.key);
        record.refused || self.is_same_showing(&record, due)
    }

    /// Whether putting it on the screen now would be the showing that it had already.
    fn is_same_showing(&self, record: &Record, due: &Due) -> bool {
        let next = record.next_showing(due.due_at, &due.remind);
        record.stands() && next.is_none_or(|at| at > self.now)
    }

    fn is_on_time(&self, due: &Due) -> bool {
        let record = self.record_of(&due.key);
        record
            .next_showing(due.due_at, &due.remind)
            .is_some_and(|at| at <= self.now && (self.now - at).num_seconds() <= ON_TIME)
    }

    fn put_on_screen(&mut self, due: Due) {
        let record = self.record_of(&due.key);
        let again = self.is_same_showing(&record, &due);
        self.service.off_screen.remove(&due.key);
        let replaces = record.notification().cloned();
        let showing = if again {
            record.showings
        } else {
            let showing = record.showings + 1;
            self.record(&due.key, Event::Showing { showing });
            showing
        };
        self.service.last_shown = Some(self.now);
        self.actions.push(Action::Show {
            due,
            showing,
            replaces,
        });
    }

    /// What waits for its turn and has no record yet is looked up again from its own instant.
    fn look_again_from(&mut self, waiting: &[Due]) {
        for due in waiting {
            let from = if due.key.kind == Kind::Own {
                &mut self.service.own_from
            } else {
                &mut self.service.once_from
            };
            *from = from.map(|from| from.min(due.due_at));
        }
    }
}

/// The earliest instant after the last step's at which anything can change by itself.
pub(in crate::pure::step) fn wake(service: &Service, plan: &Plan, now: Instant) -> Option<Instant> {
    let mut wakes: Vec<Instant> = Vec::new();
    if service.holds_back {
        let spacing = Duration::seconds(SPACING);
        wakes.extend(service.last_shown.map(|shown| shown + spacing));
    }
    let open = service.records.iter();
    for (key, record) in open.filter(|(_, record)| !record.is_settled()) {
        let Some(due) = plan.due_of(key) else {
            continue;
        };
        wakes.push(due.until);
        wakes.push(due.due_at);
        wakes.extend(record.next_showing(due.due_at, &due.remind));
    }
    wakes.extend(plan.next_after(now).map(|due| due.due_at));
    wakes.into_iter().filter(|at| *at > now).min()
}
