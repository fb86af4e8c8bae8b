//! The sockets: loopback always, HTTPS on the farm's network when asked, and there a plain port that
//! hands out the certificate and nothing else.
//!
//! The network is listened to under this computer's own addresses only, not under every address it
//! may ever have: the same laptop in a café offers nothing there. Times: 10 s for a TLS handshake,
//! for the first request and for every request's head; bodies are watched in [`super::body`].

use super::authority::{Authority, fingerprint};
use super::crowd::{Counted, Crowd};
use super::hosts::Wire;
use super::tls::Source;
use super::{Access, Door, DoorError, Hosts, Links, Shown, files, lan, plain};
use crate::{House, Settings};
use axum::{Extension, Router};
use axum_server::Handle;
use axum_server::accept::{DefaultAcceptor, NoDelayAcceptor};
use axum_server::tls_rustls::{RustlsAcceptor, RustlsConfig};
use book::Book;
use std::future::Future;
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

/// For a request's head, and for a connection to say anything at all.
const HEAD: Duration = Duration::from_secs(10);
/// For what is being answered when the program is told to stop.
const LAST: Duration = Duration::from_secs(2);

/// The sockets, taken but not yet served.
#[derive(Debug)]
pub struct Front {
    loopback: TcpListener,
    address: SocketAddr,
    network: Option<Network>,
}

#[derive(Debug)]
struct Network {
    secure: Vec<TcpListener>,
    plain: Vec<TcpListener>,
    source: Arc<Source>,
    config: RustlsConfig,
}

/// Names and addresses by which phones come.
struct Called {
    names: Vec<String>,
    addresses: Vec<IpAddr>,
}

fn take(address: SocketAddr) -> Result<(TcpListener, SocketAddr), DoorError> {
    let wrong = |why: std::io::Error| {
        let what_to_do = match why.kind() {
            std::io::ErrorKind::AddrNotAvailable => {
                "this computer has no such address; name one that it has with --host"
            }
            _ => "stop the program that has this port, or choose another with --port",
        };
        DoorError::file(
            Path::new(&address.to_string()),
            format!("{why}; {what_to_do}"),
        )
    };
    let listener = TcpListener::bind(address).map_err(wrong)?;
    listener.set_nonblocking(true).map_err(wrong)?;
    let address = listener.local_addr().map_err(wrong)?;
    Ok((listener, address))
}

/// One socket for each address, all on one port; for 0, one that is free on the first address.
fn taken(addresses: &[IpAddr], mut port: u16) -> Result<Vec<(TcpListener, SocketAddr)>, DoorError> {
    let mut sockets = Vec::with_capacity(addresses.len());
    for ip in addresses {
        let (listener, address) = take((*ip, port).into())?;
        port = address.port();
        sockets.push((listener, address));
    }
    Ok(sockets)
}

/// The port beside another; 0 stays "any".
fn beside(port: u16, by: u16) -> u16 {
    if port == 0 {
        0
    } else {
        port.saturating_add(by)
    }
}

/// Takes the store and the sockets, so that a door can be made and its addresses told.
///
/// # Errors
/// A port that is taken, a store that cannot be used, a certificate that cannot be made.
pub fn open(book: &Book, settings: &Settings, now_ms: i64) -> Result<(Door, Front), DoorError> {
    let farm = farm(book);
    let access = Access::open(&folder(&settings.state, book)?)?;
    access.owner(&farm.owner)?;
    let (loopback, address) = take((Ipv4Addr::LOCALHOST, settings.port).into())?;
    let mut hosts = Hosts::loopback();
    let mut links = Links::default();
    let mut shown = None;
    let mut network = None;
    if settings.lan {
        let called = called(settings)?;
        // the sockets first: no authority is made for an address that is not this computer's
        let secure = taken(&called.addresses, beside(settings.port, 1))?;
        let handed = match settings.certificate {
            None => taken(&called.addresses, beside(settings.port, 2))?,
            Some(_) => Vec::new(),
        };
        let state = access.folder().unwrap_or(&settings.state).to_owned();
        let (source, certificate) = source(settings, &state, &farm.name, &called, now_ms)?;
        let name = match (&source, called.names.first(), called.addresses.first()) {
            (Source::Own { .. }, Some(name), _) => name.clone(),
            (_, _, Some(ip)) => host(*ip),
            _ => String::new(),
        };
        let at = |scheme: &str, sockets: &[(TcpListener, SocketAddr)]| {
            let (_, first) = sockets.first()?;
            Some(format!("{scheme}://{name}:{}", first.port()))
        };
        links.phones = at("https", &secure);
        links.certificate = at("http", &handed);
        let names = called.names.iter().cloned();
        hosts = hosts.and_lan(names.chain(called.addresses.iter().map(|ip| host(*ip))));
        if certificate.is_none() {
            hosts = hosts.lasting();
        }
        shown = certificate;
        network = Some(Network {
            config: RustlsConfig::from_config(source.config(now_ms)?),
            secure: secure.into_iter().map(|(listener, _)| listener).collect(),
            plain: handed.into_iter().map(|(listener, _)| listener).collect(),
            source: Arc::new(source),
        });
    }
    if let Some(name) = &settings.behind {
        hosts = hosts.and_behind(name);
        links.phones = Some(format!("https://{name}"));
        links.certificate = None;
    }
    let mut door = Door::new(access, hosts);
    door.links = links;
    door.certificate = shown;
    let front = Front {
        loopback,
        address,
        network,
    };
    Ok((door, front))
}

/// An address as it stands in a URL.
fn host(ip: IpAddr) -> String {
    match ip {
        IpAddr::V4(ip) => ip.to_string(),
        IpAddr::V6(ip) => format!("[{ip}]"),
    }
}

fn called(settings: &Settings) -> Result<Called, DoorError> {
    let mut names = Vec::new();
    let mut addresses = Vec::new();
    for host in &settings.hosts {
        match host.parse::<IpAddr>() {
            Ok(ip) => addresses.push(ip),
            Err(_) => names.push(host.to_ascii_lowercase()),
        }
    }
    if addresses.is_empty() {
        let ip = lan::address().ok_or_else(|| DoorError::Certificate("found no address of a private network on this computer; join the farm's network, or name the address with --host".to_owned()))?;
        addresses.push(ip);
    }
    if settings.certificate.is_none() {
        for name in lan::names() {
            if !names.contains(&name) {
                names.push(name);
            }
        }
    }
    Ok(Called { names, addresses })
}

fn source(
    settings: &Settings,
    state: &Path,
    farm: &str,
    called: &Called,
    now_ms: i64,
) -> Result<(Source, Option<Shown>), DoorError> {
    if let Some((certificate, key)) = settings.certificate.clone() {
        return Ok((Source::Own { certificate, key }, None));
    }
    let make = if settings.new_authority {
        Authority::make
    } else {
        Authority::open
    };
    let authority = make(state, farm, &called.names, &called.addresses, now_ms)?;
    let shown = Shown {
        der: authority.der().to_vec(),
        fingerprint: fingerprint(authority.der()),
        scope: authority.scope().words(),
    };
    let source = Source::Farm {
        authority: Box::new(authority),
        names: called.names.clone(),
        addresses: called.addresses.clone(),
    };
    Ok((source, Some(shown)))
}

struct FarmSays {
    name: String,
    owner: String,
}

/// What the book says of the farm and its grower, for names that have to be something.
fn farm(book: &Book) -> FarmSays {
    let farm = desk::Farm::read(book).unwrap_or_default();
    let grower = farm
        .people
        .values()
        .find(|person| person.says.roles.contains(&book::kinds::Role::Grower));
    FarmSays {
        owner: grower.map_or_else(|| "owner".to_owned(), |person| person.says.name.to_string()),
        name: if farm.name.is_empty() {
            "the farm".to_owned()
        } else {
            farm.name
        },
    }
}

/// The store's folder of one book: named by the entry that began the farm, so that the book may be
/// moved and renamed. A book that says nothing yet is known by where it lies; its folder is renamed
/// once there is an entry.
///
/// # Errors
/// A folder that cannot be made, a book that cannot be read.
pub fn folder(state: &Path, book: &Book) -> Result<PathBuf, DoorError> {
    files::private_folder(state)?;
    let full = std::path::absolute(book.path()).unwrap_or_else(|_| book.path().to_owned());
    let place = super::token::hash(&full.to_string_lossy());
    let young = state.join(format!("new-{}", &place[..16]));
    let entries = book
        .entries()
        .map_err(|why| DoorError::file(book.path(), why))?;
    let first = entries.iter().find(|entry| entry.kind == "farm");
    let Some(first) = first.or(entries.first()) else {
        return Ok(young);
    };
    let folder = state.join(first.id.to_string());
    if !folder.exists() && young.exists() {
        std::fs::rename(&young, &folder).map_err(|why| DoorError::file(&young, why))?;
    }
    Ok(folder)
}

impl Front {
    /// Where this computer opens the day.
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// Serves until `stop` is done.
    ///
    /// # Errors
    /// A socket that fails.
    pub async fn serve(
        self,
        house: &House,
        app: Router,
        stop: impl Future<Output = ()> + Send + 'static,
    ) -> Result<(), DoorError> {
        let crowd = Crowd::default();
        let handle = Handle::new();
        let mut running = tokio::task::JoinSet::new();
        let near = app.clone().layer(Extension(Wire::Loopback));
        running.spawn(plainly(self.loopback, near, crowd.clone(), handle.clone()));
        if let Some(network) = self.network {
            let far = app.layer(Extension(Wire::Tls));
            for listener in network.secure {
                let (config, crowd) = (network.config.clone(), crowd.clone());
                running.spawn(securely(
                    listener,
                    config,
                    far.clone(),
                    crowd,
                    handle.clone(),
                ));
            }
            for listener in network.plain {
                let handed = plain::app(house.clone());
                running.spawn(plainly(listener, handed, crowd.clone(), handle.clone()));
            }
            let (source, config, house) = (network.source, network.config, house.clone());
            tokio::spawn(async move { source.renew(&config, || house.now_ms()).await });
        }
        let stopping = handle.clone();
        tokio::spawn(async move {
            stop.await;
            stopping.graceful_shutdown(Some(LAST));
        });
        let mut ended = Ok(());
        while let Some(done) = running.join_next().await {
            if let Ok(Err(why)) = done {
                ended = Err(DoorError::file(Path::new("the server"), why));
                handle.shutdown();
            }
        }
        ended
    }
}

/// The time limits of a server. The renewal task ends with the program.
fn strict<A>(mut server: axum_server::Server<SocketAddr, A>) -> axum_server::Server<SocketAddr, A> {
    let http = server.http_builder();
    http.http1().header_read_timeout(HEAD).max_headers(64);
    http.http2()
        .max_concurrent_streams(64)
        .max_header_list_size(32 * 1024)
        .keep_alive_interval(Duration::from_secs(30))
        .keep_alive_timeout(Duration::from_secs(20));
    server.first_request_timeout(HEAD)
}

async fn plainly(
    listener: TcpListener,
    app: Router,
    crowd: Crowd,
    handle: Handle<SocketAddr>,
) -> std::io::Result<()> {
    let inner = NoDelayAcceptor::new();
    let server = axum_server::from_tcp(listener)?.acceptor(Counted { inner, crowd });
    strict(server)
        .handle(handle)
        .serve(app.into_make_service_with_connect_info::<SocketAddr>())
        .await
}

async fn securely(
    listener: TcpListener,
    config: RustlsConfig,
    app: Router,
    crowd: Crowd,
    handle: Handle<SocketAddr>,
) -> std::io::Result<()> {
    let inner: RustlsAcceptor<DefaultAcceptor> =
        RustlsAcceptor::new(config).handshake_timeout(HEAD);
    let server = axum_server::from_tcp(listener)?.acceptor(Counted { inner, crowd });
    strict(server)
        .handle(handle)
        .serve(app.into_make_service_with_connect_info::<SocketAddr>())
        .await
}
