//! The farm's own certificate authority, so that phones have HTTPS with no internet at all.
//!
//! A phone's service worker, and so the cab without signal, needs HTTPS. No public authority signs
//! for a kitchen's address, so the farm makes its own and each phone is told once to trust it. That
//! is a serious thing to ask of a phone, and so the authority can do as little as it may:
//!
//! - its names are constrained (RFC 5280, 4.2.1.10): only the farm's own host names, and only
//!   addresses of the network that the computer was in when it was made. Every kind of name that a
//!   TLS certificate is checked by stands in the permitted list, since a kind that is not listed is
//!   not constrained. A stolen key could pose as the farm's computer, never as a bank;
//! - it may sign no other authority (path length 0), and only for TLS servers (extended key usage);
//! - its key is a file of mode 0600 outside the book: it is in no copy, merge or export of the book,
//!   and a key that others may read is refused.
//!
//! The network, and not the single address, is permitted because a router may give the computer
//! another address next week, and then every phone would have to be told again. The same holds the
//! other way: a new network needs a new authority.

use super::DoorError;
use super::files::{read_private, write_private};
use super::token::{chance, hex};
use rcgen::{
    BasicConstraints, Certificate, CertificateParams, CidrSubnet, DnType, ExtendedKeyUsagePurpose,
    GeneralSubtree, IsCa, Issuer, KeyPair, KeyUsagePurpose, NameConstraints, SanType,
};
use serde::{Deserialize, Serialize};
use std::net::IpAddr;
use std::path::Path;
use std::time::Duration;

const DAY: u64 = 24 * 60 * 60;
/// The authority is good for ten years: longer than most phones.
const AUTHORITY_DAYS: u64 = 3650;
/// The server's certificate; far below the 398 and 825 days that phones insist on (from memory).
const SERVER_DAYS: u64 = 90;
/// Made good a week back, for phones whose clock is behind.
const BEFORE_DAYS: u64 = 7;

/// What the authority was made for; kept beside its key.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Scope {
    /// The farm, as phones list the authority.
    pub farm: String,
    /// Tells two authorities of one farm apart.
    pub mark: String,
    /// Host names that it may sign for.
    pub names: Vec<String>,
    /// Networks of which it may sign for the addresses, each by its first address.
    pub networks: Vec<IpAddr>,
    /// When it was made, UTC milliseconds.
    pub made_ms: i64,
}

/// The authority, able to sign.
pub struct Authority {
    scope: Scope,
    key: KeyPair,
    der: Vec<u8>,
}

impl std::fmt::Debug for Authority {
    /// Without its key.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Authority")
            .field("scope", &self.scope)
            .finish_non_exhaustive()
    }
}

/// A server's certificate with its key, which is on no disk.
#[derive(Clone)]
pub struct Signed {
    /// The certificate.
    pub der: Vec<u8>,
    /// Its key, PKCS #8.
    pub key: Vec<u8>,
}

/// The first address of the network that an address lies in: 24 bits of IPv4, 64 of IPv6.
fn network(address: IpAddr) -> IpAddr {
    match address.to_canonical() {
        IpAddr::V4(v4) => {
            let [a, b, c, _] = v4.octets();
            IpAddr::from([a, b, c, 0])
        }
        IpAddr::V6(v6) => {
            let mut parts = v6.segments();
            parts[4..].fill(0);
            IpAddr::from(parts)
        }
    }
}

/// How many bits of an address are its network.
fn bits(address: IpAddr) -> u8 {
    if address.is_ipv4() { 24 } else { 64 }
}

fn wrong(why: impl std::fmt::Display) -> DoorError {
    DoorError::Certificate(why.to_string())
}

impl Scope {
    /// What it may sign for, name by name.
    pub fn words(&self) -> Vec<String> {
        let networks = self
            .networks
            .iter()
            .map(|first| format!("{first}/{}", bits(*first)));
        self.names.iter().cloned().chain(networks).collect()
    }

    fn covers(&self, names: &[String], addresses: &[IpAddr]) -> bool {
        names.iter().all(|name| self.names.contains(name))
            && addresses
                .iter()
                .all(|address| self.networks.contains(&network(*address)))
    }

    fn params(&self) -> CertificateParams {
        let mut params = CertificateParams::default();
        params.distinguished_name = rcgen::DistinguishedName::new();
        params.distinguished_name.push(
            DnType::CommonName,
            format!("{} (stook {})", self.farm, self.mark),
        );
        params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
        params.key_usages = vec![KeyUsagePurpose::KeyCertSign];
        params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
        let names = self.names.iter().cloned().map(GeneralSubtree::DnsName);
        let networks = self.networks.iter().map(|first| {
            GeneralSubtree::IpAddress(CidrSubnet::from_addr_prefix(*first, bits(*first)))
        });
        params.name_constraints = Some(NameConstraints {
            permitted_subtrees: names.chain(networks).collect(),
            excluded_subtrees: Vec::new(),
        });
        lasts(&mut params, self.made_ms, AUTHORITY_DAYS);
        params
    }
}

fn lasts(params: &mut CertificateParams, now_ms: i64, days: u64) {
    let epoch = rcgen::date_time_ymd(1970, 1, 1);
    let now = Duration::from_millis(u64::try_from(now_ms).unwrap_or(0));
    params.not_before = epoch + now.saturating_sub(Duration::from_secs(BEFORE_DAYS * DAY));
    params.not_after = epoch + now + Duration::from_secs(days * DAY);
}

impl Authority {
    /// Opens the farm's authority, or makes it at the first time.
    ///
    /// # Errors
    /// A key that others may read, files that do not fit together, or names and addresses that it was
    /// not made for.
    pub fn open(
        folder: &Path,
        farm: &str,
        names: &[String],
        addresses: &[IpAddr],
        now_ms: i64,
    ) -> Result<Self, DoorError> {
        let key = read_private(&folder.join("authority.key"))?;
        let scope = read_private(&folder.join("authority.json"))?;
        let pem = read_private(&folder.join("authority.crt"))?;
        let (Some(key), Some(scope), Some(pem)) = (key, scope, pem) else {
            return Self::make(folder, farm, names, addresses, now_ms);
        };
        let scope: Scope = serde_json::from_str(&scope).map_err(wrong)?;
        if !scope.covers(names, addresses) {
            let asked: Vec<String> = names
                .iter()
                .cloned()
                .chain(addresses.iter().map(ToString::to_string))
                .collect();
            return Err(wrong(format!(
                "found this computer as {}, but the farm's authority signs only for {}; serve under one of those, or make a new authority with --new-authority and install it on every phone again",
                asked.join(", "),
                scope.words().join(", ")
            )));
        }
        let key = KeyPair::from_pem(&key).map_err(wrong)?;
        let der = unwrap_pem(&pem)?;
        Ok(Self { scope, key, der })
    }

    /// Makes a new authority in the place of any that is there.
    ///
    /// # Errors
    /// Names that cannot stand in a certificate, none at all, or files that cannot be written.
    pub fn make(
        folder: &Path,
        farm: &str,
        names: &[String],
        addresses: &[IpAddr],
        now_ms: i64,
    ) -> Result<Self, DoorError> {
        if names.is_empty() || addresses.is_empty() {
            // a kind of name without a permitted one would be free, not forbidden
            return Err(wrong(
                "found no host name or no address, expected one of each; give them with --host",
            ));
        }
        let mut networks: Vec<IpAddr> = addresses.iter().map(|one| network(*one)).collect();
        networks.sort_unstable();
        networks.dedup();
        let scope = Scope {
            farm: farm.chars().filter(|c| !c.is_control()).take(40).collect(),
            mark: hex(&chance::<2>()?),
            names: names.to_vec(),
            networks,
            made_ms: now_ms,
        };
        let key = KeyPair::generate().map_err(wrong)?;
        let made = scope.params().self_signed(&key).map_err(wrong)?;
        write_private(
            &folder.join("authority.key"),
            key.serialize_pem().as_bytes(),
        )?;
        write_private(&folder.join("authority.crt"), made.pem().as_bytes())?;
        let text = serde_json::to_string_pretty(&scope).map_err(wrong)?;
        write_private(&folder.join("authority.json"), text.as_bytes())?;
        let der = made.der().to_vec();
        Ok(Self { scope, key, der })
    }

    /// Signs a fresh certificate, with a fresh key, for the computer's names and addresses.
    ///
    /// # Errors
    /// Names that cannot stand in a certificate.
    pub fn sign(
        &self,
        names: &[String],
        addresses: &[IpAddr],
        now_ms: i64,
    ) -> Result<Signed, DoorError> {
        let key = KeyPair::generate().map_err(wrong)?;
        let mut params = CertificateParams::default();
        params.distinguished_name = rcgen::DistinguishedName::new();
        params
            .distinguished_name
            .push(DnType::CommonName, self.scope.farm.clone());
        for name in names {
            let name = name.as_str().try_into().map_err(wrong)?;
            params.subject_alt_names.push(SanType::DnsName(name));
        }
        for address in addresses {
            params.subject_alt_names.push(SanType::IpAddress(*address));
        }
        params.is_ca = IsCa::ExplicitNoCa;
        params.key_usages = vec![KeyUsagePurpose::DigitalSignature];
        params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
        params.use_authority_key_identifier_extension = true;
        lasts(&mut params, now_ms, SERVER_DAYS);
        let issuer = Issuer::new(self.scope.params(), &self.key);
        let made: Certificate = params.signed_by(&key, &issuer).map_err(wrong)?;
        Ok(Signed {
            der: made.der().to_vec(),
            key: key.serialize_der(),
        })
    }

    /// What phones install.
    pub fn der(&self) -> &[u8] {
        &self.der
    }

    /// What it was made for.
    pub fn scope(&self) -> &Scope {
        &self.scope
    }
}

/// The bytes of the one certificate in a PEM text.
fn unwrap_pem(pem: &str) -> Result<Vec<u8>, DoorError> {
    use rustls::pki_types::CertificateDer;
    use rustls::pki_types::pem::PemObject;
    let der =
        CertificateDer::from_pem_slice(pem.as_bytes()).map_err(|why| wrong(format!("{why:?}")))?;
    Ok(der.as_ref().to_vec())
}

/// The SHA-256 fingerprint of a certificate as phones show it, in eight groups to compare by eye.
pub fn fingerprint(der: &[u8]) -> Vec<String> {
    use sha2::{Digest, Sha256};
    Sha256::digest(der)
        .chunks(4)
        .map(|group| {
            let pairs: Vec<String> = group.iter().map(|byte| format!("{byte:02X}")).collect();
            pairs.join(":")
        })
        .collect()
}
