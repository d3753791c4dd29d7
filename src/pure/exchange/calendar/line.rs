//! From octets to content lines: unfolding first, then UTF-8, then name, parameters and value
//! (RFC 5545, section 3.1: a fold may lie inside a character).

use super::Limits;
use super::faults::{Faults, Place, shown};

/// One content line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Line<'t> {
    /// In upper case.
    pub(super) name: String,
    /// Names in upper case, values without their quotes.
    pub(super) parameters: Vec<(String, &'t str)>,
    pub(super) value: &'t str,
    /// Where the value starts.
    pub(super) place: Place,
}

impl Line<'_> {
    /// The value of a parameter.
    pub(super) fn parameter(&self, name: &str) -> Option<&str> {
        self.parameters
            .iter()
            .find(|(own, _)| own == name)
            .map(|(_, value)| *value)
    }

    /// Whether the line's kind of value is the one named.
    pub(super) fn is_value(&self, kind: &str) -> bool {
        self.parameter("VALUE")
            .is_some_and(|own| own.eq_ignore_ascii_case(kind))
    }
}

/// The octets of a file with its folds undone.
#[derive(Debug)]
pub(super) struct Unfolded {
    octets: Vec<u8>,
    /// Start in `octets` and number of the first physical line of each unfolded line.
    starts: Vec<(usize, usize)>,
}

impl Unfolded {
    /// Undoes the folds; blank lines and a byte order mark are left out.
    pub(super) fn new(octets: &[u8], limits: &Limits, faults: &mut Faults<'_>) -> Self {
        let octets = octets.strip_prefix(b"\xef\xbb\xbf").unwrap_or(octets);
        let mut unfolded = Self {
            octets: Vec::with_capacity(octets.len()),
            starts: Vec::new(),
        };
        for (index, physical) in octets.split(|octet| *octet == b'\n').enumerate() {
            let physical = physical.strip_suffix(b"\r").unwrap_or(physical);
            match physical {
                [] => {}
                [b' ' | b'\t', rest @ ..] if !unfolded.starts.is_empty() => {
                    unfolded.octets.extend_from_slice(rest);
                }
                _ => {
                    if unfolded.starts.len() >= limits.lines {
                        faults.say(
                            Place {
                                line: index + 1,
                                column: 1,
                            },
                            format!("the file has more than {} lines, the limit", limits.lines),
                            "Export a shorter span of time",
                        );
                        break;
                    }
                    unfolded.starts.push((unfolded.octets.len(), index + 1));
                    unfolded.octets.extend_from_slice(physical);
                }
            }
        }
        unfolded
    }

    /// The unfolded lines, each with the number of its first physical line.
    pub(super) fn pieces(&self) -> impl Iterator<Item = (usize, &[u8])> {
        let ends = self.starts.iter().skip(1).map(|(start, _)| *start);
        let ends = ends.chain(std::iter::once(self.octets.len()));
        self.starts
            .iter()
            .zip(ends)
            .map(|((start, number), end)| (*number, &self.octets[*start..end]))
    }
}

/// Reads an unfolded line; what cannot be read is a fault.
pub(super) fn line<'t>(
    number: usize,
    octets: &'t [u8],
    limits: &Limits,
    faults: &mut Faults<'_>,
) -> Option<Line<'t>> {
    let place = Place {
        line: number,
        column: 1,
    };
    let text = text(octets, place, limits, faults)?;
    let line = content_line(text, number);
    if line.is_none() {
        faults.say(
            place,
            format!(
                "`{}` is no content line: a name, perhaps parameters, a colon and a value are expected",
                shown(text)
            ),
            "Export the calendar again; a line that goes on from the one before has to begin with a space",
        );
    }
    line
}

fn text<'t>(
    octets: &'t [u8],
    place: Place,
    limits: &Limits,
    faults: &mut Faults<'_>,
) -> Option<&'t str> {
    if octets.len() > limits.line_octets {
        let long = format!(
            "the line is {} octets long, the limit is {}",
            octets.len(),
            limits.line_octets
        );
        faults.say(place, long, "Shorten the text of this entry");
        return None;
    }
    if octets.contains(&0) {
        faults.say(
            place,
            "the line has a NUL octet, so this is not calendar text",
            "Export the calendar again, in UTF-8",
        );
        return None;
    }
    match std::str::from_utf8(octets) {
        Ok(text) => Some(text),
        Err(error) => {
            let valid = octets.get(..error.valid_up_to()).unwrap_or_default();
            let column = String::from_utf8_lossy(valid).chars().count() + 1;
            let octet = octets.get(error.valid_up_to()).copied().unwrap_or_default();
            faults.say(
                Place { column, ..place },
                format!("the octet 0x{octet:02X} is not UTF-8, the encoding of calendar files"),
                "Save the file in UTF-8",
            );
            None
        }
    }
}

/// Takes a line apart, or gives nothing if it is not built as one.
fn content_line(text: &str, number: usize) -> Option<Line<'_>> {
    let name_end = text.find([';', ':'])?;
    let (name, mut rest) = text.split_at(name_end);
    if !is_name(name) {
        return None;
    }
    let mut parameters = Vec::new();
    while let Some(after) = rest.strip_prefix(';') {
        let (parameter, then) = after.split_once('=')?;
        if !is_name(parameter) {
            return None;
        }
        let (value, then) = parameter_values(then)?;
        parameters.push((parameter.to_ascii_uppercase(), value));
        rest = then;
    }
    let value = rest.strip_prefix(':')?;
    let column = text[..text.len() - value.len()].chars().count() + 1;
    Some(Line {
        name: name.to_ascii_uppercase(),
        parameters,
        value,
        place: Place {
            line: number,
            column,
        },
    })
}

/// The first value of a parameter without its quotes, and what follows the last one.
fn parameter_values(text: &str) -> Option<(&str, &str)> {
    let (first, mut rest) = parameter_value(text)?;
    while let Some(after) = rest.strip_prefix(',') {
        (_, rest) = parameter_value(after)?;
    }
    Some((first, rest))
}

fn parameter_value(text: &str) -> Option<(&str, &str)> {
    match text.strip_prefix('"') {
        Some(quoted) => quoted.split_once('"'),
        None => Some(text.split_at(text.find([',', ';', ':'])?)),
    }
}

fn is_name(text: &str) -> bool {
    !text.is_empty()
        && text
            .bytes()
            .all(|octet| octet.is_ascii_alphanumeric() || octet == b'-')
}
