//! The arithmetic of holds: how long they take, how many make a dose, what fits a time.
//!
//! The dose for flexibility is from Garber CE et al. 2011, Med Sci Sports Exerc 43:1334-1359: static
//! holds of 10 to 30 s, about 60 s a muscle group, on two or more days a week. An evening's few
//! minutes are mostly below that; the tool calls them easy stretching.

/// Seconds a muscle group and day that count as a full dose.
pub const FULL_DOSE_S: u32 = 60;

/// Seconds that holds take with their changes: one change before each hold.
pub fn total_s(holds_per_side: u32, hold_s: u32, sides: u32, change_s: u32) -> u32 {
    holds_per_side * sides * (hold_s + change_s)
}

/// How many holds of `hold_s` seconds (at least 1) reach `target_s` on one side.
pub fn holds_for(hold_s: u32, target_s: u32) -> u32 {
    target_s.div_ceil(hold_s.max(1))
}

/// What of a list fits a time, taken in order and skipping what no longer fits: indices and the
/// seconds used. Each entry is hold seconds and sides.
pub fn fit_in_order(entries: &[(u32, u32)], change_s: u32, budget_s: u32) -> (Vec<usize>, u32) {
    let mut used_s = 0;
    let mut chosen = Vec::new();
    for (index, (hold_s, sides)) in entries.iter().enumerate() {
        let needs_s = total_s(1, *hold_s, *sides, change_s);
        if used_s + needs_s <= budget_s {
            used_s += needs_s;
            chosen.push(index);
        }
    }
    (chosen, used_s)
}

/// Whether evenings of so many seconds a side reach a full dose on at least two days of the week.
pub fn reaches_weekly_dose(evenings_a_week: u32, seconds_a_side: u32) -> bool {
    evenings_a_week >= 2 && seconds_a_side >= FULL_DOSE_S
}
