//! Bodies too large or cut off, heads too long, more connections than there is room for.

use super::help::{read, request, serve};
use std::io::Write;
use web::door::crowd;

#[test]
fn a_body_that_says_it_is_too_large_is_not_read() {
    let served = serve(|_| {});
    let owner = served.owner();
    let host = served.host();
    let origin = format!("http://{host}");
    for (method, path, length) in [
        ("POST", "/people/add", 65_537_u64),
        ("POST", "/sign-in", 1 << 40),
        ("PUT", "/api/photographs/x", 6 * 1024 * 1024 + 1),
        ("POST", "/api/entries", 2 * 1024 * 1024 + 1),
    ] {
        let mut stream = served.connect();
        let head = format!(
            "{method} {path} HTTP/1.1\r\nHost: {host}\r\nOrigin: {origin}\r\nCookie: {owner}\r\nContent-Length: {length}\r\n\r\n"
        );
        stream.write_all(head.as_bytes()).unwrap();
        let answer = read(&mut stream);
        // an address whose handler is not there is refused before its body is thought of
        assert!(
            answer.status == 413 || answer.status == 404,
            "{path}: {answer:?}"
        );
        if path.starts_with("/people") || path == "/sign-in" {
            assert_eq!(answer.status, 413, "{path}: {answer:?}");
        }
    }
}

#[test]
fn a_body_that_hides_its_length_is_counted() {
    let served = serve(|_| {});
    let host = served.host();
    let mut stream = served.connect();
    let head = format!(
        "POST /sign-in HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: application/x-www-form-urlencoded\r\nTransfer-Encoding: chunked\r\n\r\n"
    );
    stream.write_all(head.as_bytes()).unwrap();
    let piece = format!("4000\r\n{}\r\n", "x".repeat(0x4000));
    for _ in 0..5 {
        if stream.write_all(piece.as_bytes()).is_err() {
            break;
        }
    }
    let answer = read(&mut stream);
    assert_eq!(answer.status, 413, "{answer:?}");
}

#[test]
fn odd_lengths_and_long_heads_are_refused() {
    let served = serve(|_| {});
    let host = served.host();
    let mut stream = served.connect();
    let long = format!(
        "GET / HTTP/1.1\r\nHost: {host}\r\n{}\r\n",
        "X-Much: yes\r\n".repeat(200)
    );
    stream.write_all(long.as_bytes()).unwrap();
    assert_eq!(read(&mut stream).status, 431);
    let mut stream = served.connect();
    let both = format!(
        "POST /pair HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Length: 4\r\nContent-Length: 5\r\n\r\ncode="
    );
    stream.write_all(both.as_bytes()).unwrap();
    assert_eq!(read(&mut stream).status, 400);
}

#[test]
fn a_server_full_of_silent_connections_lets_go_and_goes_on() {
    let served = serve(|_| {});
    let silent: Vec<_> = (0..crowd::ALL + 20).map(|_| served.connect()).collect();
    drop(silent);
    let host = served.host();
    // places are given back as the server notices that the other side is gone
    for _ in 0..200 {
        let mut stream = served.connect();
        let _ = stream.write_all(request("GET", "/pair", &[("Host", &host)], "").as_bytes());
        if read(&mut stream).status == 200 {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    panic!("the server did not come back");
}
