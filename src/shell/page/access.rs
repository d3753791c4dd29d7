//! One-time tokens, the cookie, and the checks of a request's headers: pure decisions on values.

use std::collections::VecDeque;
use std::time::{Duration, Instant};

use axum::http::{HeaderMap, header};

use super::keep::Secret;

/// How long a token in an address can be used.
pub const TOKEN_LASTS: Duration = Duration::from_secs(600);
/// How many unused tokens there can be; the oldest goes first.
const MOST_TOKENS: usize = 16;
/// How long a browser keeps the cookie.
const COOKIE_LASTS_S: u32 = 90 * 24 * 3600;

/// Tokens that were handed out and not used yet.
#[derive(Debug, Default)]
pub struct Tokens {
    waiting: VecDeque<(Secret, Instant)>,
}

impl Tokens {
    /// Hands one out.
    pub fn add(&mut self, token: Secret, now: Instant) {
        while self.waiting.len() >= MOST_TOKENS {
            self.waiting.pop_front();
        }
        self.waiting.push_back((token, now + TOKEN_LASTS));
    }

    /// Takes one back: true once, and only while it lasts.
    pub fn redeem(&mut self, given: &str, now: Instant) -> bool {
        self.waiting.retain(|(_, until)| now < *until);
        let before = self.waiting.len();
        self.waiting.retain(|(token, _)| !token.is(given));
        self.waiting.len() < before
    }
}

/// The cookie's name: cookies ignore ports, so the port is part of it.
pub fn cookie_name(port: u16) -> String {
    format!("evenfall-{port}")
}

/// The line that signs a browser in.
pub fn set_cookie(port: u16, session: &Secret) -> String {
    format!(
        "{}={}; HttpOnly; SameSite=Strict; Path=/; Max-Age={COOKIE_LASTS_S}",
        cookie_name(port),
        session.digits()
    )
}

/// Whether a request carries the cookie.
pub fn is_signed_in(headers: &HeaderMap, port: u16, session: &Secret) -> bool {
    let name = cookie_name(port);
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|line| line.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .any(|(key, value)| key == name && session.is(value))
}

/// The host a request names, if it is this server by one of its own names. A foreign name that was made
/// to resolve to loopback still stands in the header, so it is refused here.
pub fn own_host(headers: &HeaderMap, port: u16) -> Option<&str> {
    let mut hosts = headers.get_all(header::HOST).iter();
    let host = hosts.next()?.to_str().ok()?;
    if hosts.next().is_some() {
        return None;
    }
    let (name, given) = host.rsplit_once(':')?;
    let known = ["127.0.0.1", "localhost", "[::1]"].contains(&name);
    (known && given == port.to_string()).then_some(host)
}

/// Whether a changing request comes from one of this server's own pages.
///
/// A page that sends no referrer (ours do not) makes the browser write `null` for the origin of a form,
/// so that counts as no origin: `Sec-Fetch-Site`, which no page can forge, has to say it then.
pub fn is_own_origin(headers: &HeaderMap, host: &str) -> bool {
    let text = |name| headers.get(name).map(|value| value.to_str().unwrap_or("?"));
    let site = text(header::HeaderName::from_static("sec-fetch-site"));
    if !matches!(site, None | Some("same-origin" | "none")) {
        return false;
    }
    match text(header::ORIGIN) {
        Some("null") | None => site == Some("same-origin"),
        Some(origin) => origin.strip_prefix("http://") == Some(host),
    }
}

#[cfg(test)]
mod tests {
    use axum::http::{HeaderName, HeaderValue};

    use super::*;

    fn headers(lines: &[(&'static str, &str)]) -> HeaderMap {
        lines
            .iter()
            .map(|(name, value)| {
                (
                    HeaderName::from_static(name),
                    HeaderValue::from_str(value).unwrap(),
                )
            })
            .collect()
    }

    #[test]
    fn a_token_opens_once_and_only_while_it_lasts() {
        let start = Instant::now();
        let (one, other) = (Secret::new().unwrap(), Secret::new().unwrap());
        let mut tokens = Tokens::default();
        tokens.add(one.clone(), start);
        tokens.add(other.clone(), start);
        assert!(!tokens.redeem("", start));
        assert!(tokens.redeem(one.digits(), start));
        assert!(!tokens.redeem(one.digits(), start));
        assert!(!tokens.redeem(other.digits(), start + TOKEN_LASTS));
    }

    #[test]
    fn only_the_newest_tokens_are_kept() {
        let start = Instant::now();
        let mut tokens = Tokens::default();
        let all: Vec<Secret> = (0..MOST_TOKENS + 1)
            .map(|_| Secret::new().unwrap())
            .collect();
        for token in &all {
            tokens.add(token.clone(), start);
        }
        assert!(!tokens.redeem(all[0].digits(), start));
        assert!(tokens.redeem(all[1].digits(), start));
    }

    #[test]
    fn only_own_names_with_the_own_port_are_own() {
        for host in ["127.0.0.1:80", "localhost:80", "[::1]:80"] {
            assert_eq!(own_host(&headers(&[("host", host)]), 80), Some(host));
        }
        for host in [
            "rebind.invalid",
            "rebind.invalid:80",
            "127.0.0.1",
            "127.0.0.1:81",
            "127.0.0.1:080",
            "127.0.0.1.rebind.invalid:80",
            "127.0.0.2:80",
            "LOCALHOST:80",
            "0.0.0.0:80",
            "",
        ] {
            assert_eq!(own_host(&headers(&[("host", host)]), 80), None, "{host}");
        }
        assert_eq!(own_host(&HeaderMap::new(), 80), None);
        let mut two = headers(&[("host", "localhost:80")]);
        two.append("host", HeaderValue::from_static("rebind.invalid"));
        assert_eq!(own_host(&two, 80), None);
    }

    #[test]
    fn the_cookie_is_found_among_others() {
        let session = Secret::new().unwrap();
        let line = format!("a=b; evenfall-80={}; c=d", session.digits());
        assert!(is_signed_in(&headers(&[("cookie", &line)]), 80, &session));
        assert!(!is_signed_in(&headers(&[("cookie", &line)]), 81, &session));
        assert!(!is_signed_in(
            &headers(&[("cookie", "evenfall-80=")]),
            80,
            &session
        ));
        assert!(!is_signed_in(&HeaderMap::new(), 80, &session));
    }

    #[test]
    fn changes_come_from_own_pages_only() {
        let host = "127.0.0.1:80";
        let own = |lines: &[(&'static str, &str)]| is_own_origin(&headers(lines), host);
        assert!(own(&[("origin", "http://127.0.0.1:80")]));
        assert!(own(&[
            ("origin", "http://127.0.0.1:80"),
            ("sec-fetch-site", "same-origin")
        ]));
        assert!(own(&[
            ("origin", "null"),
            ("sec-fetch-site", "same-origin")
        ]));
        assert!(own(&[("sec-fetch-site", "same-origin")]));
        assert!(!own(&[]));
        assert!(!own(&[("sec-fetch-site", "none")]));
        assert!(!own(&[("origin", "null")]));
        assert!(!own(&[
            ("origin", "null"),
            ("sec-fetch-site", "cross-site")
        ]));
        assert!(!own(&[("origin", "http://rebind.invalid")]));
        assert!(!own(&[("origin", "http://localhost:80")]));
        assert!(!own(&[("origin", "https://127.0.0.1:80")]));
        assert!(!own(&[
            ("origin", "http://127.0.0.1:80"),
            ("sec-fetch-site", "cross-site")
        ]));
        assert!(!own(&[
            ("origin", "http://127.0.0.1:80"),
            ("sec-fetch-site", "same-site")
        ]));
    }
}
