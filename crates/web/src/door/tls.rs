//! The server's side of HTTPS: the farm's own certificate or the user's, and its renewal.

use super::DoorError;
use super::authority::{Authority, Signed};
use axum_server::tls_rustls::RustlsConfig;
use rustls::ServerConfig;
use rustls::crypto::ring;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer, PrivatePkcs8KeyDer};
use std::net::IpAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

/// How often the certificate is made or read anew: a day. The farm's is then never older than that,
/// and the user's own is taken up a day after another program renewed the file.
pub const RENEW: Duration = Duration::from_hours(24);

/// Where the certificate comes from.
#[derive(Debug)]
pub enum Source {
    /// Signed by the farm's authority.
    Farm {
        /// Signs.
        authority: Box<Authority>,
        /// For these names.
        names: Vec<String>,
        /// And these addresses.
        addresses: Vec<IpAddr>,
    },
    /// The user's own files, PEM.
    Own {
        /// Certificate and chain.
        certificate: PathBuf,
        /// Key.
        key: PathBuf,
    },
}

fn wrong(why: impl std::fmt::Display) -> DoorError {
    DoorError::Certificate(why.to_string())
}

impl Source {
    /// A configuration with a fresh certificate.
    ///
    /// # Errors
    /// Files that cannot be read, or a key that does not fit.
    pub fn config(&self, now_ms: i64) -> Result<Arc<ServerConfig>, DoorError> {
        let (chain, key) = match self {
            Self::Farm {
                authority,
                names,
                addresses,
            } => {
                let Signed { der, key } = authority.sign(names, addresses, now_ms)?;
                let key = PrivateKeyDer::from(PrivatePkcs8KeyDer::from(key));
                (vec![CertificateDer::from(der)], key)
            }
            Self::Own { certificate, key } => own(certificate, key)?,
        };
        let mut config = ServerConfig::builder_with_provider(Arc::new(ring::default_provider()))
            .with_safe_default_protocol_versions()
            .map_err(wrong)?
            .with_no_client_auth()
            .with_single_cert(chain, key)
            .map_err(wrong)?;
        config.alpn_protocols = vec![b"h2".to_vec(), b"http/1.1".to_vec()];
        Ok(Arc::new(config))
    }

    /// Makes the certificate anew once a day, as long as it is waited for. One that cannot be made
    /// leaves the last one in place; it has weeks to go.
    pub async fn renew(&self, config: &RustlsConfig, mut now_ms: impl FnMut() -> i64) {
        loop {
            tokio::time::sleep(RENEW).await;
            if let Ok(fresh) = self.config(now_ms()) {
                config.reload_from_config(fresh);
            }
        }
    }
}

type Own = (Vec<CertificateDer<'static>>, PrivateKeyDer<'static>);

fn own(certificate: &Path, key: &Path) -> Result<Own, DoorError> {
    let chain: Result<Vec<_>, _> = CertificateDer::pem_file_iter(certificate)
        .map_err(|why| DoorError::file(certificate, format!("{why:?}")))?
        .collect();
    let chain = chain.map_err(|why| DoorError::file(certificate, format!("{why:?}")))?;
    if chain.is_empty() {
        return Err(DoorError::file(
            certificate,
            "found no certificate, expected a PEM file that begins with BEGIN CERTIFICATE",
        ));
    }
    let key = PrivateKeyDer::from_pem_file(key).map_err(|why| {
        DoorError::file(
            key,
            format!("{why:?}, expected a PEM file with a private key"),
        )
    })?;
    Ok((chain, key))
}
