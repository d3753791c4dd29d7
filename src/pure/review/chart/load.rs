//! Load by week as bars, with the plan as a line across each.

use super::canvas::{Anchor, Canvas, Ink};
use crate::pure::load::total;
use crate::pure::phrase::counted;
use crate::pure::review::summary::LoadWeek;

const WIDTH: f64 = 760.0;
const HEIGHT: f64 = 200.0;
const LEFT: f64 = 84.0;
const TOP: f64 = 24.0;
const BOTTOM: f64 = 34.0;

/// The chart.
pub fn load_by_week(weeks: &[LoadWeek]) -> String {
    let total = total(weeks.iter().map(|week| week.week.known_load));
    let words = format!(
        "{total:.0} AU of load in {}. Each bar is a week; the line across it is what was planned.",
        counted(weeks.len(), "weeks")
    );
    let mut canvas = Canvas::new(WIDTH, HEIGHT, "Load by week", &words);
    let most = weeks
        .iter()
        .map(|week| week.week.known_load.max(week.planned))
        .fold(0.0, f64::max);
    let step = round_step(most);
    let top = (most / step).ceil().max(1.0) * step;
    let bottom = HEIGHT - BOTTOM;
    let y = |load: f64| bottom - load / top * (bottom - TOP);
    let mut mark = 0.0;
    while mark <= top {
        canvas.line((LEFT, y(mark)), (WIDTH - 24.0, y(mark)), Ink::Grid);
        let at = (LEFT - 8.0, y(mark) + 4.0);
        canvas.text(at, Anchor::End, true, &format!("{mark:.0}"));
        mark += step;
    }
    canvas.text((LEFT, TOP - 10.0), Anchor::Start, true, "AU a week");
    let wide = (WIDTH - LEFT - 24.0) / weeks.len().max(1) as f64;
    let every = (weeks.len() / 12).max(1);
    for (index, week) in weeks.iter().enumerate() {
        let x = LEFT + wide * (index as f64 + 0.15);
        let bar = wide * 0.7;
        let known = week.week.known_load;
        let title = format!("Week from {}: {known:.0} AU", week.span.from);
        canvas.bar(
            (x, y(known)),
            (bar, bottom - y(known)),
            Ink::Recorded,
            &title,
        );
        if week.planned > 0.0 {
            let height = y(week.planned);
            canvas.line((x - 4.0, height), (x + bar + 4.0, height), Ink::Planned);
        }
        if index % every == 0 {
            let label = week.span.from.format("%-d %b").to_string();
            let at = (x + bar / 2.0, bottom + 18.0);
            canvas.text(at, Anchor::Middle, false, &label);
        }
    }
    canvas.document()
}

/// Steps of 1, 2 or 5 times a power of ten, about four to the top.
fn round_step(most: f64) -> f64 {
    let rough = (most / 4.0).max(1.0);
    let power = 10_f64.powf(rough.log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|factor| factor * power)
        .find(|step| *step >= rough)
        .unwrap_or(10.0 * power)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round() {
        for (most, step) in [
            (0.0, 1.0),
            (3.9, 1.0),
            (1240.0, 500.0),
            (790.0, 200.0),
            (4000.0, 1000.0),
        ] {
            assert!((round_step(most) - step).abs() < 1e-9, "{most}");
        }
    }
}
