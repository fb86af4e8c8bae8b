//! Which names and addresses this program answers to.
//!
//! A page anywhere on the web may give its own name the address 127.0.0.1 a minute after it was
//! loaded, and then ask this program for anything as "its own" server (rebinding). What it cannot do
//! is send another `Host` than its own name. So every request, on loopback too, must name a host that
//! is ours. The port is not compared: a forwarded port is the user's business, and the attack needs
//! another name, not another port.

use axum::http::header::HOST;
use axum::http::{HeaderMap, Uri};
use std::collections::BTreeSet;

/// How a request came in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Wire {
    /// Plain HTTP on this machine.
    #[default]
    Loopback,
    /// HTTPS on the farm's network.
    Tls,
}

/// Names by wire.
#[derive(Debug, Clone, Default)]
pub struct Hosts {
    lan: BTreeSet<String>,
    behind: Option<String>,
    lasting: bool,
}

/// The host of a request that is ours.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Here {
    /// Name and port as the browser wrote them.
    pub authority: String,
    /// Whether the browser came by HTTPS, to us or to the user's own proxy.
    pub secure: bool,
    /// Whether it came through the user's own proxy.
    pub behind: bool,
    /// Whether HTTPS under this name is for good, so that a browser may be told to insist on it.
    pub lasting: bool,
}

impl Hosts {
    /// This machine only.
    pub fn loopback() -> Self {
        Self::default()
    }

    /// Also these names and addresses, by HTTPS on the farm's network.
    #[must_use]
    pub fn and_lan(mut self, names: impl IntoIterator<Item = String>) -> Self {
        self.lan = names
            .into_iter()
            .map(|name| name.to_ascii_lowercase())
            .collect();
        self
    }

    /// Also one name through the user's own proxy, which speaks HTTPS outside and reaches us on
    /// loopback.
    #[must_use]
    pub fn and_behind(mut self, name: &str) -> Self {
        self.behind = Some(name.to_ascii_lowercase());
        self
    }

    /// The certificate is the user's own: HTTPS under the farm's names is for good.
    #[must_use]
    pub fn lasting(mut self) -> Self {
        self.lasting = true;
        self
    }

    /// Whether a name is one that this machine is known by on the farm's network.
    pub fn on_lan(&self, name: &str) -> bool {
        self.lan.contains(name)
    }

    /// The host of a request, if it is ours. HTTP/2 names it in the address, HTTP/1 in `Host`; two
    /// that differ, or two `Host` lines, are nobody's.
    pub fn here(&self, wire: Wire, uri: &Uri, headers: &HeaderMap) -> Option<Here> {
        let mut named = headers.get_all(HOST).iter();
        let header = match named.next() {
            Some(value) => Some(value.to_str().ok()?.to_ascii_lowercase()),
            None => None,
        };
        if named.next().is_some() {
            return None;
        }
        let target = uri.authority().map(|a| a.as_str().to_ascii_lowercase());
        let authority = match (target, header) {
            (Some(target), Some(header)) if target != header => return None,
            (Some(one), _) | (None, Some(one)) => one,
            (None, None) => return None,
        };
        let name = name(&authority)?;
        let behind = wire == Wire::Loopback && self.behind.as_deref() == Some(name);
        let ours = match wire {
            Wire::Loopback => behind || matches!(name, "localhost" | "127.0.0.1" | "[::1]"),
            Wire::Tls => self.lan.contains(name),
        };
        ours.then(|| Here {
            secure: behind || wire == Wire::Tls,
            behind,
            lasting: wire == Wire::Tls && self.lasting && !is_address(name),
            authority: authority.clone(),
        })
    }
}

/// The name of `name:port`, if that is all that it is.
fn name(authority: &str) -> Option<&str> {
    let (name, rest) = match authority.strip_prefix('[') {
        Some(inner) => {
            let end = inner.find(']')? + 2;
            authority.split_at(end)
        }
        None => authority.split_at(authority.find(':').unwrap_or(authority.len())),
    };
    let port_is_one = match rest.strip_prefix(':') {
        Some(port) => !port.is_empty() && port.bytes().all(|byte| byte.is_ascii_digit()),
        None => rest.is_empty(),
    };
    (port_is_one && !name.is_empty()).then_some(name)
}

fn is_address(name: &str) -> bool {
    name.starts_with('[') || name.parse::<std::net::IpAddr>().is_ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    fn asked(hosts: &Hosts, wire: Wire, host: &str) -> Option<Here> {
        let mut headers = HeaderMap::new();
        headers.insert(HOST, HeaderValue::from_str(host).unwrap());
        hosts.here(wire, &Uri::from_static("/"), &headers)
    }

    #[test]
    fn only_our_own_names_are_answered() {
        let hosts = Hosts::loopback()
            .and_lan(["kitchen.local".to_owned(), "192.168.7.20".to_owned()])
            .and_behind("farm.example");
        for good in [
            "localhost",
            "localhost:8080",
            "127.0.0.1:80",
            "[::1]:9",
            "LOCALHOST",
            "farm.example",
        ] {
            assert!(asked(&hosts, Wire::Loopback, good).is_some(), "{good}");
        }
        for odd in [
            "",
            "evil.example",
            "localhost.evil.example",
            "127.0.0.1.evil.example",
            "127.0.0.2",
            "localhost:",
            "localhost:80:80",
            "user@localhost",
            "localhost.",
            "[::1",
            "[::1]x",
            "::1",
            "kitchen.local",
            "192.168.7.20",
            "2130706433",
            "0x7f.1",
        ] {
            assert!(asked(&hosts, Wire::Loopback, odd).is_none(), "{odd}");
        }
        assert!(
            asked(&hosts, Wire::Tls, "Kitchen.local:8737")
                .unwrap()
                .secure
        );
        for odd in [
            "localhost",
            "127.0.0.1",
            "farm.example",
            "other.local",
            "192.168.7.21",
        ] {
            assert!(asked(&hosts, Wire::Tls, odd).is_none(), "{odd}");
        }
    }

    #[test]
    fn two_hosts_are_none() {
        let hosts = Hosts::loopback();
        let mut headers = HeaderMap::new();
        let uri = Uri::from_static("http://localhost/");
        assert!(hosts.here(Wire::Loopback, &uri, &headers).is_some());
        headers.insert(HOST, HeaderValue::from_static("evil.example"));
        assert!(hosts.here(Wire::Loopback, &uri, &headers).is_none());
        headers.insert(HOST, HeaderValue::from_static("localhost"));
        assert!(hosts.here(Wire::Loopback, &uri, &headers).is_some());
        headers.append(HOST, HeaderValue::from_static("localhost"));
        assert!(hosts.here(Wire::Loopback, &uri, &headers).is_none());
    }
}
