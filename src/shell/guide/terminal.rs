//! The guide on a terminal: takes it, draws on it, reads its keys, and gives it back whatever happens.

use std::error::Error;
use std::io::{self, Stdout};
use std::panic;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::Sender;
use std::sync::{Arc, Once};
use std::thread;
use std::time::Duration;

use crossterm::cursor::{Hide, Show};
use crossterm::event::{self, Event as Input, KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use crossterm::execute;
use crossterm::terminal::{
    EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode,
};
use ratatui::backend::{Backend, CrosstermBackend};
use ratatui::layout::Rect;
use ratatui::{Terminal, TerminalOptions, Viewport};

use super::draw::{self, Page, Scene};
use super::look::Look;
use super::pacer::{Event, Press};
use super::run::{Moment, Surface};
use super::words::GuideWords;
use super::{Played, signals};
use crate::pure::pace::{Pace, Player, Trace};
use crate::pure::routine::{CueKind, Timeline};

/// Frames of the breath picture: twelve a second.
const FRAME: Duration = Duration::from_nanos(1_000_000_000 / 12);
/// No faster than this, whatever the pace of a rehearsal.
const LEAST_GAP: Duration = Duration::from_millis(80);
/// The last screen leaves by itself after this: somebody may have fallen asleep before it.
const LINGERS: Duration = Duration::from_secs(600);

/// The terminal, taken. Dropping it gives the terminal back.
pub struct Taken;

impl Taken {
    /// Takes the terminal: raw keys, the other screen, no cursor. A panic gives it back first.
    ///
    /// # Errors
    /// Where there is no terminal to take.
    pub fn take() -> io::Result<Self> {
        static HOOK: Once = Once::new();
        HOOK.call_once(|| {
            let before = panic::take_hook();
            panic::set_hook(Box::new(move |info| {
                give_back();
                before(info);
            }));
        });
        enter()?;
        Ok(Self)
    }
}

impl Drop for Taken {
    fn drop(&mut self) {
        give_back();
    }
}

/// Whether the terminal is taken: leaving the other screen twice would move the cursor.
static TAKEN: AtomicBool = AtomicBool::new(false);

fn enter() -> io::Result<()> {
    enable_raw_mode()?;
    TAKEN.store(true, Ordering::SeqCst);
    execute!(io::stdout(), EnterAlternateScreen, Hide).inspect_err(|_| give_back())
}

/// Gives the terminal back as well as it can be; there is nobody to tell if that fails.
fn give_back() {
    if TAKEN.swap(false, Ordering::SeqCst) {
        let _ = execute!(io::stdout(), Show, LeaveAlternateScreen);
        let _ = disable_raw_mode();
    }
}

/// How a screen gives its terminal away and takes it again.
#[derive(Clone, Copy)]
pub struct Hand {
    /// Gives it back, stops the program, and takes it when continued.
    pub step_aside: fn() -> io::Result<()>,
    /// Takes it after somebody else may have used it.
    pub retake: fn() -> io::Result<()>,
}

impl Hand {
    /// For the terminal of this process.
    pub const OWN: Self = Self { step_aside, retake };
}

fn step_aside() -> io::Result<()> {
    give_back();
    signals::stop_here()?;
    enter()
}

fn retake() -> io::Result<()> {
    // Raw mode is on as far as this program knows; only off and on again sets it anew.
    disable_raw_mode()?;
    enter()
}

/// Taken where a terminal does not know its size (serial lines, some wrappers say 0 by 0).
const USUAL_SIZE: Rect = Rect::new(0, 0, 80, 24);

/// The terminal of this process to draw on.
///
/// # Errors
/// Where its size cannot be read.
pub fn canvas() -> io::Result<Terminal<CrosstermBackend<Stdout>>> {
    let backend = CrosstermBackend::new(io::stdout());
    let size = backend.size()?;
    if size.width == 0 || size.height == 0 {
        let viewport = Viewport::Fixed(USUAL_SIZE);
        return Terminal::with_options(backend, TerminalOptions { viewport });
    }
    Terminal::new(backend)
}

/// Draws a routine on a terminal.
pub struct Screen<'s, B: Backend> {
    terminal: Terminal<B>,
    words: &'s GuideWords,
    look: Look,
    trace: Trace,
    /// A player that never starts: the first page and the last are about a routine that does not run.
    idle: Player<'s>,
    first_page: bool,
    help: bool,
    scroll: u16,
    hand: Hand,
}

impl<'s, B: Backend> Screen<'s, B>
where
    B::Error: Error + Send + Sync + 'static,
{
    /// A screen for a timeline; `None` for one without cues.
    pub fn new(
        terminal: Terminal<B>,
        timeline: &'s Timeline,
        words: &'s GuideWords,
        look: Look,
        hand: Hand,
    ) -> Option<Self> {
        Some(Self {
            terminal,
            words,
            look,
            trace: Trace::of(timeline, words.second_inhale),
            idle: Player::new(timeline, Pace::REAL)?,
            first_page: true,
            help: false,
            scroll: 0,
            hand,
        })
    }

    /// What is drawn.
    #[cfg(test)]
    pub fn backend(&self) -> &B {
        self.terminal.backend()
    }

    fn draw(&mut self, player: Option<&Player<'_>>, page: Page) -> io::Result<()> {
        let scene = Scene {
            words: self.words,
            player: player.unwrap_or(&self.idle),
            trace: &self.trace,
            help: self.help,
        };
        let look = self.look;
        let mut below = 0;
        self.terminal
            .draw(|frame| below = draw::draw(frame.buffer_mut(), &scene, page, look))
            .map_err(io::Error::other)?;
        self.scroll = self.scroll.min(below);
        Ok(())
    }

    fn play_page(&mut self, moment: &Moment<'_>) -> io::Result<()> {
        let page = Page::Play {
            position: moment.position,
            note: moment.note,
        };
        self.draw(Some(moment.player), page)
    }
}

impl<B: Backend> Surface for Screen<'_, B>
where
    B::Error: Error + Send + Sync + 'static,
{
    fn first(&mut self) -> io::Result<()> {
        self.draw(
            None,
            Page::First {
                scroll: self.scroll,
            },
        )
    }

    fn has_keys(&self) -> bool {
        true
    }

    fn press(&mut self, press: Press) -> bool {
        if self.help && press != Press::End {
            self.help = false;
            return true;
        }
        match press {
            Press::Help => self.help = true,
            Press::Down if self.first_page => self.scroll = self.scroll.saturating_add(1),
            Press::Up if self.first_page => self.scroll = self.scroll.saturating_sub(1),
            _ => return false,
        }
        true
    }

    fn cue(&mut self, moment: &Moment<'_>) -> io::Result<()> {
        self.first_page = false;
        self.play_page(moment)
    }

    fn frame(&mut self, moment: &Moment<'_>) -> io::Result<()> {
        self.play_page(moment)
    }

    fn changed(&mut self, moment: &Moment<'_>) -> io::Result<()> {
        self.help = false;
        self.play_page(moment)
    }

    /// A held side changes once a second, a breath twelve times.
    fn next_frame(&self, moment: &Moment<'_>) -> Option<Duration> {
        if self.help {
            return None;
        }
        let place = moment.player.place(moment.position);
        let on = |nanos: u128| u64::try_from(nanos).ok().map(Duration::from_nanos);
        match place.cue.kind {
            CueKind::Move | CueKind::Stretch => {
                let seconds = place.left.as_nanos().checked_sub(1)? / 1_000_000_000;
                let left = on(seconds * 1_000_000_000).filter(|left| !left.is_zero())?;
                Some(moment.position + place.left.saturating_sub(left))
            }
            CueKind::Inhale | CueKind::Hold | CueKind::Exhale | CueKind::HoldOut => {
                let frame = FRAME.as_nanos();
                on((moment.position.as_nanos() / frame + 1) * frame)
            }
            CueKind::End => None,
        }
    }

    fn least_gap(&self) -> Duration {
        LEAST_GAP
    }

    fn stop(&mut self) -> io::Result<()> {
        (self.hand.step_aside)()?;
        self.terminal.clear().map_err(io::Error::other)
    }

    fn retake(&mut self) -> io::Result<()> {
        (self.hand.retake)()?;
        self.terminal.clear().map_err(io::Error::other)
    }

    fn over(&mut self, played: &Played, reached_end: bool) -> io::Result<()> {
        if !reached_end {
            return Ok(());
        }
        self.help = false;
        self.draw(
            None,
            Page::End {
                progress: played.progress,
            },
        )
    }

    fn lingers(&self) -> Option<Duration> {
        Some(LINGERS)
    }
}

/// Reads keys until dropped.
pub struct Keys(Arc<AtomicBool>);

impl Keys {
    /// Sends an event for each key and each new size. The thread looks twice a second whether it is
    /// still wanted, so that it does not swallow a key after the guide.
    ///
    /// # Errors
    /// Where no thread can be started.
    pub fn start(events: Sender<Event>) -> io::Result<Self> {
        let ended = Arc::new(AtomicBool::new(false));
        let seen = Arc::clone(&ended);
        thread::Builder::new()
            .name("keys".to_owned())
            .spawn(move || {
                while !seen.load(Ordering::Relaxed) {
                    let event = match event::poll(Duration::from_millis(500)) {
                        Ok(false) => continue,
                        Ok(true) => {
                            event::read().map_or(Some(Event::Finish), |input| meaning(&input))
                        }
                        Err(_) => Some(Event::Finish),
                    };
                    let Some(event) = event else { continue };
                    if events.send(event).is_err() || event == Event::Finish {
                        return;
                    }
                }
            })?;
        Ok(Self(ended))
    }
}

impl Drop for Keys {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

/// What a key or another input of the terminal means.
fn meaning(input: &Input) -> Option<Event> {
    match input {
        Input::Resize(..) => Some(Event::Resize),
        Input::Key(KeyEvent {
            code,
            modifiers,
            kind: KeyEventKind::Press,
            ..
        }) => {
            if modifiers.contains(KeyModifiers::CONTROL) {
                return match code {
                    KeyCode::Char('c' | 'd') => Some(Event::Press(Press::End)),
                    KeyCode::Char('z') => Some(Event::Stop),
                    KeyCode::Char('l') => Some(Event::Press(Press::Redraw)),
                    _ => None,
                };
            }
            Some(Event::Press(match code {
                KeyCode::Enter => Press::Enter,
                KeyCode::Char(' ') => Press::Space,
                KeyCode::Left | KeyCode::Char('b') => Press::Back,
                KeyCode::Right | KeyCode::Char('n') => Press::Skip,
                KeyCode::Char('q') | KeyCode::Esc => Press::End,
                KeyCode::Char('?') => Press::Help,
                KeyCode::Up | KeyCode::PageUp => Press::Up,
                KeyCode::Down | KeyCode::PageDown => Press::Down,
                _ => Press::Other,
            }))
        }
        _ => None,
    }
}
