//! The shipped files of the library, embedded.
//!
//! A test walks the folders and fails when a file is missing from this list or has left the disk.

use super::library::{Kind, LibraryText};

macro_rules! shipped {
    ($kind:ident, $folder:literal, $id:literal) => {
        LibraryText {
            file: concat!("routines/", $folder, "/", $id, ".toml"),
            kind: Kind::$kind,
            id: $id,
            text: include_str!(concat!("../../../routines/", $folder, "/", $id, ".toml")),
        }
    };
}

/// Every shipped file, stretches first, then patterns, then evenings, each by id.
pub const TEXTS: &[LibraryText<'static>] = &[
    shipped!(Stretch, "stretches", "all_fours_round_and_arch"),
    shipped!(Stretch, "stretches", "ankle_circles"),
    shipped!(Stretch, "stretches", "ankle_on_knee_lying"),
    shipped!(Stretch, "stretches", "ankle_on_knee_seated"),
    shipped!(Stretch, "stretches", "arm_across_body"),
    shipped!(Stretch, "stretches", "arm_threaded_under"),
    shipped!(Stretch, "stretches", "both_knees_to_chest"),
    shipped!(Stretch, "stretches", "chin_nod"),
    shipped!(Stretch, "stretches", "crossed_leg_side_lean"),
    shipped!(Stretch, "stretches", "doorway_chest"),
    shipped!(Stretch, "stretches", "elbow_overhead"),
    shipped!(Stretch, "stretches", "forearm_prop_up"),
    shipped!(Stretch, "stretches", "half_kneeling_hip"),
    shipped!(Stretch, "stretches", "hands_behind_back"),
    shipped!(Stretch, "stretches", "heel_on_step"),
    shipped!(Stretch, "stretches", "high_wall_chest"),
    shipped!(Stretch, "stretches", "knee_to_opposite_shoulder"),
    shipped!(Stretch, "stretches", "kneel_and_reach"),
    shipped!(Stretch, "stretches", "kneel_and_reach_side"),
    shipped!(Stretch, "stretches", "kneel_shins"),
    shipped!(Stretch, "stretches", "knees_to_one_side"),
    shipped!(Stretch, "stretches", "leg_off_bed_edge"),
    shipped!(Stretch, "stretches", "legs_up_wall"),
    shipped!(Stretch, "stretches", "lying_soles_together"),
    shipped!(Stretch, "stretches", "neck_diagonal"),
    shipped!(Stretch, "stretches", "neck_side_bend"),
    shipped!(Stretch, "stretches", "neck_turn"),
    shipped!(Stretch, "stretches", "one_knee_to_chest"),
    shipped!(Stretch, "stretches", "palm_on_wall"),
    shipped!(Stretch, "stretches", "palms_together"),
    shipped!(Stretch, "stretches", "prone_strap_heel"),
    shipped!(Stretch, "stretches", "round_and_hug"),
    shipped!(Stretch, "stretches", "seated_forward_curl"),
    shipped!(Stretch, "stretches", "seated_one_leg_reach"),
    shipped!(Stretch, "stretches", "seated_soles_together"),
    shipped!(Stretch, "stretches", "side_kneel_lunge"),
    shipped!(Stretch, "stretches", "side_lying_chest_open"),
    shipped!(Stretch, "stretches", "side_lying_heel_to_seat"),
    shipped!(Stretch, "stretches", "standing_heel_to_seat"),
    shipped!(Stretch, "stretches", "standing_side_bend"),
    shipped!(Stretch, "stretches", "strap_leg_across"),
    shipped!(Stretch, "stretches", "strap_leg_raise"),
    shipped!(Stretch, "stretches", "toe_draw_back"),
    shipped!(Stretch, "stretches", "wall_calf_bent"),
    shipped!(Stretch, "stretches", "wall_calf_straight"),
    shipped!(Stretch, "stretches", "wide_seated_lean"),
    shipped!(Stretch, "stretches", "wrist_palm_down"),
    shipped!(Stretch, "stretches", "wrist_palm_up"),
    shipped!(Pattern, "patterns", "double_inhale_6"),
    shipped!(Pattern, "patterns", "even_5"),
    shipped!(Pattern, "patterns", "even_5_5"),
    shipped!(Pattern, "patterns", "four_four_eight"),
    shipped!(Pattern, "patterns", "four_seven_eight"),
    shipped!(Pattern, "patterns", "longer_out_4_6"),
    shipped!(Pattern, "patterns", "longer_out_4_8"),
    shipped!(Pattern, "patterns", "square_4"),
    shipped!(Evening, "evenings", "hotel_bed"),
    shipped!(Evening, "evenings", "legs"),
    shipped!(Evening, "evenings", "rest_day"),
    shipped!(Evening, "evenings", "upper_body"),
    shipped!(Evening, "evenings", "very_short"),
    shipped!(Evening, "evenings", "whole_body"),
];
