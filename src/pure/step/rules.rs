//! The rules behind [`super::Service::step`].

use chrono::Duration;

use super::{Action, Input, Reply, Service, answer_of};
use crate::pure::agenda::{Due, Plan};
use crate::pure::civil::{Instant, Night};
use crate::pure::prompt::{Answer, Event, Key, Kind, Record, Standing, Token};

mod queue;

pub(super) use queue::wake;

/// How far back a start, an edit or a clock set back makes the service look for prompts that come
/// once a night: longer than any window, so that nothing within its window is overlooked.
const LOOK_BACK_HOURS: i64 = 36;
/// The same for the person's own prompts, whose window is half an hour. Older ones leave no trace:
/// they only say something, and there may be one a minute.
const OWN_LOOK_BACK_HOURS: i64 = 1;
/// After a long pause, misses are recorded for at most so many days.
const REMEMBER_DAYS: i64 = 14;
/// Records of settled prompts older than this are dropped from memory (not from the store).
const KEEP_DAYS: i64 = 21;

pub(super) fn act(service: &mut Service, plan: &Plan, now: Instant, input: Input) -> Vec<Action> {
    let mut turn = Turn {
        service,
        plan,
        now,
        actions: Vec::new(),
    };
    turn.notice_clock();
    turn.take(input);
    let ready = turn.due_now();
    turn.show(ready);
    let actions = turn.actions;
    service.last_step = Some(now);
    actions
}

pub(super) fn answer(
    service: &mut Service,
    plan: &Plan,
    now: Instant,
    key: &Key,
    reply: Reply,
) -> Vec<Action> {
    let actions = Vec::new();
    let mut turn = Turn {
        service,
        plan,
        now,
        actions,
    };
    turn.reply(key, reply);
    turn.actions
}

pub(super) fn standing(service: &Service) -> Option<&Key> {
    let open = service
        .records
        .iter()
        .filter_map(|(key, record)| match record.standing {
            Standing::Open { since, .. } => Some((since, key)),
            _ => None,
        });
    open.max_by_key(|(since, key)| (*since, std::cmp::Reverse(key.kind)))
        .map(|(_, key)| key)
}

struct Turn<'s> {
    service: &'s mut Service,
    plan: &'s Plan,
    now: Instant,
    actions: Vec<Action>,
}

impl Turn<'_> {
    fn record(&mut self, key: &Key, event: Event) {
        self.service
            .records
            .entry(key.clone())
            .or_default()
            .apply(self.now, &event);
        let happened = (key.clone(), event);
        // What happens together is written together: after a kill in between, a part of it would look
        // like all there was.
        if let Some(Action::Record { events }) = self.actions.last_mut() {
            events.push(happened);
        } else {
            let events = vec![happened];
            self.actions.push(Action::Record { events });
        }
    }

    fn withdraw(&mut self, key: &Key) {
        let Some(record) = self.service.records.get(key) else {
            return;
        };
        if let Standing::Open {
            dismissed: false, ..
        } = &record.standing
        {
            self.actions.push(Action::Withdraw {
                key: key.clone(),
                token: record.notification().cloned(),
            });
        }
    }

    fn keys(&self, wanted: impl Fn(&Record) -> bool) -> Vec<Key> {
        let records = self.service.records.iter();
        records
            .filter(|(_, record)| wanted(record))
            .map(|(key, _)| key.clone())
            .collect()
    }

    /// A clock set back makes earlier prompts due again; their records keep them from being repeated,
    /// and what was called missed only because the clock was ahead is opened again.
    ///
    /// One showing is one showing, whatever the clock said: a prompt that showed while the clock was
    /// ahead stands until it is answered or its time passes, and is not shown anew when its time comes
    /// a second time.
    fn notice_clock(&mut self) {
        if self.service.last_step.is_none_or(|last| self.now >= last) {
            return;
        }
        let now = self.now;
        let back = |from: Option<Instant>, hours| {
            from.map(|from: Instant| from.min(now - Duration::hours(hours)))
        };
        self.service.once_from = back(self.service.once_from, LOOK_BACK_HOURS);
        self.service.own_from = back(self.service.own_from, OWN_LOOK_BACK_HOURS);
        self.service.promised_from = back(self.service.promised_from, 0);
        self.service.last_shown = back(self.service.last_shown, 0);
        self.reopen();
        self.undo_unconfirmed();
    }

    /// A showing that nobody confirmed and that lies ahead of the clock did not happen: its follow-up
    /// would come as late as the clock was ahead. A clock that was put right by a second is not meant.
    /// What stands of a showing before it goes, too: nothing says so any more.
    fn undo_unconfirmed(&mut self) {
        let ahead = self.now + Duration::minutes(1);
        let unconfirmed = self.keys(|record| {
            matches!(record.standing, Standing::Open { confirmed: false, since, .. } if since > ahead)
        });
        for key in unconfirmed {
            let record = self.record_of(&key);
            if record.notification().is_some() {
                self.withdraw(&key);
            }
            let showing = record.showings;
            self.record(&key, Event::NotShown { showing });
        }
    }

    /// What was called missed and whose time is not over by the clock and the plan of now.
    fn reopen(&mut self) {
        for key in self.keys(|record| matches!(record.standing, Standing::Missed { .. })) {
            if self
                .plan
                .due_of(&key)
                .is_none_or(|due| self.now >= due.until)
            {
                continue;
            }
            self.record(&key, Event::Reopened);
            if self.service.records.get(&key).is_some_and(Record::stands) {
                self.service.off_screen.insert(key);
            }
        }
    }

    fn take(&mut self, input: Input) {
        match input {
            Input::Started { since, known_until } => self.start(since, known_until),
            Input::Woke => {}
            Input::Reloaded => self.reloaded(),
            Input::ShowResult {
                key,
                showing,
                result,
            } => self.show_result(&key, showing, result),
            Input::Reply { key, reply } => self.reply(&key, reply),
            Input::ServerGone => {
                self.service.desk_refuses = true;
                self.screen_lost();
            }
            Input::ServerAppeared => {
                self.service.desk_refuses = false;
                self.screen_lost();
            }
        }
    }

    fn start(&mut self, since: Option<Instant>, known_until: Option<Instant>) {
        let now = self.now;
        let since = since.unwrap_or(now).min(now);
        let known = known_until.map_or(since, |known| known.min(now));
        let back = known - Duration::hours(LOOK_BACK_HOURS);
        self.service.once_from = Some(back.max(now - Duration::days(REMEMBER_DAYS)));
        // Nobody was promised a prompt before the first start. From then on everything that passed
        // without a trace is called missed, also what was due just before the last sign of life: a
        // kill can fall between two events of one step.
        let promised = since.max(back);
        self.service.promised_from = Some(promised);
        let an_hour_ago = now - Duration::hours(OWN_LOOK_BACK_HOURS);
        self.service.own_from = Some(an_hour_ago.max(promised));
        self.reopen();
        self.undo_unconfirmed();
        self.screen_lost();
        self.take_leftovers();
    }

    /// Takes away what a command answered while no service ran. Ids of long ago are left alone.
    fn take_leftovers(&mut self) {
        let recent = Night::at(self.now, &self.plan.zone).previous().previous();
        for (key, record) in &self.service.records {
            let open = matches!(record.standing, Standing::Open { .. });
            if key.night >= recent && !open && !key.kind.only_says() && record.left.is_some() {
                self.actions.push(Action::Withdraw {
                    key: key.clone(),
                    token: record.left.clone(),
                });
            }
        }
    }

    fn reloaded(&mut self) {
        let back = self.now - Duration::hours(LOOK_BACK_HOURS);
        let looked_until = self.service.once_from.unwrap_or(self.now);
        self.service.once_from = Some(looked_until.min(back));
        // The plan before this one promised nothing of what only this one holds.
        self.service.promised_from = self
            .service
            .promised_from
            .map(|from| from.max(looked_until.min(self.now)));
        self.reopen();
        self.withdraw_settled();
    }

    /// Everything that stood on a screen that is gone is to be put there once more. That is the same
    /// showing, not another one: a notification that still stands is replaced.
    fn screen_lost(&mut self) {
        let standing = self.keys(Record::stands);
        self.service.off_screen.extend(standing);
        // A new screen is empty: the first may come at once.
        self.service.last_shown = None;
    }

    fn show_result(&mut self, key: &Key, showing: u32, result: Result<Option<Token>, ()>) {
        match result {
            Ok(token) => {
                self.service.desk_refuses = false;
                self.taken(key, showing, token);
            }
            Err(()) => {
                self.service.desk_refuses = true;
                self.refused(key, showing);
            }
        }
    }

    /// A server that was slow may take a showing when something else has happened to the prompt.
    fn taken(&mut self, key: &Key, showing: u32, token: Option<Token>) {
        let record = self.service.records.get(key);
        let withdraw = |token| Action::Withdraw {
            key: key.clone(),
            token,
        };
        match record.map(|record| (&record.standing, record.showings)) {
            // It was said already, and that goes by itself.
            Some((Standing::Answered { .. }, _)) if key.kind.only_says() => {
                if record.is_some_and(|record| record.left != token) {
                    self.actions.push(withdraw(token));
                }
            }
            // A later showing stands already.
            Some((Standing::Open { token: had, .. }, newest))
                if showing < newest && had.is_some() =>
            {
                if *had != token {
                    self.actions.push(withdraw(token));
                }
            }
            Some((Standing::Open { token: had, .. }, _)) => {
                if had.is_some() && *had != token {
                    let had = had.clone();
                    self.actions.push(withdraw(had));
                }
                self.record(key, Event::Shown { showing, token });
                if key.kind.only_says() {
                    let answer = Answer::Done;
                    self.record(key, Event::Answered { answer });
                }
            }
            // Answered, put off or missed meanwhile: it has no business on the screen any more.
            _ => self.actions.push(withdraw(token)),
        }
    }

    fn refused(&mut self, key: &Key, showing: u32) {
        let Some(record) = self.service.records.get(key) else {
            return;
        };
        if record.showings != showing || !matches!(record.standing, Standing::Open { .. }) {
            return;
        }
        if record.stands() {
            // It was to be put there once more.
            self.service.off_screen.insert(key.clone());
        } else {
            self.record(key, Event::NotShown { showing });
        }
    }

    fn reply(&mut self, key: &Key, reply: Reply) {
        let record = self.service.records.get(key).cloned().unwrap_or_default();
        if matches!(
            record.standing,
            Standing::Answered {
                answer: Answer::Done
            }
        ) {
            return;
        }
        if reply == Reply::Dismiss {
            if matches!(record.standing, Standing::Open { .. }) {
                self.record(key, Event::Dismissed);
            }
            return;
        }
        self.withdraw(key);
        if let Reply::Later { minutes } = reply {
            self.postpone(key, minutes);
            return;
        }
        let Some(answer) = answer_of(reply) else {
            return;
        };
        if reply == Reply::AsUsual {
            // The morning first: an answered prompt without its record would be a lie.
            self.actions
                .push(Action::RecordUsualMorning { key: key.clone() });
        }
        self.record(key, Event::Answered { answer });
        if reply == Reply::Start {
            self.actions.push(Action::Open { key: key.clone() });
        }
    }

    fn postpone(&mut self, key: &Key, minutes: u32) {
        let wanted = self.now + Duration::minutes(i64::from(minutes.max(1)));
        let last = self
            .plan
            .due_of(key)
            .map_or(wanted, |due| due.until - Duration::seconds(1));
        let until = wanted.min(last).max(self.now + Duration::milliseconds(1));
        self.record(key, Event::Later { until });
    }

    /// Answers that came in through the store (a command, the page) take their notification along.
    fn withdraw_settled(&mut self) {
        for key in self.keys(Record::is_settled) {
            self.actions.push(Action::Withdraw { key, token: None });
        }
    }

    /// Brings in what has become due, records what has passed, and returns what is to be shown.
    fn due_now(&mut self) -> Vec<Due> {
        let just_after = self.now + Duration::milliseconds(1);
        let earliest =
            |days: i64, hours: i64| self.now - Duration::days(days) - Duration::hours(hours);
        let from = |from: Option<Instant>, earliest: Instant| {
            from.unwrap_or(self.now).min(self.now).max(earliest)
        };
        let once_from = from(
            self.service.once_from,
            earliest(REMEMBER_DAYS, LOOK_BACK_HOURS),
        );
        let own_from = from(self.service.own_from, earliest(0, OWN_LOOK_BACK_HOURS));
        let mut dues = self.plan.once(once_from, just_after);
        dues.extend(self.plan.own(own_from, just_after));
        let mut missed = Vec::new();
        for key in self.keys(|record| !record.is_settled()) {
            if dues.iter().any(|due| due.key == key) {
                continue;
            }
            match self.plan.due_of(&key) {
                Some(due) => dues.push(due),
                // The plan no longer holds it.
                None => missed.push(key),
            }
        }
        self.service.once_from = Some(just_after);
        self.service.own_from = Some(just_after);
        self.forget_old();
        let (gone, within): (Vec<Due>, Vec<Due>) =
            dues.into_iter().partition(|due| self.now >= due.until);
        missed.extend(
            gone.into_iter()
                .filter(|due| self.is_missed(due))
                .map(|due| due.key),
        );
        for key in &missed {
            self.withdraw(key);
        }
        for key in &missed {
            self.record(key, Event::Missed);
        }
        within
            .into_iter()
            .filter(|due| self.is_ready(due))
            .collect()
    }

    fn record_of(&self, key: &Key) -> Record {
        self.service.records.get(key).cloned().unwrap_or_default()
    }

    fn is_ready(&self, due: &Due) -> bool {
        let record = self.record_of(&due.key);
        let next = record.next_showing(due.due_at, &due.remind);
        let once_more = self.service.off_screen.contains(&due.key) && record.stands();
        next.is_some_and(|at| at <= self.now) || (once_more && due.due_at <= self.now)
    }

    /// Whether a prompt whose time is over is to be called missed.
    fn is_missed(&self, due: &Due) -> bool {
        match self.service.records.get(&due.key) {
            Some(record) => !record.is_settled(),
            None => self
                .service
                .promised_from
                .is_none_or(|from| due.due_at >= from),
        }
    }

    fn forget_old(&mut self) {
        let oldest = self.now - Duration::days(KEEP_DAYS);
        let night = Night::at(oldest, &self.plan.zone);
        let records = &mut self.service.records;
        records.retain(|key, record| key.night >= night || !record.is_settled());
        self.service
            .off_screen
            .retain(|key| records.get(key).is_some_and(Record::stands));
    }
}
