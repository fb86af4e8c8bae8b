//! What this computer is called, and where it is, on the farm's network.

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr, UdpSocket};

/// The address by which this computer goes out, if it is one of a private network (RFC 1918, 4193).
///
/// A datagram socket that is connected sends nothing; it only lets the system choose the way. The
/// target is a documentation address (RFC 5737) where nobody is.
pub fn address() -> Option<IpAddr> {
    let nobody = SocketAddr::from((Ipv4Addr::new(192, 0, 2, 1), 9));
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    socket.connect(nobody).ok()?;
    let ip = socket.local_addr().ok()?.ip();
    is_private(ip).then_some(ip)
}

/// Whether an address belongs to a private network. One that the whole internet can reach is not
/// served unasked.
pub fn is_private(ip: IpAddr) -> bool {
    match ip.to_canonical() {
        IpAddr::V4(ip) => ip.is_private() || ip.is_loopback() || ip.is_link_local(),
        IpAddr::V6(ip) => is_local(ip),
    }
}

fn is_local(ip: Ipv6Addr) -> bool {
    ip.is_loopback() || ip.is_unique_local()
}

/// The names by which phones may call this computer: its host name under `.local`, which phones look
/// up without a server (RFC 6762), and `stook.internal` for a router that can be told names.
pub fn names() -> Vec<String> {
    let mut names = Vec::new();
    if let Some(host) = host_name().as_deref().and_then(label) {
        names.push(format!("{host}.local"));
    }
    names.push("stook.internal".to_owned());
    names
}

fn host_name() -> Option<String> {
    let file = |path| std::fs::read_to_string(path).ok();
    file("/proc/sys/kernel/hostname")
        .or_else(|| file("/etc/hostname"))
        .or_else(|| std::env::var("COMPUTERNAME").ok())
        .or_else(|| std::env::var("HOSTNAME").ok())
}

/// The first label of a host name, if it is a plain one.
fn label(host: &str) -> Option<String> {
    let first = host.trim().split('.').next()?.to_ascii_lowercase();
    let plain = !first.is_empty()
        && first.len() <= 63
        && first
            .bytes()
            .all(|byte| byte.is_ascii_alphanumeric() || byte == b'-')
        && !first.starts_with('-')
        && !first.ends_with('-');
    (plain && first != "localhost").then_some(first)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_plain_labels_become_names() {
        assert_eq!(label("Kitchen.example.org\n").as_deref(), Some("kitchen"));
        for odd in ["", "localhost", "-a", "a_b", "ä", "a b"] {
            assert_eq!(label(odd), None, "{odd}");
        }
        assert!(names().contains(&"stook.internal".to_owned()));
    }

    #[test]
    fn public_addresses_are_not_private() {
        for text in [
            "192.168.7.20",
            "10.1.2.3",
            "172.16.0.1",
            "127.0.0.1",
            "fd00::1",
            "::ffff:10.0.0.1",
        ] {
            assert!(is_private(text.parse().unwrap()), "{text}");
        }
        for text in ["8.8.8.8", "172.32.0.1", "2001:db8::1", "0.0.0.0", "::"] {
            assert!(!is_private(text.parse().unwrap()), "{text}");
        }
    }
}
