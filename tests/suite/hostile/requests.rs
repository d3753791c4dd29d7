//! Requests to a running service, on its socket and to its page: whatever comes, it answers the next one.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::os::unix::net::UnixStream;
use std::time::{Duration, Instant};

use super::change::Changer;
use super::{corpus, number, words};
use crate::page::client::Service;
use crate::support::Home;

/// How long anything may take to be answered or cut off, beyond what a loaded machine needs.
const PATIENCE: Duration = Duration::from_secs(20);

fn inputs(kind: &str) -> Vec<Vec<u8>> {
    corpus(kind).into_iter().map(|(_, octets)| octets).collect()
}

/// Sends octets, says that no more come, and reads to the end.
fn talk(mut stream: impl Read + Write, octets: &[u8], end: impl FnOnce()) -> Vec<u8> {
    let begun = Instant::now();
    // The other end may have had enough before the end.
    let _ = stream.write_all(octets);
    end();
    let mut answer = Vec::new();
    let _ = stream.read_to_end(&mut answer);
    assert!(
        begun.elapsed() < PATIENCE,
        "{:?} for {octets:?}",
        begun.elapsed()
    );
    answer
}

fn filled(request: &[u8], service: &Service, cookie: &str, token: &str) -> Vec<u8> {
    let host = format!("127.0.0.1:{}", service.port);
    let mut filled = request.to_vec();
    for (mark, text) in [
        ("HOST", host.as_str()),
        ("COOKIE", cookie),
        ("TOKEN", token),
    ] {
        if let Some(at) = filled
            .windows(mark.len())
            .position(|octets| octets == mark.as_bytes())
        {
            filled.splice(at..at + mark.len(), text.bytes());
        }
    }
    filled
}

/// Megabytes of memory that the process had at most.
fn peak(pid: u64) -> u64 {
    let status = std::fs::read_to_string(format!("/proc/{pid}/status")).expect("status");
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kilobytes = line.and_then(|line| line.trim().split(' ').next()?.parse::<u64>().ok());
    kilobytes.expect("VmHWM") / 1024
}

#[test]
fn a_service_answers_whatever_it_is_sent() {
    let home = Home::new();
    let service = Service::start(&home);
    let cookie = service.sign_in();
    let token = service.form_token(&cookie);
    let socket = home.path().join("service.sock");
    let seconds = Duration::from_secs(number("EVENFALL_HOSTILE_SECONDS", 1));
    let seed = number("EVENFALL_SEED", 1);
    let mut counts = [0_u64; 2];

    let to_page = |octets: &[u8]| {
        let octets = filled(octets, &service, &cookie, &token);
        let stream = TcpStream::connect(("127.0.0.1", service.port)).expect("the page listens");
        stream.set_read_timeout(Some(PATIENCE)).expect("timeout");
        let writing = stream.try_clone().expect("clone");
        let answer = talk(stream, &octets, || {
            let _ = writing.shutdown(std::net::Shutdown::Write);
        });
        assert!(
            !answer.windows(12).any(|part| part == b"HTTP/1.1 500"),
            "{}\n{}",
            String::from_utf8_lossy(&octets),
            String::from_utf8_lossy(&answer)
        );
    };
    let all = inputs("page");
    all.iter().for_each(|octets| to_page(octets));
    let mut changer = Changer::new(seed, all, words::PAGE.to_vec());
    let begun = Instant::now();
    while begun.elapsed() < seconds {
        to_page(&changer.next());
        counts[0] += 1;
    }

    let to_socket = |octets: &[u8]| {
        let stream = UnixStream::connect(&socket).expect("the service listens");
        stream.set_read_timeout(Some(PATIENCE)).expect("timeout");
        let writing = stream.try_clone().expect("clone");
        let answer = talk(stream, octets, || {
            let _ = writing.shutdown(std::net::Shutdown::Write);
        });
        let reply: serde_json::Value = serde_json::from_slice(&answer)
            .unwrap_or_else(|error| panic!("{error}: {answer:?} for {octets:?}"));
        assert!(reply["said"].as_str().is_some_and(|said| !said.is_empty()));
    };
    let all = inputs("control");
    all.iter().for_each(|octets| to_socket(octets));
    let mut changer = Changer::new(seed, all, words::CONTROL.to_vec());
    let begun = Instant::now();
    while begun.elapsed() < seconds {
        // What is longer than the service reads is cut off there, unread.
        let mut octets = changer.next();
        octets.truncate(60_000);
        to_socket(&octets);
        counts[1] += 1;
    }

    let status = home.status().expect("status");
    assert_eq!(status["running"], true, "{status}");
    let peak = peak(status["service"]["pid"].as_u64().expect("pid"));
    assert!(peak < 200, "{peak} MB");
    println!(
        "{} requests to the page, {} to the socket, {peak} MB at most",
        counts[0], counts[1]
    );
}

#[test]
fn those_who_say_nothing_hold_up_nobody() {
    let home = Home::new();
    let _service = Service::start(&home);
    let socket = home.path().join("service.sock");
    let silent: Vec<UnixStream> = (0..10)
        .map(|_| UnixStream::connect(&socket).expect("the service listens"))
        .collect();
    let begun = Instant::now();
    let status = home.status().expect("status");
    assert_eq!(status["running"], true, "{status}");
    assert!(
        begun.elapsed() < Duration::from_secs(4),
        "{:?}",
        begun.elapsed()
    );
    drop(silent);
}
