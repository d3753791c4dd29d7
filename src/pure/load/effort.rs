//! What the numbers of effort stand for.

/// The whole session's effort in words, for whole numbers from 0 to 10.
///
/// Our own words in the order of the modified category-ratio scale; its own labels are copyrighted.
pub fn effort_words(rpe: u8) -> &'static str {
    match rpe {
        0 => "nothing",
        1 => "hardly noticeable",
        2 => "light",
        3 => "comfortable, could talk at length",
        4 => "working a bit",
        5 => "clearly working, short sentences",
        6 => "between 5 and 7",
        7 => "very demanding",
        8 => "between 7 and 9",
        9 => "close to the limit",
        _ => "the most you can do",
    }
}
