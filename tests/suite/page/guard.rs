//! The rules of the page's safety, each tried from outside.
//!
//! The rules follow the OWASP Cross-Site Request Forgery Prevention Cheat Sheet, W3C Fetch Metadata and
//! the allow list of hosts against DNS rebinding (NCC Group, "Preventing DNS Rebinding Attacks").

use std::net::TcpStream;
use std::os::unix::fs::PermissionsExt;
use std::time::Duration;

use super::client::{Service, cookie_of};
use crate::support::Home;

#[test]
fn every_answer_carries_the_headers() {
    let home = Home::new();
    let service = Service::start(&home);
    let cookie = service.sign_in();
    let answers = [
        service.get("/", &[("cookie", &cookie)]),
        service.get("/", &[]),
        service.get("/nowhere", &[("cookie", &cookie)]),
        service.get("/page.css", &[]),
        service.get("/enter?token=x", &[]),
        service.get("/", &[("host", "rebind.invalid")]),
        service.request("POST", "/", &[], ""),
        service.request("DELETE", "/", &[("cookie", &cookie)], ""),
    ];
    let statuses: Vec<u16> = answers.iter().map(|answer| answer.status).collect();
    assert_eq!(statuses, [200, 403, 404, 200, 403, 421, 403, 405]);
    for answer in &answers {
        let policy = answer.header("content-security-policy").expect("a policy");
        for part in [
            "default-src 'none'",
            "script-src 'self'",
            "style-src 'self'",
            "form-action 'self'",
            "frame-ancestors 'none'",
            "base-uri 'none'",
        ] {
            assert!(policy.contains(part), "{part} is not in {policy}");
        }
        assert!(!policy.contains("unsafe") && !policy.contains('*'));
        for (name, value) in [
            ("x-content-type-options", "nosniff"),
            ("referrer-policy", "no-referrer"),
            ("cross-origin-resource-policy", "same-origin"),
            ("cross-origin-opener-policy", "same-origin"),
            ("cache-control", "no-store"),
        ] {
            assert_eq!(answer.header(name), Some(value));
        }
        assert!(answer.header("permissions-policy").is_some());
        assert_eq!(answer.header("access-control-allow-origin"), None);
        assert!(!answer.body.contains("<style") && !answer.body.contains(" style="));
        assert!(!answer.body.contains(" onclick") && !answer.body.contains("javascript:"));
    }
}

#[test]
fn foreign_names_are_refused_before_anything_else() {
    let home = Home::new();
    let service = Service::start(&home);
    let cookie = service.sign_in();
    let port = service.port;
    for host in [
        "rebind.invalid".to_owned(),
        format!("rebind.invalid:{port}"),
        format!("127.0.0.1.rebind.invalid:{port}"),
        "127.0.0.1:1".to_owned(),
        "127.0.0.1".to_owned(),
        format!("0.0.0.0:{port}"),
    ] {
        let answer = service.get("/", &[("host", &host), ("cookie", &cookie)]);
        assert_eq!(answer.status, 421, "{host}");
        assert!(!answer.body.contains("Tonight"), "{host}");
    }
    let two = format!(
        "GET / HTTP/1.1\r\nhost: 127.0.0.1:{port}\r\nhost: rebind.invalid\r\nconnection: close\r\n\r\n"
    );
    assert!(matches!(service.raw(two.as_bytes()).status, 400 | 421));
    let none = "GET / HTTP/1.0\r\n\r\n";
    assert!(matches!(service.raw(none.as_bytes()).status, 400 | 421));
    let own = format!("localhost:{port}");
    assert_eq!(
        service
            .get("/", &[("host", &own), ("cookie", &cookie)])
            .status,
        200
    );
}

#[test]
fn a_token_signs_in_once() {
    let home = Home::new();
    let service = Service::start(&home);
    let first = service.get(service.enter(), &[]);
    assert_eq!(first.status, 303);
    assert_eq!(first.header("location"), Some("/"));
    let set = first.header("set-cookie").expect("a cookie");
    assert!(
        set.starts_with(&format!("evenfall-{}=", service.port)),
        "{set}"
    );
    for part in ["HttpOnly", "SameSite=Strict", "Path=/"] {
        assert!(set.contains(part), "{part} is not in {set}");
    }
    assert!(!set.contains("Domain"));
    let again = service.get(service.enter(), &[]);
    assert_eq!(again.status, 403);
    assert!(again.header("set-cookie").is_none());
    assert!(again.body.contains("evenfall page --open"));
}

#[test]
fn without_the_cookie_nothing_is_shown() {
    let home = Home::new();
    let service = Service::start(&home);
    let cookie = service.sign_in();
    let (name, value) = cookie.split_once('=').expect("pair");
    let last = if value.ends_with('0') { '1' } else { '0' };
    let wrong = format!("{name}={}{last}", &value[..value.len() - 1]);
    let other_port = format!("evenfall-1={value}");
    for cookie in ["", wrong.as_str(), other_port.as_str(), &format!("{name}=")] {
        for path in [
            "/",
            "/follow",
            "/morning",
            "/today",
            "/weeks",
            "/settings",
            "/nowhere",
        ] {
            let answer = service.get(path, &[("cookie", cookie)]);
            assert_eq!(answer.status, 403, "{path} with {cookie}");
            assert!(answer.body.contains("evenfall page --open"));
        }
    }
}

#[test]
fn changes_from_elsewhere_are_refused() {
    let home = Home::new();
    let service = Service::start(&home);
    let cookie = service.sign_in();
    let token = service.form_token(&cookie);
    let body = format!("form_token={token}");
    let own = format!("http://127.0.0.1:{}", service.port);
    let form = ("content-type", "application/x-www-form-urlencoded");
    let try_with = |headers: &[(&str, &str)], body: &str| {
        let mut all = vec![("cookie", cookie.as_str()), form];
        all.extend(headers);
        service.request("POST", "/nowhere", &all, body).status
    };
    // Let through, so there is no such page.
    assert_eq!(try_with(&[("origin", &own)], &body), 404);
    assert_eq!(try_with(&[("sec-fetch-site", "same-origin")], &body), 404);
    assert_eq!(
        try_with(
            &[("origin", "null"), ("sec-fetch-site", "same-origin")],
            &body
        ),
        404
    );
    // Another site, no origin at all, a token that is missing or wrong.
    for headers in [
        &[("origin", "http://rebind.invalid")][..],
        &[
            ("origin", "http://rebind.invalid"),
            ("sec-fetch-site", "cross-site"),
        ],
        &[("origin", own.as_str()), ("sec-fetch-site", "cross-site")],
        &[("origin", own.as_str()), ("sec-fetch-site", "same-site")],
        &[("origin", "null")],
        &[("sec-fetch-site", "none")],
        &[],
    ] {
        assert_eq!(try_with(headers, &body), 403, "{headers:?}");
    }
    for body in [
        "",
        "form_token=",
        "form_token=0",
        &format!("form_token={token}0"),
    ] {
        assert_eq!(try_with(&[("origin", &own)], body), 403, "{body}");
    }
    // Without the cookie a right token is worth nothing.
    let answer = service.request("POST", "/nowhere", &[("origin", &own), form], &body);
    assert_eq!(answer.status, 403);
    // Only forms.
    let answer = service.request(
        "POST",
        "/nowhere",
        &[
            ("cookie", &cookie),
            ("origin", &own),
            ("content-type", "text/plain"),
        ],
        &body,
    );
    assert_eq!(answer.status, 415);
}

#[test]
fn it_listens_on_loopback_only() {
    let home = Home::new();
    let service = Service::start(&home);
    // Linux lists listening sockets with their address in hexadecimal: 0100007F is 127.0.0.1, state 0A
    // is listening (proc(5), net/tcp).
    let port = format!(":{:04X}", service.port);
    let listed = |file: &str| -> Vec<String> {
        std::fs::read_to_string(file)
            .unwrap_or_default()
            .lines()
            .filter_map(|line| {
                let fields: Vec<&str> = line.split_whitespace().collect();
                let local = fields.get(1)?;
                (local.ends_with(&port) && fields.get(3) == Some(&"0A"))
                    .then(|| local.trim_end_matches(&port).to_owned())
            })
            .collect()
    };
    assert_eq!(listed("/proc/net/tcp"), ["0100007F"]);
    for six in listed("/proc/net/tcp6") {
        assert_eq!(six, "00000000000000000000000001000000");
    }
}

#[test]
fn secrets_port_and_sign_in_outlive_the_service() {
    let home = Home::new();
    let service = Service::start(&home);
    let cookie = service.sign_in();
    let (token, port) = (service.form_token(&cookie), service.port);
    let mode = std::fs::metadata(home.path().join("page.json"))
        .expect("kept file")
        .permissions()
        .mode();
    assert_eq!(mode & 0o777, 0o600);
    drop(service);
    let service = Service::start(&home);
    assert_eq!(service.port, port);
    assert_eq!(service.form_token(&cookie), token);
}

#[test]
fn the_command_gives_a_fresh_address_and_status_names_the_page() {
    let home = Home::new();
    let said = home.run("", &["page"]);
    assert_eq!(said.code, 1);
    assert!(said.err.contains("evenfall daemon"), "{}", said.err);
    let service = Service::start(&home);
    let address = home.json("", &["page"])["page"]
        .as_str()
        .expect("an address")
        .to_owned();
    assert_ne!(address, service.address);
    let path = &address[address.find("/enter").expect("path")..];
    let answer = service.get(path, &[]);
    assert_eq!(answer.status, 303);
    let cookie = cookie_of(&answer);
    assert_eq!(service.get("/", &[("cookie", &cookie)]).status, 200);
    let status = home.json("", &["status"]);
    assert_eq!(
        status["service"]["page"],
        format!("http://127.0.0.1:{}/", service.port)
    );
}

#[test]
fn the_page_can_be_off_and_its_port_fixed() {
    let home = Home::new();
    let port = {
        let free = std::net::TcpListener::bind("127.0.0.1:0").expect("a free port");
        free.local_addr().expect("address").port()
    };
    home.write("settings.toml", &format!("[page]\nport = {port}\n"));
    let service = Service::start(&home);
    assert_eq!(service.port, port);
    home.write("settings.toml", "[page]\non = false\n");
    let gone = (0..100).any(|_| {
        std::thread::sleep(Duration::from_millis(50));
        TcpStream::connect(("127.0.0.1", port)).is_err()
    });
    assert!(gone, "the page still listens after it was turned off");
    let said = home.run("", &["page"]);
    assert_eq!(said.code, 1);
    assert!(said.err.contains("[page]"), "{}", said.err);
}
