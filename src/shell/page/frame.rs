//! What is around every view: head, navigation, standing complaints, the foot.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::View;
use crate::pure::routine::safety;

/// The frame of a view.
#[derive(Clone, Copy, Debug)]
pub struct Frame<'f> {
    /// The view.
    pub view: View,
    /// The page's title.
    pub title: &'f str,
    /// Complaints about the person's files that stand.
    pub complaints: &'f [String],
    /// A sentence about what was just done.
    pub said: Option<&'f str>,
    /// Script modules the view uses.
    pub scripts: &'f [&'f str],
}

const NAVIGATION: [(View, &str); 5] = [
    (View::Tonight, "Tonight"),
    (View::Morning, "Morning"),
    (View::Today, "Today"),
    (View::Weeks, "Weeks"),
    (View::Settings, "Settings"),
];

impl Frame<'_> {
    /// The whole page.
    pub fn around(&self, content: &Markup) -> Markup {
        html! {
            (DOCTYPE)
            html lang="en" {
                (head(self.title, self.scripts))
                body {
                    a.skip href="#main" { "To the content" }
                    header.top {
                        span.name { "evenfall" }
                        nav aria-label="Views" {
                            ul {
                                @for (view, words) in NAVIGATION {
                                    li { a href=(view.path()) aria-current=[(view == self.view).then_some("page")] { (words) } }
                                }
                            }
                        }
                    }
                    main #main tabindex="-1" {
                        @if let Some(said) = self.said {
                            p.said role="status" { (said) }
                        }
                        @if !self.complaints.is_empty() { (complaints(self.complaints)) }
                        (content)
                    }
                    footer { p { (safety::LIMITS) " With pain, injury or warning signs, see a clinician." } }
                }
            }
        }
    }
}

/// A page that fills the screen, without navigation: for following the evening.
pub fn full_screen(title: &str, scripts: &[&str], content: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html.night lang="en" {
            (head(title, scripts))
            body.full { (content) }
        }
    }
}

/// A page that says one thing; shown to anybody, so it tells nothing of the person.
pub fn notice_page(what: &str, instead: &str) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            (head(what, &[]))
            body {
                main #main {
                    h1 { (what) }
                    @for line in instead.lines() { p { (line) } }
                    p { a href="/" { "To tonight's page" } }
                }
            }
        }
    }
}

fn head(title: &str, scripts: &[&str]) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta name="viewport" content="width=device-width, initial-scale=1";
            // Before any style is read, so that no white screen lights up the room.
            meta name="color-scheme" content="dark light";
            title { (title) " · evenfall" }
            link rel="stylesheet" href="/page.css";
            link rel="icon" href="/icon.svg" type="image/svg+xml";
            @for script in scripts { script type="module" src=(script) {} }
        }
    }
}

fn complaints(complaints: &[String]) -> Markup {
    html! {
        section.note aria-labelledby="complaints" {
            h2 #complaints { "A file needs a look" }
            ul { @for complaint in complaints { li { code { (complaint) } } } }
            p { "The last good files stay in force." }
        }
    }
}

/// SVG made by the program itself.
pub fn drawing(svg: String) -> Markup {
    PreEscaped(svg)
}
