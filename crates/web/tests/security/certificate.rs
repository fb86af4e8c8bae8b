//! The farm's authority: what it may sign for, where its key is, and HTTPS by it.

use super::help::{BEGIN_MS, DAY, again, read, request, serve};
use rustls::client::WebPkiServerVerifier;
use rustls::client::danger::ServerCertVerifier;
use rustls::crypto::ring;
use rustls::pki_types::{CertificateDer, ServerName, UnixTime};
use rustls::{ClientConfig, ClientConnection, RootCertStore, StreamOwned};
use std::io::Write;
use std::net::{IpAddr, TcpStream};
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;
use web::door::authority::{Authority, fingerprint};

fn names() -> Vec<String> {
    vec!["kitchen.local".to_owned(), "stook.internal".to_owned()]
}
fn addresses() -> Vec<IpAddr> {
    vec![IpAddr::from([192, 168, 7, 20])]
}

fn roots(der: &[u8]) -> Arc<RootCertStore> {
    let mut roots = RootCertStore::empty();
    roots.add(CertificateDer::from(der.to_vec())).unwrap();
    Arc::new(roots)
}

/// Whether a client that trusts the authority takes a certificate that it signed for this name.
fn taken(authority: &Authority, name: &str, at_ms: i64, now_ms: i64) -> bool {
    let (mut names, mut addresses) = (Vec::new(), Vec::new());
    match name.parse::<IpAddr>() {
        Ok(ip) => addresses.push(ip),
        Err(_) => names.push(name.to_owned()),
    }
    let signed = authority.sign(&names, &addresses, at_ms).unwrap();
    let verifier = WebPkiServerVerifier::builder_with_provider(
        roots(authority.der()),
        Arc::new(ring::default_provider()),
    )
    .build()
    .unwrap();
    let now = UnixTime::since_unix_epoch(Duration::from_millis(now_ms.unsigned_abs()));
    let name = ServerName::try_from(name.to_owned()).unwrap();
    verifier
        .verify_server_cert(&CertificateDer::from(signed.der), &[], &name, &[], now)
        .is_ok()
}

#[test]
fn it_can_vouch_for_the_farm_and_for_nobody_else() {
    let folder = tempfile::tempdir().unwrap();
    let authority = Authority::open(
        folder.path(),
        "Quiet Creek",
        &names(),
        &addresses(),
        BEGIN_MS,
    )
    .unwrap();
    let now = |name: &str| taken(&authority, name, BEGIN_MS, BEGIN_MS);
    for good in [
        "kitchen.local",
        "stook.internal",
        "192.168.7.20",
        "192.168.7.99",
    ] {
        assert!(now(good), "{good}");
    }
    for outside in [
        "bank.example",
        "local",
        "internal",
        "other.local",
        "notkitchen.local",
        "192.168.8.20",
        "10.0.0.1",
        "8.8.8.8",
        "fd00::1",
        "2001:db8::1",
    ] {
        assert!(!now(outside), "{outside}");
    }
    // a phone whose clock is six days behind still takes it; after 90 days nobody does
    assert!(taken(
        &authority,
        "kitchen.local",
        BEGIN_MS,
        BEGIN_MS - 6 * DAY
    ));
    assert!(taken(
        &authority,
        "kitchen.local",
        BEGIN_MS,
        BEGIN_MS + 89 * DAY
    ));
    assert!(!taken(
        &authority,
        "kitchen.local",
        BEGIN_MS,
        BEGIN_MS + 91 * DAY
    ));
}

#[test]
fn what_it_may_is_written_in_it() {
    let folder = tempfile::tempdir().unwrap();
    Authority::open(
        folder.path(),
        "Quiet Creek",
        &names(),
        &addresses(),
        BEGIN_MS,
    )
    .unwrap();
    let shown = std::process::Command::new("openssl")
        .args(["x509", "-noout", "-text", "-in"])
        .arg(folder.path().join("authority.crt"))
        .output();
    let Ok(shown) = shown else {
        println!("skipped: there is no openssl here to read a certificate with");
        return;
    };
    let text = String::from_utf8(shown.stdout).unwrap();
    let plain: String = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in [
        "X509v3 Basic Constraints: critical CA:TRUE, pathlen:0",
        "X509v3 Name Constraints: critical Permitted: DNS:kitchen.local DNS:stook.internal IP:192.168.7.0/255.255.255.0",
        "X509v3 Key Usage: critical Certificate Sign",
        "X509v3 Extended Key Usage: TLS Web Server Authentication",
    ] {
        assert!(plain.contains(part), "{part}\n{text}");
    }
}

#[test]
fn it_is_kept_and_refuses_a_name_or_network_it_was_not_made_for() {
    let folder = tempfile::tempdir().unwrap();
    let first = Authority::open(
        folder.path(),
        "Quiet Creek",
        &names(),
        &addresses(),
        BEGIN_MS,
    )
    .unwrap();
    let moved = [IpAddr::from([192, 168, 7, 33])];
    let second = Authority::open(
        folder.path(),
        "Quiet Creek",
        &names(),
        &moved,
        BEGIN_MS + DAY,
    )
    .unwrap();
    assert_eq!(
        first.der(),
        second.der(),
        "another address of the same network needs no new one"
    );
    assert!(taken(
        &second,
        "192.168.7.33",
        BEGIN_MS + DAY,
        BEGIN_MS + DAY
    ));
    let far = [IpAddr::from([10, 0, 0, 5])];
    let why = Authority::open(folder.path(), "Quiet Creek", &names(), &far, BEGIN_MS)
        .unwrap_err()
        .to_string();
    assert!(
        why.contains("10.0.0.5") && why.contains("--new-authority"),
        "{why}"
    );
    let fresh = Authority::make(folder.path(), "Quiet Creek", &names(), &far, BEGIN_MS).unwrap();
    assert_ne!(fingerprint(first.der()), fingerprint(fresh.der()));
    assert!(Authority::make(folder.path(), "Quiet Creek", &[], &far, BEGIN_MS).is_err());
    assert!(Authority::make(folder.path(), "Quiet Creek", &names(), &[], BEGIN_MS).is_err());
}

#[cfg(unix)]
#[test]
fn a_key_that_others_may_read_is_refused() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let open = || {
        Authority::open(
            folder.path(),
            "Quiet Creek",
            &names(),
            &addresses(),
            BEGIN_MS,
        )
    };
    open().unwrap();
    for file in ["authority.key", "authority.json", "authority.crt"] {
        let mode = std::fs::metadata(folder.path().join(file))
            .unwrap()
            .permissions()
            .mode();
        assert_eq!(mode & 0o777, 0o600, "{file}");
    }
    let key = folder.path().join("authority.key");
    std::fs::set_permissions(&key, std::fs::Permissions::from_mode(0o640)).unwrap();
    let why = open().unwrap_err().to_string();
    assert!(why.contains("mode 640"), "{why}");
}

/// Every byte of every file under a folder.
fn bytes(folder: &Path, out: &mut Vec<u8>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            bytes(&path, out);
        } else {
            out.extend(std::fs::read(path).unwrap());
        }
    }
}

#[test]
fn neither_key_nor_access_is_in_a_copy_or_an_export_of_the_book() {
    let served = serve(|settings| {
        settings.lan = true;
        settings.hosts = vec!["127.0.0.1".to_owned()];
    });
    let owner = served.owner();
    served.someone(&owner, "Ben", "helper");
    let mut secret = Vec::new();
    bytes(&served.state, &mut secret);
    let secret = String::from_utf8_lossy(&secret).into_owned();
    let lines: Vec<&str> = secret
        .lines()
        .map(str::trim)
        .filter(|line| line.len() > 40)
        .collect();
    assert!(
        lines.iter().any(|line| line.starts_with("\"token\"")),
        "{lines:?}"
    );
    let key = secret
        .split("PRIVATE KEY-----")
        .nth(1)
        .expect("a key")
        .trim();
    let key = key.lines().next().unwrap().trim();
    let out = served.folder.path().join("out");
    let book = book::Book::open(&served.book).unwrap();
    std::fs::create_dir(&out).unwrap();
    desk::books::backup(&book, &out.join("copy.stook")).unwrap();
    desk::books::export(&book, &out.join("export")).unwrap();
    let mut given = Vec::new();
    bytes(&out, &mut given);
    bytes_of_book(&served.book, &mut given);
    let given = String::from_utf8_lossy(&given);
    assert!(given.contains("Quiet Creek"));
    assert!(!given.contains(key) && !given.contains("PRIVATE KEY"));
    let token = owner.split_once('=').unwrap().1;
    assert!(!given.contains(&web::door::token::hash(token)) && !given.contains(token));
}

fn bytes_of_book(path: &Path, out: &mut Vec<u8>) {
    out.extend(std::fs::read(path).unwrap());
    if let Ok(more) = std::fs::read(path.with_extension("stook-wal")) {
        out.extend(more);
    }
}

/// Asks over HTTPS, trusting only this authority.
fn ask(der: &[u8], address: &str, request: &str) -> Result<super::help::Answer, std::io::Error> {
    let config = ClientConfig::builder_with_provider(Arc::new(ring::default_provider()))
        .with_safe_default_protocol_versions()
        .unwrap()
        .with_root_certificates(roots(der))
        .with_no_client_auth();
    let name = address.rsplit_once(':').unwrap().0.to_owned();
    let client =
        ClientConnection::new(Arc::new(config), ServerName::try_from(name).unwrap()).unwrap();
    let mut stream = StreamOwned::new(client, TcpStream::connect(address)?);
    stream.write_all(request.as_bytes())?;
    Ok(read(&mut stream))
}

fn raw(address: &str, request: &str) -> Vec<u8> {
    use std::io::Read;
    let mut stream = TcpStream::connect(address).unwrap();
    stream.write_all(request.as_bytes()).unwrap();
    let mut bytes = Vec::new();
    let _ = stream.read_to_end(&mut bytes);
    bytes
}

#[test]
fn a_phone_takes_the_certificate_on_the_plain_port_and_pairs_over_https() {
    // made under the real clock's day: the client below verifies against it
    let served = serve(|settings| {
        settings.lan = true;
        settings.hosts = vec!["127.0.0.1".to_owned()];
    });
    let owner = served.owner();
    let phones = served.phones.clone().unwrap();
    let secure = phones.strip_prefix("https://").unwrap();
    let note = &served.notes[0];
    let plain = note
        .split("http://")
        .nth(1)
        .unwrap()
        .split(';')
        .next()
        .unwrap();
    let host = [("Host", plain)];

    let page = String::from_utf8_lossy(&raw(plain, &request("GET", "/", &host, ""))).into_owned();
    assert!(
        page.contains("200 OK") && page.contains("SHA-256"),
        "{page}"
    );
    let got = raw(plain, &request("GET", "/farm.crt", &host, ""));
    let at = got.windows(4).position(|four| four == b"\r\n\r\n").unwrap() + 4;
    let der = &got[at..];
    for group in fingerprint(der) {
        assert!(page.contains(&group) && note.contains(&group), "{group}");
    }
    for closed in [
        "/people",
        "/pair",
        "/sign-in",
        "/enter?once=x",
        "/api/cab",
        "/sw.js",
        "/static/js/page.js",
    ] {
        let answer =
            String::from_utf8_lossy(&raw(plain, &request("GET", closed, &host, ""))).into_owned();
        assert!(answer.starts_with("HTTP/1.1 404"), "{closed}: {answer}");
        assert!(!answer.to_lowercase().contains("\r\nlocation:"));
    }
    let rebound = raw(plain, &request("GET", "/", &[("Host", "evil.example")], ""));
    assert!(String::from_utf8_lossy(&rebound).starts_with("HTTP/1.1 421"));

    let code = served.invite(&owner, "Ben", "helper");
    let origin = format!("https://{secure}");
    let headers = [
        ("Host", secure),
        ("Origin", origin.as_str()),
        ("Content-Type", "application/x-www-form-urlencoded"),
    ];
    let paired = ask(
        der,
        secure,
        &request(
            "POST",
            "/pair",
            &headers,
            &format!("code={code}&device=phone"),
        ),
    );
    let Ok(paired) = paired else {
        // the test's clock stands in the autumn of 2026; a machine whose own clock does not cannot verify
        println!("skipped: this machine's clock is not within the certificate's days");
        return;
    };
    assert_eq!(paired.status, 303, "{paired:?}");
    let line = paired.header("set-cookie").unwrap();
    assert!(
        line.starts_with("__Host-stook-") && line.ends_with("; Secure"),
        "{line}"
    );
    assert_eq!(paired.header("strict-transport-security"), None);
    let cookie = paired.cookie().unwrap();
    let safe = ask(
        der,
        secure,
        &request("GET", "/safe", &[("Host", secure), ("Cookie", &cookie)], ""),
    )
    .unwrap();
    assert_eq!(safe.status, 200);
    let other = ask(
        der,
        secure,
        &request(
            "GET",
            "/safe",
            &[("Host", "localhost"), ("Cookie", &cookie)],
            "",
        ),
    )
    .unwrap();
    assert_eq!(other.status, 421);
    // the session of one wire under the cookie of the other is nobody
    let (_, token) = cookie.split_once('=').unwrap();
    let (near, _) = owner.split_once('=').unwrap();
    let planted = ask(
        der,
        secure,
        &request(
            "GET",
            "/safe",
            &[("Host", secure), ("Cookie", &format!("{near}={token}"))],
            "",
        ),
    )
    .unwrap();
    assert_eq!(planted.status, 401);
}

#[test]
fn behind_a_proxy_its_name_is_answered_and_its_cookie_is_secure() {
    let served = serve(|settings| settings.behind = Some("farm.example".to_owned()));
    assert_eq!(served.phones.as_deref(), Some("https://farm.example"));
    let owner = served.owner();
    let code = served.invite(&owner, "Ben", "helper");
    let headers = [
        ("Host", "farm.example"),
        ("Origin", "https://farm.example"),
        ("X-Forwarded-For", "203.0.113.9"),
        ("Content-Type", "application/x-www-form-urlencoded"),
    ];
    let paired = served.raw(
        "POST",
        "/pair",
        &headers,
        &format!("code={code}&device=phone"),
    );
    assert_eq!(paired.status, 303, "{paired:?}");
    assert!(paired.header("set-cookie").unwrap().starts_with("__Host-"));
    // who guesses through the proxy uses up their own tries, not the owner's at home
    for _ in 0..web::door::limits::EACH {
        served.raw("POST", "/pair", &headers, "code=ABCDEFHJ");
    }
    assert_eq!(
        served
            .raw("POST", "/pair", &headers, "code=ABCDEFHJ")
            .status,
        429
    );
    assert_eq!(served.pair("ABCDEFHJ", "x").status, 403);
}

#[test]
fn a_book_is_served_once_at_a_time() {
    let served = serve(|_| {});
    let folder = served.folder.clone();
    let clock = served.clock.clone();
    let second = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
        again(folder, clock, |_| {})
    }));
    assert!(second.is_err());
}
