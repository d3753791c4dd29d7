//! Style, script and icon, compiled in.

use axum::http::header;
use axum::response::{IntoResponse, Response};

/// One file of the page.
#[derive(Clone, Copy, Debug)]
pub struct Asset {
    /// Its path.
    pub path: &'static str,
    /// Its media type.
    pub kind: &'static str,
    /// Its text.
    pub text: &'static str,
}

const SCRIPT: &str = "text/javascript; charset=utf-8";

/// Every file.
pub const ALL: &[Asset] = &[
    Asset {
        path: "/page.css",
        kind: "text/css; charset=utf-8",
        text: include_str!("assets/page.css"),
    },
    Asset {
        path: "/fields.mjs",
        kind: SCRIPT,
        text: include_str!("assets/fields.mjs"),
    },
    Asset {
        path: "/follow.mjs",
        kind: SCRIPT,
        text: include_str!("assets/follow.mjs"),
    },
    Asset {
        path: "/morning.mjs",
        kind: SCRIPT,
        text: include_str!("assets/morning.mjs"),
    },
    Asset {
        path: "/pace.mjs",
        kind: SCRIPT,
        text: include_str!("assets/pace.mjs"),
    },
    Asset {
        path: "/sound.mjs",
        kind: SCRIPT,
        text: include_str!("assets/sound.mjs"),
    },
    Asset {
        path: "/unsaved.mjs",
        kind: SCRIPT,
        text: include_str!("assets/unsaved.mjs"),
    },
    Asset {
        path: "/icon.svg",
        kind: "image/svg+xml",
        text: include_str!("assets/icon.svg"),
    },
];

impl IntoResponse for Asset {
    fn into_response(self) -> Response {
        ([(header::CONTENT_TYPE, self.kind)], self.text).into_response()
    }
}
