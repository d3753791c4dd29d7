//! What the terminal can show: colours and letters, read from its surroundings.
//!
//! Warm and dark: near-black brown ground, linen text, one amber accent. Colour never carries meaning
//! alone; every state has its word. With `NO_COLOR` there is no attribute at all.

use std::borrow::Cow;

use ratatui::style::{Color, Modifier, Style};

/// How many colours are used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Colours {
    /// None, nor bold or dim.
    None,
    /// The sixteen of the terminal's own palette.
    Sixteen,
    /// The fixed part of the 256.
    Many,
    /// Our own values.
    True,
}

/// Which letters are used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Letters {
    /// Any.
    Unicode,
    /// ASCII alone.
    Ascii,
}

/// Colours and letters together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// Colours.
    pub colours: Colours,
    /// Letters.
    pub letters: Letters,
}

impl Look {
    /// Reads `NO_COLOR`, `TERM`, `COLORTERM` and the locale's variables through `get`.
    pub fn of(get: impl Fn(&str) -> Option<String>) -> Self {
        let set = |name: &str| get(name).filter(|value| !value.is_empty());
        let term = set("TERM").unwrap_or_default();
        let colours = if set("NO_COLOR").is_some() || is_dumb(&term) {
            Colours::None
        } else if set("COLORTERM").is_some_and(|value| value == "truecolor" || value == "24bit") {
            Colours::True
        } else if term.contains("256color") {
            Colours::Many
        } else {
            Colours::Sixteen
        };
        let locale = set("LC_ALL")
            .or_else(|| set("LC_CTYPE"))
            .or_else(|| set("LANG"));
        let locale = locale.unwrap_or_default().to_ascii_lowercase();
        let unicode = locale.contains("utf-8") || locale.contains("utf8");
        let letters = if unicode {
            Letters::Unicode
        } else {
            Letters::Ascii
        };
        Self { colours, letters }
    }

    /// The look of this process's terminal.
    pub fn of_process() -> Self {
        Self::of(|name| std::env::var(name).ok())
    }

    /// Ground and text.
    pub fn text(self) -> Style {
        self.style(Color::Rgb(226, 214, 196), Color::Indexed(187), Color::Gray)
    }

    /// Less important text: about 5 to 1 against the ground.
    pub fn dim(self) -> Style {
        self.style(Color::Rgb(151, 134, 113), Color::Indexed(101), Color::Gray)
    }

    /// The accent.
    pub fn accent(self) -> Style {
        self.style(Color::Rgb(217, 154, 62), Color::Indexed(179), Color::Yellow)
    }

    /// Important text.
    pub fn strong(self) -> Style {
        self.emphasised(self.text())
    }

    /// The accent, stronger.
    pub fn strong_accent(self) -> Style {
        self.emphasised(self.accent())
    }

    fn emphasised(self, style: Style) -> Style {
        match self.colours {
            Colours::None => style,
            Colours::Sixteen | Colours::Many | Colours::True => style.add_modifier(Modifier::BOLD),
        }
    }

    /// The ground is painted wherever colours are used: linen on somebody's white ground could not be
    /// read, and a white ground is bright at bedtime.
    fn style(self, own: Color, many: Color, sixteen: Color) -> Style {
        match self.colours {
            Colours::None => Style::new(),
            Colours::Sixteen => Style::new().fg(sixteen).bg(Color::Black),
            Colours::Many => Style::new().fg(many).bg(Color::Indexed(233)),
            Colours::True => Style::new().fg(own).bg(Color::Rgb(24, 18, 14)),
        }
    }
}

/// Whether a `TERM` names a terminal that cannot move its cursor, or none at all.
pub fn is_dumb(term: &str) -> bool {
    term.is_empty() || term == "dumb"
}

impl Letters {
    /// The text in these letters: without Unicode, common punctuation gets its ASCII neighbour and
    /// anything else a question mark.
    pub fn fit(self, text: &str) -> Cow<'_, str> {
        if self == Self::Unicode || text.is_ascii() {
            return Cow::Borrowed(text);
        }
        let fitted = text.chars().fold(String::new(), |mut fitted, letter| {
            match letter {
                '\u{2018}' | '\u{2019}' => fitted.push('\''),
                '\u{201c}' | '\u{201d}' => fitted.push('"'),
                '\u{2010}'..='\u{2014}' | '\u{2212}' => fitted.push('-'),
                '\u{2026}' => fitted.push_str("..."),
                '\u{a0}' | '\u{202f}' | '\u{2009}' => fitted.push(' '),
                '\u{d7}' => fitted.push('x'),
                letter if letter.is_ascii() => fitted.push(letter),
                _ => fitted.push('?'),
            }
            fitted
        });
        Cow::Owned(fitted)
    }

    /// One of two forms.
    pub fn pick<T>(self, unicode: T, ascii: T) -> T {
        match self {
            Self::Unicode => unicode,
            Self::Ascii => ascii,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn look(variables: &[(&str, &str)]) -> Look {
        Look::of(|name| {
            variables
                .iter()
                .find(|(key, _)| *key == name)
                .map(|(_, value)| (*value).to_owned())
        })
    }

    #[test]
    fn the_terminal_says_how_many_colours_it_has() {
        assert_eq!(
            look(&[("TERM", "xterm"), ("COLORTERM", "truecolor")]).colours,
            Colours::True
        );
        assert_eq!(look(&[("TERM", "tmux-256color")]).colours, Colours::Many);
        assert_eq!(look(&[("TERM", "linux")]).colours, Colours::Sixteen);
        assert_eq!(
            look(&[("TERM", "dumb"), ("COLORTERM", "truecolor")]).colours,
            Colours::None
        );
    }

    /// no-color.org: any value that is not empty turns colour off.
    #[test]
    fn no_color_is_honoured_unless_empty() {
        let terminal = ("TERM", "xterm-256color");
        assert_eq!(look(&[terminal, ("NO_COLOR", "1")]).colours, Colours::None);
        assert_eq!(look(&[terminal, ("NO_COLOR", "")]).colours, Colours::Many);
        assert_eq!(look(&[terminal, ("NO_COLOR", "1")]).strong(), Style::new());
    }

    /// POSIX, environment variables: LC_ALL before LC_CTYPE before LANG, empty counts as unset.
    #[test]
    fn the_locale_decides_the_letters() {
        assert_eq!(look(&[("LANG", "nb_NO.UTF-8")]).letters, Letters::Unicode);
        assert_eq!(
            look(&[("LANG", "nb_NO.UTF-8"), ("LC_ALL", "C")]).letters,
            Letters::Ascii
        );
        assert_eq!(
            look(&[("LC_ALL", ""), ("LC_CTYPE", "C.utf8")]).letters,
            Letters::Unicode
        );
        assert_eq!(look(&[]).letters, Letters::Ascii);
    }

    #[test]
    fn ascii_keeps_the_sense_of_punctuation() {
        assert_eq!(
            Letters::Ascii.fit("20\u{2013}30 s, it\u{2019}s \u{e5}pen"),
            "20-30 s, it's ?pen"
        );
        assert_eq!(Letters::Unicode.fit("\u{e5}pen"), "\u{e5}pen");
    }

    /// WCAG 2.2, 1.4.3: text at least 4.5 to 1; relative luminance as defined there.
    #[test]
    fn every_own_colour_can_be_read_on_the_ground() {
        let luminance = |colour: Option<Color>| {
            let Some(Color::Rgb(r, g, b)) = colour else {
                panic!("a colour of our own")
            };
            let part = |value: u8| {
                let share = f64::from(value) / 255.0;
                if share <= 0.04045 {
                    share / 12.92
                } else {
                    ((share + 0.055) / 1.055).powf(2.4)
                }
            };
            0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b)
        };
        let look = Look {
            colours: Colours::True,
            letters: Letters::Unicode,
        };
        for style in [look.text(), look.dim(), look.accent()] {
            let contrast = (luminance(style.fg) + 0.05) / (luminance(style.bg) + 0.05);
            assert!(contrast >= 4.5, "{style:?} has only {contrast:.2}");
        }
    }
}
