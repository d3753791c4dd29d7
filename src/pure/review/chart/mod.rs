//! Charts of a look back as SVG text, for files and for the page.
//!
//! Colours are the look of the program as attributes, and every shape carries a class, so that a page
//! can colour them by its own rules. Nothing moves, and nothing is told by colour alone.

mod canvas;
mod load;
mod nights;
mod ratings;

use super::summary::{Records, Review};

pub use load::load_by_week;
pub use nights::{NightBar, nights};
pub use ratings::ratings;

/// The charts of a look back, each with the name of its file without ending.
pub fn of(records: &Records<'_>, review: &Review) -> [(&'static str, String); 3] {
    [
        ("nights", nights(&nights::bars(records, review.span))),
        ("load", load_by_week(&review.loads.weeks)),
        ("ratings", ratings(records, review.span)),
    ]
}
