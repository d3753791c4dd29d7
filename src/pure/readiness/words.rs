//! Why, in sentences. What the person rated, never a fact about the body.

use super::band::{Band, Guard, Readiness};
use super::score::{ItemPart, Score};
use crate::pure::diary::Item;

/// An item is worth a sentence from this much of the deviation on (our own design choice): half a step
/// of an item that weighs 0.2.
const WORTH_SAYING: f64 = 0.1;

/// The reasons for the band, most important first; at least one sentence.
pub fn reasons(readiness: &Readiness) -> Vec<String> {
    let score = &readiness.score;
    let mut said: Vec<String> = readiness
        .guards
        .iter()
        .map(|guard| guard_sentence(*guard).to_owned())
        .collect();
    let moved = moved_most(score);
    if score.items.iter().all(|part| part.value.is_none()) {
        said.push("No ratings are recorded for this morning.".to_owned());
    } else if score.score.is_none() {
        said.push(
            "Not enough answers for a score: it takes freshness, or all three other ratings."
                .to_owned(),
        );
    } else if moved.is_empty() {
        said.push("Your ratings are about as usual.".to_owned());
    } else {
        // What a guard has said already is not said twice.
        let said_before = |part: &&ItemPart| {
            let item = Some(part.item);
            readiness
                .guards
                .iter()
                .any(|guard| guard_item(*guard) == item)
        };
        said.extend(
            moved
                .into_iter()
                .filter(|part| !said_before(part))
                .map(item_sentence),
        );
    }
    if score.capped {
        let known = match score.earlier_mornings {
            0 => "No earlier morning is known".to_owned(),
            1 => "Only one earlier morning is known".to_owned(),
            more => format!("Only {more} earlier mornings are known"),
        };
        said.push(format!(
            "{known}, so your ratings alone suggest no more than a trim."
        ));
    }
    if readiness.band == Band::AsPlanned && score.score.is_some_and(|score| score > 0.75) {
        said.push("The plan stays the plan; a good morning adds nothing to it.".to_owned());
    }
    said
}

/// The score in words for a detail view: `0.9 below your usual`.
pub fn score_in_words(score: f64) -> String {
    let size = score.abs();
    if size < 0.05 {
        "as usual".to_owned()
    } else if score < 0.0 {
        format!("{size:.1} below your usual")
    } else {
        format!("{size:.1} above your usual")
    }
}

/// The ends of the person's own number line, in usual spreads (our own design choice): from "much lower
/// than usual" to "higher than usual". What lies beyond is drawn at the end.
pub const NUMBER_LINE: (f64, f64) = (-3.0, 2.0);

/// Where a score stands on the number line, 0 at its left end to 1 at its right.
pub fn place_on_line(score: f64) -> f64 {
    let (left, right) = NUMBER_LINE;
    (score.clamp(left, right) - left) / (right - left)
}

/// The number line in letters, 51 columns, ten a spread: the mark `o` of this morning, `|` at the usual, and what the
/// ends mean. Plain ASCII, so that every terminal shows it.
pub fn number_line(score: f64) -> [String; 2] {
    const COLUMNS: usize = 51;
    let column = |score: f64| {
        // The share is within 0..=1, so the place is a column.
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let place = (place_on_line(score) * (COLUMNS - 1) as f64).round() as usize;
        place
    };
    let mut line = ['-'; COLUMNS];
    line[column(0.0)] = '|';
    line[column(score)] = 'o';
    [
        line.iter().collect(),
        format!(
            "{:<28}{:<6}{:>17}",
            "much lower than usual", "usual", "higher than usual"
        ),
    ]
}

/// Up to two items that moved the deviation most, in its direction.
fn moved_most(score: &Score) -> Vec<&ItemPart> {
    let direction = score.deviation.unwrap_or(0.0).signum();
    let size = |part: &ItemPart| part.part.unwrap_or(0.0) * direction;
    let mut moved: Vec<&ItemPart> = score
        .items
        .iter()
        .filter(|part| size(part) >= WORTH_SAYING)
        .collect();
    moved.sort_by(|a, b| size(b).total_cmp(&size(a)));
    moved.truncate(2);
    moved
}

fn guard_item(guard: Guard) -> Option<Item> {
    match guard {
        Guard::SorenessWorst => Some(Item::Soreness),
        Guard::FreshnessWorst => Some(Item::Freshness),
        _ => None,
    }
}

fn item_sentence(part: &ItemPart) -> String {
    let value = part.value.unwrap_or(0);
    let lower = f64::from(value) < part.usual;
    let usual = part.usual;
    // The one item whose name points the other way: a higher rating of soreness is less of it.
    if part.item == Item::Soreness {
        let compared = if lower { "more" } else { "less" };
        return format!(
            "You rated soreness {value} where 5 is none: {compared} sore than your usual {usual:.1}."
        );
    }
    let compared = if lower { "lower" } else { "higher" };
    format!(
        "You rated {} {value}, {compared} than your usual {usual:.1}.",
        part.item.words()
    )
}

fn guard_sentence(guard: Guard) -> &'static str {
    match guard {
        Guard::RedFlag => "A warning sign is open; training waits until you close it.",
        Guard::Illness => "You recorded being ill.",
        Guard::Pain => "You recorded pain where today's session loads.",
        Guard::SorenessWorst => "You rated soreness 1: it hinders everyday movement.",
        Guard::FreshnessWorst => "You rated freshness 1.",
        Guard::SleepUnder3h => "You recorded less than three hours of sleep.",
        Guard::SleepUnder4h => "You recorded less than four hours of sleep.",
        Guard::ThreeNightsUnder5h => {
            "Your last three nights were below five hours of sleep on average."
        }
    }
}

#[cfg(test)]
mod tests {
    use chrono::{Days, NaiveDate};

    use super::super::{Conditions, RatedMorning, assess, for_day};
    use super::*;
    use crate::pure::diary::Ratings;

    fn today(past: u64, ratings: Ratings) -> Readiness {
        let first = NaiveDate::from_ymd_opt(2026, 1, 5).expect("date");
        let mornings: Vec<RatedMorning> = (0..past)
            .map(|number| RatedMorning {
                date: first + Days::new(number),
                ratings: Ratings::AS_USUAL,
            })
            .collect();
        let today = RatedMorning {
            date: first + Days::new(past),
            ratings,
        };
        assess(for_day(&mornings, &today), &Conditions::default())
    }

    #[test]
    fn the_items_that_moved_most_are_the_reason() {
        let readiness = today(
            20,
            Ratings {
                freshness: Some(2),
                soreness: Some(1),
                mood: Some(4),
                ..Ratings::AS_USUAL
            },
        );
        assert_eq!(
            reasons(&readiness),
            [
                "You rated soreness 1: it hinders everyday movement.",
                "You rated freshness 2, lower than your usual 3.0.",
            ]
        );
    }

    #[test]
    fn soreness_says_which_way_it_runs() {
        let rated = |soreness| Ratings {
            soreness: Some(soreness),
            ..Ratings::AS_USUAL
        };
        assert_eq!(
            reasons(&today(20, rated(2))),
            ["You rated soreness 2 where 5 is none: more sore than your usual 3.0."]
        );
        assert_eq!(
            reasons(&today(20, rated(4))),
            ["You rated soreness 4 where 5 is none: less sore than your usual 3.0."]
        );
    }

    #[test]
    fn a_first_morning_says_why_it_is_capped() {
        let low = Ratings {
            sleep_quality: Some(2),
            freshness: Some(2),
            soreness: Some(2),
            mood: Some(2),
        };
        let readiness = today(1, low);
        assert_eq!(readiness.band, Band::Trim);
        assert!(
            reasons(&readiness)
                .iter()
                .any(|reason| reason.starts_with("Only one earlier morning"))
        );
    }

    #[test]
    fn nothing_special_and_nothing_answered_are_said_plainly() {
        assert_eq!(
            reasons(&today(20, Ratings::AS_USUAL)),
            ["Your ratings are about as usual."]
        );
        let nothing = reasons(&today(20, Ratings::default()));
        assert_eq!(nothing.len(), 1);
        assert_eq!(nothing[0], "No ratings are recorded for this morning.");
        let mood_alone = Ratings {
            mood: Some(3),
            ..Ratings::default()
        };
        assert!(reasons(&today(20, mood_alone))[0].starts_with("Not enough answers"));
    }

    #[test]
    fn the_number_line_has_its_mark_where_the_score_is() {
        let at = |score: f64| number_line(score)[0].find('o');
        assert_eq!(at(0.0), Some(30));
        assert_eq!(at(-3.0), Some(0));
        assert_eq!(at(-9.0), Some(0));
        assert_eq!(at(3.5), Some(50));
        assert_eq!(at(-1.5), Some(15));
        let [line, words] = number_line(-1.5);
        assert_eq!(line.find('|'), Some(30));
        assert_eq!(words.rfind(" usual "), Some(27));
        assert_eq!((line.len(), words.len()), (51, 51));
    }

    #[test]
    fn the_score_in_words() {
        assert_eq!(score_in_words(-0.871), "0.9 below your usual");
        assert_eq!(score_in_words(1.04), "1.0 above your usual");
        assert_eq!(score_in_words(-0.01), "as usual");
    }
}
