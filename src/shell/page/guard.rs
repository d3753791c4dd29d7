//! Who may ask for what: decided before anything else looks at a request.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::{Duration, Instant};

use axum::body::{Body, to_bytes};
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::View;
use super::access;
use super::assets;
use super::reply::{Trouble, see_other};
use super::site::Site;

/// Longest body of a form, bytes.
pub const LONGEST_FORM: usize = 64 * 1024;
/// Longest address, bytes: the page's own are far shorter.
const LONGEST_ADDRESS: usize = 2048;
/// How long a body may take to arrive.
const BODY_PATIENCE: Duration = Duration::from_secs(10);
/// The field every form carries.
pub const FORM_FIELD: &str = "form_token";

const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; media-src 'self'; \
                      connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'";

const HEADERS: [(&str, &str); 7] = [
    ("content-security-policy", POLICY),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "no-referrer"),
    ("cross-origin-resource-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cache-control", "no-store"),
    (
        "permissions-policy",
        "screen-wake-lock=(self), camera=(), microphone=(), geolocation=()",
    ),
];

/// What a form said. A field that can be given several times has several values.
#[derive(Clone, Debug, Default)]
pub struct Form {
    fields: BTreeMap<String, Vec<String>>,
}

impl Form {
    /// Reads an urlencoded body.
    pub fn read(bytes: &[u8]) -> Self {
        let mut form = Self::default();
        for (key, value) in form_urlencoded::parse(bytes) {
            form.fields
                .entry(key.into_owned())
                .or_default()
                .push(value.into_owned());
        }
        form
    }

    /// The first value of a field, without space around it; an empty one counts as none.
    pub fn text(&self, field: &str) -> Option<&str> {
        let value = self.fields.get(field)?.first()?.trim();
        (!value.is_empty()).then_some(value)
    }

    /// Every value of a field.
    pub fn all(&self, field: &str) -> impl Iterator<Item = &str> {
        self.fields
            .get(field)
            .into_iter()
            .flatten()
            .map(|value| value.trim())
    }

    /// Whether a field was sent at all.
    pub fn has(&self, field: &str) -> bool {
        self.fields.contains_key(field)
    }
}

/// The whole guard, around every route.
pub async fn guard(State(site): State<Arc<Site>>, request: Request, next: Next) -> Response {
    let mut response = match admit(&site, request).await {
        Ok(request) => next.run(request).await,
        Err(response) => *response,
    };
    for (name, value) in HEADERS {
        response.headers_mut().insert(
            HeaderName::from_static(name),
            HeaderValue::from_static(value),
        );
    }
    response
}

/// The request as the routes may see it, or the answer that ends it here.
async fn admit(site: &Site, request: Request) -> Result<Request, Box<Response>> {
    let headers = request.headers();
    let Some(host) = access::own_host(headers, site.port).map(str::to_owned) else {
        return Err(refuse(
            StatusCode::MISDIRECTED_REQUEST,
            "This name is not mine",
            "Ask for 127.0.0.1, localhost or [::1] with the port that evenfall status tells.",
        ));
    };
    let address = request.uri().path_and_query();
    if address.is_some_and(|address| address.as_str().len() > LONGEST_ADDRESS) {
        return Err(refuse(
            StatusCode::URI_TOO_LONG,
            "This address is too long",
            "No page of evenfall has such a long one. Everything is reached from tonight's page.",
        ));
    }
    let path = request.uri().path();
    if path == "/enter" && request.method() == Method::GET {
        return Err(Box::new(enter(site, request.uri().query(), headers)));
    }
    let is_asset = assets::ALL.iter().any(|asset| asset.path == path);
    if is_asset && matches!(*request.method(), Method::GET | Method::HEAD) {
        return Ok(request);
    }
    match *request.method() {
        Method::GET | Method::HEAD => {
            signed_in(site, headers)?;
            Ok(request)
        }
        Method::POST => {
            if !access::is_own_origin(headers, &host) {
                return Err(refuse(
                    StatusCode::FORBIDDEN,
                    "Another site asked for this change",
                    "Nothing was changed. Do it on the page itself.",
                ));
            }
            signed_in(site, headers)?;
            with_form(site, request).await
        }
        _ => Err(refuse(
            StatusCode::METHOD_NOT_ALLOWED,
            "The page is only read and posted to",
            "Nothing was changed.",
        )),
    }
}

fn refuse(status: StatusCode, what: &str, instead: &str) -> Box<Response> {
    Box::new(Trouble::new(status, what, instead).into_response())
}

fn signed_in(site: &Site, headers: &HeaderMap) -> Result<(), Box<Response>> {
    if access::is_signed_in(headers, site.port, &site.kept.session) {
        return Ok(());
    }
    Err(refuse(
        StatusCode::FORBIDDEN,
        "This browser is not signed in",
        "In a terminal, run: evenfall page --open\nIt opens the page with an address that signs this browser in. \
         Nobody else on this machine can read it.",
    ))
}

/// A token in the address becomes a cookie, and goes from the address bar.
fn enter(site: &Site, query: Option<&str>, headers: &HeaderMap) -> Response {
    let query = Form::read(query.unwrap_or_default().as_bytes());
    let view = query
        .text("to")
        .and_then(View::from_path)
        .unwrap_or(View::Tonight);
    let known = query
        .text("token")
        .is_some_and(|token| site.redeem(token, Instant::now()));
    if known {
        let mut response = see_other(view.path());
        if let Ok(cookie) =
            HeaderValue::from_str(&access::set_cookie(site.port, &site.kept.session))
        {
            response.headers_mut().insert(header::SET_COOKIE, cookie);
        }
        return response;
    }
    if access::is_signed_in(headers, site.port, &site.kept.session) {
        return see_other(view.path());
    }
    Trouble::new(
        StatusCode::FORBIDDEN,
        "This address was used, or is too old",
        "Each one opens the page once, within ten minutes. In a terminal, run: evenfall page --open",
    )
    .into_response()
}

/// Reads the form within its limits, checks its token, and hands it on as an extension.
async fn with_form(site: &Site, request: Request) -> Result<Request, Box<Response>> {
    let (mut parts, body) = request.into_parts();
    let is_form = parts
        .headers
        .get(header::CONTENT_TYPE)
        .and_then(|kind| kind.to_str().ok())
        .is_some_and(|kind| kind.starts_with("application/x-www-form-urlencoded"));
    if !is_form {
        return Err(refuse(
            StatusCode::UNSUPPORTED_MEDIA_TYPE,
            "This is no form",
            "Nothing was changed. Use the forms of the page.",
        ));
    }
    let read = tokio::time::timeout(BODY_PATIENCE, to_bytes(body, LONGEST_FORM)).await;
    let bytes = match read {
        Ok(Ok(bytes)) => bytes,
        Ok(Err(_)) => {
            return Err(refuse(
                StatusCode::PAYLOAD_TOO_LARGE,
                "That is more than the page takes",
                "A form holds up to 64 kB. Shorten the text; nothing was changed.",
            ));
        }
        Err(_) => {
            return Err(refuse(
                StatusCode::REQUEST_TIMEOUT,
                "The form took too long to arrive",
                "Nothing was changed. Send it again.",
            ));
        }
    };
    let form = Form::read(&bytes);
    if !form
        .text(FORM_FIELD)
        .is_some_and(|token| site.kept.form.is(token))
    {
        return Err(refuse(
            StatusCode::FORBIDDEN,
            "This form is from another time",
            "Nothing was changed. Load the page again and repeat what you did.",
        ));
    }
    parts.extensions.insert(form);
    Ok(Request::from_parts(parts, Body::empty()))
}
