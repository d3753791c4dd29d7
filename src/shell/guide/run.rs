//! The loop of the guide: waits for the next cue or frame, answers keys, and tells what was done.
//!
//! It knows neither the terminal nor the real clocks: a [`Surface`] shows, a [`Waiter`] waits. Tests
//! put a buffer and a scripted clock in their place.

use std::io;
use std::time::Duration;

use super::pacer::{Event, Lateness, Press, Waiter, Watch, Woke};
use super::{Played, Told};
use crate::pure::civil::Instant;
use crate::pure::pace::Player;

/// Why time stands still, or not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Note {
    /// Playing.
    Playing,
    /// The person paused.
    Paused,
    /// The machine slept, or the program was stopped.
    Interrupted,
}

/// A moment of the routine to be shown.
#[derive(Clone, Copy, Debug)]
pub struct Moment<'m> {
    /// The player.
    pub player: &'m Player<'m>,
    /// The position.
    pub position: Duration,
    /// Whether time stands still.
    pub note: Note,
}

/// Something a routine is shown on.
pub trait Surface {
    /// The first screen: what comes and the cautions.
    fn first(&mut self) -> io::Result<()>;

    /// Whether a person is there to start, pause and go on by key.
    fn has_keys(&self) -> bool;

    /// Lets the surface answer a key itself (scrolling, help); true if it did.
    fn press(&mut self, press: Press) -> bool;

    /// A cue begins, by time or because the person went to it.
    fn cue(&mut self, moment: &Moment<'_>) -> io::Result<()>;

    /// Time for the surface's own next picture, or the terminal has changed.
    fn frame(&mut self, moment: &Moment<'_>) -> io::Result<()>;

    /// Playing was paused, interrupted or taken up again.
    fn changed(&mut self, moment: &Moment<'_>) -> io::Result<()>;

    /// The position at which the surface wants to show something between cues.
    fn next_frame(&self, moment: &Moment<'_>) -> Option<Duration>;

    /// Least time between two frames; no frame is drawn shortly before a cue either.
    fn least_gap(&self) -> Duration;

    /// Hands the terminal back, stops the program, and takes the terminal again when continued.
    fn stop(&mut self) -> io::Result<()>;

    /// Takes the terminal again: the program was stopped without being asked, and a shell may have
    /// used the terminal since.
    fn retake(&mut self) -> io::Result<()>;

    /// It is over; `reached_end` if the routine ran out by itself.
    fn over(&mut self, played: &Played, reached_end: bool) -> io::Result<()>;

    /// How long the last screen stays unless a key is pressed; `None` for not at all.
    fn lingers(&self) -> Option<Duration>;
}

/// Plays to the end, or to the person's.
///
/// `tell` hears of the start and of the outcome at the moment they are known, before any last screen.
///
/// # Errors
/// What the surface could not show; the outcome has been told all the same. A reader that went away
/// (a closed pipe) is no error: it ends the routine.
pub fn run(
    player: Player<'_>,
    surface: &mut dyn Surface,
    waiter: &mut dyn Waiter,
    tell: &mut dyn FnMut(&Told),
) -> io::Result<Played> {
    let mut run = Run {
        watch: Watch::new(waiter.read()),
        player,
        surface,
        waiter,
        note: Note::Playing,
        started: None,
        shown: 0,
        last_frame: Duration::ZERO,
        wish_to_end: false,
        lateness: Lateness::default(),
    };
    let shown = run.begin(tell).and_then(|()| run.go());
    let now = run.waiter.read().elapsed;
    run.player.end(now);
    let played = run.played(now);
    tell(&Told::Over(played.clone()));
    let shown = shown.and_then(|()| run.finish(&played));
    match shown {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(error),
        _ => Ok(played),
    }
}

struct Run<'r, 't> {
    player: Player<'t>,
    surface: &'r mut dyn Surface,
    waiter: &'r mut dyn Waiter,
    watch: Watch,
    note: Note,
    started: Option<Instant>,
    /// Index of the cue shown last.
    shown: usize,
    last_frame: Duration,
    wish_to_end: bool,
    lateness: Lateness,
}

impl Run<'_, '_> {
    /// The first screen, until the person starts or leaves.
    fn begin(&mut self, tell: &mut dyn FnMut(&Told)) -> io::Result<()> {
        self.surface.first()?;
        while self.surface.has_keys() {
            match self.waiter.wait(None) {
                Woke::Due => {}
                Woke::Event(Event::Press(press)) if self.surface.press(press) => {
                    self.surface.first()?;
                }
                Woke::Event(Event::Press(Press::End) | Event::Finish) => {
                    self.wish_to_end = true;
                    return Ok(());
                }
                Woke::Event(Event::Press(Press::Enter | Press::Space | Press::Other)) => break,
                Woke::Event(Event::Press(_) | Event::Resize) => self.surface.first()?,
                Woke::Event(Event::Stop) => {
                    self.surface.stop()?;
                    self.surface.first()?;
                }
                Woke::Event(Event::Continued) => {
                    self.surface.retake()?;
                    self.surface.first()?;
                }
            }
        }
        let now = self.waiter.read();
        self.watch = Watch::new(now);
        self.started = Some(now.wall);
        tell(&Told::Started(now.wall));
        self.player.start(now.elapsed);
        self.show_cue(now.elapsed)
    }

    fn go(&mut self) -> io::Result<()> {
        while !self.player.is_over() && !self.wish_to_end {
            let due = self.next_deadline();
            let woke = self.waiter.wait(due);
            let now = self.waiter.read();
            let interrupted = self.watch.interrupted(now, due);
            match interrupted {
                Some(stood) if self.player.is_playing() => self.interrupt(stood, now.elapsed)?,
                _ if woke == Woke::Due => self.due(now.elapsed)?,
                _ => {}
            }
            if let Woke::Event(event) = woke {
                self.event(event, now.elapsed)?;
            }
        }
        Ok(())
    }

    /// The next cue's deadline, or the surface's next frame if it comes well before that.
    fn next_deadline(&self) -> Option<Duration> {
        let cue = self.player.timeline().cues.get(self.shown + 1)?;
        let cue = self.player.deadline(Duration::from_millis(cue.at_ms))?;
        let now = self.waiter.read().elapsed;
        let gap = self.surface.least_gap();
        let frame = self
            .surface
            .next_frame(&self.moment(now))
            .and_then(|position| self.player.deadline(position))
            .map(|frame| frame.max(self.last_frame + gap))
            .filter(|frame| *frame + gap / 3 <= cue);
        Some(frame.unwrap_or(cue))
    }

    fn moment(&self, now: Duration) -> Moment<'_> {
        Moment {
            player: &self.player,
            position: self.player.position(now),
            note: self.note,
        }
    }

    /// Shows the cues that have begun, or else a frame.
    fn due(&mut self, now: Duration) -> io::Result<()> {
        let index = self.player.place(self.player.position(now)).index;
        if index == self.shown {
            self.last_frame = now;
            let moment = Moment {
                player: &self.player,
                position: self.player.position(now),
                note: self.note,
            };
            return self.surface.frame(&moment);
        }
        for begun in self.shown + 1..=index {
            let start = Duration::from_millis(self.player.timeline().cues[begun].at_ms);
            let deadline = self.player.deadline(start);
            let position = if begun == index {
                self.player.position(now)
            } else {
                start
            };
            self.show(begun, now, position)?;
            if let Some(deadline) = deadline {
                self.lateness
                    .add(self.waiter.read().elapsed.saturating_sub(deadline));
            }
        }
        self.player.tick(now);
        Ok(())
    }

    /// Shows the cue of this moment, however it was reached.
    fn show_cue(&mut self, now: Duration) -> io::Result<()> {
        let position = self.player.position(now);
        self.show(self.player.place(position).index, now, position)
    }

    fn show(&mut self, index: usize, now: Duration, position: Duration) -> io::Result<()> {
        self.shown = index;
        self.last_frame = now;
        self.surface.cue(&Moment {
            player: &self.player,
            position,
            note: self.note,
        })
    }

    fn event(&mut self, event: Event, now: Duration) -> io::Result<()> {
        match event {
            Event::Press(press) if self.surface.press(press) => self.frame(now),
            Event::Press(Press::Space) => self.toggle(now),
            Event::Press(Press::Skip) => {
                self.player.skip(now);
                self.jumped(now)
            }
            Event::Press(Press::Back) => {
                self.player.back(now);
                self.jumped(now)
            }
            Event::Press(Press::End) | Event::Finish => {
                self.wish_to_end = true;
                Ok(())
            }
            Event::Press(Press::Enter) if self.note != Note::Playing => self.toggle(now),
            Event::Press(Press::Redraw) | Event::Resize => self.frame(now),
            Event::Press(_) => Ok(()),
            Event::Stop => self.stop(now),
            Event::Continued => {
                self.surface.retake()?;
                self.frame(now)
            }
        }
    }

    fn frame(&mut self, now: Duration) -> io::Result<()> {
        self.last_frame = now;
        let moment = Moment {
            player: &self.player,
            position: self.player.position(now),
            note: self.note,
        };
        self.surface.frame(&moment)
    }

    fn jumped(&mut self, now: Duration) -> io::Result<()> {
        if self.player.is_over() {
            Ok(())
        } else {
            self.show_cue(now)
        }
    }

    fn toggle(&mut self, now: Duration) -> io::Result<()> {
        if self.player.is_playing() {
            self.player.pause(now);
            self.note = Note::Paused;
        } else {
            self.player.start(now);
            self.note = Note::Playing;
        }
        self.say_change(now)
    }

    fn interrupt(&mut self, stood: Duration, now: Duration) -> io::Result<()> {
        self.player.pause(stood);
        self.note = Note::Interrupted;
        self.say_change(now)?;
        if !self.surface.has_keys() {
            // Nobody could go on by key; what is left is played after the gap.
            self.note = Note::Playing;
            self.player.start(now);
            self.say_change(now)?;
        }
        Ok(())
    }

    fn stop(&mut self, now: Duration) -> io::Result<()> {
        self.player.pause(now);
        self.note = Note::Paused;
        self.surface.stop()?;
        let now = self.waiter.read();
        self.watch = Watch::new(now);
        self.say_change(now.elapsed)
    }

    fn say_change(&mut self, now: Duration) -> io::Result<()> {
        let moment = Moment {
            player: &self.player,
            position: self.player.position(now),
            note: self.note,
        };
        self.surface.changed(&moment)
    }

    fn played(&self, now: Duration) -> Played {
        let progress = self.player.progress(now);
        Played {
            started: self.started,
            progress,
            lateness: self.lateness.clone(),
        }
    }

    /// The last screen. A person who ended it by key is not held up.
    fn finish(&mut self, played: &Played) -> io::Result<()> {
        let reached_end = !self.wish_to_end && self.started.is_some();
        self.surface.over(played, reached_end)?;
        let Some(stay) = self.surface.lingers().filter(|_| reached_end) else {
            return Ok(());
        };
        let until = self.waiter.read().elapsed + stay;
        loop {
            match self.waiter.wait(Some(until)) {
                Woke::Event(Event::Resize | Event::Press(Press::Redraw)) => {
                    self.surface.over(played, reached_end)?;
                }
                Woke::Event(Event::Stop) => {
                    self.surface.stop()?;
                    self.surface.over(played, reached_end)?;
                }
                Woke::Event(Event::Continued) => {
                    self.surface.retake()?;
                    self.surface.over(played, reached_end)?;
                }
                Woke::Due | Woke::Event(Event::Press(_) | Event::Finish) => return Ok(()),
            }
        }
    }
}
