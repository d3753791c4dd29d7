//! The screen while it plays: what is drawn when, keys, and standing still.

use proptest::prelude::*;
use ratatui::Terminal;
use ratatui::backend::TestBackend;

use super::super::run::{Moment, Surface};
use super::super::terminal::{Hand, Screen};
use super::*;
use crate::shell::guide::tests::pictures::rows;

/// Takes down the position and the picture whenever something was drawn.
struct Watched<'s> {
    screen: Screen<'s, TestBackend>,
    drawn: Vec<(Duration, String)>,
    stops: usize,
    last: Option<String>,
}

impl Watched<'_> {
    fn note(&mut self, position: Duration) -> io::Result<()> {
        let picture = rows(self.screen.backend().buffer());
        self.drawn.push((position, picture));
        Ok(())
    }
}

impl Surface for Watched<'_> {
    fn first(&mut self) -> io::Result<()> {
        self.screen.first()?;
        self.note(Duration::ZERO)
    }
    fn has_keys(&self) -> bool {
        self.screen.has_keys()
    }
    fn press(&mut self, press: Press) -> bool {
        self.screen.press(press)
    }
    fn cue(&mut self, moment: &Moment<'_>) -> io::Result<()> {
        self.screen.cue(moment)?;
        self.note(moment.position)
    }
    fn frame(&mut self, moment: &Moment<'_>) -> io::Result<()> {
        self.screen.frame(moment)?;
        self.note(moment.position)
    }
    fn changed(&mut self, moment: &Moment<'_>) -> io::Result<()> {
        self.screen.changed(moment)?;
        self.note(moment.position)
    }
    fn next_frame(&self, moment: &Moment<'_>) -> Option<Duration> {
        self.screen.next_frame(moment)
    }
    fn least_gap(&self) -> Duration {
        self.screen.least_gap()
    }
    fn stop(&mut self) -> io::Result<()> {
        self.stops += 1;
        self.screen.stop()
    }
    fn retake(&mut self) -> io::Result<()> {
        self.stops += 1;
        self.screen.retake()
    }
    fn over(&mut self, played: &Played, reached_end: bool) -> io::Result<()> {
        self.screen.over(played, reached_end)?;
        self.last = Some(rows(self.screen.backend().buffer()));
        Ok(())
    }
    fn lingers(&self) -> Option<Duration> {
        self.screen.lingers()
    }
}

struct Shown {
    drawn: Vec<(Duration, String)>,
    last: String,
    stops: usize,
    played: Played,
    until: Duration,
}

impl Shown {
    fn between(&self, from: f64, to: f64) -> Vec<&(Duration, String)> {
        self.drawn
            .iter()
            .filter(|(at, _)| (s(from)..s(to)).contains(at))
            .collect()
    }
}

/// A terminal that is neither given back nor taken.
const HELD: Hand = Hand {
    step_aside: || Ok(()),
    retake: || Ok(()),
};

fn play(pace: f64, mut waiter: Scripted) -> Shown {
    let (timeline, mut words) = (timeline(), guide_words());
    // Pictures of the figure are compared elsewhere; here they would only cost time.
    words.steps.iter_mut().for_each(|step| step.figure = None);
    let terminal = Terminal::new(TestBackend::new(80, 24)).expect("a buffer");
    let screen = Screen::new(terminal, &timeline, &words, UNCOLOURED, HELD).expect("cues");
    let mut watched = Watched {
        screen,
        drawn: Vec::new(),
        stops: 0,
        last: None,
    };
    let player = Player::new(&timeline, Pace::times(pace).expect("in range")).expect("cues");
    let played = run(player, &mut watched, &mut waiter, &mut |_| {}).expect("played");
    let Watched {
        drawn, stops, last, ..
    } = watched;
    Shown {
        drawn,
        last: last.expect("an end"),
        stops,
        played,
        until: waiter.now,
    }
}

#[test]
fn a_held_side_is_drawn_once_a_second_and_a_breath_twelve_times() {
    let shown = play(1.0, Scripted::new(&[key(0.0, Press::Enter)]));
    let held: Vec<Duration> = shown.between(5.0, 25.0).iter().map(|(at, _)| *at).collect();
    assert_eq!(held, (5..25).map(Duration::from_secs).collect::<Vec<_>>());
    let breath = shown.between(60.0, 70.0).len();
    assert!(
        (110..=121).contains(&breath),
        "{breath} pictures in ten seconds"
    );
    let cues = timeline().cues;
    for cue in cues.iter().skip(1).take(9) {
        let at = Duration::from_millis(cue.at_ms);
        assert!(
            shown.drawn.iter().any(|(drawn, _)| *drawn == at),
            "a cue is drawn at its instant"
        );
        let shortly_before = at - Duration::from_millis(20);
        let near = shown
            .drawn
            .iter()
            .filter(|(drawn, _)| (shortly_before..at).contains(drawn));
        assert_eq!(near.count(), 0, "nothing is drawn in the way of a cue");
    }
}

#[test]
fn the_number_counts_from_the_hold_to_one() {
    let shown = play(1.0, Scripted::new(&[key(0.0, Press::Enter)]));
    for (at, picture) in shown.between(5.0, 25.0) {
        let left = 25 - at.as_secs();
        assert!(
            picture.contains(&format!("{left:>3} s  ")),
            "{left} s in\n{picture}"
        );
    }
}

#[test]
fn a_rehearsal_does_not_draw_more_often() {
    let shown = play(40.0, Scripted::new(&[key(0.0, Press::Enter)]));
    assert!(
        shown.drawn.len() <= 2 + 10 + 25,
        "{} pictures in two seconds",
        shown.drawn.len()
    );
}

#[test]
fn nothing_is_drawn_while_paused() {
    let events = [
        key(0.0, Press::Enter),
        key(63.0, Press::Space),
        key(90.0, Press::Space),
    ];
    let shown = play(1.0, Scripted::new(&events));
    let still = shown.drawn.iter().filter(|(at, _)| *at == s(63.0)).count();
    assert!(still <= 3, "{still} pictures while nothing moved");
    assert!(
        shown
            .drawn
            .iter()
            .any(|(_, picture)| picture.contains("Paused. Space goes on."))
    );
    assert_eq!(shown.played.seconds_done(), 80);
}

#[test]
fn a_suspend_stands_still_and_says_so() {
    let mut waiter = Scripted::new(&[key(0.0, Press::Enter), key(30.0, Press::Space)]);
    waiter.sleeps.push_back((s(12.5), s(900.0)));
    let shown = play(1.0, waiter);
    let said = |picture: &str| picture.contains("Interrupted. Space goes on.");
    let first = shown
        .drawn
        .iter()
        .find(|(_, picture)| said(picture))
        .expect("said");
    assert_eq!(first.0, s(13.0), "at the next wake");
    assert_eq!(shown.played.seconds_done(), 80);
}

#[test]
fn stopping_hands_the_terminal_over_and_stays_paused() {
    let events = [
        key(0.0, Press::Enter),
        (10.0, Event::Stop),
        key(40.0, Press::Enter),
        key(50.0, Press::End),
    ];
    let shown = play(1.0, Scripted::new(&events));
    assert_eq!((shown.stops, shown.played.seconds_done()), (1, 20));
    assert!(
        shown
            .drawn
            .iter()
            .any(|(at, picture)| *at == s(10.0) && picture.contains("Paused"))
    );
}

#[test]
fn a_stop_nobody_asked_for_is_an_interruption_and_the_screen_is_drawn_anew() {
    // Nothing happens between 10 and 40 s: the program was stopped, then continued.
    let events = [
        key(0.0, Press::Enter),
        (10.0, Event::Continued),
        key(50.0, Press::End),
    ];
    let mut waiter = Scripted::new(&events);
    waiter.stopped = Some((s(9.5), s(40.0)));
    let shown = play(1.0, waiter);
    assert_eq!((shown.stops, shown.played.seconds_done()), (1, 10));
    let last = &shown.drawn.last().expect("drawn").1;
    assert!(last.contains("Interrupted. Space goes on."), "{last}");
}

#[test]
fn help_lies_over_the_page_until_a_key() {
    let events = [
        key(0.0, Press::Help),
        key(1.0, Press::Other),
        key(2.0, Press::Other),
        key(12.0, Press::Help),
        key(20.0, Press::Space),
        key(30.0, Press::End),
    ];
    let shown = play(1.0, Scripted::new(&events));
    let helped = shown
        .drawn
        .iter()
        .filter(|(_, picture)| picture.contains("this list"));
    assert!(helped.count() >= 2);
    assert_eq!(
        shown.played.seconds_done(),
        28,
        "the key that closes it does nothing else"
    );
}

#[test]
fn the_last_screen_stays_until_a_key_or_ten_minutes() {
    let shown = play(1.0, Scripted::new(&[key(0.0, Press::Enter)]));
    assert_eq!(shown.until, s(680.0));
    assert!(
        shown.last.contains("That is all for tonight.")
            && shown.last.contains("All of it, 1 min 20 s.")
    );
    assert!(shown.last.contains("Lights out is planned for 22:30."));
    let shown = play(
        1.0,
        Scripted::new(&[key(0.0, Press::Enter), key(95.0, Press::Other)]),
    );
    assert_eq!(shown.until, s(95.0));
    let shown = play(
        1.0,
        Scripted::new(&[key(0.0, Press::Enter), key(75.0, Press::End)]),
    );
    assert_eq!(
        (shown.until, shown.played.outcome()),
        (s(75.0), Outcome::Partly)
    );
}

fn anything() -> impl Strategy<Value = Vec<(u64, Event)>> {
    let press = prop::sample::select(vec![
        Press::Enter,
        Press::Space,
        Press::Space,
        Press::Back,
        Press::Skip,
        Press::Skip,
        Press::Help,
        Press::Up,
        Press::Down,
        Press::Redraw,
        Press::Other,
    ]);
    let event = prop_oneof![
        12 => press.prop_map(Event::Press),
        1 => Just(Event::Press(Press::End)),
        1 => Just(Event::Resize),
        1 => Just(Event::Stop),
        1 => Just(Event::Continued),
        1 => Just(Event::Finish),
    ];
    prop::collection::vec((0_u64..20_000, event), 0..25)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Whatever is pressed and however the machine sleeps: the guide ends, tells of the start at most
    /// once and of the end exactly once, and never claims more than there was time for.
    #[test]
    fn whatever_comes_it_ends_and_tells_the_truth(
        events in anything(), sleeps in prop::collection::vec((0_u64..90_000, 3_000_u64..9_000_000), 0..3),
    ) {
        let mut at = 0;
        let events: Vec<(f64, Event)> = events
            .into_iter()
            .map(|(wait, event)| {
                at += wait;
                (at as f64 / 1000.0, event)
            })
            .collect();
        let mut waiter = Scripted::new(&events);
        let ms = Duration::from_millis;
        waiter.sleeps = sleeps.into_iter().map(|(at, length)| (ms(at), ms(length))).collect();
        let (timeline, words) = (timeline(), guide_words());
        let terminal = Terminal::new(TestBackend::new(20, 6)).expect("a buffer");
        let mut screen = Screen::new(terminal, &timeline, &words, UNCOLOURED, HELD).expect("cues");
        let player = Player::new(&timeline, Pace::REAL).expect("cues");
        let mut told = Vec::new();
        let played = run(player, &mut screen, &mut waiter, &mut |what| told.push(what.clone()))
            .expect("a buffer takes all");
        let over = Told::Over(played.clone());
        match played.started {
            Some(at) => prop_assert_eq!(told, [Told::Started(at), over]),
            None => prop_assert_eq!(told, [over]),
        }
        prop_assert!(played.seconds_done() <= played.total_seconds());
        prop_assert!(played.progress.played <= waiter.now);
        prop_assert_eq!(played.seconds_done() == 80, played.outcome() == Outcome::Done);
    }
}
