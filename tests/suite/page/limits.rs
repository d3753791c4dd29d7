//! What the page takes, and for how long it waits, each tried through the socket.
//!
//! The numbers are our own design choice; that there are such limits follows the OWASP Denial of Service
//! Cheat Sheet (limits of size and time for every request).

use std::io::{ErrorKind, Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use super::client::{Answer, Service};
use crate::support::Home;

/// Connections at a time.
const MOST_CONNECTIONS: usize = 32;
/// How long the rest of a request is waited for.
const PATIENCE: Duration = Duration::from_secs(10);
/// What a loaded machine may take longer.
const ALLOWANCE: Duration = Duration::from_secs(10);

fn connect(service: &Service) -> TcpStream {
    let stream = TcpStream::connect(("127.0.0.1", service.port)).expect("connects");
    stream
        .set_read_timeout(Some(PATIENCE + 2 * ALLOWANCE))
        .expect("timeout");
    stream
}

/// Everything that comes until the server closes, and how long that took.
fn to_the_end(mut stream: TcpStream) -> (String, Duration) {
    let started = Instant::now();
    let mut answer = Vec::new();
    match stream.read_to_end(&mut answer) {
        Ok(_) => {}
        Err(error) if error.kind() == ErrorKind::ConnectionReset => {}
        Err(error) => panic!("the server does not close: {error}"),
    }
    (
        String::from_utf8_lossy(&answer).into_owned(),
        started.elapsed(),
    )
}

/// The head of a posted form, ready for its body.
fn form_head(service: &Service, cookie: &str, framing: &str) -> String {
    format!(
        "POST /nowhere HTTP/1.1\r\nhost: 127.0.0.1:{}\r\ncookie: {cookie}\r\nsec-fetch-site: same-origin\r\n\
         content-type: application/x-www-form-urlencoded\r\nconnection: close\r\n{framing}\r\n\r\n",
        service.port
    )
}

#[test]
fn forms_hold_up_to_64_kb() {
    let home = Home::new();
    let service = Service::start(&home);
    let cookie = service.sign_in();
    let token = service.form_token(&cookie);
    let post = |length: usize| {
        let start = format!("form_token={token}&note=");
        let body = format!("{start}{}", "a".repeat(length - start.len()));
        let head = form_head(&service, &cookie, &format!("content-length: {length}"));
        service.raw(format!("{head}{body}").as_bytes())
    };
    // Let through, so there is no such page.
    assert_eq!(post(64 * 1024).status, 404);
    let answer = post(64 * 1024 + 1);
    assert_eq!(answer.status, 413);
    assert!(answer.body.contains("64 kB"), "{}", answer.body);
    // A body that does not say beforehand how long it is.
    let chunked = |length: usize| {
        let start = format!("form_token={token}&note=");
        let body = format!("{start}{}", "a".repeat(length - start.len()));
        let chunks: String = body
            .as_bytes()
            .chunks(1000)
            .map(|chunk| {
                format!(
                    "{:x}\r\n{}\r\n",
                    chunk.len(),
                    String::from_utf8_lossy(chunk)
                )
            })
            .collect();
        let head = form_head(&service, &cookie, "transfer-encoding: chunked");
        service.raw(format!("{head}{chunks}0\r\n\r\n").as_bytes())
    };
    assert_eq!(chunked(64 * 1024).status, 404);
    assert_eq!(chunked(64 * 1024 + 1).status, 413);
}

#[test]
fn long_addresses_and_heads_are_refused() {
    let home = Home::new();
    let service = Service::start(&home);
    let cookie = service.sign_in();
    let with_address = |length: usize| {
        let path = format!("/?did={}", "a".repeat(length - "/?did=".len()));
        service.get(&path, &[("cookie", &cookie)])
    };
    assert_eq!(with_address(2048).status, 200);
    let answer = with_address(2049);
    assert_eq!(answer.status, 414);
    assert!(answer.body.contains("tonight's page"), "{}", answer.body);
    assert!(answer.header("content-security-policy").is_some());
    // Beyond what is read of a head at all.
    for length in [17 * 1024, 70_000] {
        let status = with_address(length).status;
        assert!(matches!(status, 414 | 431 | 0), "{length}: {status}");
    }
    let long = "a".repeat(17 * 1024);
    let answer = service.get("/", &[("cookie", &cookie), ("x-long", &long)]);
    assert!(matches!(answer.status, 431 | 0), "{}", answer.status);
    let short = "a".repeat(8 * 1024);
    let answer = service.get("/", &[("cookie", &cookie), ("x-long", &short)]);
    assert_eq!(answer.status, 200);
}

#[test]
fn what_comes_too_slowly_is_cut_off_and_others_are_served_meanwhile() {
    let home = Home::new();
    let service = Service::start(&home);
    let cookie = service.sign_in();
    let started = Instant::now();
    // Twenty heads that never end, one connection that never says anything, one that said its piece and
    // stays, one body that never ends.
    let mut heads: Vec<TcpStream> = (0..20).map(|_| connect(&service)).collect();
    for stream in &mut heads {
        stream.write_all(b"GET / HTTP/1.1\r\n").expect("writes");
    }
    let silent = connect(&service);
    let mut idle = connect(&service);
    let asset = format!(
        "GET /icon.svg HTTP/1.1\r\nhost: 127.0.0.1:{}\r\n\r\n",
        service.port
    );
    idle.write_all(asset.as_bytes()).expect("writes");
    let mut body = connect(&service);
    let head = form_head(&service, &cookie, "content-length: 200");
    body.write_all(format!("{head}form_token=").as_bytes())
        .expect("writes");
    assert_eq!(service.get("/", &[("cookie", &cookie)]).status, 200);
    assert!(started.elapsed() < PATIENCE, "served while others dawdle");
    // A letter now and then buys no more time.
    let mut dripping = body.try_clone().expect("the same connection");
    for _ in 0..4 {
        std::thread::sleep(Duration::from_secs(2));
        let _ = dripping.write_all(b"0");
        let _ = heads[0].write_all(b"a");
    }
    let slow_head = heads.swap_remove(0);
    for (what, stream) in [
        ("a head", slow_head),
        ("silence", silent),
        ("idleness", idle),
        ("a body", body),
    ] {
        let (answer, _) = to_the_end(stream);
        let took = started.elapsed();
        assert!(took < PATIENCE + ALLOWANCE, "{what} was borne for {took:?}");
        if what == "a body" {
            let answer = Answer::read(&answer);
            assert_eq!(answer.status, 408, "{}", answer.body);
            assert!(answer.body.contains("Send it again"), "{}", answer.body);
        }
    }
    assert!(
        started.elapsed() > PATIENCE - Duration::from_secs(1),
        "nobody is cut off early"
    );
}

#[test]
fn no_more_than_32_are_served_at_a_time_and_the_next_one_waits() {
    let home = Home::new();
    let service = Service::start(&home);
    let cookie = service.sign_in();
    let mut held: Vec<TcpStream> = (0..MOST_CONNECTIONS).map(|_| connect(&service)).collect();
    for stream in &mut held {
        stream.write_all(b"GET / HTTP/1.1\r\n").expect("writes");
    }
    let mut next = connect(&service);
    let request = format!(
        "GET / HTTP/1.1\r\nhost: 127.0.0.1:{}\r\ncookie: {cookie}\r\nconnection: close\r\n\r\n",
        service.port
    );
    next.write_all(request.as_bytes()).expect("writes");
    next.set_read_timeout(Some(Duration::from_secs(2)))
        .expect("timeout");
    let mut first = [0];
    let waiting = next
        .read(&mut first)
        .expect_err("no answer while all places are taken");
    assert!(
        matches!(waiting.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut),
        "{waiting}"
    );
    drop(held.pop());
    next.set_read_timeout(Some(PATIENCE / 2)).expect("timeout");
    let mut answer = String::new();
    next.read_to_string(&mut answer)
        .expect("an answer as soon as a place is free");
    assert_eq!(Answer::read(&answer).status, 200);
}
