//! A session as it was done.

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};

/// Minutes of one session above this are questioned.
const MOST_MINUTES: f64 = 600.0;

/// `RPE x minutes` in arbitrary units (Foster C et al. 2001). Minutes include rests.
pub fn session_load(rpe: f64, minutes: f64) -> f64 {
    rpe * minutes
}

/// What was counted in one part of a session.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartDone {
    /// The part: its title or the word for its kind.
    pub part: String,
    /// Repetitions of each round or set, or one number of rounds.
    pub counts: Vec<u32>,
}

/// A session as it was done. What was not said is `None`.
#[derive(Clone, Debug, PartialEq)]
pub struct TrainingDone {
    /// Local calendar day.
    pub date: NaiveDate,
    /// Its id in the block; `None` = something else.
    pub session: Option<String>,
    /// Minutes including rests, 0 to 600.
    pub minutes: Option<f64>,
    /// How hard the whole session was, 0 to 10 in half points.
    pub rpe: Option<f64>,
    /// What was counted in its parts.
    pub parts: Vec<PartDone>,
    /// A remark; empty = none.
    pub note: String,
}

impl TrainingDone {
    /// Its load in AU; unknown while minutes or rating are missing.
    pub fn load(&self) -> Option<f64> {
        self.rpe
            .zip(self.minutes)
            .map(|(rpe, minutes)| session_load(rpe, minutes))
    }
}

/// Checks a rating.
///
/// # Errors
///
/// What is wrong and what to write instead, both without their full stop.
pub fn check_rpe(rpe: f64, minutes: Option<f64>) -> Result<(), (String, String)> {
    if !(0.0..=10.0).contains(&rpe) || (rpe * 2.0).fract() != 0.0 {
        return Err((
            format!("{rpe} is not a rating of effort"),
            "Write 0 to 10, in steps of 0.5".to_owned(),
        ));
    }
    match minutes {
        Some(minutes) if rpe == 0.0 && minutes > 0.0 => Err((
            format!("effort 0 means nothing was done, but minutes are {minutes}"),
            "Write 1 for hardly noticeable, or 0 minutes".to_owned(),
        )),
        _ => Ok(()),
    }
}

/// Checks the minutes of a session.
///
/// # Errors
///
/// What is wrong and what to write instead, both without their full stop.
pub fn check_minutes(minutes: f64) -> Result<(), (String, String)> {
    if (0.0..=MOST_MINUTES).contains(&minutes) {
        Ok(())
    } else {
        Err((
            format!("{minutes} are no minutes of a session"),
            "Write 0 to 600".to_owned(),
        ))
    }
}

/// Reads what was counted: `intervals=12,12,11`; several parts are separated by semicolons.
///
/// # Errors
///
/// What is wrong and what to write instead, both without their full stop.
pub fn parse_reps(text: &str) -> Result<Vec<PartDone>, (String, String)> {
    let example =
        || "Write it like intervals=12,12,11; several parts with a semicolon between".to_owned();
    let mut parts: Vec<PartDone> = Vec::new();
    for piece in text
        .split(';')
        .map(str::trim)
        .filter(|piece| !piece.is_empty())
    {
        let Some((part, counts)) = piece.split_once('=') else {
            return Err((format!("`{piece}` has no part and counts"), example()));
        };
        let part = part.trim();
        if part.is_empty() || parts.iter().any(|known| known.part == part) {
            return Err((format!("`{part}` is missing or written twice"), example()));
        }
        let counts: Result<Vec<u32>, _> = counts
            .split(',')
            .map(|count| count.trim().parse())
            .collect();
        match counts {
            Ok(counts) => parts.push(PartDone {
                part: part.to_owned(),
                counts,
            }),
            Err(_) => return Err((format!("`{piece}` is not a list of counts"), example())),
        }
    }
    Ok(parts)
}

/// The best of a part in one week.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WeekBest {
    /// First day of the week.
    pub week: NaiveDate,
    /// The session's id.
    pub session: Option<String>,
    /// The part.
    pub part: String,
    /// The most in all rounds of one session together.
    pub total: u32,
    /// The most in one round of that session.
    pub round: u32,
    /// The day of that session, the first one of several.
    pub date: NaiveDate,
}

/// The best of each part of each session by week, weeks of seven days counted from `first_day`. Oldest
/// week first; days before `first_day` are left out.
pub fn bests_by_week(done: &[TrainingDone], first_day: NaiveDate) -> Vec<WeekBest> {
    let mut best: BTreeMap<(NaiveDate, Option<String>, String), WeekBest> = BTreeMap::new();
    for training in done {
        let Ok(since) = u64::try_from((training.date - first_day).num_days()) else {
            continue;
        };
        let week = first_day + Days::new(since / 7 * 7);
        for part in &training.parts {
            let found = WeekBest {
                week,
                session: training.session.clone(),
                part: part.part.clone(),
                total: part.counts.iter().sum(),
                round: part.counts.iter().copied().max().unwrap_or(0),
                date: training.date,
            };
            let key = (week, found.session.clone(), found.part.clone());
            let known = best.entry(key).or_insert_with(|| found.clone());
            if (found.total, known.date) > (known.total, found.date) {
                *known = found;
            }
        }
    }
    best.into_values().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 1, day).expect("date")
    }

    fn done(day: u32, counts: &[u32]) -> TrainingDone {
        TrainingDone {
            date: date(day),
            session: Some("legs_and_lungs".to_owned()),
            minutes: Some(28.0),
            rpe: Some(8.0),
            parts: vec![PartDone {
                part: "intervals".to_owned(),
                counts: counts.to_vec(),
            }],
            note: String::new(),
        }
    }

    #[test]
    fn counts_are_read_and_slips_are_named() {
        let parts = parse_reps("intervals=12,12, 11; sets=8").expect("counts");
        assert_eq!(parts[0].counts, [12, 12, 11]);
        assert_eq!(parts[1].part, "sets");
        assert!(parse_reps("12,12").is_err());
        assert!(parse_reps("intervals=12,x").is_err());
        assert!(parse_reps("sets=1;sets=2").is_err());
        assert_eq!(parse_reps(""), Ok(Vec::new()));
    }

    #[test]
    fn the_best_of_a_week_is_its_best_session() {
        let all = [
            done(5, &[12, 12, 11]),
            done(8, &[14, 10, 12]),
            done(12, &[9]),
        ];
        let best = bests_by_week(&all, date(5));
        assert_eq!(best.len(), 2);
        assert_eq!(
            (best[0].total, best[0].round, best[0].date),
            (36, 14, date(8))
        );
        assert_eq!((best[1].week, best[1].total), (date(12), 9));
        let equal = [done(8, &[10]), done(6, &[10])];
        assert_eq!(bests_by_week(&equal, date(5))[0].date, date(6));
    }

    #[test]
    fn ratings_and_minutes_have_their_range() {
        assert!(check_rpe(7.5, Some(30.0)).is_ok());
        assert!(check_rpe(7.3, None).is_err());
        assert!(check_rpe(10.5, None).is_err());
        assert!(check_rpe(f64::NAN, None).is_err());
        assert!(check_rpe(0.0, Some(20.0)).is_err());
        assert!(check_rpe(0.0, Some(0.0)).is_ok());
        assert!(check_minutes(601.0).is_err());
        assert!(check_minutes(-1.0).is_err());
        assert_eq!(done(5, &[]).load(), Some(224.0));
        assert_eq!(
            TrainingDone {
                rpe: None,
                ..done(5, &[])
            }
            .load(),
            None
        );
    }
}
