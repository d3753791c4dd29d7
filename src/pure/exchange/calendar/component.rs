//! From content lines to components: the BEGIN and END of a file as a tree.

use super::Limits;
use super::faults::{Faults, Place, shown};
use super::line::Line;

/// Deepest nesting; a calendar needs four levels.
const DEEPEST: usize = 8;

/// Components that stand directly in a calendar and never in one another.
const TOP: [&str; 5] = ["VEVENT", "VTODO", "VJOURNAL", "VFREEBUSY", "VTIMEZONE"];

/// Properties that are read; others are checked for their form and passed over.
const KEPT: [&str; 21] = [
    "CLASS",
    "DESCRIPTION",
    "DTEND",
    "DTSTAMP",
    "DTSTART",
    "DURATION",
    "EXDATE",
    "EXRULE",
    "LOCATION",
    "RDATE",
    "RECURRENCE-ID",
    "RRULE",
    "SEQUENCE",
    "STATUS",
    "SUMMARY",
    "TRANSP",
    "TZID",
    "TZNAME",
    "TZOFFSETFROM",
    "TZOFFSETTO",
    "UID",
];

/// A component with its properties and what stands inside it.
#[derive(Clone, Debug, Default)]
pub(super) struct Component<'t> {
    /// In upper case.
    pub(super) name: String,
    /// Where it begins.
    pub(super) place: Place,
    pub(super) properties: Vec<Line<'t>>,
    pub(super) inside: Vec<Component<'t>>,
}

impl<'t> Component<'t> {
    /// The properties of a name.
    pub(super) fn all<'c>(&'c self, name: &'c str) -> impl Iterator<Item = &'c Line<'t>> {
        self.properties.iter().filter(move |line| line.name == name)
    }

    /// The first property of a name.
    pub(super) fn first(&self, name: &str) -> Option<&Line<'t>> {
        self.properties.iter().find(|line| line.name == name)
    }

    /// The components of a name directly inside.
    pub(super) fn inner<'c>(&'c self, name: &'c str) -> impl Iterator<Item = &'c Component<'t>> {
        self.inside.iter().filter(move |inner| inner.name == name)
    }
}

/// Builds the calendars of a file. What is not built right is a fault.
#[derive(Debug)]
pub(super) struct Builder<'t> {
    calendars: Vec<Component<'t>>,
    open: Vec<Component<'t>>,
    count: usize,
    stray_told: bool,
    last_line: usize,
}

impl<'t> Builder<'t> {
    pub(super) fn new() -> Self {
        Self {
            calendars: Vec::new(),
            open: Vec::new(),
            count: 0,
            stray_told: false,
            last_line: 1,
        }
    }

    /// Takes in a line; `false` where going on makes no sense.
    pub(super) fn take(
        &mut self,
        line: Line<'t>,
        limits: &Limits,
        faults: &mut Faults<'_>,
    ) -> bool {
        self.last_line = line.place.line;
        match line.name.as_str() {
            "BEGIN" => return self.begin(&line, limits, faults),
            "END" => self.end(&line, faults),
            name => match self.open.last_mut() {
                Some(component) => {
                    if KEPT.contains(&name) {
                        component.properties.push(line);
                    }
                }
                None => self.stray(&line, faults),
            },
        }
        true
    }

    fn stray(&mut self, line: &Line<'_>, faults: &mut Faults<'_>) {
        if !self.stray_told {
            let what = format!("{} stands outside of any calendar", line.name);
            faults.say(line.place, what, "Begin the file with BEGIN:VCALENDAR");
        }
        self.stray_told = true;
    }

    fn begin(&mut self, line: &Line<'_>, limits: &Limits, faults: &mut Faults<'_>) -> bool {
        let name = line.value.trim().to_ascii_uppercase();
        self.count += 1;
        if self.count > limits.components || self.open.len() >= DEEPEST {
            let what = if self.open.len() >= DEEPEST {
                format!("components are nested deeper than {DEEPEST} levels, the limit")
            } else {
                format!(
                    "the file has more than {} components, the limit",
                    limits.components
                )
            };
            faults.say(line.place, what, "Export a shorter span of time");
            return false;
        }
        let top = TOP.contains(&name.as_str());
        if name == "VCALENDAR" || top {
            let stays = usize::from(top);
            while self.open.len() > stays {
                let missing = self.close(faults, line.place, &format!("{name} begins"));
                if missing.is_none() {
                    break;
                }
            }
        }
        if self.open.is_empty() && name != "VCALENDAR" {
            self.stray(line, faults);
        }
        self.open.push(Component {
            name,
            place: line.place,
            ..Component::default()
        });
        true
    }

    fn end(&mut self, line: &Line<'_>, faults: &mut Faults<'_>) {
        let name = line.value.trim().to_ascii_uppercase();
        if !self.open.iter().any(|open| open.name == name) {
            let what = format!("END:{} closes nothing", shown(&name));
            faults.say(
                line.place,
                what,
                "Write its BEGIN before it, or leave it out",
            );
            return;
        }
        while self.open.last().is_some_and(|open| open.name != name) {
            self.close(faults, line.place, &format!("END:{name} comes"));
        }
        self.finish();
    }

    /// Closes the innermost component because something else shows that its END is missing.
    fn close(&mut self, faults: &mut Faults<'_>, place: Place, because: &str) -> Option<()> {
        let open = self.open.last()?;
        let (name, line) = (shown(&open.name), open.place.line);
        faults.say(
            place,
            format!("{because} inside the {name} that began in line {line}"),
            format!("Write END:{name} before it"),
        );
        self.finish();
        Some(())
    }

    fn finish(&mut self) {
        let Some(done) = self.open.pop() else { return };
        match self.open.last_mut() {
            Some(around) => around.inside.push(done),
            None if done.name == "VCALENDAR" => self.calendars.push(done),
            None => {}
        }
    }

    /// The calendars; whatever is still open was cut off.
    pub(super) fn calendars(mut self, faults: &mut Faults<'_>) -> Vec<Component<'t>> {
        let place = Place {
            line: self.last_line,
            column: 1,
        };
        if let Some(open) = self.open.last() {
            let (name, line) = (shown(&open.name), open.place.line);
            let open: Vec<String> = self.open.iter().rev().map(|c| shown(&c.name)).collect();
            faults.say(
                place,
                format!(
                    "the file is truncated: its end comes inside the {name} that began in line {line}, and END is missing for {}",
                    open.join(" and ")
                ),
                "Download or export the calendar again",
            );
        }
        while !self.open.is_empty() {
            self.finish();
        }
        self.calendars
    }
}
