//! How many connections are kept at the same time.
//!
//! One more than [`ALL`] is closed at once, and so is one more than [`EACH`] of one address on the
//! farm's network, so that one machine there cannot keep the phones out. On loopback there is no such
//! bound: a proxy brings everybody from one address.

use axum_server::accept::Accept;
use std::collections::BTreeMap;
use std::future::Future;
use std::io;
use std::net::IpAddr;
use std::pin::Pin;
use std::sync::{Arc, Mutex, PoisonError};
use std::task::{Context, Poll};
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::TcpStream;

/// Connections of everybody.
pub const ALL: usize = 512;
/// Connections of one address that is not this machine.
pub const EACH: usize = 48;

/// The count.
#[derive(Debug, Clone, Default)]
pub struct Crowd(Arc<Mutex<BTreeMap<IpAddr, usize>>>);

/// One connection's place; given back when it is dropped.
#[derive(Debug)]
pub struct Spot {
    crowd: Crowd,
    ip: IpAddr,
}

impl Crowd {
    /// A place for one more, if there is one.
    pub fn enter(&self, ip: IpAddr) -> Option<Spot> {
        let ip = ip.to_canonical();
        let mut here = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let all: usize = here.values().sum();
        let of_ip = here.get(&ip).copied().unwrap_or(0);
        if all >= ALL || (of_ip >= EACH && !ip.is_loopback()) {
            return None;
        }
        here.insert(ip, of_ip + 1);
        Some(Spot {
            crowd: self.clone(),
            ip,
        })
    }
}

impl Drop for Spot {
    fn drop(&mut self) {
        let mut here = self.crowd.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(of_ip) = here.get_mut(&self.ip) {
            *of_ip -= 1;
            if *of_ip == 0 {
                here.remove(&self.ip);
            }
        }
    }
}

/// Lets a connection in when there is a place, then hands it on.
#[derive(Debug, Clone)]
pub struct Counted<A> {
    /// Who takes it from there.
    pub inner: A,
    /// The count.
    pub crowd: Crowd,
}

impl<A, S> Accept<TcpStream, S> for Counted<A>
where
    A: Accept<TcpStream, S>,
    A::Future: Send + 'static,
    A::Stream: Send + 'static,
    A::Service: Send + 'static,
{
    type Stream = Kept<A::Stream>;
    type Service = A::Service;
    type Future = Pin<Box<dyn Future<Output = io::Result<(Self::Stream, Self::Service)>> + Send>>;

    fn accept(&self, stream: TcpStream, service: S) -> Self::Future {
        let spot = stream.peer_addr().and_then(|peer| {
            self.crowd
                .enter(peer.ip())
                .ok_or(io::ErrorKind::ConnectionRefused.into())
        });
        match spot {
            Err(why) => Box::pin(std::future::ready(Err(why))),
            Ok(spot) => {
                let next = self.inner.accept(stream, service);
                Box::pin(async move {
                    let (stream, service) = next.await?;
                    Ok((
                        Kept {
                            stream,
                            _spot: spot,
                        },
                        service,
                    ))
                })
            }
        }
    }
}

/// A connection with its place.
#[derive(Debug)]
pub struct Kept<S> {
    stream: S,
    _spot: Spot,
}

impl<S: AsyncRead + Unpin> AsyncRead for Kept<S> {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_read(context, buffer)
    }
}

impl<S: AsyncWrite + Unpin> AsyncWrite for Kept<S> {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        Pin::new(&mut self.stream).poll_write(context, bytes)
    }
    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_flush(context)
    }
    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(context)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_address_cannot_fill_the_house() {
        let crowd = Crowd::default();
        let far = IpAddr::from([192, 168, 7, 9]);
        let spots: Vec<Option<Spot>> = (0..EACH + 5).map(|_| crowd.enter(far)).collect();
        assert_eq!(spots.iter().flatten().count(), EACH);
        let near = IpAddr::from([127, 0, 0, 1]);
        let others: Vec<Option<Spot>> = (0..ALL).map(|_| crowd.enter(near)).collect();
        assert_eq!(others.iter().flatten().count(), ALL - EACH);
        drop(spots);
        assert!(crowd.enter(far).is_some());
        drop(others);
        assert!(crowd.0.lock().unwrap().is_empty());
    }
}
