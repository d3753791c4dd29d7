//! The session as suggested (our own factors and caps; the direction after Bosquet L et al. 2007), the
//! interval ladder (20:10 after Tabata I et al. 1996) and repetitions in reserve (Zourdos MC et al. 2016;
//! Helms ER et al. 2016), against plain Python.

use evenfall::pure::adjust::{
    adjusted, effort_cap, interval_totals, reps_in_reserve, scaled_count,
};
use evenfall::pure::block::Work;
use evenfall::pure::readiness::Band;
use serde_json::Value;

use super::{Vectors, id};

fn whole(value: &Value) -> u32 {
    u32::try_from(value.as_u64().expect("a whole number")).expect("small")
}

fn band(of: &Value) -> Band {
    Band::from_id(of["band"].as_str().expect("band")).expect("a known band")
}

#[test]
fn counts_and_effort_are_cut_as_computed_elsewhere() {
    let vectors = Vectors::read("session_adjust");
    assert_eq!(
        vectors.names(),
        [
            "interval_adjust",
            "interval_blocks",
            "rpe_caps",
            "rpe_to_rir",
            "sets"
        ]
    );
    for case in vectors.group("sets") {
        let given = &case["in"];
        let sets = scaled_count(whole(&given["planned_sets"]), band(given));
        assert_eq!(sets, whole(&case["out"]["sets"]), "{}", id(case));
    }
    for case in vectors.group("rpe_caps") {
        let given = &case["in"];
        let cap = effort_cap(given["planned_rpe"].as_f64().expect("rpe"), band(given));
        vectors.same(id(case), Some(cap), &case["out"]["target_rpe"]);
    }
    for case in vectors.group("rpe_to_rir") {
        let left = reps_in_reserve(case["in"]["rpe"].as_f64().expect("rpe"));
        vectors.same(id(case), left, &case["out"]["reps_in_reserve"]);
    }
}

#[test]
fn interval_parts_add_up() {
    let vectors = Vectors::read("session_adjust");
    for case in vectors.group("interval_blocks") {
        let (given, out) = (&case["in"], &case["out"]);
        let last_rest = given["count_last_rest"].as_bool().expect("flag");
        let (rounds, work, rest) = (
            whole(&given["rounds"]),
            whole(&given["work_s"]),
            whole(&given["rest_s"]),
        );
        let found = interval_totals(rounds, work, rest, last_rest);
        assert_eq!(found.cycle_s, whole(&out["cycle_s"]), "{}", id(case));
        assert_eq!(found.work_s, whole(&out["work_total_s"]), "{}", id(case));
        assert_eq!(found.rest_s, whole(&out["rest_total_s"]), "{}", id(case));
        assert_eq!(found.total_s(), whole(&out["total_s"]), "{}", id(case));
        vectors.same(id(case), found.work_share, &out["work_fraction"]);
        vectors.same(id(case), found.work_to_rest, &out["work_to_rest"]);
        if last_rest {
            // The plan counts the time of a part the same way.
            let part = Work::Intervals {
                rounds,
                work_s: work,
                rest_s: rest,
                moves: Vec::new(),
            };
            assert_eq!(part.seconds(), found.total_s());
        }
    }
}

#[test]
fn intervals_step_down_the_ladder() {
    let vectors = Vectors::read("session_adjust");
    for case in vectors.group("interval_adjust") {
        let (given, out) = (&case["in"], &case["out"]);
        let planned = Work::Intervals {
            rounds: whole(&given["rounds"]),
            work_s: whole(&given["work_s"]),
            rest_s: whole(&given["rest_s"]),
            moves: Vec::new(),
        };
        let expected = ["work_s", "rest_s", "rounds"].map(|name| whole(&out[name]));
        let found = match adjusted(&planned, band(given)) {
            Some(Work::Intervals {
                rounds,
                work_s,
                rest_s,
                ..
            }) => [work_s, rest_s, rounds],
            Some(other) => panic!("{}: became {}", id(case), other.kind()),
            None => [0, 0, 0],
        };
        assert_eq!(found, expected, "{}", id(case));
        assert_eq!(
            found[0] * found[2],
            whole(&out["work_total_s"]),
            "{}",
            id(case)
        );
    }
}
