//! `pain`: records pain or a warning sign, closes it, lists what is open.

mod form;
mod over;

use chrono::NaiveDate;
use serde_json::{Value, json};

use super::ask::can_ask;
use super::{Context, Said};
use crate::pure::caution::{Kind, Level, PainReport, Report, Sign, Site, What};
use crate::pure::civil::{Instant, Zone};
use crate::pure::complaint::{nearest, one_of};
use crate::shell::day;
use crate::shell::failure::Failure;
use crate::shell::pain;
use crate::shell::store::{PainRow, Store};

/// What is reported, or closed.
#[derive(Debug, Default, clap::Args)]
#[command(allow_negative_numbers = true)]
pub struct Arguments {
    /// Where: knee_left, lower_back, calves ...
    #[arg(long = "in", value_name = "PLACE")]
    place: Option<String>,
    /// How strong, 0 none to 10
    #[arg(long, value_name = "0-10", value_parser = level)]
    level: Option<u8>,
    /// What it feels like: sore, sharp, burning, numb, swelling, giving_way ...
    #[arg(long, value_name = "KIND", value_parser = kind)]
    kind: Option<Kind>,
    /// Since when [default: today]
    #[arg(long, value_name = "DATE", value_parser = super::read_date)]
    since: Option<NaiveDate>,
    /// A warning sign by its id; evenfall pain --signs lists them
    #[arg(long, value_name = "ID", value_parser = sign, conflicts_with_all = ["level", "kind"])]
    sign: Option<Sign>,
    /// A remark
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
    /// It is over: a place, a region, a sign, or all
    #[arg(long, value_name = "PLACE", conflicts_with_all = ["place", "level", "kind", "since", "sign"])]
    over: Option<String>,
    /// List what is open; with --all what is closed too
    #[arg(long)]
    list: bool,
    /// With --list: closed reports too
    #[arg(long, requires = "list")]
    all: bool,
    /// List the warning signs with their ids
    #[arg(long)]
    signs: bool,
}

fn level(text: &str) -> Result<u8, String> {
    text.trim()
        .parse()
        .ok()
        .filter(|level| *level <= 10)
        .ok_or_else(|| {
            format!("`{text}` is no strength of pain. Write 0 for none to 10 for the worst.")
        })
}

fn kind(text: &str) -> Result<Kind, String> {
    let ids = Kind::ALL.map(|(id, _, _)| id);
    Kind::from_id(text.trim()).ok_or_else(|| not_known("kind of pain", text, &ids))
}

fn sign(text: &str) -> Result<Sign, String> {
    let ids: Vec<&str> = Sign::all().map(Sign::id).collect();
    let begun = |id: &&str| text.len() >= 3 && id.starts_with(text);
    let near = || nearest(text, ids.iter().copied());
    let near = ids.iter().copied().find(begun).or_else(near);
    Sign::from_id(text.trim()).ok_or_else(|| match near {
        Some(near) => format!("`{text}` is no sign. Did you mean {near}?"),
        None => format!("`{text}` is no sign. evenfall pain --signs lists them."),
    })
}

fn place(text: &str) -> Result<Site, String> {
    let ids: Vec<String> = Site::ids().collect();
    let plain: Vec<&str> = ids
        .iter()
        .map(String::as_str)
        .filter(|id| !id.ends_with("_left") && !id.ends_with("_right"))
        .collect();
    Site::from_id(text.trim()).ok_or_else(|| match nearest(text, ids.iter().map(String::as_str)) {
        Some(near) => format!("`{text}` is no place. Did you mean {near}?"),
        None => format!(
            "`{text}` is no place. Write {}, with _left or _right where there are two.",
            one_of(plain)
        ),
    })
}

fn not_known(what: &str, text: &str, ids: &[&'static str]) -> String {
    match nearest(text, ids.iter().copied()) {
        Some(near) => format!("`{text}` is no {what}. Did you mean {near}?"),
        None => format!(
            "`{text}` is no {what}. Write {}.",
            one_of(ids.iter().copied())
        ),
    }
}

/// A command in its middle.
struct Turn<'c> {
    context: &'c Context,
    store: Store,
    zone: Zone,
    now: Instant,
    today: NaiveDate,
    emergency_number: Option<String>,
}

const NOTHING_SAID: &str = "There is nothing to record and no terminal to ask on. Write for example: evenfall pain --in \
     knee_left --level 4 --kind sharp; or evenfall pain --sign ID (evenfall pain --signs lists them); or evenfall pain \
     --over knee_left.";

/// Records, closes or lists.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    if arguments.signs {
        return Ok(signs());
    }
    let says = arguments.place.is_some() || arguments.sign.is_some();
    if !says && (arguments.level.is_some() || arguments.kind.is_some()) {
        return Err(Failure::wrong(
            "Where is it? Write the place with --in, for example --in knee_left.",
        ));
    }
    let asks = !says && arguments.over.is_none() && !arguments.list;
    if asks && (context.json() || !can_ask()) {
        return Err(Failure::wrong(NOTHING_SAID));
    }
    let (now, world) = context.open()?;
    let mut turn = Turn {
        context,
        store: context.store()?,
        today: day::today(&world, now),
        zone: world.zone.clone(),
        now,
        emergency_number: world.settings.emergency_number.clone(),
    };
    if let Some(over) = &arguments.over {
        return turn.over(over);
    }
    if arguments.list {
        return turn.list(arguments.all);
    }
    let reports = if asks {
        turn.ask()?
    } else {
        vec![turn.reported(arguments)?]
    };
    let note = arguments.note.as_deref().unwrap_or("").trim().to_owned();
    turn.record(&reports, &note)
}

impl Turn<'_> {
    fn reported(&self, arguments: &Arguments) -> Result<What, Failure> {
        let site = arguments.place.as_deref().map(place).transpose();
        let site = site.map_err(|bad| Failure::wrong(format!("--in: {bad}")))?;
        if let Some(sign) = arguments.sign {
            return Ok(What::Sign { sign, site });
        }
        let kind = arguments.kind.unwrap_or(Kind::Other);
        let since = match arguments.since {
            Some(since) => since,
            None => pain::known_since(&self.store, site, kind)?.unwrap_or(self.today),
        };
        if since > self.today {
            return Err(Failure::wrong(format!(
                "--since: {since} is still to come, today is {}. Since when is it there?",
                self.today
            )));
        }
        match (site, arguments.level) {
            (Some(site), Some(level)) => Ok(What::Pain(PainReport {
                site,
                level,
                kind,
                since,
            })),
            _ => Err(Failure::wrong(
                "How strong is it? Write --level 0 for none to 10 for the worst.",
            )),
        }
    }

    /// Writes reports; each takes the place of what it says anew.
    fn record(&mut self, reports: &[What], note: &str) -> Result<Said, Failure> {
        let kept = pain::record(
            &mut self.store,
            reports,
            note,
            self.today,
            self.now,
            &self.zone,
        )?;
        self.context.tell_service();
        self.said(&kept)
    }

    fn open_rows(&self) -> Result<Vec<PainRow>, Failure> {
        pain::open(&self.store)
    }

    fn text_of(&self, report: &Report) -> String {
        report.text(self.today, self.emergency_number.as_deref())
    }

    /// The texts of new reports, most urgent first, and whether training may be suggested now.
    fn said(&self, reports: &[Report]) -> Result<Said, Failure> {
        let mut sorted = reports.to_vec();
        sorted.sort_by_key(|report| std::cmp::Reverse(report.level(self.today)));
        let worst = self
            .open_rows()?
            .iter()
            .map(|row| row.report.level(self.today))
            .max()
            .unwrap_or(Level::CarryOn);
        let mut text = String::new();
        for report in &sorted {
            text.push_str(&format!("{}\n", self.text_of(report)));
        }
        if !worst.suggest_training() {
            text.push_str(
                "\nNo training is suggested until you close this. When it is over: evenfall pain --over PLACE or SIGN\n",
            );
        }
        let first = sorted.first();
        Ok(Said {
            text,
            json: json!({
                "level": first.map(|report| report.level(self.today).id()),
                "sign": first.and_then(|report| report.sign(self.today)).map(Sign::id),
                "text": first.map(|report| self.text_of(report)),
                "recorded": sorted.iter().map(|report| self.report_json(report)).collect::<Vec<_>>(),
                "suggest_training": worst.suggest_training(),
            }),
        })
    }

    fn report_json(&self, report: &Report) -> Value {
        let (site, level, kind, since) = match report.what {
            What::Pain(pain) => (
                Some(pain.site),
                Some(pain.level),
                Some(pain.kind.id()),
                Some(pain.since.to_string()),
            ),
            What::Sign { site, .. } => (site, None, None, None),
        };
        json!({
            "date": report.on.to_string(),
            "in": site.map(|site| site.to_string()),
            "pain_level": level,
            "kind": kind,
            "since": since,
            "level": report.level(self.today).id(),
            "sign": report.sign(self.today).map(Sign::id),
            "text": self.text_of(report),
        })
    }

    fn list(&self, all: bool) -> Result<Said, Failure> {
        let rows: Vec<PainRow> = self
            .store
            .pain()?
            .into_iter()
            .filter(|row| all || row.is_open())
            .collect();
        let mut text = String::new();
        let mut listed: Vec<Value> = Vec::new();
        for row in &rows {
            let name = name_of(&row.report);
            let ending = row
                .until
                .map_or(String::new(), |until| format!(", closed {until}"));
            text.push_str(&format!("{} {name}{ending}\n", row.report.on));
            text.push_str(&format!("  {}\n", self.text_of(&row.report)));
            let mut json = self.report_json(&row.report);
            json["open"] = json!(row.is_open());
            json["until"] = json!(row.until.map(|until| until.to_string()));
            json["note"] = json!((!row.note.is_empty()).then_some(&row.note));
            listed.push(json);
        }
        if rows.is_empty() {
            text.push_str("Nothing is open.\n");
        } else {
            text.push_str("When something is over: evenfall pain --over PLACE or SIGN\n");
        }
        Ok(Said {
            text,
            json: json!({ "reports": listed }),
        })
    }
}

/// What to write after `--over`.
fn name_of(report: &Report) -> String {
    match report.what {
        What::Pain(pain) => pain.site.to_string(),
        What::Sign { sign, .. } => sign.id().to_owned(),
    }
}

fn signs() -> Said {
    let mut text = String::new();
    let mut level = None;
    for sign in Sign::all() {
        if level != Some(sign.level()) {
            level = Some(sign.level());
            text.push_str(&format!("{}\n", sign.level().id()));
        }
        text.push_str(&format!("  {}\n    {}\n", sign.id(), sign.question()));
    }
    let json: Vec<Value> = Sign::all()
        .map(|sign| {
            json!({ "id": sign.id(), "level": sign.level().id(), "question": sign.question() })
        })
        .collect();
    Said {
        text,
        json: json!({ "signs": json }),
    }
}
