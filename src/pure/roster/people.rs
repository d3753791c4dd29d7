//! The last weeks of every person, and what in them is worth a look.

use std::collections::HashMap;

use chrono::{Days, NaiveDate};

use super::Rules;
use super::reading::Row;
use crate::pure::caution::Level;
use crate::pure::load::{Change, change_from_usual};

/// Days that are kept of a person: five weeks of load, that may end up to a week back.
const KEPT: usize = 5 * 7 + 7;

/// Days that count as the last week.
const WEEK: usize = 7;

/// The last weeks of many people.
#[derive(Debug)]
pub struct Roster {
    today: NaiveDate,
    people: HashMap<String, Person>,
    rows: u64,
}

#[derive(Clone, Copy, Debug, Default)]
struct Day {
    answered: bool,
    load: Option<f64>,
    readiness: Option<f64>,
    caution: Option<Level>,
}

#[derive(Debug)]
struct Person {
    /// By days before `today`, the newest first.
    days: Box<[Day; KEPT]>,
    first: NaiveDate,
    /// The last answer before those days.
    older_answer: Option<NaiveDate>,
}

/// Somebody who stopped answering.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoppedAnswering {
    /// Who.
    pub person: String,
    /// The last answer; `None` = never.
    pub last_answer: Option<NaiveDate>,
    /// Days without one, up to the day before looking.
    pub days: i64,
}

/// What is worth a look; each list in the order of the people's names.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Findings {
    /// How many people there are.
    pub people: usize,
    /// How many rows were read.
    pub rows: u64,
    /// Who reported pain or a sign to be seen in the last week, with the most urgent level and its last
    /// day.
    pub to_be_seen: Vec<(String, Level, NaiveDate)>,
    /// Who stopped answering.
    pub stopped: Vec<StoppedAnswering>,
    /// Whose readiness was low for a week: its mean, and of how many scores.
    pub low_readiness: Vec<(String, f64, u32)>,
    /// Whose load jumped: that of the last seven known days, and against which mean.
    pub load_jumped: Vec<(String, f64, Change)>,
}

impl Roster {
    /// An empty roster, as looked at on a day.
    pub fn new(today: NaiveDate) -> Self {
        Self {
            today,
            people: HashMap::new(),
            rows: 0,
        }
    }

    /// Takes a row in. A later row of the same day takes the place of the earlier one, up to six weeks
    /// back; days after `today` do not count.
    pub fn add(&mut self, row: &Row<'_>) {
        self.rows += 1;
        let Ok(ago) = usize::try_from((self.today - row.date).num_days()) else {
            return;
        };
        let person = match self.people.get_mut(row.person) {
            Some(person) => person,
            None => self
                .people
                .entry(row.person.to_owned())
                .or_insert(Person::new(row.date)),
        };
        person.first = person.first.min(row.date);
        if let Some(day) = person.days.get_mut(ago) {
            *day = Day {
                answered: row.answered,
                load: row.load,
                readiness: row.readiness,
                caution: row.caution,
            };
        } else if row.answered {
            person.older_answer = person.older_answer.max(Some(row.date));
        }
    }

    /// What is worth a look.
    pub fn findings(&self, rules: &Rules) -> Findings {
        let mut names: Vec<&String> = self.people.keys().collect();
        names.sort();
        let mut found = Findings {
            people: names.len(),
            rows: self.rows,
            ..Findings::default()
        };
        for name in names {
            let person = &self.people[name];
            let of = |ago: usize| self.today - Days::new(ago as u64);
            if let Some((level, ago)) = person.to_be_seen() {
                found.to_be_seen.push((name.clone(), level, of(ago)));
            }
            if let Some((last_answer, days)) = person.stopped(self.today, rules) {
                found.stopped.push(StoppedAnswering {
                    person: name.clone(),
                    last_answer,
                    days,
                });
            }
            if let Some((mean, scores)) = person.low_readiness(rules) {
                found.low_readiness.push((name.clone(), mean, scores));
            }
            if let Some((load, change)) = person.load_jumped(rules) {
                found.load_jumped.push((name.clone(), load, change));
            }
        }
        found
    }
}

impl Person {
    fn new(first: NaiveDate) -> Self {
        Self {
            days: Box::new([Day::default(); KEPT]),
            first,
            older_answer: None,
        }
    }

    /// The most urgent level of the last week, if it is one to be seen, and its last day.
    fn to_be_seen(&self) -> Option<(Level, usize)> {
        let week = self.days[..WEEK].iter().enumerate();
        week.rev()
            .filter_map(|(ago, day)| Some((day.caution?, ago)))
            .filter(|(level, _)| *level > Level::CarryOn)
            .max_by_key(|(level, _)| *level)
    }

    fn stopped(&self, today: NaiveDate, rules: &Rules) -> Option<(Option<NaiveDate>, i64)> {
        let newest = self.days.iter().position(|day| day.answered);
        let newest = newest.and_then(|ago| today.checked_sub_days(Days::new(ago as u64)));
        let last_answer = newest.or(self.older_answer);
        // Somebody who never answered has been asked since the first row, that day included.
        let since = match last_answer {
            Some(last) => last,
            None => self.first.pred_opt()?,
        };
        let days = (today - since).num_days() - 1;
        (days >= i64::from(rules.stopped_days)).then_some((last_answer, days))
    }

    fn low_readiness(&self, rules: &Rules) -> Option<(f64, u32)> {
        let scores: Vec<f64> = self.days[..WEEK]
            .iter()
            .rev()
            .filter_map(|day| day.readiness)
            .collect();
        let count = u32::try_from(scores.len()).ok()?;
        if count < rules.least_scores.max(1) {
            return None;
        }
        let mean = scores.iter().sum::<f64>() / f64::from(count);
        (mean <= rules.low_readiness).then_some((mean, count))
    }

    /// The week ends with the last day of known load, at most seven days back.
    fn load_jumped(&self, rules: &Rules) -> Option<(f64, Change)> {
        let end = self.days[..=WEEK]
            .iter()
            .position(|day| day.load.is_some())?;
        let week = |number: usize| -> Option<f64> {
            let from = end + number * WEEK;
            self.days
                .get(from..from + WEEK)?
                .iter()
                .rev()
                .map(|day| day.load)
                .sum()
        };
        let weeks: Vec<Option<f64>> = (0..5).rev().map(week).collect();
        let change = change_from_usual(&weeks)?;
        (change.fraction >= rules.load_above).then_some((weeks[4]?, change))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(text: &str) -> NaiveDate {
        text.parse().expect("date")
    }

    const TODAY: &str = "2026-03-30";

    /// Rows of a person, the newest first: so many days back, with what `day` says of each.
    fn fill(
        roster: &mut Roster,
        person: &str,
        days: u64,
        day: impl Fn(u64) -> (bool, Option<f64>, Option<f64>),
    ) {
        for ago in 0..days {
            let (answered, load, readiness) = day(ago);
            roster.add(&Row {
                person,
                date: date(TODAY) - Days::new(ago),
                answered,
                load,
                readiness,
                caution: None,
            });
        }
    }

    fn found(roster: &Roster) -> Findings {
        roster.findings(&Rules::default())
    }

    #[test]
    fn the_steady_are_in_no_list() {
        let mut roster = Roster::new(date(TODAY));
        fill(&mut roster, "ada", 84, |_| (true, Some(200.0), Some(0.1)));
        let found = found(&roster);
        assert_eq!((found.people, found.rows), (1, 84));
        assert_eq!(
            (
                found.to_be_seen.len(),
                found.stopped.len(),
                found.low_readiness.len(),
                found.load_jumped.len()
            ),
            (0, 0, 0, 0)
        );
    }

    #[test]
    fn four_days_without_an_answer_count_as_stopped() {
        let mut roster = Roster::new(date(TODAY));
        // Answered five days ago: the four days since, today aside, are empty.
        fill(&mut roster, "ada", 20, |ago| (ago >= 5, None, None));
        fill(&mut roster, "bo", 20, |ago| (ago >= 4, None, None));
        fill(&mut roster, "cy", 4, |_| (false, None, None));
        fill(&mut roster, "di", 5, |_| (false, None, None));
        let found = found(&roster).stopped;
        let names: Vec<(&str, i64)> = found
            .iter()
            .map(|stopped| (stopped.person.as_str(), stopped.days))
            .collect();
        assert_eq!(names, [("ada", 4), ("di", 4)]);
        assert_eq!(found[0].last_answer, Some(date("2026-03-25")));
    }

    #[test]
    fn readiness_has_to_be_low_over_a_week_of_enough_scores() {
        let mut roster = Roster::new(date(TODAY));
        let low = |ago: u64| if ago < 7 { -0.8 } else { 0.0 };
        fill(&mut roster, "ada", 20, |ago| (true, None, Some(low(ago))));
        fill(&mut roster, "bo", 20, |ago| {
            (true, None, (ago % 3 == 0).then_some(-2.0))
        });
        fill(&mut roster, "cy", 20, |ago| {
            (true, None, Some(if ago == 0 { -3.0 } else { 0.0 }))
        });
        let found = found(&roster).low_readiness;
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].0.as_str(), found[0].2), ("ada", 7));
        assert!((found[0].1 + 0.8).abs() < 1e-9);
    }

    #[test]
    fn a_jump_is_the_last_full_week_against_those_before() {
        let mut roster = Roster::new(date(TODAY));
        let jump = |ago: u64| Some(if ago < 7 { 150.0 } else { 100.0 });
        fill(&mut roster, "ada", 35, |ago| (true, jump(ago), None));
        // The same, shared three days ago.
        fill(&mut roster, "bo", 40, |ago| {
            (true, ago.checked_sub(3).and_then(jump), None)
        });
        // One unknown day in the last week.
        fill(&mut roster, "cy", 35, |ago| {
            (true, jump(ago).filter(|_| ago != 2), None)
        });
        // Too few weeks before.
        fill(&mut roster, "di", 27, |ago| (true, jump(ago), None));
        let found = found(&roster).load_jumped;
        let names: Vec<&str> = found.iter().map(|(name, _, _)| name.as_str()).collect();
        assert_eq!(names, ["ada", "bo"]);
        assert_eq!(found[0].1, 1050.0);
        assert!((found[0].2.fraction - 0.5).abs() < 1e-12);
    }

    #[test]
    fn the_most_urgent_caution_of_the_week_counts() {
        let mut roster = Roster::new(date(TODAY));
        for (person, ago, level) in [
            ("ada", 8, Level::EmergencyNow),
            ("ada", 2, Level::ClinicianSoon),
            ("ada", 5, Level::SameDayCare),
            ("bo", 1, Level::CarryOn),
        ] {
            roster.add(&Row {
                person,
                date: date(TODAY) - Days::new(ago),
                answered: true,
                load: None,
                readiness: None,
                caution: Some(level),
            });
        }
        let found = found(&roster).to_be_seen;
        assert_eq!(
            found,
            [("ada".to_owned(), Level::SameDayCare, date("2026-03-25"))]
        );
    }
}
