//! Serving the day on a local address.

use crate::door::{self, DoorError};
use crate::{House, Refusal, SharedClock};
use book::Book;
use std::future::Future;
use std::net::SocketAddr;
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
    /// Make a new authority in the place of the one that phones trust now.
    pub new_authority: bool,
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
    /// An address, the state folder, a certificate.
    #[error(transparent)]
    Door(#[from] DoorError),
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
    mut clock: SharedClock,
    settings: Settings,
    said: impl Fn(Said),
    stop: impl Future<Output = ()> + Send + 'static,
) -> Result<(), WebError> {
    let now_ms = clock.now_ms();
    let (door, front) = door::open(&book, &settings, now_ms)?;
    let house = House::new(book, clock, door)?;
    tell(&house, front.address(), &said)?;
    let app = door::guard(crate::rooms(house.clone()), &house);
    Ok(front.serve(&house, app, stop).await?)
}

/// Says where the day is: the owner's link, which holds a token good once, and the phones' address.
fn tell(house: &House, address: SocketAddr, said: &impl Fn(Said)) -> Result<(), WebError> {
    let door = house.door();
    let owner = door.access().owner("owner")?;
    let once = door.access().once(owner.id, house.now_ms())?;
    said(Said::Open(format!("http://{address}/enter?once={once}")));
    if let Some(phones) = &door.links().phones {
        said(Said::Phones(phones.clone()));
    }
    if let (Some(shown), Some(at)) = (door.certificate(), &door.links().certificate) {
        said(Said::Note(format!(
            "A phone that is new here gets the farm's certificate at {at}; its fingerprint is {}",
            shown.fingerprint.join(" ")
        )));
    }
    Ok(())
}
