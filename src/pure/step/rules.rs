//! The rules behind [`super::Service::step`].

use chrono::Duration;

use super::{Action, Input, Reply, Service, answer_of};
use crate::pure::agenda::{Due, Plan};
use crate::pure::civil::Instant;
use crate::pure::prompt::{Answer, Event, Key, Kind, Record, Standing};

/// How far back a start, an edit or a clock set back makes the service look for prompts that come
/// once a night: longer than any window, so that nothing within its window is overlooked.
const LOOK_BACK_HOURS: i64 = 36;
/// A prompt shown later than this counts as late.
const ON_TIME: i64 = 60;
/// Seconds between two late prompts.
const SPACING: i64 = 60;
/// After a long pause, misses are recorded for at most so many days.
const REMEMBER_DAYS: i64 = 14;
/// Records of settled prompts older than this are dropped from memory (not from the store).
const KEEP_DAYS: i64 = 21;

pub(super) fn step(service: &mut Service, plan: &Plan, now: Instant, input: Input) -> Vec<Action> {
    let mut turn = Turn {
        service,
        plan,
        now,
        actions: Vec::new(),
        retry: false,
    };
    turn.notice_clock();
    turn.take(input);
    let open = turn.due_now();
    turn.show(open);
    turn.plan_wake();
    let actions = turn.actions;
    service.last_step = Some(now);
    actions
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
    /// Showings that the desktop refused are tried again in this step.
    retry: bool,
}

impl Turn<'_> {
    fn record(&mut self, key: &Key, event: Event) {
        self.service
            .records
            .entry(key.clone())
            .or_default()
            .apply(self.now, &event);
        self.actions.push(Action::Record {
            key: key.clone(),
            event,
        });
    }

    fn withdraw(&mut self, key: &Key) {
        let Some(record) = self.service.records.get(key) else {
            return;
        };
        if let Standing::Open {
            token,
            dismissed: false,
            ..
        } = &record.standing
        {
            self.actions.push(Action::Withdraw {
                key: key.clone(),
                token: token.clone(),
            });
        }
    }

    /// A clock set back makes earlier prompts due again; their records keep them from being repeated,
    /// and what was called missed only because the clock was ahead is opened again.
    fn notice_clock(&mut self) {
        let Some(last) = self.service.last_step else {
            return;
        };
        if self.now >= last {
            return;
        }
        let back = self.now - Duration::hours(LOOK_BACK_HOURS);
        self.service.once_from = self.service.once_from.map(|from| from.min(back));
        self.service.own_from = self.service.own_from.map(|from| from.min(self.now));
        self.service.last_shown = self.service.last_shown.map(|shown| shown.min(self.now));
        let now = self.now;
        let ahead: Vec<Key> = self
            .service
            .records
            .iter()
            .filter(|(_, record)| matches!(record.standing, Standing::Missed { noticed } if noticed > now))
            .map(|(key, _)| key.clone())
            .collect();
        for key in ahead {
            if self.plan.due_of(&key).is_some_and(|due| now < due.until) {
                self.record(&key, Event::Reopened);
            }
        }
    }

    fn take(&mut self, input: Input) {
        match input {
            Input::Started { known_until } => self.start(known_until),
            Input::Woke | Input::ServerGone => {}
            Input::Reloaded => {
                let back = self.now - Duration::hours(LOOK_BACK_HOURS);
                self.service.once_from =
                    Some(self.service.once_from.map_or(back, |from| from.min(back)));
                self.withdraw_settled();
            }
            Input::ShowResult {
                key,
                showing,
                result,
            } => self.show_result(&key, showing, result),
            Input::Reply { key, reply } => self.reply(&key, reply),
            Input::ServerAppeared => self.show_again(),
        }
    }

    fn start(&mut self, known_until: Option<Instant>) {
        let earliest = self.now - Duration::days(REMEMBER_DAYS);
        let back = known_until.unwrap_or(self.now).min(self.now) - Duration::hours(LOOK_BACK_HOURS);
        self.service.once_from = Some(back.max(earliest));
        let an_hour_ago = self.now - Duration::hours(1);
        self.service.own_from =
            Some(known_until.map_or(self.now, |known| known.max(an_hour_ago).min(self.now)));
        // Nobody was promised a prompt before the first start, and whatever was due before the last
        // sign of life has its record already: neither is called missed.
        self.service.promised_from = Some(known_until.unwrap_or(self.now).min(self.now));
        self.show_again();
    }

    /// Everything that stood on a screen that is gone is put there once more. That is the same
    /// showing, not another one: a notification that still stands is replaced.
    fn show_again(&mut self) {
        self.retry = true;
        let standing: Vec<(Key, u32, Option<super::Token>)> = self
            .service
            .records
            .iter()
            .filter_map(|(key, record)| match &record.standing {
                Standing::Open {
                    confirmed: true,
                    dismissed: false,
                    token,
                    ..
                } => Some((key.clone(), record.showings, token.clone())),
                _ => None,
            })
            .collect();
        for (key, showing, replaces) in standing {
            if let Some(due) = self.plan.due_of(&key).filter(|due| self.now < due.until) {
                self.actions.push(Action::Show {
                    due,
                    showing,
                    replaces,
                });
            }
        }
    }

    fn show_result(&mut self, key: &Key, showing: u32, result: Result<Option<super::Token>, ()>) {
        let Some(record) = self.service.records.get(key) else {
            return;
        };
        if record.showings != showing || !matches!(record.standing, Standing::Open { .. }) {
            return;
        }
        match result {
            Ok(token) => {
                self.record(key, Event::Shown { showing, token });
                if key.kind.only_says() {
                    self.record(
                        key,
                        Event::Answered {
                            answer: Answer::Done,
                        },
                    );
                }
            }
            Err(()) => self.record(key, Event::NotShown { showing }),
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
        let settled: Vec<Key> = self
            .service
            .records
            .iter()
            .filter(|(_, r)| r.is_settled())
            .map(|(k, _)| k.clone())
            .collect();
        for key in settled {
            self.actions.push(Action::Withdraw { key, token: None });
        }
    }

    /// Brings in what has become due, records what has passed, and returns what is to be shown.
    fn due_now(&mut self) -> Vec<Due> {
        let just_after = self.now + Duration::milliseconds(1);
        let once_from = self.service.once_from.unwrap_or(self.now).min(self.now);
        let own_from = self.service.own_from.unwrap_or(self.now).min(self.now);
        let mut dues = self.plan.once(once_from, just_after);
        dues.extend(self.plan.own(own_from, just_after));
        let open: Vec<Key> = self
            .service
            .records
            .iter()
            .filter(|(_, r)| !r.is_settled())
            .map(|(k, _)| k.clone())
            .collect();
        for key in open {
            if dues.iter().any(|due| due.key == key) {
                continue;
            }
            match self.plan.due_of(&key) {
                Some(due) => dues.push(due),
                None => self.give_up(&key),
            }
        }
        self.service.once_from = Some(just_after.max(once_from));
        self.service.own_from = Some(just_after.max(own_from));
        self.forget_old();
        let (gone, within): (Vec<Due>, Vec<Due>) =
            dues.into_iter().partition(|due| self.now >= due.until);
        for due in gone {
            self.miss(&due);
        }
        within
            .into_iter()
            .filter(|due| self.is_ready(due))
            .collect()
    }

    fn is_ready(&self, due: &Due) -> bool {
        let record = self
            .service
            .records
            .get(&due.key)
            .cloned()
            .unwrap_or_default();
        record
            .next_showing(due.due_at, &due.remind)
            .is_some_and(|at| at <= self.now)
    }

    /// A prompt that the plan no longer holds.
    fn give_up(&mut self, key: &Key) {
        self.withdraw(key);
        self.record(key, Event::Missed);
    }

    fn miss(&mut self, due: &Due) {
        match self.service.records.get(&due.key) {
            Some(record) if record.is_settled() => return,
            None if self
                .service
                .promised_from
                .is_some_and(|from| due.due_at < from) =>
            {
                return;
            }
            _ => {}
        }
        self.withdraw(&due.key);
        self.record(&due.key, Event::Missed);
    }

    fn forget_old(&mut self) {
        let oldest = self.now - Duration::days(KEEP_DAYS);
        let night = crate::pure::civil::Night::at(oldest, &self.plan.zone);
        self.service
            .records
            .retain(|key, record| key.night >= night || !record.is_settled());
    }

    /// Shows what is on time at once, and of the late ones the most pressing, a minute apart.
    fn show(&mut self, ready: Vec<Due>) {
        let now = self.now;
        let refused = |service: &Service, due: &Due| {
            service
                .records
                .get(&due.key)
                .is_some_and(|record: &Record| record.refused)
        };
        let (mut refused_before, mut fresh): (Vec<Due>, Vec<Due>) = ready
            .into_iter()
            .partition(|due| refused(self.service, due));
        // A server that was not there is asked again only with the next prompt, or when it appears.
        if self.retry || !fresh.is_empty() {
            fresh.append(&mut refused_before);
        }
        let (on_time, mut late): (Vec<Due>, Vec<Due>) = fresh.into_iter().partition(|due| {
            let record = self
                .service
                .records
                .get(&due.key)
                .cloned()
                .unwrap_or_default();
            let at = record.next_showing(due.due_at, &due.remind).unwrap_or(now);
            (now - at).num_seconds() <= ON_TIME
        });
        let nothing_on_time = on_time.is_empty();
        for due in on_time {
            self.put_on_screen(due);
        }
        late.sort_by_key(|due| (due.key.kind, std::cmp::Reverse(due.due_at)));
        let may_show = self
            .service
            .last_shown
            .is_none_or(|shown| (now - shown).num_seconds() >= SPACING);
        if nothing_on_time && may_show && !late.is_empty() {
            let due = late.remove(0);
            self.put_on_screen(due);
        }
    }

    fn put_on_screen(&mut self, due: Due) {
        let record = self
            .service
            .records
            .get(&due.key)
            .cloned()
            .unwrap_or_default();
        let replaces = match record.standing {
            Standing::Open { token, .. } => token,
            _ => None,
        };
        let showing = record.showings + 1;
        self.record(&due.key, Event::Showing { showing });
        self.service.last_shown = Some(self.now);
        self.actions.push(Action::Show {
            due,
            showing,
            replaces,
        });
    }

    /// The earliest instant at which anything can change by itself.
    fn plan_wake(&mut self) {
        let mut wakes: Vec<Instant> = Vec::new();
        for (key, record) in self
            .service
            .records
            .iter()
            .filter(|(_, record)| !record.is_settled())
        {
            let Some(due) = self.plan.due_of(key) else {
                continue;
            };
            wakes.push(due.until);
            if record.refused {
                continue;
            }
            if let Some(at) = record.next_showing(due.due_at, &due.remind) {
                let held_back = self
                    .service
                    .last_shown
                    .map(|shown| shown + Duration::seconds(SPACING));
                wakes.push(if at <= self.now {
                    held_back.unwrap_or(at)
                } else {
                    at
                });
            }
        }
        wakes.extend(self.held_back());
        wakes.extend(self.plan.next_after(self.now).map(|due| due.due_at));
        if let Some(at) = wakes.into_iter().filter(|at| *at > self.now).min() {
            self.actions.push(Action::WakeAt(at));
        }
    }

    /// Late prompts without a record yet wait for the spacing: they are looked up again from their
    /// own instant, so the look-up has to start there.
    fn held_back(&mut self) -> Option<Instant> {
        let from = self.now - Duration::hours(LOOK_BACK_HOURS);
        let waiting = self.plan.once(from, self.now).into_iter().filter(|due| {
            self.now < due.until
                && !self.service.records.contains_key(&due.key)
                && due.key.kind != Kind::Own
        });
        let earliest = waiting.map(|due| due.due_at).min()?;
        self.service.once_from = Some(earliest);
        self.service
            .last_shown
            .map(|shown| shown + Duration::seconds(SPACING))
    }
}
