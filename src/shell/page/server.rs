//! Listening on loopback, with limits.

use std::net::{Ipv4Addr, Ipv6Addr, SocketAddr};
use std::sync::Arc;
use std::time::{Duration, Instant};

use axum::Router;
use axum::http::StatusCode;
use axum::middleware;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Semaphore, mpsc};
use tokio::task::{JoinHandle, JoinSet};

use super::guard;
use super::keep::{self, Kept};
use super::reply::Trouble;
use super::site::{Asked, Site};
use super::views;
use super::{View, assets};
use crate::shell::failure::Failure;
use crate::shell::home::Home;

/// Connections at a time; more wait in the kernel's queue.
const MOST_CONNECTIONS: usize = 32;
/// How long a request's head may take, and how long a connection may be idle.
const HEAD_PATIENCE: Duration = Duration::from_secs(10);
/// Longest life of a connection.
const CONNECTION_LASTS: Duration = Duration::from_secs(300);
/// Longest head of a request, bytes.
const LONGEST_HEAD: usize = 16 * 1024;

/// The running page; stops when dropped.
#[derive(Debug)]
pub struct Server {
    site: Arc<Site>,
    task: JoinHandle<()>,
}

impl Server {
    /// Starts listening: on `port`, or else on the port kept for this home, or else on a free one.
    /// Must be called within the runtime.
    ///
    /// # Errors
    /// A fixed port that is taken; a home that cannot be written.
    pub fn start(
        home: &Home,
        port: Option<u16>,
        service: mpsc::UnboundedSender<Asked>,
    ) -> Result<Self, Failure> {
        let mut kept = keep::load(home)?;
        let listeners = listen(port, &kept)?;
        let port = local_port(&listeners)?;
        if kept.port != port {
            kept.port = port;
            keep::save(home, &kept)?;
        }
        let site = Arc::new(Site::new(home, port, kept, service)?);
        let task = tokio::spawn(accept(listeners, router(&site)));
        Ok(Self { site, task })
    }

    /// The page's address without a token: for a browser that is signed in.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/", self.site.port)
    }

    /// An address that signs a browser in, once and within ten minutes, and shows a view.
    /// Must be called within the runtime.
    pub fn fresh_address(&self, view: View) -> Result<String, Failure> {
        let token = self.site.new_token(Instant::now())?;
        // Whoever asks for an address is about to look: what takes longest is made while the browser opens.
        let site = self.site.clone();
        tokio::task::spawn_blocking(move || views::prepare(&site));
        let to = match view {
            View::Tonight => String::new(),
            other => format!("&to={}", other.path()),
        };
        Ok(format!(
            "{}enter?token={}{to}",
            self.address(),
            token.digits()
        ))
    }

    /// The port.
    pub fn port(&self) -> u16 {
        self.site.port
    }

    /// The person's files changed.
    pub fn forget(&self) {
        self.site.forget();
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        self.task.abort();
    }
}

/// The sockets of both loopback addresses; IPv6 only where the machine has it.
fn listen(fixed: Option<u16>, kept: &Kept) -> Result<Vec<TcpListener>, Failure> {
    let four = |port| bind(SocketAddr::from((Ipv4Addr::LOCALHOST, port)));
    let first = match fixed {
        Some(port) => four(port).map_err(|error| {
            Failure::failed(format!(
                "The page cannot use port {port} ({error}). Write another port under [page] in the settings, or \
                 none: then a free one is found."
            ))
        })?,
        None => four(kept.port).or_else(|_| four(0)).map_err(|error| {
            Failure::failed(format!(
                "The page cannot listen on 127.0.0.1 ({error}). Prompts go on without it."
            ))
        })?,
    };
    let mut listeners = vec![first];
    let port = local_port(&listeners)?;
    listeners.extend(bind(SocketAddr::from((Ipv6Addr::LOCALHOST, port))).ok());
    Ok(listeners)
}

fn bind(address: SocketAddr) -> std::io::Result<TcpListener> {
    let listener = std::net::TcpListener::bind(address)?;
    listener.set_nonblocking(true)?;
    TcpListener::from_std(listener)
}

fn local_port(listeners: &[TcpListener]) -> Result<u16, Failure> {
    let address = listeners.first().map(TcpListener::local_addr);
    match address {
        Some(Ok(address)) => Ok(address.port()),
        _ => Err(Failure::failed(
            "The page has no port. Start the service again.",
        )),
    }
}

fn router(site: &Arc<Site>) -> Router {
    let mut router = views::routes();
    for asset in assets::ALL {
        router = router.route(asset.path, axum::routing::get(*asset));
    }
    router
        .fallback(|| async {
            Trouble::new(
                StatusCode::NOT_FOUND,
                "There is no such page",
                "The link may be old. Everything is reached from tonight's page.",
            )
        })
        .layer(middleware::from_fn_with_state(site.clone(), guard::guard))
        .with_state(site.clone())
}

/// Accepts until dropped; the connections end with it.
async fn accept(listeners: Vec<TcpListener>, router: Router) {
    let places = Arc::new(Semaphore::new(MOST_CONNECTIONS));
    let mut connections = JoinSet::new();
    loop {
        let Ok(place) = places.clone().acquire_owned().await else {
            return;
        };
        let Some(stream) = next(&listeners).await else {
            // Out of file descriptors, most likely: give the others time to end.
            tokio::time::sleep(Duration::from_millis(200)).await;
            continue;
        };
        let router = router.clone();
        connections.spawn(async move {
            serve(stream, router).await;
            drop(place);
        });
        while connections.try_join_next().is_some() {}
    }
}

async fn next(listeners: &[TcpListener]) -> Option<TcpStream> {
    let accepted = match listeners {
        [one, other, ..] => tokio::select! {
            accepted = one.accept() => accepted,
            accepted = other.accept() => accepted,
        },
        [one] => one.accept().await,
        [] => std::future::pending().await,
    };
    accepted.ok().map(|(stream, _)| stream)
}

async fn serve(stream: TcpStream, router: Router) {
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new())
        .header_read_timeout(HEAD_PATIENCE)
        .max_buf_size(LONGEST_HEAD);
    let connection = http.serve_connection(TokioIo::new(stream), TowerToHyperService::new(router));
    // How a connection ends is the browser's business.
    let _ = tokio::time::timeout(CONNECTION_LASTS, connection).await;
}
