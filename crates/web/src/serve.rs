//! Serving the day on a local address.

use crate::door::{self, Door};
use crate::{House, Refusal, SharedClock};
use book::Book;
use std::future::Future;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::PathBuf;

/// How the day is served.
#[derive(Debug, Clone, Default)]
pub struct Settings {
    /// The port on this computer; 0 takes a free one.
    pub port: u16,
    /// Serve phones in the same network over HTTPS, with the farm's own authority.
    pub lan: bool,
    /// Served behind the user's own proxy or tunnel, under this host name.
    pub behind: Option<String>,
    /// Further host names that phones may use.
    pub hosts: Vec<String>,
    /// The user's own certificate and key, PEM.
    pub certificate: Option<(PathBuf, PathBuf)>,
    /// The folder for what is no part of the book: people's access, the authority's key.
    pub state: PathBuf,
}

/// What the face tells its user.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Said {
    /// The address to open on this computer; good once.
    Open(String),
    /// The address for phones.
    Phones(String),
    /// Something worth knowing.
    Note(String),
}

/// Why the day cannot be served.
#[derive(Debug, thiserror::Error)]
pub enum WebError {
    /// An address that cannot be taken.
    #[error("{address}: {why}; choose another port with --port")]
    Address {
        /// The address.
        address: SocketAddr,
        /// What the system said.
        why: std::io::Error,
    },
    /// A file of the state folder or a certificate.
    #[error("{file}: {why}")]
    File {
        /// The file.
        file: String,
        /// What is wrong and what to do.
        why: String,
    },
    /// The book.
    #[error("{0}")]
    Book(String),
}

impl From<Refusal> for WebError {
    fn from(why: Refusal) -> Self {
        Self::Book(why.sentence)
    }
}

/// Serves until `stop` is done; what was taken is on disk before it is answered.
///
/// # Errors
/// An address that is taken, a book that cannot be read, a state folder that cannot be written.
pub async fn serve(
    book: Book,
    clock: SharedClock,
    settings: Settings,
    said: impl Fn(Said),
    stop: impl Future<Output = ()> + Send + 'static,
) -> Result<(), WebError> {
    let house = House::new(book, clock, Door::default())?;
    let address = SocketAddr::from((Ipv4Addr::LOCALHOST, settings.port));
    let taken = |why| WebError::Address { address, why };
    let listener = std::net::TcpListener::bind(address).map_err(taken)?;
    listener.set_nonblocking(true).map_err(taken)?;
    let address = listener.local_addr().map_err(taken)?;
    let app = door::guard(crate::rooms(house));
    said(Said::Open(format!("http://{address}/")));
    let handle = axum_server::Handle::new();
    let stopping = handle.clone();
    tokio::spawn(async move {
        stop.await;
        stopping.graceful_shutdown(Some(std::time::Duration::from_secs(2)));
    });
    axum_server::from_tcp(listener)
        .map_err(taken)?
        .handle(handle)
        .serve(app.into_make_service_with_connect_info::<SocketAddr>())
        .await
        .map_err(taken)
}
