//! A served book, and a client that sends exactly what it is told.

use book::Device;
use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::sync::mpsc;
use std::time::Duration;
use web::{Said, Settings};

/// 2026-10-06, some time in the afternoon.
pub(crate) const BEGIN_MS: i64 = 1_791_300_000_000;
pub(crate) const MINUTE: i64 = 60_000;
pub(crate) const DAY: i64 = 24 * 60 * MINUTE;

/// A clock that goes on by a millisecond each time and by as much as a test says.
#[derive(Clone)]
pub(crate) struct Clock(pub(crate) Arc<AtomicI64>);

impl desk::Clock for Clock {
    fn now_ms(&mut self) -> i64 {
        self.0.fetch_add(1, Ordering::SeqCst)
    }
    fn chance(&mut self) -> [u8; 10] {
        web::door::token::chance().unwrap()
    }
}

/// A server on a thread of its own, stopped when it is dropped.
pub(crate) struct Served {
    pub(crate) address: SocketAddr,
    pub(crate) once: String,
    pub(crate) phones: Option<String>,
    pub(crate) notes: Vec<String>,
    pub(crate) state: PathBuf,
    pub(crate) book: PathBuf,
    pub(crate) clock: Clock,
    pub(crate) folder: Arc<tempfile::TempDir>,
    stop: Option<tokio::sync::oneshot::Sender<()>>,
    thread: Option<std::thread::JoinHandle<()>>,
}

impl Drop for Served {
    fn drop(&mut self) {
        drop(self.stop.take());
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

fn device() -> Device {
    Device::new("kitchen", "kitchen").unwrap()
}

/// A farm with two fields; the neighbor has a share of one.
pub(crate) fn serve(change: impl FnOnce(&mut Settings)) -> Served {
    let folder = Arc::new(tempfile::tempdir().unwrap());
    let path = folder.path().join("farm.stook");
    let mut clock = Clock(Arc::new(AtomicI64::new(BEGIN_MS)));
    let (book, _) = desk::books::create(
        &path,
        "Quiet Creek",
        "America/Chicago",
        "Ada",
        &device(),
        &mut clock,
    )
    .unwrap();
    drop(book);
    again(folder, clock, change)
}

/// The same book, state and clock, served again.
pub(crate) fn again(
    folder: Arc<tempfile::TempDir>,
    clock: Clock,
    change: impl FnOnce(&mut Settings),
) -> Served {
    let state = folder.path().join("state");
    let path = folder.path().join("farm.stook");
    let mut settings = Settings {
        state: state.clone(),
        ..Settings::default()
    };
    change(&mut settings);
    // after the owner's link: the phones' address, and on the farm's own network the certificate
    let expected = match (settings.lan, &settings.behind) {
        (true, None) => 2,
        (false, Some(_)) => 1,
        _ => 0,
    };
    let (says, said) = mpsc::channel();
    let (stop, stopped) = tokio::sync::oneshot::channel::<()>();
    let (book, told) = (path.clone(), clock.clone());
    let thread = std::thread::spawn(move || {
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(2)
            .enable_all()
            .build()
            .unwrap();
        let book = book::Book::open(&book).unwrap();
        let failed = says.clone();
        let served = web::serve(
            book,
            Box::new(told),
            settings,
            move |one| says.send(one).unwrap(),
            async {
                let _ = stopped.await;
            },
        );
        if let Err(why) = runtime.block_on(served) {
            failed
                .send(Said::Note(format!("not served: {why}")))
                .unwrap();
        }
    });
    let mut phones = None;
    let mut notes = Vec::new();
    let mut url = None;
    let mut more = expected;
    while url.is_none() || more > 0 {
        let Ok(one) = said.recv_timeout(Duration::from_secs(20)) else {
            break;
        };
        more -= usize::from(url.is_some());
        match one {
            Said::Open(open) => url = Some(open),
            Said::Phones(at) => phones = Some(at),
            Said::Note(note) => {
                assert!(!note.starts_with("not served"), "{note}");
                notes.push(note);
            }
        }
    }
    let url = url.expect("the server says where it is");
    let (origin, once) = url.split_once("/enter?once=").expect("a one-time token");
    Served {
        address: origin.strip_prefix("http://").unwrap().parse().unwrap(),
        once: once.to_owned(),
        phones,
        notes,
        state,
        book: path,
        clock,
        folder,
        stop: Some(stop),
        thread: Some(thread),
    }
}

/// What came back.
#[derive(Debug, Clone)]
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) headers: Vec<(String, String)>,
    pub(crate) body: String,
}

impl Answer {
    pub(crate) fn header(&self, name: &str) -> Option<&str> {
        let mut headers = self.headers.iter();
        headers
            .find(|(key, _)| key == name)
            .map(|(_, value)| value.as_str())
    }
    /// The cookie that was set, as `name=value`.
    pub(crate) fn cookie(&self) -> Option<String> {
        let line = self.header("set-cookie")?;
        Some(line.split(';').next()?.to_owned())
    }
}

/// Reads an answer to its end.
pub(crate) fn read(stream: &mut impl Read) -> Answer {
    let mut bytes = Vec::new();
    let _ = stream.read_to_end(&mut bytes); // a reset after the answer is an end too
    let text = String::from_utf8_lossy(&bytes);
    let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
    let mut lines = head.lines();
    let status = lines
        .next()
        .and_then(|line| line.split(' ').nth(1)?.parse().ok())
        .unwrap_or(0);
    let headers = lines
        .filter_map(|line| line.split_once(": "))
        .map(|(name, value)| (name.to_lowercase(), value.to_owned()))
        .collect();
    Answer {
        status,
        headers,
        body: body.to_owned(),
    }
}

/// One request as text.
pub(crate) fn request(method: &str, path: &str, headers: &[(&str, &str)], body: &str) -> String {
    let mut lines = vec![
        format!("{method} {path} HTTP/1.1"),
        "Connection: close".to_owned(),
    ];
    let named = headers
        .iter()
        .map(|(name, value)| format!("{name}: {value}"));
    lines.extend(named);
    if !body.is_empty() || method == "POST" || method == "PUT" {
        lines.push(format!("Content-Length: {}", body.len()));
    }
    format!("{}\r\n\r\n{body}", lines.join("\r\n"))
}

impl Served {
    pub(crate) fn host(&self) -> String {
        self.address.to_string()
    }

    pub(crate) fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(self.address).unwrap();
        stream
            .set_read_timeout(Some(Duration::from_mins(1)))
            .unwrap();
        stream
    }

    /// Sends exactly these headers.
    pub(crate) fn raw(
        &self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: &str,
    ) -> Answer {
        let mut stream = self.connect();
        stream
            .write_all(request(method, path, headers, body).as_bytes())
            .unwrap();
        read(&mut stream)
    }

    /// As a browser's own page would, with a cookie or without.
    pub(crate) fn ask(&self, method: &str, path: &str, cookie: Option<&str>, body: &str) -> Answer {
        let host = self.host();
        let origin = format!("http://{host}");
        let mut headers = vec![("Host", host.as_str()), ("Sec-Fetch-Site", "same-origin")];
        if method != "GET" && method != "HEAD" {
            headers.push(("Origin", &origin));
            headers.push(("Content-Type", "application/x-www-form-urlencoded"));
        }
        if let Some(cookie) = cookie {
            headers.push(("Cookie", cookie));
        }
        self.raw(method, path, &headers, body)
    }

    pub(crate) fn get(&self, path: &str, cookie: Option<&str>) -> Answer {
        self.ask("GET", path, cookie, "")
    }

    /// Comes in as the owner.
    pub(crate) fn owner(&self) -> String {
        let entered = self.get(&format!("/enter?once={}", self.once), None);
        assert_eq!(entered.status, 303, "{entered:?}");
        entered.cookie().expect("a session")
    }

    /// A pairing code for somebody new.
    pub(crate) fn invite(&self, owner: &str, name: &str, role: &str) -> String {
        let page = self.ask(
            "POST",
            "/people/add",
            Some(owner),
            &format!("name={name}&role={role}"),
        );
        let page = match page.header("location") {
            Some(to) => {
                let person = to.rsplit('=').next().unwrap().to_owned();
                self.ask(
                    "POST",
                    "/people/pair",
                    Some(owner),
                    &format!("person={person}"),
                )
            }
            None => page,
        };
        code(&page)
    }

    /// Pairs a phone by a code.
    pub(crate) fn pair(&self, code: &str, phone: &str) -> Answer {
        self.ask(
            "POST",
            "/pair",
            None,
            &format!("code={code}&device={phone}"),
        )
    }

    /// Somebody new with a paired phone; their cookie.
    pub(crate) fn someone(&self, owner: &str, name: &str, role: &str) -> String {
        let code = self.invite(owner, name, role);
        let paired = self.pair(&code, "phone");
        assert_eq!(paired.status, 303, "{paired:?}");
        paired.cookie().unwrap()
    }

    pub(crate) fn later(&self, ms: i64) {
        self.clock.0.fetch_add(ms, Ordering::SeqCst);
    }

    /// Ends the server; book, state and clock stay.
    pub(crate) fn end(self) -> (Arc<tempfile::TempDir>, Clock) {
        (self.folder.clone(), self.clock.clone())
    }
}

/// The code that a page shows.
pub(crate) fn code(page: &Answer) -> String {
    let at = page
        .body
        .find("class=\"typed\">")
        .unwrap_or_else(|| panic!("no code: {page:?}"));
    page.body[at + 14..]
        .split('<')
        .next()
        .unwrap()
        .replace(' ', "")
}
