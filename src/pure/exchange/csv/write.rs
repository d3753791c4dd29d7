//! Writing rows (RFC 4180: lines end with CR LF, cells are quoted where they need it).

use std::fmt::Display;

/// A file while it is written.
pub(super) struct Writer {
    text: String,
    row_begun: bool,
}

impl Writer {
    pub fn new(columns: &[&str]) -> Self {
        Self {
            text: format!("{}\r\n", columns.join(",")),
            row_begun: false,
        }
    }

    pub fn cell(&mut self, value: Option<impl Display>) {
        if self.row_begun {
            self.text.push(',');
        }
        self.row_begun = true;
        if let Some(value) = value {
            self.text.push_str(&quoted(value.to_string()));
        }
    }

    pub fn end_row(&mut self) {
        self.text.push_str("\r\n");
        self.row_begun = false;
    }

    pub fn finish(self) -> String {
        self.text
    }
}

/// Quotes a cell where it has to be; also around blanks at its ends, which some programs drop.
fn quoted(text: String) -> String {
    let needs = text.contains([',', '"', '\r', '\n']) || text.trim() != text;
    if needs {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text
    }
}
