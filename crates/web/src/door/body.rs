//! Bodies that are too large or too slow.
//!
//! A body is counted as it comes, whatever its length was said to be, and must keep coming: no
//! longer than [`GAP`] between two pieces, and on the whole no slower than 8 kB a second after the
//! first half minute. So a connection that drips one byte at a time is not kept for long.

use axum::body::{Body, BodyDataStream, Bytes};
use axum::extract::Request;
use axum::http::StatusCode;
use axum::http::header::CONTENT_LENGTH;
use std::future::Future;
use std::pin::Pin;
use std::sync::Arc;
use std::sync::atomic::{AtomicU8, Ordering};
use std::task::{Context, Poll};
use std::time::Duration;
use tokio::time::{Instant, Sleep, sleep_until};
use tokio_stream::Stream;

/// The longest wait for the next piece.
pub const GAP: Duration = Duration::from_secs(15);
/// Bytes a second, on the whole.
const PACE: u64 = 8 * 1024;
/// Before the pace is asked for.
const START: Duration = Duration::from_secs(30);

const LARGE: u8 = 1;
const SLOW: u8 = 2;

/// What went wrong with a body, if anything, told to whoever made the response.
#[derive(Debug, Clone, Default)]
pub struct Verdict(Arc<AtomicU8>);

impl Verdict {
    /// The status that says so.
    pub fn status(&self) -> Option<StatusCode> {
        match self.0.load(Ordering::Relaxed) {
            LARGE => Some(StatusCode::PAYLOAD_TOO_LARGE),
            SLOW => Some(StatusCode::REQUEST_TIMEOUT),
            _ => None,
        }
    }
}

struct Watched {
    body: BodyDataStream,
    left: usize,
    gap: Duration,
    next: Pin<Box<Sleep>>,
    last: Instant,
    verdict: Verdict,
}

impl Watched {
    fn over(&self, why: u8) -> std::io::Error {
        self.verdict.0.store(why, Ordering::Relaxed);
        std::io::Error::other(if why == LARGE {
            "too large"
        } else {
            "too slow"
        })
    }
}

impl Stream for Watched {
    type Item = Result<Bytes, std::io::Error>;

    fn poll_next(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<Self::Item>> {
        if let Poll::Ready(piece) = Pin::new(&mut self.body).poll_next(context) {
            return Poll::Ready(match piece {
                Some(Ok(piece)) if piece.len() > self.left => Some(Err(self.over(LARGE))),
                Some(Ok(piece)) => {
                    self.left -= piece.len();
                    let until = (Instant::now() + self.gap).min(self.last);
                    self.next.as_mut().reset(until);
                    Some(Ok(piece))
                }
                Some(Err(why)) => Some(Err(std::io::Error::other(why))),
                None => None,
            });
        }
        match self.next.as_mut().poll(context) {
            Poll::Ready(()) => Poll::Ready(Some(Err(self.over(SLOW)))),
            Poll::Pending => Poll::Pending,
        }
    }
}

/// Puts a watch on a request's body.
///
/// # Errors
/// A body that says itself that it is too large.
pub fn watch(request: Request, room: usize) -> Result<(Request, Verdict), StatusCode> {
    let said = match request.headers().get(CONTENT_LENGTH) {
        None => None,
        Some(value) => {
            let length = value
                .to_str()
                .ok()
                .and_then(|text| text.parse::<usize>().ok());
            Some(length.ok_or(StatusCode::BAD_REQUEST)?)
        }
    };
    if said.is_some_and(|said| said > room) {
        return Err(StatusCode::PAYLOAD_TOO_LARGE);
    }
    let expected = u64::try_from(said.unwrap_or(room)).unwrap_or(u64::MAX);
    let whole = START + Duration::from_secs(expected / PACE);
    Ok(watched(request, room, GAP, whole))
}

fn watched(request: Request, room: usize, gap: Duration, whole: Duration) -> (Request, Verdict) {
    let verdict = Verdict::default();
    let told = verdict.clone();
    let last = Instant::now() + whole;
    let request = request.map(|body| {
        Body::from_stream(Watched {
            body: body.into_data_stream(),
            left: room,
            gap,
            next: Box::pin(sleep_until((Instant::now() + gap).min(last))),
            last,
            verdict: told,
        })
    });
    (request, verdict)
}

#[cfg(test)]
mod tests {
    use super::*;
    use tokio_stream::StreamExt;

    const SHORT: Duration = Duration::from_millis(5);
    const LONG: Duration = Duration::from_hours(1);

    fn request(pieces: impl Stream<Item = &'static str> + Send + 'static) -> Request {
        Request::new(Body::from_stream(
            pieces.map(|piece| Ok::<_, std::io::Error>(Bytes::from(piece))),
        ))
    }

    async fn read(request: Request) -> bool {
        axum::body::to_bytes(request.into_body(), usize::MAX)
            .await
            .is_ok()
    }

    #[tokio::test]
    async fn a_body_that_stops_coming_is_given_up() {
        let pieces = tokio_stream::iter(["a"]).chain(tokio_stream::pending());
        let (request, verdict) = watched(request(pieces), 10, SHORT, LONG);
        assert!(!read(request).await);
        assert_eq!(verdict.status(), Some(StatusCode::REQUEST_TIMEOUT));
    }

    #[tokio::test]
    async fn a_body_that_drips_for_ever_is_given_up() {
        let drip = tokio_stream::iter(std::iter::repeat("a")).throttle(Duration::from_millis(1));
        let (request, verdict) = watched(request(drip), usize::MAX, LONG, SHORT);
        assert!(!read(request).await);
        assert_eq!(verdict.status(), Some(StatusCode::REQUEST_TIMEOUT));
    }

    #[tokio::test]
    async fn a_body_is_counted_to_the_last_byte() {
        let (request, verdict) = watched(request(tokio_stream::iter(["abc", "de"])), 5, LONG, LONG);
        assert!(read(request).await);
        assert_eq!(verdict.status(), None);
        let (request, verdict) = watched(
            self::request(tokio_stream::iter(["abc", "de"])),
            4,
            LONG,
            LONG,
        );
        assert!(!read(request).await);
        assert_eq!(verdict.status(), Some(StatusCode::PAYLOAD_TOO_LARGE));
    }
}
