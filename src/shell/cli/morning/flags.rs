//! The flags of `morning`.

use chrono::NaiveDate;

use crate::pure::diary::{Answers, DiaryEntry, Moment, Ratings, parse_sore_in};

/// What to record, or to show.
#[derive(Debug, Default, clap::Args)]
#[command(allow_negative_numbers = true)]
pub struct Arguments {
    /// An earlier night, by the date of its evening [default: the night that ended last]
    #[arg(long, value_name = "DATE", value_parser = crate::shell::cli::read_date)]
    pub night: Option<NaiveDate>,
    /// Went to bed: 22:40, or with its date 2026-01-05T22:40
    #[arg(long, value_name = "TIME", value_parser = time)]
    into_bed: Option<Moment>,
    /// Began trying to sleep
    #[arg(long, value_name = "TIME", value_parser = time)]
    lights_out: Option<Moment>,
    /// Minutes to fall asleep
    #[arg(long, value_name = "MIN", value_parser = minutes)]
    asleep_after: Option<u32>,
    /// How often awake in between
    #[arg(long, value_name = "N", value_parser = count)]
    wakings: Option<u32>,
    /// Minutes awake in between, all together
    #[arg(long, value_name = "MIN", value_parser = minutes)]
    awake_for: Option<u32>,
    /// Woke for good
    #[arg(long, value_name = "TIME", value_parser = time)]
    woke: Option<Moment>,
    /// Out of bed
    #[arg(long, value_name = "TIME", value_parser = time)]
    up: Option<Moment>,
    /// Minutes of trying to sleep on after waking
    #[arg(long, value_name = "MIN", value_parser = minutes)]
    tried_for: Option<u32>,
    /// Minutes asleep, instead of the times
    #[arg(long, value_name = "MIN", value_parser = minutes)]
    asleep_for: Option<u32>,
    /// More than 16 hours in bed are meant
    #[arg(long)]
    long_night: bool,
    /// How the sleep was: 1 to 5, 3 as usual, 5 the best
    #[arg(long, value_name = "1-5", value_parser = rating)]
    sleep: Option<u8>,
    /// How fresh: 1 worn out, 3 as usual, 5 full of energy
    #[arg(long, value_name = "1-5", value_parser = rating)]
    fresh: Option<u8>,
    /// How sore: 1 it hinders everyday movement, 3 as usual, 5 not at all
    #[arg(long, value_name = "1-5", value_parser = rating)]
    sore: Option<u8>,
    /// Mood: 1 very low, 3 as usual, 5 very good
    #[arg(long, value_name = "1-5", value_parser = rating)]
    mood: Option<u8>,
    /// Where it is sore, 1 a little to 3 strongly: calves=2,glutes=3; or none
    #[arg(long, value_name = "REGIONS", value_parser = regions)]
    sore_in: Option<SoreIn>,
    /// Fever, or unwell in the whole body
    #[arg(long, conflicts_with = "not_ill")]
    ill: bool,
    /// Not ill after all
    #[arg(long)]
    not_ill: bool,
    /// A remark
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
    /// Everything as usual: all four ratings 3 and the planned times, marked as estimated
    #[arg(long)]
    pub as_usual: bool,
    /// Start over: only what is said now counts for the night
    #[arg(long)]
    pub anew: bool,
    /// Show the record of a night [default: the one that ended last]
    #[arg(long, value_name = "NIGHT", num_args = 0..=1)]
    pub show: Option<Option<NaiveDate>>,
    /// Show every record of the night, corrected ones too
    #[arg(long)]
    pub history: bool,
}

/// Sore regions as one value.
#[derive(Clone, Debug)]
struct SoreIn(std::collections::BTreeMap<crate::pure::region::Region, u8>);

impl Arguments {
    /// Whether something is to be shown rather than recorded.
    pub fn shows(&self) -> bool {
        self.show.is_some() || self.history
    }

    /// What was said.
    pub fn answers(&self) -> Answers {
        Answers {
            entry: DiaryEntry {
                into_bed: self.into_bed,
                lights_out: self.lights_out,
                asleep_after_min: self.asleep_after,
                wakings: self.wakings,
                awake_for_min: self.awake_for,
                woke: self.woke,
                up: self.up,
                tried_after_min: self.tried_for,
                sleep_min: self.asleep_for,
                long_confirmed: self.long_night,
            },
            ratings: Ratings {
                sleep_quality: self.sleep,
                freshness: self.fresh,
                soreness: self.sore,
                mood: self.mood,
            },
            sore_in: self.sore_in.as_ref().map(|sore| sore.0.clone()),
            ill: (self.ill || self.not_ill).then_some(self.ill),
            note: self.note.as_ref().map(|note| note.trim().to_owned()),
        }
    }
}

pub(super) fn time(text: &str) -> Result<Moment, String> {
    text.parse::<Moment>().map_err(|bad| bad.to_string())
}

pub(super) fn minutes(text: &str) -> Result<u32, String> {
    whole(text, 24 * 60, "minutes")
}

pub(super) fn count(text: &str) -> Result<u32, String> {
    whole(text, 100, "times")
}

fn whole(text: &str, most: u32, of: &str) -> Result<u32, String> {
    text.trim()
        .parse()
        .ok()
        .filter(|number| *number <= most)
        .ok_or_else(|| {
            format!("`{text}` is no number of {of}. Write a whole number from 0 to {most}.")
        })
}

pub(super) fn rating(text: &str) -> Result<u8, String> {
    text.trim()
        .parse()
        .ok()
        .filter(|rating| Ratings::in_range(*rating))
        .ok_or_else(|| format!("`{text}` is no rating. Write 1 to 5: 3 is as usual, 5 the best."))
}

fn regions(text: &str) -> Result<SoreIn, String> {
    let text = if text.trim() == "none" { "" } else { text };
    parse_sore_in(text)
        .map(SoreIn)
        .map_err(|(what, instead)| format!("{what}. {instead}."))
}
