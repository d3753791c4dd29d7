//! The outline of a body, front and back, on which sore regions can be tapped.
//!
//! It only helps the eye: the same answers stand in a list of fields beside it, which is what keyboards
//! and screen readers use and what is sent.

use maud::{Markup, html};

use crate::pure::region::Region;

/// One shape: a round-ended line from one point to another, so thick; units of a body 400 high, its
/// middle at 100.
struct Limb {
    region: Region,
    from: (i32, i32),
    to: (i32, i32),
    thick: i32,
    /// Once more on the other side of the body.
    both: bool,
}

const fn limb(region: Region, from: (i32, i32), to: (i32, i32), thick: i32, both: bool) -> Limb {
    Limb {
        region,
        from,
        to,
        thick,
        both,
    }
}

const ARMS_AND_NECK: [Limb; 4] = [
    limb(Region::Neck, (100, 58), (100, 62), 20, false),
    limb(Region::Shoulders, (66, 84), (68, 84), 30, true),
    limb(Region::UpperArms, (56, 112), (50, 150), 22, true),
    limb(Region::Forearms, (46, 174), (38, 226), 18, true),
];

const FRONT: [Limb; 7] = [
    limb(Region::Chest, (90, 92), (110, 92), 34, false),
    limb(Region::Core, (100, 130), (100, 156), 42, false),
    limb(Region::Hips, (84, 192), (84, 194), 28, true),
    limb(Region::ThighFront, (78, 226), (78, 282), 26, true),
    limb(Region::ThighInner, (97, 222), (95, 262), 9, true),
    limb(Region::Shins, (79, 312), (80, 364), 19, true),
    limb(Region::Feet, (76, 388), (70, 390), 15, true),
];

const BACK: [Limb; 6] = [
    limb(Region::UpperBack, (92, 94), (108, 94), 42, false),
    limb(Region::LowerBack, (100, 140), (100, 154), 40, false),
    limb(Region::Glutes, (84, 192), (86, 194), 30, true),
    limb(Region::ThighBack, (80, 228), (80, 282), 30, true),
    limb(Region::Calves, (79, 312), (80, 358), 22, true),
    limb(Region::Feet, (79, 388), (79, 390), 15, true),
];

/// Both views side by side; hidden until the script that makes it work shows it.
pub fn outline() -> Markup {
    html! {
        svg #body viewBox="0 0 400 425" aria-hidden="true" focusable="false" hidden {
            (view(0, &FRONT))
            (view(200, &BACK))
            text x="100" y="420" text-anchor="middle" { "front" }
            text x="300" y="420" text-anchor="middle" { "back" }
        }
    }
}

fn view(shift: i32, limbs: &[Limb]) -> Markup {
    html! {
        g transform={ "translate(" (shift) " 0)" } {
            circle cx="100" cy="28" r="21" {}
            @for limb in ARMS_AND_NECK.iter().chain(limbs) {
                g data-region=(limb.region.id()) {
                    title { (limb.region.words()) }
                    (line(limb, 1))
                    @if limb.both { (line(limb, -1)) }
                }
            }
        }
    }
}

fn line(limb: &Limb, side: i32) -> Markup {
    let x = |x: i32| 100 + side * (x - 100);
    html! {
        line x1=(x(limb.from.0)) y1=(limb.from.1) x2=(x(limb.to.0)) y2=(limb.to.1) stroke-width=(limb.thick) {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_region_can_be_tapped() {
        let drawn = outline().into_string();
        for (id, _) in Region::ALL {
            assert!(drawn.contains(&format!("data-region=\"{id}\"")), "{id}");
        }
    }
}
