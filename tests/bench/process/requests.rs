//! The page under load on loopback: requests a second and how long they take.

use std::io::{BufRead, BufReader, Write};
use std::net::TcpStream;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::figures::Times;
use super::peers::Ended;
use super::years;

#[path = "../../suite/page/client.rs"]
#[allow(dead_code)]
mod client;

/// Connections that ask at the same time, each its next question when it has its answer.
const CONNECTIONS: usize = 4;

/// Seconds for each path; `EVENFALL_REQUEST_SECONDS` changes it.
fn seconds() -> u64 {
    super::setting("EVENFALL_REQUEST_SECONDS", 5)
}

/// Prints the table.
pub fn run() {
    println!(
        "| {CONNECTIONS} connections, {} s each | requests / s | p50 ms | p99 ms | octets | against python http.server |\n|---|---|---|---|---|---|",
        seconds()
    );
    let (folder, peer, port) = python_server();
    let peer_rate = row(
        "python http.server, a file of 20 kB",
        port,
        "/file",
        "",
        None,
    );
    drop((peer, folder));
    // Before the wind-down the first view has most to draw.
    let bedtime = (chrono::Utc::now() + chrono::Duration::hours(1)).format("%H:%M");
    let home = years::home(10, &format!("[nights]\nbedtime = \"{bedtime}\"\n"));
    let service = client::Service::start(&home);
    let cookie = service.sign_in();
    for path in ["/", "/today", "/weeks", "/morning", "/settings"] {
        row(
            &format!("evenfall {path}, ten years"),
            service.port,
            path,
            &cookie,
            Some(peer_rate),
        );
    }
}

/// A static file served by the web server of Python's library.
fn python_server() -> (tempfile::TempDir, Ended, u16) {
    let folder = tempfile::tempdir().expect("folder");
    std::fs::write(folder.path().join("file"), vec![b'x'; 20_000]).expect("file");
    let port = std::net::TcpListener::bind("127.0.0.1:0").and_then(|free| free.local_addr());
    let port = port.expect("a port").port();
    let child = Command::new("python3")
        .args([
            "-m",
            "http.server",
            "--protocol",
            "HTTP/1.1",
            "--bind",
            "127.0.0.1",
            &port.to_string(),
        ])
        .current_dir(folder.path())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    let child = Ended(child.expect("python3"));
    while TcpStream::connect(("127.0.0.1", port)).is_err() {
        std::thread::sleep(Duration::from_millis(50));
    }
    (folder, child, port)
}

/// Loads one path and prints its row; gives the requests a second.
fn row(name: &str, port: u16, path: &str, cookie: &str, beside: Option<f64>) -> f64 {
    let request =
        format!("GET {path} HTTP/1.1\r\nhost: 127.0.0.1:{port}\r\ncookie: {cookie}\r\n\r\n");
    let begun = Instant::now();
    let until = begun + Duration::from_secs(seconds());
    let all: Vec<(Vec<f64>, usize)> = std::thread::scope(|scope| {
        let asking: Vec<_> = (0..CONNECTIONS)
            .map(|_| scope.spawn(|| connection(port, &request, until)))
            .collect();
        asking
            .into_iter()
            .map(|one| one.join().expect("a connection"))
            .collect()
    });
    let took = begun.elapsed().as_secs_f64();
    let mut times = Times::default();
    all.iter()
        .flat_map(|(times, _)| times)
        .for_each(|ms| times.add_ms(*ms));
    let rate = times.count() as f64 / took;
    let ratio = beside.map_or(String::new(), |other| format!("{:.2}", rate / other));
    println!(
        "| {name} | {rate:.0} | {:.2} | {:.2} | {} | {ratio} |",
        times.quantile(0.5),
        times.quantile(0.99),
        all[0].1
    );
    rate
}

/// Milliseconds of every answer, and the octets of one.
fn connection(port: u16, request: &str, until: Instant) -> (Vec<f64>, usize) {
    let stream = TcpStream::connect(("127.0.0.1", port)).expect("connects");
    stream.set_nodelay(true).expect("no delay");
    let mut answers = BufReader::new(stream.try_clone().expect("a handle"));
    let mut questions = stream;
    let (mut times, mut octets) = (Vec::new(), 0);
    while Instant::now() < until {
        let begun = Instant::now();
        questions.write_all(request.as_bytes()).expect("asks");
        octets = answer(&mut answers);
        times.push(begun.elapsed().as_secs_f64() * 1000.0);
    }
    (times, octets)
}

/// Reads an answer with a known length; it has to be a good one.
fn answer(from: &mut impl BufRead) -> usize {
    let mut length = 0;
    for number in 0.. {
        let mut line = String::new();
        from.read_line(&mut line).expect("a line");
        assert!(
            number > 0 || line.contains(" 200 "),
            "the answer was {line}"
        );
        if line.trim().is_empty() {
            break;
        }
        if let Some(value) = line.to_ascii_lowercase().strip_prefix("content-length:") {
            length = value.trim().parse().expect("a length");
        }
    }
    let mut body = vec![0; length];
    from.read_exact(&mut body).expect("a body");
    length
}
