//! What a report means for the evening: conditions to leave out stretches and breath holds by.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::level::Level;
use super::pain::{Kind, PainReport};
use super::sign::Sign;
use super::site::Site;
use super::standing::{Report, What};
use crate::pure::avoid::Avoid;

impl Report {
    /// The conditions that an open report stands for on a day, as if the person had written them into
    /// `avoid` for as long as it is open. Usual soreness stands for none.
    ///
    /// The regions that hurt are left out anyway; this adds the stretches that bend or load a painful
    /// joint while they stretch something else. Precautionary common practice, no source.
    pub fn avoid(&self, today: NaiveDate) -> BTreeSet<Avoid> {
        let ids = match self.what {
            What::Pain(pain) if pain.is_pain(today) => of_pain(&pain),
            What::Pain(_) => Vec::new(),
            What::Sign { sign, site } if sign.level() > Level::CarryOn => {
                let place = site.map_or(&[][..], of_site);
                [place, of_sign(sign)].concat()
            }
            What::Sign { .. } => Vec::new(),
        };
        ids.into_iter().filter_map(Avoid::from_id).collect()
    }
}

fn of_pain(pain: &PainReport) -> Vec<&'static str> {
    let nerve = matches!(pain.kind, Kind::Numb | Kind::Tingling);
    let nerve: &[&'static str] = if nerve { of_nerve(pain.site) } else { &[] };
    [of_site(pain.site), nerve].concat()
}

fn of_site(site: Site) -> &'static [&'static str] {
    match site.base() {
        "neck" => &["neck_injury"],
        "shoulder" | "shoulders" => &["shoulder_pain"],
        "lower_back" => &["back_pain", "arching_pain"],
        "elbow" => &["elbow_pain"],
        "wrist" | "hand" => &["wrist_injury"],
        "groin" => &["groin_strain"],
        "knee" => &["knee_pain"],
        "ankle" => &["ankle_pain"],
        "heel" => &["achilles_injury", "foot_injury"],
        "foot" | "feet" => &["foot_injury"],
        _ => &[],
    }
}

fn of_nerve(site: Site) -> &'static [&'static str] {
    match site.base() {
        "neck" | "shoulder" | "shoulders" | "upper_arm" | "upper_arms" | "elbow" | "forearm"
        | "forearms" | "wrist" | "hand" => &["arm_tingling", "hand_numbness"],
        "lower_back" | "hip" | "hips" | "glute" | "glutes" | "thigh_back" | "calf" | "calves"
        | "foot" | "feet" => &["leg_pain_from_back"],
        _ => &[],
    }
}

fn of_sign(sign: Sign) -> &'static [&'static str] {
    match sign {
        Sign::ChestPain | Sign::Palpitations => &["heart_or_circulation_condition", "dizziness"],
        Sign::Fainted => &["fainting_history", "dizziness"],
        Sign::Breathless => &["lung_condition"],
        Sign::Seizure => &["seizure_disorder"],
        Sign::SuddenHeadache => &["holds", "dizziness"],
        Sign::HeadInjury | Sign::HeadInjuryWithSign => &["holds", "neck_injury", "dizziness"],
        Sign::BackWithNumbness => &["back_pain", "leg_pain_from_back"],
        _ => &[],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date() -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 3, 2).expect("date")
    }

    fn ids(what: What) -> Vec<&'static str> {
        let report = Report { what, on: date() };
        report.avoid(date()).into_iter().map(Avoid::id).collect()
    }

    fn pain(site: &str, kind: Kind) -> What {
        What::Pain(PainReport {
            site: Site::from_id(site).expect("site"),
            level: 3,
            kind,
            since: date(),
        })
    }

    #[test]
    fn a_painful_joint_stands_for_its_condition_and_a_sore_muscle_for_none() {
        assert_eq!(ids(pain("knee_left", Kind::Sharp)), ["knee_pain"]);
        assert_eq!(ids(pain("ankle_right", Kind::Sprain)), ["ankle_pain"]);
        assert_eq!(ids(pain("calves", Kind::Sore)), [""; 0]);
        assert_eq!(
            ids(pain("hand_left", Kind::Tingling)),
            ["arm_tingling", "hand_numbness", "wrist_injury"]
        );
    }

    #[test]
    fn a_sign_of_heart_or_breath_rules_out_holds() {
        for sign in [
            Sign::ChestPain,
            Sign::Fainted,
            Sign::Breathless,
            Sign::Seizure,
            Sign::HeadInjury,
        ] {
            let report = Report {
                what: What::Sign { sign, site: None },
                on: date(),
            };
            let avoid = report.avoid(date());
            assert!(
                avoid.iter().any(|avoid| avoid.rules_out_holds()),
                "{sign:?}"
            );
        }
    }

    #[test]
    fn every_id_here_is_a_condition_of_the_list() {
        for id in Site::ids() {
            let site = Site::from_id(&id).expect("site");
            for id in of_site(site).iter().chain(of_nerve(site)) {
                assert!(Avoid::from_id(id).is_some(), "{id}");
            }
        }
        for id in Sign::all().flat_map(of_sign) {
            assert!(Avoid::from_id(id).is_some(), "{id}");
        }
    }
}
