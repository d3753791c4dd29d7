//! How far joints move: an angle beyond it is a slip of the pen, or a stretch nobody should copy.
//!
//! Usual ranges are the values of the American Academy of Orthopaedic Surgeons (*Joint Motion*, 1965)
//! as tabulated in C. C. Norkin and D. J. White, *Measurement of Joint Motion*; quoted from memory.
//! They are active ranges of adults. In a stretch a hand, a strap or the body's weight carries a joint
//! further, so each joint has an allowance for passive motion on top: our own choice, in the order of
//! the passive ranges of the same book. Where motion depends on a neighbouring joint (a thigh moves
//! further outward when lifted) the allowance covers it.

use std::fmt;

/// One motion of a joint, in degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion {
    /// The key in files.
    pub key: &'static str,
    /// Least usual angle.
    pub least: f64,
    /// Greatest usual angle.
    pub most: f64,
    /// Allowed beyond the usual range at the lower end.
    pub passive_less: f64,
    /// Allowed beyond the usual range at the upper end.
    pub passive_more: f64,
    /// What a positive angle means.
    pub means: &'static str,
}

/// The source, for messages.
pub const SOURCE: &str = "AAOS ranges as in Norkin and White";

impl Motion {
    /// Whether an angle is within the range with its allowance.
    pub fn allows(&self, degrees: f64) -> bool {
        degrees >= self.least - self.passive_less && degrees <= self.most + self.passive_more
    }
}

impl fmt::Display for Motion {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} to {} ({}; usual {} to {}, the rest allowed for passive motion; {SOURCE})",
            self.least - self.passive_less,
            self.most + self.passive_more,
            self.means,
            self.least,
            self.most
        )
    }
}

const fn motion(
    key: &'static str,
    usual: (f64, f64),
    passive: (f64, f64),
    means: &'static str,
) -> Motion {
    Motion {
        key,
        least: usual.0,
        most: usual.1,
        passive_less: passive.0,
        passive_more: passive.1,
        means,
    }
}

/// The arm, in the order of [`super::pose::Arm`].
pub const ARM: [Motion; 7] = [
    motion("shoulder", (-60.0, 180.0), (10.0, 0.0), "raised forward"),
    // Across the body: horizontal flexion 135 in the table, of which 0 to 90 is in front of the shoulder.
    motion(
        "shoulder_out",
        (-45.0, 180.0),
        (15.0, 0.0),
        "away from the midline",
    ),
    motion(
        "shoulder_turn",
        (-70.0, 90.0),
        (20.0, 15.0),
        "turned outward",
    ),
    motion("elbow", (0.0, 150.0), (5.0, 5.0), "bent"),
    motion("forearm", (-80.0, 80.0), (10.0, 10.0), "palm turned up"),
    motion("wrist", (-70.0, 80.0), (20.0, 10.0), "bent toward the palm"),
    motion(
        "fingers",
        (-45.0, 90.0),
        (15.0, 10.0),
        "bent toward the palm",
    ),
];

/// The leg, in the order of [`super::pose::Leg`].
pub const LEG: [Motion; 6] = [
    motion("hip", (-30.0, 120.0), (5.0, 25.0), "raised forward"),
    motion(
        "hip_out",
        (-30.0, 45.0),
        (10.0, 25.0),
        "away from the midline",
    ),
    motion("hip_turn", (-45.0, 45.0), (10.0, 30.0), "turned outward"),
    motion("knee", (0.0, 135.0), (5.0, 25.0), "bent"),
    motion(
        "ankle",
        (-50.0, 20.0),
        (15.0, 20.0),
        "drawn toward the shin",
    ),
    motion("toes", (-45.0, 70.0), (0.0, 20.0), "bent upward"),
];

/// The lumbar spine: its share of the thoracolumbar range of the table (forward 80, backward 25, side
/// 35, turn 45); the division between the two parts is ours, after the usual account that turning is
/// thoracic and bending mostly lumbar.
pub const LUMBAR: [Motion; 3] = [
    motion("lumbar", (-25.0, 50.0), (10.0, 10.0), "bent forward"),
    motion(
        "lumbar_side",
        (-20.0, 20.0),
        (5.0, 5.0),
        "bent to the right",
    ),
    motion(
        "lumbar_turn",
        (-10.0, 10.0),
        (5.0, 5.0),
        "turned to the right",
    ),
];

/// The thoracic spine; see [`LUMBAR`].
pub const THORACIC: [Motion; 3] = [
    motion("thoracic", (-15.0, 40.0), (10.0, 10.0), "bent forward"),
    motion(
        "thoracic_side",
        (-20.0, 20.0),
        (5.0, 5.0),
        "bent to the right",
    ),
    motion(
        "thoracic_turn",
        (-35.0, 35.0),
        (10.0, 10.0),
        "turned to the right",
    ),
];

/// The neck.
pub const NECK: [Motion; 3] = [
    motion("neck", (-45.0, 45.0), (10.0, 10.0), "bent forward"),
    motion("neck_side", (-45.0, 45.0), (0.0, 0.0), "bent to the right"),
    motion(
        "neck_turn",
        (-60.0, 60.0),
        (20.0, 20.0),
        "turned to the right",
    ),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_joint_may_stay_at_rest_and_none_goes_all_the_way_round() {
        for motion in ARM
            .iter()
            .chain(&LEG)
            .chain(&LUMBAR)
            .chain(&THORACIC)
            .chain(&NECK)
        {
            assert!(motion.allows(0.0), "{}", motion.key);
            assert!(!motion.allows(200.0), "{}", motion.key);
            assert!(!motion.allows(-100.0), "{}", motion.key);
        }
    }

    /// Usual ranges quoted from AAOS 1965 as in Norkin and White (from memory).
    #[test]
    fn the_table_is_quoted_as_published() {
        let usual = |motions: &[Motion], key: &str| {
            let motion = motions
                .iter()
                .find(|motion| motion.key == key)
                .expect("key");
            (motion.least, motion.most)
        };
        assert_eq!(usual(&LEG, "hip"), (-30.0, 120.0));
        assert_eq!(usual(&LEG, "knee"), (0.0, 135.0));
        assert_eq!(usual(&LEG, "ankle"), (-50.0, 20.0));
        assert_eq!(usual(&ARM, "shoulder"), (-60.0, 180.0));
        assert_eq!(usual(&ARM, "elbow"), (0.0, 150.0));
        assert_eq!(usual(&NECK, "neck_turn"), (-60.0, 60.0));
    }
}
