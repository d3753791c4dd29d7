//! Lengths of the body's segments as fractions of stature.
//!
//! Lengths marked D&C are from R. Drillis and R. Contini, *Body Segment Parameters* (1966), as
//! reprinted in D. A. Winter, *Biomechanics and Motor Control of Human Movement*, figure 4.1; quoted
//! from memory. The others divide a D&C length where the table has one number and the figure needs
//! two, or give the line its thickness: our own choice.

/// Hip to knee (D&C: hip height 0.530 less knee height 0.285).
pub const THIGH: f64 = 0.245;
/// Knee to ankle (D&C: knee height 0.285 less ankle height 0.039).
pub const SHANK: f64 = 0.246;
/// Ankle above the sole (D&C).
pub const ANKLE_HEIGHT: f64 = 0.039;
/// Heel to tip of the toes (D&C).
pub const FOOT: f64 = 0.152;
/// Shoulder to elbow (D&C).
pub const UPPER_ARM: f64 = 0.186;
/// Elbow to wrist (D&C).
pub const FOREARM: f64 = 0.146;
/// Wrist to fingertip (D&C).
pub const HAND: f64 = 0.108;
/// Hip to shoulder (D&C: shoulder height 0.818 less hip height 0.530).
pub const TRUNK: f64 = 0.288;
/// Shoulder to chin (D&C: chin height 0.870 less shoulder height 0.818).
pub const NECK: f64 = 0.052;
/// Chin to crown (D&C).
pub const HEAD: f64 = 0.130;
/// Breadth across the shoulders (D&C).
pub const SHOULDER_BREADTH: f64 = 0.259;

/// The part of the trunk that moves with the pelvis.
pub const PELVIS: f64 = 0.050;
/// The lumbar part of the trunk.
pub const LUMBAR: f64 = 0.100;
/// The thoracic part: what is left of the trunk.
pub const THORACIC: f64 = TRUNK - PELVIS - LUMBAR;
/// Each of lumbar and thoracic spine bends in this many equal steps.
pub const SPINE_STEPS: usize = 4;
/// Midline to the centre of a hip joint; the joints lie well inside the breadth of the hips.
pub const HIP_OFFSET: f64 = 0.050;
/// Midline to the centre of a shoulder joint.
pub const SHOULDER_OFFSET: f64 = SHOULDER_BREADTH / 2.0 - UPPER_ARM_RADIUS;
/// Shoulder joints below the top of the trunk's line.
pub const SHOULDER_DROP: f64 = 0.004;
/// How far the shoulder joint rises with the arm held straight up.
pub const GIRDLE_RISE: f64 = 0.030;
/// Wrist to the knuckles; the fingers are the rest of the hand.
pub const PALM: f64 = 0.058;
/// Length of the thumb beyond the palm's edge.
pub const THUMB: f64 = 0.040;
/// Centre of the heel behind the ankle.
pub const HEEL_BACK: f64 = 0.030;
/// Ball of the foot ahead of the ankle.
pub const BALL_AHEAD: f64 = 0.062;
/// Tip of the toes ahead of the ankle.
pub const TOES_AHEAD: f64 = FOOT - HEEL_BACK - 2.0 * FOOT_RADIUS;
/// How far the nose stands out from the head.
pub const NOSE: f64 = 0.020;

/// Half thickness of the head.
pub const HEAD_RADIUS: f64 = HEAD / 2.0;
/// Half thickness of the neck.
pub const NECK_RADIUS: f64 = 0.022;
/// Half thickness of the trunk, front to back.
pub const TRUNK_RADIUS: f64 = 0.044;
/// Half thickness of the thigh.
pub const THIGH_RADIUS: f64 = 0.030;
/// Half thickness of the shank.
pub const SHANK_RADIUS: f64 = 0.024;
/// Half thickness of the foot.
pub const FOOT_RADIUS: f64 = 0.014;
/// Half thickness of the upper arm.
pub const UPPER_ARM_RADIUS: f64 = 0.021;
/// Half thickness of the forearm.
pub const FOREARM_RADIUS: f64 = 0.018;
/// Half thickness of the hand.
pub const HAND_RADIUS: f64 = 0.013;

/// Half breadth of the trunk's core line at a height given as a share of hip to shoulder; the
/// thickness of the line comes on top.
pub fn trunk_half_breadth(share: f64) -> f64 {
    const PROFILE: [(f64, f64); 5] = [
        (0.0, 0.045),
        (0.17, 0.050),
        (0.45, 0.034),
        (0.85, 0.066),
        (1.0, 0.058),
    ];
    let after = PROFILE
        .iter()
        .position(|(at, _)| *at >= share)
        .unwrap_or(PROFILE.len() - 1)
        .max(1);
    let (from, to) = (PROFILE[after - 1], PROFILE[after]);
    let along = ((share - from.0) / (to.0 - from.0)).clamp(0.0, 1.0);
    from.1 + (to.1 - from.1) * along
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Shoulder, hip and knee height of the same table (D&C as reprinted in Winter, from memory).
    #[test]
    fn segments_add_up_to_the_heights_of_the_table() {
        let knee = ANKLE_HEIGHT + SHANK;
        let hip = knee + THIGH;
        let shoulder = hip + TRUNK;
        assert!((knee - 0.285).abs() < 1e-9);
        assert!((hip - 0.530).abs() < 1e-9);
        assert!((shoulder - 0.818).abs() < 1e-9);
        assert!((shoulder + NECK + HEAD - 1.0).abs() < 1e-9);
        assert!((HEEL_BACK + TOES_AHEAD + 2.0 * FOOT_RADIUS - FOOT).abs() < 1e-9);
    }

    #[test]
    fn the_trunk_is_narrowest_at_the_waist() {
        assert!(trunk_half_breadth(0.45) < trunk_half_breadth(0.0));
        assert!(trunk_half_breadth(0.45) < trunk_half_breadth(1.0));
    }
}
