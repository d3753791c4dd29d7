//! Writing what was said about a day.

use super::super::Said;
use super::super::today::done_words;
use super::{Arguments, Turn, Words, wrong};
use crate::pure::civil::{Instant, Resolved};
use crate::pure::diary::Moment;
use crate::pure::load::{PartDone, TrainingDone, assign_parts, check_rpe};
use crate::shell::failure::Failure;
use crate::shell::store::SessionRow;

const ONE_MORE: &str = "It is one more record of this session on that day. If it was meant to correct the one before: \
     evenfall train --remove, then evenfall train --correct.";

impl Turn<'_> {
    /// Puts what was said on top of an earlier record, or on nothing.
    pub(super) fn record(
        &mut self,
        id: Option<String>,
        earlier: Option<SessionRow>,
        mut words: Words,
    ) -> Result<Said, Failure> {
        let mut notes = Vec::new();
        let counted = words.parts.take();
        let mut done = self.on_top_of(id, earlier.as_ref(), &words, &mut notes);
        if let Some(rpe) = done.rpe {
            check_rpe(rpe, done.minutes).map_err(|bad| wrong("--rpe", bad))?;
        }
        if let Some(counted) = counted {
            done.parts = self.parts(&done, counted, &mut notes)?;
        }
        let ended = match words.ended {
            Some(said) => Some(self.ended(said)?),
            None => earlier
                .as_ref()
                .and_then(|row| row.ended)
                .or_else(|| self.plan.planned_end(&done)),
        };
        if earlier.is_none() && self.is_recorded(&done) {
            notes.push(ONE_MORE.to_owned());
        }
        let zone = self.zone().clone();
        let replaces = earlier.as_ref().map(|row| row.id);
        self.store
            .add_session(&done, ended, replaces, self.now, &zone)?;
        self.written()?;
        let head = if earlier.is_some() {
            "Corrected; what was there before stays in the history.\n"
        } else {
            "Recorded.\n"
        };
        self.said(head, &notes)
    }

    fn on_top_of(
        &self,
        id: Option<String>,
        earlier: Option<&SessionRow>,
        words: &Words,
        notes: &mut Vec<String>,
    ) -> TrainingDone {
        let planned = self.planned_minutes(id.as_deref());
        let old = earlier.and_then(|row| row.day.done()).cloned();
        let old = old.unwrap_or(TrainingDone {
            date: self.date,
            session: id,
            minutes: None,
            rpe: None,
            parts: Vec::new(),
            note: String::new(),
        });
        if words.minutes.is_none() && old.minutes.is_none() {
            notes.extend(planned.map(|minutes| format!("The minutes are the planned {minutes}.")));
        }
        TrainingDone {
            minutes: words.minutes.or(old.minutes).or(planned),
            rpe: words.rpe.or(old.rpe),
            note: words.note.clone().unwrap_or(old.note),
            ..old
        }
    }

    /// Counts with the parts of the session they belong to.
    fn parts(
        &self,
        done: &TrainingDone,
        counted: Vec<PartDone>,
        notes: &mut Vec<String>,
    ) -> Result<Vec<PartDone>, Failure> {
        let Some(session) = self.session(done.session.as_deref()) else {
            return Ok(counted);
        };
        let (parts, said) = assign_parts(counted, session).map_err(|bad| wrong("--reps", bad))?;
        notes.extend(said);
        Ok(parts)
    }

    fn is_recorded(&self, done: &TrainingDone) -> bool {
        let mut known = self.rows.iter().filter_map(|row| row.day.done());
        known.any(|known| known.session == done.session)
    }

    /// After every change: the service hears of it, and the day is read again.
    fn written(&mut self) -> Result<(), Failure> {
        self.context.tell_service();
        self.rows = self.store.training(self.date, self.date)?;
        Ok(())
    }

    fn ended(&self, said: Moment) -> Result<Instant, Failure> {
        let wall = match said {
            Moment::Fixed(at) => return Ok(at.to_utc()),
            Moment::Local(wall) => wall,
            Moment::Clock(time) => self.date.and_time(time),
        };
        match self.zone().resolve(wall) {
            Resolved::Exact(at) | Resolved::Repeated { second: at, .. } => Ok(at),
            Resolved::Skipped { .. } => Err(Failure::wrong(format!(
                "--ended: {} does not exist, the clocks went forward over it. Which time is meant?",
                wall.format("%H:%M")
            ))),
        }
    }

    /// Confirms the day as one without training.
    pub(super) fn rest(&mut self) -> Result<Said, Failure> {
        if let Some(done) = self.rows.iter().find_map(|row| row.day.done()) {
            return Err(Failure::wrong(format!(
                "{} is recorded for {}. If that is a mistake: evenfall train --remove --date {}",
                done_words(done),
                self.date,
                self.date
            )));
        }
        if self.rows.is_empty() {
            let zone = self.zone().clone();
            self.store.add_rest(self.date, self.now, &zone)?;
            self.written()?;
        }
        self.said("Recorded.\n", &[])
    }

    /// Takes the last record that is meant away.
    pub(super) fn remove(&mut self, arguments: &Arguments) -> Result<Said, Failure> {
        let meant = |row: &&SessionRow| match (&arguments.session, arguments.other) {
            (Some(id), _) => row
                .day
                .done()
                .is_some_and(|done| done.session.as_ref() == Some(id)),
            (None, true) => row.day.done().is_some_and(|done| done.session.is_none()),
            (None, false) => true,
        };
        let Some(row) = self.rows.iter().rfind(meant).cloned() else {
            return Err(Failure::wrong(format!(
                "Nothing of the kind is recorded for {}. evenfall train --show --date DATE lists a day.",
                self.date
            )));
        };
        let zone = self.zone().clone();
        self.store.remove_session(&row, self.now, &zone)?;
        self.written()?;
        self.said("Taken away; it stays in the history.\n", &[])
    }
}
