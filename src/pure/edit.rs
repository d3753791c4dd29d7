//! Changes to a TOML text that leave everything else as the person wrote it: order, spacing, comments,
//! and the comment at the end of the very line that changes.
//!
//! Nothing is checked here but the shape. Whoever changes settings or a block reads the new text with
//! its parser before it is kept.

use std::fmt;

use chrono::NaiveDate;
use toml_edit::{ArrayOfTables, DocumentMut, InlineTable, Item, Table, TableLike, Value};

#[cfg(test)]
mod tests;

/// A text that cannot be changed by hand of the program.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CannotEdit {
    /// What is in the way, a sentence without its full stop.
    pub what: String,
    /// What to do instead, a sentence without its full stop.
    pub instead: String,
}

impl fmt::Display for CannotEdit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}. {}.", self.what, self.instead)
    }
}

impl std::error::Error for CannotEdit {}

/// Sets the value at a path of keys: `["evening", "minutes"]`. Missing tables on the way are added, the
/// first as `[table]`, deeper ones as `{ ... }`. A value that already says the same keeps its spelling.
///
/// # Errors
/// The text is no TOML, or something on the path is no table.
pub fn set_value(text: &str, path: &[&str], value: impl Into<Value>) -> Result<String, CannotEdit> {
    let mut document = read(text)?;
    let (key, tables) = split(path)?;
    let table = walk(document.as_table_mut(), tables, Missing::Add)?;
    if let Some(table) = table {
        put(table, key, value.into())?;
    }
    Ok(document.to_string())
}

/// Removes the value at a path of keys; a text without it stays as it is.
///
/// # Errors
/// The text is no TOML, or something on the path is no table.
pub fn remove_value(text: &str, path: &[&str]) -> Result<String, CannotEdit> {
    let mut document = read(text)?;
    let (key, tables) = split(path)?;
    let table = walk(document.as_table_mut(), tables, Missing::Leave)?;
    let removed = table.and_then(|table| table.remove(key));
    Ok(removed.map_or_else(|| text.to_owned(), |_| document.to_string()))
}

/// One table of a list of tables, as keys and values in order; `None` takes a key away.
pub(super) type Row<'a> = [(&'a str, Option<Value>)];

/// Writes a table of the list at `path`: the one whose `key` holds `date` is changed, else one is added
/// at the end.
pub(super) fn put_dated_row(
    text: &str,
    path: &[&str],
    (key, date): (&str, NaiveDate),
    row: &Row<'_>,
) -> Result<String, CannotEdit> {
    let mut document = read(text)?;
    let found = with_rows(&mut document, path, |rows| {
        let place = rows.position(key, date)?;
        Some(rows.change(place, row))
    })?
    .transpose()?;
    if found.is_some() {
        return Ok(document.to_string());
    }
    let row: Vec<(&str, Option<Value>)> = std::iter::once((key, Some(date_value(date))))
        .chain(row.iter().cloned())
        .collect();
    add_row(text, path, &row)
}

/// Removes the tables of the list at `path` whose `key` holds `date`.
pub(super) fn remove_dated_row(
    text: &str,
    path: &[&str],
    (key, date): (&str, NaiveDate),
) -> Result<String, CannotEdit> {
    let mut document = read(text)?;
    let mut removed = false;
    with_rows(&mut document, path, |rows| {
        while let Some(place) = rows.position(key, date) {
            rows.remove(place);
            removed = true;
        }
        Some(())
    })?;
    if !removed {
        return Ok(text.to_owned());
    }
    Ok(document.to_string())
}

/// Adds a table at the end of the list at `path`.
pub(super) fn add_row(text: &str, path: &[&str], row: &Row<'_>) -> Result<String, CannotEdit> {
    let mut document = read(text)?;
    if with_rows(&mut document, path, |rows| {
        rows.add(row);
        Some(())
    })?
    .is_none()
    {
        let (key, tables) = split(path)?;
        let mut list = ArrayOfTables::new();
        Rows::Tables(&mut list).add(row);
        let parent = walk(document.as_table_mut(), tables, Missing::Add)?;
        if let Some(parent) = parent {
            parent.insert(key, Item::ArrayOfTables(list));
        }
    }
    Ok(document.to_string())
}

/// Changes the table at a place of the list at `path`, counted from 0.
pub(super) fn change_row(
    text: &str,
    path: &[&str],
    place: usize,
    row: &Row<'_>,
) -> Result<String, CannotEdit> {
    let mut document = read(text)?;
    with_rows(&mut document, path, |rows| {
        rows.has(place).then(|| rows.change(place, row))
    })?
    .unwrap_or_else(|| Err(no_row(path)))?;
    Ok(document.to_string())
}

/// Removes the table at a place of the list at `path`, counted from 0.
pub(super) fn remove_row(text: &str, path: &[&str], place: usize) -> Result<String, CannotEdit> {
    let mut document = read(text)?;
    with_rows(&mut document, path, |rows| {
        rows.has(place).then(|| rows.remove(place))
    })?
    .ok_or_else(|| no_row(path))?;
    Ok(document.to_string())
}

/// A date as TOML writes it, without quotes.
pub fn date_value(date: NaiveDate) -> Value {
    // A chrono date of four-digit years is always a TOML date; others are kept as text.
    let written = date.format("%Y-%m-%d").to_string();
    written
        .parse::<toml_edit::Datetime>()
        .map_or_else(|_| written.clone().into(), Value::from)
}

fn read(text: &str) -> Result<DocumentMut, CannotEdit> {
    text.parse()
        .map_err(|error: toml_edit::TomlError| CannotEdit {
            what: format!("the file is no TOML: {}", error.message()),
            instead: "Correct it first; the command check names the line".to_owned(),
        })
}

fn split<'p>(path: &'p [&'p str]) -> Result<(&'p str, &'p [&'p str]), CannotEdit> {
    path.split_last()
        .map(|(key, tables)| (*key, tables))
        .ok_or_else(|| CannotEdit {
            what: "no key was named".to_owned(),
            instead: "Name the key to change".to_owned(),
        })
}

fn no_table(name: &str) -> CannotEdit {
    CannotEdit {
        what: format!("{name} is no table in the file"),
        instead: "Correct it first; the command check names the line".to_owned(),
    }
}

fn no_row(path: &[&str]) -> CannotEdit {
    CannotEdit {
        what: format!("{} has no such entry any more", path.join(".")),
        instead: "Load it again and choose another one".to_owned(),
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Missing {
    Add,
    Leave,
}

/// The table at a path; `None` if it is missing and stays so.
fn walk<'d>(
    root: &'d mut Table,
    path: &[&str],
    missing: Missing,
) -> Result<Option<&'d mut dyn TableLike>, CannotEdit> {
    let mut table: &mut dyn TableLike = root;
    for (depth, key) in path.iter().enumerate() {
        if table.get(key).is_none_or(Item::is_none) {
            if missing == Missing::Leave {
                return Ok(None);
            }
            let new = if depth == 0 {
                Item::Table(Table::new())
            } else {
                Item::Value(InlineTable::new().into())
            };
            table.insert(key, new);
        }
        table = table
            .get_mut(key)
            .and_then(Item::as_table_like_mut)
            .ok_or_else(|| no_table(key))?;
    }
    Ok(Some(table))
}

/// Sets a value; the space and the comment around an old one stay.
fn put(table: &mut dyn TableLike, key: &str, mut value: Value) -> Result<(), CannotEdit> {
    match table.get_mut(key) {
        None | Some(Item::None) => {
            // The space before a closing brace belongs to the last value: it moves to the new one.
            if let Some(end) = take_space_at_end(table) {
                value.decor_mut().set_suffix(end);
            }
            table.insert(key, Item::Value(value));
        }
        Some(Item::Value(old)) => {
            if plain(old) != plain(&value) {
                *value.decor_mut() = old.decor().clone();
                *old = value;
            }
        }
        Some(_) => {
            return Err(CannotEdit {
                what: format!("{key} is a table in the file"),
                instead: "Change it in the file itself".to_owned(),
            });
        }
    }
    Ok(())
}

/// Takes the blank space after the last value away, if there is nothing else.
fn take_space_at_end(table: &mut dyn TableLike) -> Option<String> {
    let (_, last) = table.iter_mut().last()?;
    let decor = last.as_value_mut()?.decor_mut();
    let space = decor.suffix()?.as_str()?.to_owned();
    if space.is_empty() || !space.chars().all(|letter| letter == ' ') {
        return None;
    }
    decor.set_suffix("");
    Some(space)
}

/// What a value says, without its spelling.
fn plain(value: &Value) -> String {
    match value {
        Value::String(text) => format!("{:?}", text.value()),
        Value::Integer(number) => number.value().to_string(),
        Value::Float(number) => format!("{:?}", number.value()),
        Value::Boolean(flag) => flag.value().to_string(),
        Value::Datetime(stamp) => stamp.value().to_string(),
        Value::Array(list) => format!("{:?}", list.iter().map(plain).collect::<Vec<_>>()),
        Value::InlineTable(table) => {
            format!(
                "{:?}",
                table
                    .iter()
                    .map(|(key, value)| (key, plain(value)))
                    .collect::<Vec<_>>()
            )
        }
    }
}

/// A list of tables, written as `[[name]]` or as `[{ ... }]`.
enum Rows<'d> {
    Tables(&'d mut ArrayOfTables),
    Inline(&'d mut toml_edit::Array),
}

/// Runs `act` on the list at a path; `None` if there is none, or if `act` says so. A list that is empty
/// afterwards is removed.
fn with_rows<T>(
    document: &mut DocumentMut,
    path: &[&str],
    act: impl FnOnce(&mut Rows<'_>) -> Option<T>,
) -> Result<Option<T>, CannotEdit> {
    let (key, tables) = split(path)?;
    let Some(table) = walk(document.as_table_mut(), tables, Missing::Leave)? else {
        return Ok(None);
    };
    let mut rows = match table.get_mut(key) {
        None | Some(Item::None) => return Ok(None),
        Some(Item::ArrayOfTables(list)) => Rows::Tables(list),
        Some(Item::Value(Value::Array(list))) => Rows::Inline(list),
        Some(_) => return Err(no_table(key)),
    };
    let done = act(&mut rows);
    if rows.len() == 0 {
        table.remove(key);
    }
    Ok(done)
}

impl Rows<'_> {
    fn len(&self) -> usize {
        match self {
            Self::Tables(list) => list.len(),
            Self::Inline(list) => list.len(),
        }
    }

    fn has(&self, place: usize) -> bool {
        place < self.len()
    }

    fn position(&self, key: &str, date: NaiveDate) -> Option<usize> {
        let holds = |table: &dyn TableLike| {
            let written = match table.get(key).and_then(Item::as_value) {
                Some(Value::Datetime(stamp)) => stamp.value().to_string(),
                Some(Value::String(text)) => text.value().clone(),
                _ => return false,
            };
            written.parse() == Ok(date)
        };
        match self {
            Self::Tables(list) => list.iter().position(|table| holds(table)),
            Self::Inline(list) => list
                .iter()
                .position(|value| value.as_inline_table().is_some_and(|table| holds(table))),
        }
    }

    fn change(&mut self, place: usize, row: &Row<'_>) -> Result<(), CannotEdit> {
        let table: Option<&mut dyn TableLike> = match self {
            Self::Tables(list) => list.get_mut(place).map(|table| table as &mut dyn TableLike),
            Self::Inline(list) => list
                .get_mut(place)
                .and_then(Value::as_inline_table_mut)
                .map(|table| table as &mut dyn TableLike),
        };
        let Some(table) = table else {
            return Ok(());
        };
        for (key, value) in row {
            match value {
                Some(value) => put(table, key, value.clone())?,
                None => {
                    table.remove(key);
                }
            }
        }
        Ok(())
    }

    fn remove(&mut self, place: usize) {
        match self {
            Self::Tables(list) => {
                list.remove(place);
            }
            Self::Inline(list) => {
                list.remove(place);
            }
        }
    }

    fn add(&mut self, row: &Row<'_>) {
        let values = row
            .iter()
            .filter_map(|(key, value)| Some((*key, value.clone()?)));
        match self {
            Self::Tables(list) => {
                let mut table = Table::new();
                for (key, value) in values {
                    table.insert(key, Item::Value(value));
                }
                list.push(table);
            }
            Self::Inline(list) => list.push(values.collect::<InlineTable>()),
        }
    }
}
