//! Where the page listens, and under which names it may be asked for.

use std::io;
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener, UdpSocket};
use std::time::Duration;

use axum::Router;
use axum_server::tls_rustls::RustlsConfig;
use axum_server::{Handle, Server};
use hyper_util::rt::TokioTimer;

/// As long as devices have to finish when the program is told to end.
const FAREWELL: Duration = Duration::from_secs(3);
/// As long as a device has to say what it wants.
const HEAD: Duration = Duration::from_secs(10);

/// A place on this machine alone, or at an address of a network.
pub(super) fn listener(on: Option<IpAddr>, port: u16) -> io::Result<TcpListener> {
    let address = on.unwrap_or(IpAddr::V4(Ipv4Addr::LOCALHOST));
    let listener = TcpListener::bind((address, port)).map_err(|error| match error.kind() {
        io::ErrorKind::AddrInUse => {
            let message = format!(
                "port {port} is taken, perhaps by another `liftsheet serve`; name another one with --port"
            );
            io::Error::new(error.kind(), message)
        }
        io::ErrorKind::AddrNotAvailable => {
            let message = format!("this machine has no address {address}");
            io::Error::new(error.kind(), message)
        }
        _ => error,
    })?;
    listener.set_nonblocking(true)?;
    Ok(listener)
}

/// What this machine is called on its network.
pub(super) fn machine() -> String {
    let name = gethostname::gethostname().to_string_lossy().to_lowercase();
    let named = |sign: char| sign.is_ascii_alphanumeric() || sign == '-' || sign == '.';
    name.chars().filter(|sign| named(*sign)).collect()
}

/// The names under which it may be asked for, each with its port.
pub(super) fn names(machine: &str) -> Vec<String> {
    let local = format!("{machine}.local");
    vec!["localhost".to_owned(), machine.to_owned(), local]
}

/// The address at which other devices find it: where it listens, or that of this machine on its network.
pub(super) fn reached(own: SocketAddr) -> SocketAddr {
    if !own.ip().is_unspecified() {
        return own;
    }
    // Nothing is sent: the system only says which of its addresses it would send from.
    let found = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).and_then(|socket| {
        socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9))?;
        socket.local_addr()
    });
    let ip = found.map_or(IpAddr::V4(Ipv4Addr::LOCALHOST), |found| found.ip());
    SocketAddr::new(ip, own.port())
}

/// Answers until the program is told to end.
pub(super) async fn answer(
    listener: TcpListener,
    tls: Option<RustlsConfig>,
    router: Router,
) -> io::Result<()> {
    let handle = Handle::new();
    let ending = handle.clone();
    tokio::spawn(async move {
        told_to_end().await;
        ending.graceful_shutdown(Some(FAREWELL));
    });
    let service = router.into_make_service_with_connect_info::<SocketAddr>();
    match tls {
        None => {
            let server = patient(axum_server::from_tcp(listener)?);
            server.handle(handle).serve(service).await
        }
        Some(tls) => {
            let server = patient(axum_server::from_tcp_rustls(listener, tls)?);
            server.handle(handle).serve(service).await
        }
    }
}

/// A device that opens a connection and says nothing holds it for a moment only.
fn patient<A>(mut server: Server<SocketAddr, A>) -> Server<SocketAddr, A> {
    let mut http1 = server.http_builder().http1();
    http1.timer(TokioTimer::new()).header_read_timeout(HEAD);
    server
}

#[cfg(unix)]
async fn told_to_end() {
    use tokio::signal::unix::{SignalKind, signal};

    let Ok(mut terminate) = signal(SignalKind::terminate()) else {
        return std::future::pending().await;
    };
    tokio::select! {
        _ = tokio::signal::ctrl_c() => {}
        _ = terminate.recv() => {}
    }
}

#[cfg(not(unix))]
async fn told_to_end() {
    let _ = tokio::signal::ctrl_c().await;
}
