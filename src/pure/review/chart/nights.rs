//! Nights as bars from lights out to waking, against the plan.

mod across;

use chrono::NaiveTime;

use super::canvas::{Anchor, Canvas, Ink};
use crate::pure::civil::{Instant, Night, Zone};
use crate::pure::diary::Morning;
use crate::pure::night;
use crate::pure::review::summary::{Records, Span};

const WIDTH: f64 = 760.0;
const LEFT: f64 = 84.0;
const TOP: f64 = 34.0;
const BOTTOM: f64 = 14.0;
const ROW: f64 = 18.0;

/// A night as it is drawn; times in minutes after noon of its evening, by the clock on the wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NightBar {
    /// The night.
    pub night: Night,
    /// Lights out and waking as planned.
    pub planned: (f64, f64),
    /// Lights out, falling asleep, waking as recorded; falling asleep at lights out where it was not
    /// said. `None` = not recorded.
    pub recorded: Option<(f64, f64, f64)>,
}

/// The nights that the mornings of a span are about.
pub(super) fn bars(records: &Records<'_>, span: Span) -> Vec<NightBar> {
    let plan = records.plan;
    span.days()
        .map(|day| {
            let night = Night(day).previous();
            let zone = plan.zone_of(night);
            let planned = night::span(night, &plan.settings.nights, zone);
            let morning = records.recorded.morning(day);
            NightBar {
                night,
                planned: (
                    minutes(night, planned.bedtime.at, zone),
                    minutes(night, planned.wake.at, zone),
                ),
                recorded: morning.and_then(|morning| recorded(morning, records)),
            }
        })
        .collect()
}

fn recorded(morning: &Morning, records: &Records<'_>) -> Option<(f64, f64, f64)> {
    let zone = records.zone(&morning.zone);
    let times = &morning.times;
    let at = |instant| minutes(morning.night, instant, zone);
    let lights_out = times.lights_out.or(times.into_bed)?;
    let woke = times.woke.or(times.up)?;
    let onset = times.measures().onset.unwrap_or(lights_out);
    Some((at(lights_out), at(onset), at(woke)))
}

/// Minutes after noon of the evening that a clock on the wall shows.
fn minutes(night: Night, at: Instant, zone: &Zone) -> f64 {
    let noon = night
        .evening()
        .and_time(NaiveTime::from_hms_opt(12, 0, 0).unwrap_or_default());
    let seconds = (zone.local(at).naive_local() - noon).num_seconds();
    seconds as f64 / 60.0
}

/// More nights than this stand side by side; fewer lie one below the other with their dates.
const MOST_ROWS: usize = 35;

/// The chart.
pub fn nights(bars: &[NightBar]) -> String {
    if bars.len() > MOST_ROWS {
        return across::nights(bars);
    }
    let row = ROW;
    let height = TOP + BOTTOM + row * bars.len() as f64;
    let known = bars.iter().filter(|bar| bar.recorded.is_some()).count();
    let words = format!(
        "{known} of {} nights recorded. Each row is a night from lights out to waking; the lines down the nights are the plan, the fainter piece is the time to fall asleep.",
        bars.len()
    );
    let mut canvas = Canvas::new(WIDTH, height, "Nights", &words);
    let (first, last) = range(bars);
    let x = |minute: f64| LEFT + (minute - first) / (last - first) * (WIDTH - LEFT - 16.0);
    hours(&mut canvas, (first, last), height - BOTTOM, &x);
    for (index, bar) in bars.iter().enumerate() {
        let y = TOP + row * index as f64;
        draw(&mut canvas, bar, y, row, &x);
        let label = bar.night.evening().format("%a %-d %b").to_string();
        let at = (LEFT - 8.0, y + row / 2.0 + 4.0);
        canvas.text(at, Anchor::End, bar.recorded.is_none(), &label);
    }
    canvas.document()
}

fn draw(canvas: &mut Canvas, bar: &NightBar, top: f64, row: f64, x: &impl Fn(f64) -> f64) {
    let inset = row * 0.12;
    let (y, height) = (top + inset, row - 2.0 * inset);
    if let Some((lights_out, onset, woke)) = bar.recorded {
        let title = title(bar.night, lights_out, woke);
        let waiting = (x(onset) - x(lights_out), height);
        canvas.bar((x(lights_out), y), waiting, Ink::Faint, "");
        canvas.bar(
            (x(onset), y),
            (x(woke) - x(onset), height),
            Ink::Recorded,
            &title,
        );
    }
    // The marks of one night touch those of the next, so that the plan reads as a line down the nights.
    for planned in [bar.planned.0, bar.planned.1] {
        canvas.line((x(planned), top), (x(planned), top + row), Ink::Planned);
    }
}

fn hours(canvas: &mut Canvas, (first, last): (f64, f64), bottom: f64, x: &impl Fn(f64) -> f64) {
    let mut hour = (first / 60.0).ceil() * 60.0;
    while hour <= last {
        canvas.line((x(hour), TOP - 6.0), (x(hour), bottom), Ink::Grid);
        canvas.text((x(hour), TOP - 12.0), Anchor::Middle, true, &clock(hour));
        hour += 120.0;
    }
}

/// Whole hours around everything drawn; at least an evening to a morning.
fn range(bars: &[NightBar]) -> (f64, f64) {
    let (mut first, mut last) = (10.0 * 60.0, 19.0 * 60.0);
    for bar in bars {
        let (bedtime, wake) = bar.planned;
        let (lights_out, _, woke) = bar.recorded.unwrap_or((bedtime, bedtime, wake));
        first = f64::min(first, bedtime.min(lights_out));
        last = f64::max(last, wake.max(woke));
    }
    ((first / 60.0).floor() * 60.0, (last / 60.0).ceil() * 60.0)
}

fn title(night: Night, lights_out: f64, woke: f64) -> String {
    let (lights_out, woke) = (clock(lights_out), clock(woke));
    format!("{night}: lights out {lights_out}, woke {woke}")
}

/// The time of day of minutes after noon.
fn clock(minute: f64) -> String {
    let of_day = (minute.round() + 12.0 * 60.0).rem_euclid(1440.0);
    format!("{:02.0}:{:02.0}", (of_day / 60.0).floor(), of_day % 60.0)
}
