//! Diaries of years: made without chance, so that every run and every peer gets the same ones.

use chrono::{Datelike, Duration, NaiveDate};

use crate::support::Home;

/// The last night and the last day of every diary here.
pub const LAST: &str = "2025-12-31";

/// The morning after it, as `--at` takes it.
pub const NOW: &str = "2026-01-01T07:00";

/// Whole numbers in an even spread (Knuth DE, The Art of Computer Programming 2, 3.3.4: the multiplier
/// of MMIX), so that no two days are alike.
pub struct Spread(pub u64);

impl Spread {
    /// The next one below `limit`.
    pub fn below(&mut self, limit: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % limit
    }
}

fn days(years: i64) -> impl Iterator<Item = NaiveDate> {
    let last: NaiveDate = LAST.parse().expect("a date");
    (0..years * 365)
        .rev()
        .map(move |back| last - Duration::days(back))
}

/// So many years of mornings, one answer in 25 missing.
pub fn mornings_csv(years: i64) -> String {
    let mut text = String::from(
        "night,lights_out,asleep_after_min,woke,sleep_quality,freshness,soreness,mood\n",
    );
    let mut spread = Spread(3);
    for night in days(years) {
        let morning = night + Duration::days(1);
        let minutes = [30, 40].map(|limit| spread.below(limit));
        let ratings: Vec<String> = (0..4)
            .map(|_| match spread.below(25) {
                24 => String::new(),
                // 1 to 5, those in the middle more often.
                step => (1 + (step % 3 + spread.below(3))).to_string(),
            })
            .collect();
        text.push_str(&format!(
            "{night},{night}T22:{:02},15,{morning}T06:{:02},{}\n",
            30 + minutes[0],
            minutes[1],
            ratings.join(",")
        ));
    }
    text
}

/// So many years of sessions, five a week.
pub fn sessions_csv(years: i64) -> String {
    let mut text = String::from("date,session,minutes,rpe,note\n");
    let mut spread = Spread(5);
    for day in days(years).filter(|day| day.weekday().num_days_from_monday() < 5) {
        text.push_str(&format!(
            "{day},legs_and_lungs,{},{},\n",
            25 + spread.below(40),
            3 + spread.below(7)
        ));
    }
    text
}

/// A home with so many years of mornings and sessions, without reminders to set it up.
pub fn home(years: i64, settings: &str) -> Home {
    let home = Home::new();
    home.write("settings.toml", &format!("timezone = \"UTC\"\n{settings}"));
    if years > 0 {
        for (name, text) in [
            ("mornings.csv", mornings_csv(years)),
            ("sessions.csv", sessions_csv(years)),
        ] {
            home.write(name, &text);
            let path = home.path().join(name);
            let said = home.run("", &["import", path.to_str().expect("path")]);
            assert_eq!(said.code, 0, "{said:?}");
        }
    }
    home
}
