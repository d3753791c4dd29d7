//! Weekday names in the files: `mon` to `sun`, nothing else.

/// The keys, from Monday.
pub const KEYS: [&str; 7] = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];

/// Days from Monday of a key.
pub fn from_key(key: &str) -> Option<u8> {
    let place = KEYS.iter().position(|known| *known == key)?;
    u8::try_from(place).ok()
}

/// The key that another way of writing an English weekday stands for: `Monday`, `Mo`, `MON`.
pub fn meant_by(written: &str) -> Option<&'static str> {
    let written = written.trim().trim_end_matches('.').to_lowercase();
    let long = [
        "monday",
        "tuesday",
        "wednesday",
        "thursday",
        "friday",
        "saturday",
        "sunday",
    ];
    let is_beginning = |long: &str| written.chars().count() >= 2 && long.starts_with(&written);
    let found = long
        .iter()
        .position(|long| is_beginning(long) || is_beginning(&format!("{long}s")));
    found.map(|place| KEYS[place])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_count_from_monday() {
        assert_eq!(from_key("mon"), Some(0));
        assert_eq!(from_key("sun"), Some(6));
        assert_eq!(from_key("Mon"), None);
    }

    #[test]
    fn other_ways_of_writing_a_day_are_understood_but_only_as_a_guess() {
        for written in ["Mo", "monday", "MONDAY", "Mon.", "Mondays"] {
            assert_eq!(meant_by(written), Some("mon"), "{written}");
        }
        assert_eq!(meant_by("thurs"), Some("thu"));
        assert_eq!(meant_by("m"), None);
        assert_eq!(meant_by("bedtime"), None);
    }
}
