//! The pictures at several sizes, compared with those kept in `tests/data/guide`.

use proptest::prelude::*;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::{Color, Modifier};

use super::super::draw::{Page, Scene, draw};
use super::super::run::Note;
use super::*;
use crate::pure::pace::Trace;

const ASCII: Look = Look {
    colours: Colours::None,
    letters: Letters::Ascii,
};

/// The text of a buffer, rows without their trailing spaces.
pub fn rows(buffer: &Buffer) -> String {
    let width = usize::from(buffer.area.width.max(1));
    let symbols: Vec<&str> = buffer.content.iter().map(|cell| cell.symbol()).collect();
    let lines = symbols
        .chunks(width)
        .map(|row| row.concat().trim_end().to_owned());
    lines.collect::<Vec<_>>().join("\n")
}

fn drawn(width: u16, height: u16, page: Page, look: Look, help: bool) -> (Buffer, u16) {
    let (timeline, words) = (timeline(), guide_words());
    let player = Player::new(&timeline, Pace::REAL).expect("cues");
    let trace = Trace::of(&timeline, Duration::ZERO);
    let scene = Scene {
        words: &words,
        player: &player,
        trace: &trace,
        help,
    };
    let mut buffer = Buffer::empty(Rect::new(0, 0, width, height));
    let below = draw(&mut buffer, &scene, page, look);
    (buffer, below)
}

fn at(seconds: f64) -> Page {
    Page::Play {
        position: s(seconds),
        note: Note::Playing,
    }
}

fn paused(seconds: f64) -> Page {
    Page::Play {
        position: s(seconds),
        note: Note::Paused,
    }
}

fn end() -> Page {
    let timeline = timeline();
    let mut player = Player::new(&timeline, Pace::REAL).expect("cues");
    player.start(Duration::ZERO);
    Page::End {
        progress: player.progress(s(50.0)),
    }
}

fn compare(name: &str, page: Page, look: Look, help: bool) {
    for (width, height) in [(80, 24), (60, 16), (40, 12)] {
        let picture = rows(&drawn(width, height, page, look, help).0);
        as_kept(&format!("{name}_{width}x{height}.txt"), &picture);
    }
}

#[test]
fn pictures_are_as_kept() {
    compare("first", Page::First { scroll: 0 }, UNCOLOURED, false);
    compare("ready", at(27.0), UNCOLOURED, false);
    compare("held", at(12.0), UNCOLOURED, false);
    compare("inhale", at(62.5), UNCOLOURED, false);
    compare("exhale_paused", paused(67.0), UNCOLOURED, false);
    compare("exhale_ascii", at(67.0), ASCII, false);
    compare("end", end(), UNCOLOURED, false);
    compare("keys", at(12.0), UNCOLOURED, true);
}

#[test]
fn the_stop_rule_is_on_the_first_screen_or_one_can_scroll_to_it() {
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    for (width, height) in [(80, 24), (60, 16)] {
        let text = flat(&rows(
            &drawn(width, height, Page::First { scroll: 0 }, UNCOLOURED, false).0,
        ));
        assert!(
            text.contains(safety::STOP_RULE) && text.contains(safety::LIMITS),
            "{width}x{height}"
        );
    }
    for (width, height) in [(40, 8), (24, 6)] {
        let (first, below) = drawn(width, height, Page::First { scroll: 0 }, UNCOLOURED, false);
        assert!(below > 0 && rows(&first).contains("Enter starts"));
        let seen: Vec<String> = (0..=below)
            .flat_map(|scroll| {
                let buffer = drawn(width, height, Page::First { scroll }, UNCOLOURED, false).0;
                let text = rows(&buffer);
                text.lines()
                    .nth(1)
                    .map(str::to_owned)
                    .into_iter()
                    .collect::<Vec<_>>()
            })
            .collect();
        assert!(flat(&seen.join(" ")).contains("Breathe normally and stop if you feel dizzy"));
    }
}

#[test]
fn in_a_locale_without_unicode_everything_is_ascii() {
    let pages = [
        Page::First { scroll: 0 },
        at(2.0),
        at(12.0),
        at(62.0),
        paused(67.0),
        end(),
    ];
    for page in pages {
        for help in [false, true] {
            let text = rows(&drawn(80, 24, page, ASCII, help).0);
            assert!(text.is_ascii(), "{text}");
        }
    }
}

#[test]
fn without_colour_no_cell_carries_any_style() {
    for page in [
        Page::First { scroll: 0 },
        at(12.0),
        at(62.0),
        paused(67.0),
        end(),
    ] {
        let (buffer, _) = drawn(80, 24, page, UNCOLOURED, false);
        for cell in &buffer.content {
            assert_eq!(
                (cell.fg, cell.bg, cell.modifier),
                (Color::Reset, Color::Reset, Modifier::empty())
            );
        }
    }
}

#[test]
fn the_ground_is_dark_in_every_cell_where_colours_are_used() {
    for colours in [Colours::Sixteen, Colours::Many, Colours::True] {
        let look = Look {
            colours,
            letters: Letters::Unicode,
        };
        let ground = look.text().bg.expect("a ground");
        for page in [Page::First { scroll: 0 }, at(12.0), at(62.0), end()] {
            let (buffer, _) = drawn(80, 24, page, look, false);
            assert!(
                buffer.content.iter().all(|cell| cell.bg == ground),
                "{colours:?}"
            );
            let blinks = Modifier::SLOW_BLINK | Modifier::RAPID_BLINK | Modifier::REVERSED;
            assert!(
                buffer
                    .content
                    .iter()
                    .all(|cell| !cell.modifier.intersects(blinks))
            );
        }
    }
}

/// The largest step of the marker between two frames is one row: it moves, it does not jump.
#[test]
fn the_marker_moves_row_by_row() {
    let row = |position: Duration| {
        let page = Page::Play {
            position,
            note: Note::Playing,
        };
        let text = rows(&drawn(80, 24, page, UNCOLOURED, false).0);
        text.lines()
            .position(|line| line.contains('\u{25cf}'))
            .expect("a marker")
    };
    let frames: Vec<usize> = (0..360)
        .map(|frame| row(s(50.0) + Duration::from_millis(frame * 83)))
        .collect();
    assert!(frames.windows(2).all(|pair| pair[0].abs_diff(pair[1]) <= 1));
    assert!(frames.iter().max() > frames.iter().min());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn every_size_can_be_drawn(
        width in 0_u16..140, height in 0_u16..50, ms in 0_u64..81_000, unicode: bool, help: bool,
        scroll in 0_u16..40,
    ) {
        let letters = if unicode { Letters::Unicode } else { Letters::Ascii };
        let look = Look { colours: Colours::True, letters };
        let position = Duration::from_millis(ms.min(80_000));
        let page = Page::Play { position, note: Note::Playing };
        for page in [Page::First { scroll }, page, end()] {
            drawn(width, height, page, look, help);
        }
        if width >= 30 && height >= 1 && !help && ms < 80_000 {
            let timeline = timeline();
            let player = Player::new(&timeline, Pace::REAL).expect("cues");
            let left = words::seconds_left(player.place(position).left).to_string();
            let text = rows(&drawn(width, height, page, look, false).0);
            prop_assert!(text.contains(&left), "{left} s are not on\n{text}");
        }
    }
}
