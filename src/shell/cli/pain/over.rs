//! Closing what was reported.

use serde_json::json;

use super::super::Said;
use super::{Turn, name_of};
use crate::pure::caution::{CANNOT_JUDGE, Report, Sign, Site, What};
use crate::pure::complaint::one_of;
use crate::pure::region::Region;
use crate::shell::failure::Failure;
use crate::shell::store::PainRow;

/// What is meant by the word after `--over`.
enum Meant {
    All,
    Sign(Sign),
    /// A place as written, and the region of the same name, if there is one.
    Place(Option<Site>, Option<Region>),
}

impl Turn<'_> {
    /// Closes the open reports that a word names.
    pub(super) fn over(&mut self, word: &str) -> Result<Said, Failure> {
        let open = self.open_rows()?;
        let meant = meant(word)?;
        let mut closing = matching(&open, &meant, false);
        if closing.is_empty() {
            closing = matching(&open, &meant, true);
        }
        if closing.is_empty() {
            let names: Vec<String> = open.iter().map(|row| name_of(&row.report)).collect();
            let instead = if names.is_empty() {
                "Nothing is open".to_owned()
            } else {
                format!("Write {}", one_of(names.iter().map(String::as_str)))
            };
            return Err(Failure::wrong(format!(
                "--over: nothing is open under {word}. {instead}."
            )));
        }
        self.store
            .close_pain(&closing, self.today, self.now, &self.zone)?;
        self.context.tell_service();
        let urgent = closing
            .iter()
            .any(|row| !row.report.level(self.today).suggest_training());
        let names: Vec<String> = closing.iter().map(|row| name_of(&row.report)).collect();
        let mut text = format!("Closed: {}.\n", names.join(", "));
        if urgent {
            text.push_str(&format!(
                "If you were told to rest, wait until whoever said so has cleared you. {CANNOT_JUDGE}\n"
            ));
        }
        let left = self.open_rows()?;
        if !left.is_empty() {
            let names: Vec<String> = left.iter().map(|row| name_of(&row.report)).collect();
            text.push_str(&format!("Still open: {}.\n", names.join(", ")));
        }
        let suggest_training = left
            .iter()
            .all(|row| row.report.level(self.today).suggest_training());
        Ok(Said {
            text,
            json: json!({
                "closed": names,
                "open": left.iter().map(|row| name_of(&row.report)).collect::<Vec<_>>(),
                "suggest_training": suggest_training,
            }),
        })
    }
}

fn meant(word: &str) -> Result<Meant, Failure> {
    if word == "all" {
        return Ok(Meant::All);
    }
    if let Some(sign) = Sign::from_id(word) {
        return Ok(Meant::Sign(sign));
    }
    let (site, region) = (Site::from_id(word), Region::from_id(word));
    if site.is_none() && region.is_none() {
        let bad = super::place(word).err().unwrap_or_default();
        return Err(Failure::wrong(format!("--over: {bad}")));
    }
    Ok(Meant::Place(site, region))
}

/// The reports that are named; loosely also those on either side, or in the region of that name.
fn matching(open: &[PainRow], meant: &Meant, loosely: bool) -> Vec<PainRow> {
    let names = |report: &Report| {
        let site = match report.what {
            What::Pain(pain) => Some(pain.site),
            What::Sign { site, .. } => site,
        };
        match meant {
            Meant::All => true,
            Meant::Sign(sign) => {
                matches!(report.what, What::Sign { sign: known, .. } if known == *sign)
            }
            Meant::Place(place, region) if loosely => site.is_some_and(|site| {
                let same_place =
                    place.is_some_and(|place| place.is_without_side() && site.is_same_place(place));
                let in_region = region
                    .is_some_and(|region| !site.is_joint() && site.regions().contains(&region));
                same_place || in_region
            }),
            Meant::Place(place, _) => place.is_some() && site == *place,
        }
    };
    open.iter()
        .filter(|row| names(&row.report))
        .cloned()
        .collect()
}
