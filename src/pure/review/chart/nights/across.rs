//! Many nights side by side: a column a night, evening at the top, so that weeks of them fit a page and
//! stand over the same days as the ratings.

use chrono::{Datelike, NaiveDate, Weekday};

use super::{LEFT, NightBar, WIDTH, clock, range, title};
use crate::pure::review::chart::canvas::{Anchor, Canvas, Ink};

const TOP: f64 = 16.0;
const TALL: f64 = 230.0;
const BOTTOM: f64 = 26.0;

/// Labels along the bottom, at most.
const LABELS: usize = 10;

/// The chart.
pub(super) fn nights(bars: &[NightBar]) -> String {
    let known = bars.iter().filter(|bar| bar.recorded.is_some()).count();
    let words = format!(
        "{known} of {} nights recorded. Each column is a night from lights out at its top to waking; the lines across the nights are the plan, the fainter piece is the time to fall asleep.",
        bars.len()
    );
    let height = TOP + TALL + BOTTOM;
    let mut canvas = Canvas::new(WIDTH, height, "Nights", &words);
    let (first, last) = range(bars);
    let y = |minute: f64| TOP + (minute - first) / (last - first) * TALL;
    let wide = (WIDTH - LEFT - 24.0) / bars.len() as f64;
    let x = |index: usize| LEFT + wide * index as f64;
    hours(&mut canvas, (first, last), (x(0), x(bars.len())), &y);
    for (index, bar) in bars.iter().enumerate() {
        draw(&mut canvas, bar, (x(index), wide), &y);
    }
    let evenings = bars.iter().map(|bar| bar.night.evening());
    for (index, evening) in labelled(evenings) {
        let label = evening.format("%-d %b").to_string();
        canvas.text((x(index), height - 8.0), Anchor::Middle, true, &label);
    }
    canvas.document()
}

/// Mondays where they fit, else the first of a month, else of a year's quarter or of a year.
fn labelled(evenings: impl Iterator<Item = NaiveDate> + Clone) -> Vec<(usize, NaiveDate)> {
    let first_of =
        |months: u32| move |day: NaiveDate| day.day() == 1 && day.month0().is_multiple_of(months);
    let rules: [&dyn Fn(NaiveDate) -> bool; 5] = [
        &|day| day.weekday() == Weekday::Mon,
        &first_of(1),
        &first_of(3),
        &first_of(12),
        &|day| first_of(12)(day) && day.year() % 10 == 0,
    ];
    let chosen = |rule: &dyn Fn(NaiveDate) -> bool| -> Vec<(usize, NaiveDate)> {
        let numbered = evenings.clone().enumerate();
        numbered.filter(|(_, day)| rule(*day)).collect()
    };
    rules
        .iter()
        .map(|rule| chosen(*rule))
        .find(|labels| labels.len() <= LABELS)
        .unwrap_or_default()
}

fn draw(canvas: &mut Canvas, bar: &NightBar, (left, wide): (f64, f64), y: &impl Fn(f64) -> f64) {
    let inset = wide * 0.12;
    let (x, across) = (left + inset, wide - 2.0 * inset);
    if let Some((lights_out, onset, woke)) = bar.recorded {
        let waiting = (across, y(onset) - y(lights_out));
        canvas.bar((x, y(lights_out)), waiting, Ink::Faint, "");
        let title = title(bar.night, lights_out, woke);
        let asleep = (across, y(woke) - y(onset));
        canvas.bar((x, y(onset)), asleep, Ink::Recorded, &title);
    }
    // The marks of one night touch those of the next, so that the plan reads as a line over the nights.
    for planned in [bar.planned.0, bar.planned.1] {
        canvas.line((left, y(planned)), (left + wide, y(planned)), Ink::Planned);
    }
}

fn hours(
    canvas: &mut Canvas,
    (first, last): (f64, f64),
    (left, right): (f64, f64),
    y: &impl Fn(f64) -> f64,
) {
    let mut hour = (first / 120.0).ceil() * 120.0;
    while hour <= last {
        canvas.line((left, y(hour)), (right, y(hour)), Ink::Grid);
        canvas.text((LEFT - 8.0, y(hour) + 4.0), Anchor::End, true, &clock(hour));
        hour += 120.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn however_many_nights_the_labels_stay_apart() {
        let first: NaiveDate = "2016-01-04".parse().expect("date");
        for (nights, labels) in [
            (36, 6),
            (63, 9),
            (100, 3),
            (365, 4),
            (3653, 10),
            (20_000, 6),
        ] {
            let found = labelled(first.iter_days().take(nights));
            assert_eq!(found.len(), labels, "{nights}: {found:?}");
        }
        let found = labelled(first.iter_days().take(63));
        assert_eq!(found[1], (7, "2016-01-11".parse().expect("date")));
    }
}
