//! Asking a server over HTTP/1.1 on loopback: one connection that is kept, and the cookies of one device.

use anyhow::{Context as _, bail, ensure};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::time::{Duration, Instant};

/// How long an answer may take before it counts as none.
const PATIENCE: Duration = Duration::from_secs(20);

/// One device: its connection and its cookies.
#[derive(Debug)]
pub(crate) struct Client {
    address: SocketAddr,
    stream: Option<BufReader<TcpStream>>,
    cookies: BTreeMap<String, String>,
}

/// What came back.
#[derive(Debug)]
pub(crate) struct Answer {
    /// The status.
    pub(crate) status: u16,
    /// Headers by their name in small letters; the last of each name.
    pub(crate) headers: BTreeMap<String, String>,
    /// The whole body.
    pub(crate) body: Vec<u8>,
    /// From the first byte sent to the last byte read.
    pub(crate) took: Duration,
}

impl Answer {
    /// The body as text.
    pub(crate) fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }
}

impl Client {
    /// A device that has not asked anything yet.
    pub(crate) fn new(address: SocketAddr) -> Self {
        Self {
            address,
            stream: None,
            cookies: BTreeMap::new(),
        }
    }

    /// Asks for a page, as a browser that goes there.
    pub(crate) fn get(&mut self, path: &str) -> anyhow::Result<Answer> {
        self.ask("GET", path, None)
    }

    /// Asks for a page, and for whatever it points on to.
    pub(crate) fn follow(&mut self, path: &str) -> anyhow::Result<Answer> {
        let mut path = path.to_owned();
        for _ in 0..5 {
            let answer = self.get(&path)?;
            let Some(on) = answer
                .headers
                .get("location")
                .filter(|_| (300..400).contains(&answer.status))
            else {
                return Ok(answer);
            };
            path.clone_from(on);
        }
        bail!("{path}: the server sends us round in a circle")
    }

    /// Sends a form, as a page of the server's own does.
    pub(crate) fn form(&mut self, path: &str, fields: &[(&str, &str)]) -> anyhow::Result<Answer> {
        let body: Vec<String> = fields
            .iter()
            .map(|(name, value)| format!("{}={}", escaped(name), escaped(value)))
            .collect();
        let body = body.join("&");
        self.ask(
            "POST",
            path,
            Some(("application/x-www-form-urlencoded", body.as_bytes())),
        )
    }

    /// Sends JSON, as a script of the server's own does.
    pub(crate) fn json(&mut self, path: &str, body: &str) -> anyhow::Result<Answer> {
        self.ask("POST", path, Some(("application/json", body.as_bytes())))
    }

    fn ask(
        &mut self,
        method: &str,
        path: &str,
        body: Option<(&str, &[u8])>,
    ) -> anyhow::Result<Answer> {
        let started = Instant::now();
        let kept = self.stream.is_some();
        let mut answer = self.once(method, path, body);
        // a server may close a kept connection between two questions; then it is asked anew, once
        if answer.is_err() && kept {
            answer = self.once(method, path, body);
        }
        let mut answer = answer.with_context(|| format!("{method} {path}"))?;
        answer.took = started.elapsed();
        Ok(answer)
    }

    fn once(
        &mut self,
        method: &str,
        path: &str,
        body: Option<(&str, &[u8])>,
    ) -> anyhow::Result<Answer> {
        let mut stream = match self.stream.take() {
            Some(stream) => stream,
            None => BufReader::new(self.connect()?),
        };
        let mut head = format!(
            "{method} {path} HTTP/1.1\r\nHost: {0}\r\nAccept: */*\r\nSec-Fetch-Site: same-origin\r\n",
            self.address
        );
        if !self.cookies.is_empty() {
            let pairs: Vec<String> = self
                .cookies
                .iter()
                .map(|(name, value)| format!("{name}={value}"))
                .collect();
            let _ = write!(head, "Cookie: {}\r\n", pairs.join("; "));
        }
        if let Some((kind, body)) = body {
            let _ = write!(
                head,
                "Origin: http://{}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\n",
                self.address,
                body.len()
            );
        }
        head.push_str("\r\n");
        let mut whole = head.into_bytes();
        whole.extend_from_slice(body.map_or(&[], |(_, body)| body));
        stream.get_mut().write_all(&whole)?;
        let (answer, close) = read(&mut stream, &mut self.cookies)?;
        self.stream = (!close).then_some(stream);
        Ok(answer)
    }

    fn connect(&self) -> anyhow::Result<TcpStream> {
        let stream = TcpStream::connect_timeout(&self.address, PATIENCE)?;
        stream.set_read_timeout(Some(PATIENCE))?;
        stream.set_write_timeout(Some(PATIENCE))?;
        stream.set_nodelay(true)?;
        Ok(stream)
    }
}

/// Reads one answer; says whether the server closes.
fn read(
    stream: &mut BufReader<TcpStream>,
    cookies: &mut BTreeMap<String, String>,
) -> anyhow::Result<(Answer, bool)> {
    let first = line(stream)?;
    let status = first
        .split(' ')
        .nth(1)
        .and_then(|word| word.parse().ok())
        .with_context(|| format!("found `{first}`, expected a status line"))?;
    let mut headers = BTreeMap::new();
    loop {
        let header = line(stream)?;
        let Some((name, value)) = header.split_once(':') else {
            break;
        };
        let (name, value) = (name.to_ascii_lowercase(), value.trim().to_owned());
        if name == "set-cookie"
            && let Some((key, rest)) = value.split_once('=')
        {
            let kept = rest.split(';').next().unwrap_or_default().to_owned();
            cookies.insert(key.to_owned(), kept);
        }
        headers.insert(name, value);
    }
    let mut body = Vec::new();
    if headers
        .get("transfer-encoding")
        .is_some_and(|how| how == "chunked")
    {
        loop {
            let size = usize::from_str_radix(line(stream)?.trim(), 16)?;
            let begun = body.len();
            body.resize(begun + size, 0);
            stream.read_exact(&mut body[begun..])?;
            ensure!(line(stream)?.is_empty(), "a chunk does not end");
            if size == 0 {
                break;
            }
        }
    } else if let Some(length) = headers.get("content-length") {
        body.resize(length.parse()?, 0);
        stream.read_exact(&mut body)?;
    }
    let close = headers.get("connection").is_some_and(|how| how == "close");
    let took = Duration::ZERO;
    Ok((
        Answer {
            status,
            headers,
            body,
            took,
        },
        close,
    ))
}

/// One line without its end.
fn line(stream: &mut BufReader<TcpStream>) -> anyhow::Result<String> {
    let mut line = String::new();
    ensure!(
        stream.read_line(&mut line)? > 0,
        "the connection was closed"
    );
    Ok(line.trim_end_matches(['\r', '\n']).to_owned())
}

/// A form's text, with everything but letters and digits as `%XX`.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::net::TcpListener;

    /// A server that gives one answer to each of `answers`, and what it was asked.
    fn serve(answers: Vec<&'static str>) -> (SocketAddr, std::thread::JoinHandle<Vec<String>>) {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = listener.local_addr().unwrap();
        let asked = std::thread::spawn(move || {
            let (stream, _) = listener.accept().unwrap();
            let mut stream = BufReader::new(stream);
            let mut asked = Vec::new();
            for answer in answers {
                let mut head = String::new();
                loop {
                    let line = line(&mut stream).unwrap();
                    if line.is_empty() {
                        break;
                    }
                    head.push_str(&line);
                    head.push('\n');
                }
                let length = head
                    .lines()
                    .find_map(|l| l.strip_prefix("Content-Length: "));
                let mut body = vec![0; length.map_or(0, |l| l.parse().unwrap())];
                stream.read_exact(&mut body).unwrap();
                asked.push(head + &String::from_utf8(body).unwrap());
                stream.get_mut().write_all(answer.as_bytes()).unwrap();
            }
            asked
        });
        (address, asked)
    }

    #[test]
    fn one_connection_carries_cookies_forms_and_chunks() {
        let (address, asked) = serve(vec![
            "HTTP/1.1 303 See Other\r\nLocation: /in\r\nSet-Cookie: s=abc; HttpOnly\r\nContent-Length: 0\r\n\r\n",
            "HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n5\r\nhello\r\n1\r\n!\r\n0\r\n\r\n",
            "HTTP/1.1 200 OK\r\nContent-Length: 2\r\n\r\nok",
        ]);
        let mut client = Client::new(address);
        assert_eq!(client.follow("/enter?t=1").unwrap().text(), "hello!");
        let answer = client.form("/write", &[("a b", "1&2")]).unwrap();
        assert_eq!((answer.status, answer.text().as_str()), (200, "ok"));
        let asked = asked.join().unwrap();
        assert!(!asked[0].contains("Cookie"));
        assert!(asked[1].starts_with("GET /in ") && asked[1].contains("Cookie: s=abc"));
        assert!(asked[2].ends_with("a%20b=1%262"));
    }
}
