//! The tones while a routine is guided: a [`Surface`] around another one that keeps the player in step
//! with the start, pauses, skips and steps back.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use super::player::{Player, Playing, Prepared};
use crate::pure::routine::Timeline;
use crate::shell::guide::Played;
use crate::shell::guide::pacer::Press;
use crate::shell::guide::run::{Moment, Note, Surface};

/// Off by more than this, the tones are started anew (our own choice: below it nobody hears a jump).
const OFF_BY: Duration = Duration::from_millis(300);
/// Time given to write the rest of the track; doubled when it was not enough.
const LEAD: Duration = Duration::from_millis(1500);
/// The longest of it; a machine this slow goes without.
const LONGEST_LEAD: Duration = Duration::from_secs(24);
/// A track prepared for the very start is used when it starts within this time.
const AT_ONCE: Duration = Duration::from_millis(100);

/// What the guide wants to be heard.
#[derive(Clone, Copy, Debug)]
enum Wish {
    /// The routine, which was at this position at this moment.
    Play { position: Duration, at: Instant },
    /// Nothing.
    Silence,
}

/// The tones of one routine, played from a thread of their own so that writing the track delays no cue.
#[derive(Debug)]
pub(in crate::shell::guide) struct Tones {
    wishes: Option<Sender<Wish>>,
    thread: Option<JoinHandle<()>>,
    leaving: Arc<AtomicBool>,
    /// The position that is heard, and the moment it was.
    course: Option<(Duration, Instant)>,
}

impl Tones {
    /// Gets ready to play a timeline in real time.
    ///
    /// # Errors
    /// When no thread can be started.
    pub(in crate::shell::guide) fn start(player: Player, timeline: &Timeline) -> io::Result<Self> {
        let (wishes, inbox) = mpsc::channel();
        let leaving = Arc::new(AtomicBool::new(false));
        let desk = Desk {
            player,
            timeline: timeline.clone(),
            inbox,
            leaving: leaving.clone(),
            lead: LEAD,
        };
        let thread = thread::Builder::new()
            .name("tones".to_owned())
            .spawn(move || desk.run())?;
        Ok(Self {
            wishes: Some(wishes),
            thread: Some(thread),
            leaving,
            course: None,
        })
    }

    fn follow(&mut self, moment: &Moment<'_>) {
        if moment.note != Note::Playing {
            return self.silence();
        }
        let (position, at) = (moment.position, Instant::now());
        let heard = self.course.map(|(from, since)| from + (at - since));
        if heard.is_some_and(|heard| heard.abs_diff(position) <= OFF_BY) {
            return;
        }
        self.course = Some((position, at));
        self.wish(Wish::Play { position, at });
    }

    fn silence(&mut self) {
        if self.course.take().is_some() {
            self.wish(Wish::Silence);
        }
    }

    /// A thread that has given up hears nothing more; the guide goes on in silence.
    fn wish(&self, wish: Wish) {
        if let Some(wishes) = &self.wishes {
            let _ = wishes.send(wish);
        }
    }
}

impl Drop for Tones {
    fn drop(&mut self) {
        self.leaving.store(true, Ordering::Relaxed);
        self.wishes = None;
        if let Some(thread) = self.thread.take() {
            // A panic there has been printed; there is nothing to add to it.
            let _ = thread.join();
        }
    }
}

/// The thread's side.
struct Desk {
    player: Player,
    timeline: Timeline,
    inbox: Receiver<Wish>,
    leaving: Arc<AtomicBool>,
    lead: Duration,
}

impl Desk {
    fn run(mut self) {
        let mut whole = self.prepare(Duration::ZERO);
        let mut next = self.inbox.recv().ok();
        // Held only to keep it sounding: the next wish ends it.
        let mut _playing: Option<Playing> = None;
        while let Some(wish) = next.take() {
            _playing = None;
            if let Wish::Play { position, at } = wish {
                let whole = whole.take();
                let from_start = position + at.elapsed() <= AT_ONCE;
                _playing = match whole.filter(|_| from_start) {
                    Some(whole) => whole.start().ok(),
                    None => match self.join_in(position, at) {
                        Ok(playing) => playing,
                        Err(newer) => {
                            next = Some(newer);
                            continue;
                        }
                    },
                };
            }
            next = self.inbox.recv().ok();
        }
    }

    fn prepare(&self, from: Duration) -> Option<Prepared> {
        let from_ms = u64::try_from(from.as_millis()).unwrap_or(u64::MAX);
        let go_on = || !self.leaving.load(Ordering::Relaxed);
        let prepared = self.player.prepare(&self.timeline, from_ms, &go_on);
        prepared.ok().filter(|_| go_on())
    }

    /// Writes the track from a little ahead of the guide and starts it when the guide is there.
    ///
    /// # Errors
    /// A newer wish that came meanwhile.
    fn join_in(&mut self, position: Duration, at: Instant) -> Result<Option<Playing>, Wish> {
        while self.lead <= LONGEST_LEAD {
            let ahead = at.elapsed() + self.lead;
            if position + ahead >= Duration::from_millis(self.timeline.total_ms) {
                return Ok(None);
            }
            let Some(prepared) = self.prepare(position + ahead) else {
                return Ok(None);
            };
            let Some(wait) = ahead.checked_sub(at.elapsed()) else {
                self.lead *= 2;
                continue;
            };
            return match self.inbox.recv_timeout(wait) {
                Ok(newer) => Err(newer),
                Err(RecvTimeoutError::Disconnected) => Ok(None),
                Err(RecvTimeoutError::Timeout) => Ok(prepared.start().ok()),
            };
        }
        Ok(None)
    }
}

/// A surface whose routine is also heard.
pub(in crate::shell::guide) struct Sounding<'s> {
    shown: &'s mut dyn Surface,
    tones: Option<Tones>,
}

impl<'s> Sounding<'s> {
    /// The surface, with tones if there are any.
    pub(in crate::shell::guide) fn new(shown: &'s mut dyn Surface, tones: Option<Tones>) -> Self {
        Self { shown, tones }
    }

    fn hear(&mut self, what: impl FnOnce(&mut Tones)) {
        if let Some(tones) = &mut self.tones {
            what(tones);
        }
    }
}

impl Surface for Sounding<'_> {
    fn first(&mut self) -> io::Result<()> {
        self.shown.first()
    }

    fn has_keys(&self) -> bool {
        self.shown.has_keys()
    }

    fn press(&mut self, press: Press) -> bool {
        self.shown.press(press)
    }

    fn cue(&mut self, moment: &Moment<'_>) -> io::Result<()> {
        self.hear(|tones| tones.follow(moment));
        self.shown.cue(moment)
    }

    fn frame(&mut self, moment: &Moment<'_>) -> io::Result<()> {
        self.shown.frame(moment)
    }

    fn changed(&mut self, moment: &Moment<'_>) -> io::Result<()> {
        self.hear(|tones| tones.follow(moment));
        self.shown.changed(moment)
    }

    fn next_frame(&self, moment: &Moment<'_>) -> Option<Duration> {
        self.shown.next_frame(moment)
    }

    fn least_gap(&self) -> Duration {
        self.shown.least_gap()
    }

    fn stop(&mut self) -> io::Result<()> {
        self.hear(Tones::silence);
        self.shown.stop()
    }

    fn retake(&mut self) -> io::Result<()> {
        self.shown.retake()
    }

    fn over(&mut self, played: &Played, reached_end: bool) -> io::Result<()> {
        if !reached_end {
            self.hear(Tones::silence);
        }
        self.shown.over(played, reached_end)
    }

    fn lingers(&self) -> Option<Duration> {
        self.shown.lingers()
    }
}

#[cfg(test)]
mod tests;
