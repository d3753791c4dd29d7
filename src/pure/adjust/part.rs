//! How a band changes one part.

use crate::pure::block::Work;
use crate::pure::phrase::counted;
use crate::pure::readiness::Band;

/// How much of the rounds, sets and minutes a band leaves.
pub fn volume_factor(band: Band) -> f64 {
    match band {
        Band::AsPlanned => 1.0,
        Band::Trim => 0.75,
        Band::Ease => 0.50,
        Band::RecoverOnly | Band::StopAndSeekHelp => 0.0,
    }
}

/// The highest RPE a band allows: the planned one, or less.
pub fn effort_cap(planned_rpe: f64, band: Band) -> f64 {
    let cap = match band {
        Band::AsPlanned => 10.0,
        Band::Trim => 8.0,
        Band::Ease => 6.0,
        Band::RecoverOnly => 2.0,
        Band::StopAndSeekHelp => 0.0,
    };
    planned_rpe.min(cap)
}

/// A count of sets, rounds or minutes after the cut: rounded down, but at least one of what is done at
/// all.
pub fn scaled_count(planned: u32, band: Band) -> u32 {
    let factor = volume_factor(band);
    if factor == 0.0 || planned == 0 {
        return 0;
    }
    // The small number keeps 4 x 0.75 at 3 whatever the rounding of the product.
    ((f64::from(planned) * factor + 1e-9).floor() as u32).max(1)
}

/// About how many repetitions are left at an RPE: `10 - RPE` close to the limit, no number below 5
/// (Zourdos MC et al. 2016, J Strength Cond Res 30(1):267-275; Helms ER et al. 2016, Strength Cond J
/// 38(4):42-49; from memory).
pub fn reps_in_reserve(rpe: f64) -> Option<f64> {
    (rpe >= 5.0).then_some(10.0 - rpe)
}

/// One step easier: the same cycle with less work and more rest.
///
/// The ladder for a cycle of 30 s is 20:10, 15:15, 10:20 (20:10 after Tabata I et al. 1996, Med Sci
/// Sports Exerc 28(10):1327-1330, as a clock pattern only). For any other cycle the same three shares of
/// work are used, two thirds, a half and a third, in whole seconds: the next one below the planned work
/// (our own design choice), so 40:20 becomes 30:30. Below a third the intervals stay as they are.
pub fn easier_intervals(work_s: u32, rest_s: u32) -> (u32, u32) {
    let cycle = work_s + rest_s;
    let steps = [cycle * 2 / 3, cycle / 2, cycle / 3];
    match steps.into_iter().find(|step| *step < work_s && *step > 0) {
        Some(work) => (work, cycle - work),
        None => (work_s, rest_s),
    }
}

/// A part after the cut; `None` where the band leaves no training.
pub fn adjusted(work: &Work, band: Band) -> Option<Work> {
    if volume_factor(band) == 0.0 {
        return None;
    }
    let mut left = work.clone();
    match &mut left {
        Work::Intervals {
            rounds,
            work_s,
            rest_s,
            ..
        } => {
            *rounds = scaled_count(*rounds, band);
            if band == Band::Ease {
                (*work_s, *rest_s) = easier_intervals(*work_s, *rest_s);
            }
        }
        Work::TimedRounds { minutes, .. } | Work::Steady { minutes } => {
            *minutes = scaled_count(*minutes, band);
        }
        Work::Sets { sets, .. } => *sets = scaled_count(*sets, band),
    }
    Some(left)
}

/// What an interval part adds up to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IntervalTotals {
    /// Seconds of one round.
    pub cycle_s: u32,
    /// Seconds of work in all.
    pub work_s: u32,
    /// Seconds of rest in all.
    pub rest_s: u32,
    /// Share of the time spent working, 0 to 1; `None` where there is no time.
    pub work_share: Option<f64>,
    /// Seconds of work for each second of rest in a round; `None` without rest.
    pub work_to_rest: Option<f64>,
}

impl IntervalTotals {
    /// Seconds in all.
    pub fn total_s(&self) -> u32 {
        self.work_s + self.rest_s
    }
}

/// Adds up an interval part, with or without the rest after the last round.
pub fn interval_totals(rounds: u32, work_s: u32, rest_s: u32, last_rest: bool) -> IntervalTotals {
    let rests = if last_rest {
        rounds
    } else {
        rounds.saturating_sub(1)
    };
    let (all_work, all_rest) = (rounds * work_s, rests * rest_s);
    let share = |part: u32, whole: u32| (whole > 0).then(|| f64::from(part) / f64::from(whole));
    IntervalTotals {
        cycle_s: work_s + rest_s,
        work_s: all_work,
        rest_s: all_rest,
        work_share: share(all_work, all_work + all_rest),
        work_to_rest: share(work_s, rest_s),
    }
}

/// The numbers of a part in words: `8 rounds of 20:10`, `4 sets of 6`, `12 minutes`.
pub fn words_of(work: &Work) -> String {
    match work {
        Work::Intervals {
            rounds,
            work_s,
            rest_s,
            ..
        } => format!("{} of {work_s}:{rest_s}", counted(*rounds, "rounds")),
        Work::Sets { sets, reps, .. } => format!("{} of {reps}", counted(*sets, "sets")),
        Work::TimedRounds { minutes, .. } | Work::Steady { minutes } => {
            counted(*minutes, "minutes")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn other_cycles_follow_the_shares_of_the_ladder() {
        assert_eq!(easier_intervals(20, 10), (15, 15));
        assert_eq!(easier_intervals(15, 15), (10, 20));
        assert_eq!(easier_intervals(10, 20), (10, 20));
        assert_eq!(easier_intervals(40, 20), (30, 30));
        assert_eq!(easier_intervals(30, 30), (20, 40));
        assert_eq!(easier_intervals(60, 0), (40, 20));
        assert_eq!(easier_intervals(1, 1), (1, 1));
        assert_eq!(easier_intervals(0, 0), (0, 0));
    }

    #[test]
    fn no_step_is_harder_or_longer() {
        for work in 1..130 {
            for rest in 0..130 {
                let (less, more) = easier_intervals(work, rest);
                assert!(
                    less <= work && less > 0 && less + more == work + rest,
                    "{work}:{rest}"
                );
            }
        }
    }

    #[test]
    fn parts_read_like_speech() {
        assert_eq!(words_of(&Work::Steady { minutes: 1 }), "1 minute");
        let sets = Work::Sets {
            sets: 3,
            reps: 8,
            moves: Vec::new(),
            rest_s: 90,
        };
        assert_eq!(words_of(&sets), "3 sets of 8");
    }
}
