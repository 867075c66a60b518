//! A connection to a message centre, plain or by TLS.
//!
//! Does not know SMPP.

use std::io::{Error, ErrorKind, Result};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::TcpStream;
use tokio_rustls::TlsConnector;
use tokio_rustls::rustls::pki_types::pem::PemObject;
use tokio_rustls::rustls::pki_types::{CertificateDer, ServerName};
use tokio_rustls::rustls::{ClientConfig, RootCertStore, crypto};

/// A message centre that has not taken the connection by then is not there.
const CONNECT_WAIT: Duration = Duration::from_secs(10);

/// Either kind of stream.
pub trait Wire: AsyncRead + AsyncWrite + Unpin + Send {}
impl<T: AsyncRead + AsyncWrite + Unpin + Send> Wire for T {}

/// Whose certificates are believed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Trust {
    /// The authorities that browsers believe.
    WebRoots,
    /// Those in a PEM file.
    File(PathBuf),
}

/// How a connection is made.
#[derive(Clone)]
pub struct Transport {
    address: String,
    tls: Option<(TlsConnector, ServerName<'static>)>,
}

impl Transport {
    /// To `address` (`host:port`), by TLS where `trust` is set. `name` is the name that the certificate must be for; empty: the host.
    ///
    /// # Errors
    /// A file without certificates, or a name that no certificate can have.
    pub fn new(address: &str, trust: Option<&Trust>, name: &str) -> Result<Self> {
        let tls = match trust {
            None => None,
            Some(trust) => Some((connector(trust)?, server_name(address, name)?)),
        };
        Ok(Self {
            address: address.to_owned(),
            tls,
        })
    }

    /// Connects.
    ///
    /// # Errors
    /// What the network says, or that it said nothing in time.
    pub async fn connect(&self) -> Result<Box<dyn Wire>> {
        tokio::time::timeout(CONNECT_WAIT, self.open())
            .await
            .unwrap_or_else(|_| Err(ErrorKind::TimedOut.into()))
    }

    async fn open(&self) -> Result<Box<dyn Wire>> {
        let stream = TcpStream::connect(&self.address).await?;
        // PDUs are small and somebody waits for each.
        stream.set_nodelay(true)?;
        match &self.tls {
            None => Ok(Box::new(stream)),
            Some((connector, name)) => Ok(Box::new(connector.connect(name.clone(), stream).await?)),
        }
    }
}

fn wrong(what: impl std::fmt::Display) -> Error {
    Error::new(ErrorKind::InvalidInput, what.to_string())
}

fn connector(trust: &Trust) -> Result<TlsConnector> {
    let roots = match trust {
        Trust::WebRoots => RootCertStore {
            roots: webpki_roots::TLS_SERVER_ROOTS.to_vec(),
        },
        Trust::File(path) => roots_of(path)?,
    };
    let provider = Arc::new(crypto::ring::default_provider());
    let config = ClientConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .map_err(wrong)?
        .with_root_certificates(roots)
        .with_no_client_auth();
    Ok(TlsConnector::from(Arc::new(config)))
}

fn roots_of(path: &Path) -> Result<RootCertStore> {
    let mut roots = RootCertStore::empty();
    let named = |why: &dyn std::fmt::Display| wrong(format!("{}: {why}", path.display()));
    for certificate in CertificateDer::pem_file_iter(path).map_err(|why| named(&why))? {
        let certificate = certificate.map_err(|why| named(&why))?;
        roots.add(certificate).map_err(|why| named(&why))?;
    }
    if roots.is_empty() {
        return Err(named(&"no certificate; expected PEM"));
    }
    Ok(roots)
}

fn server_name(address: &str, name: &str) -> Result<ServerName<'static>> {
    let host = address.rsplit_once(':').map_or(address, |(host, _)| host);
    let host = host.trim_start_matches('[').trim_end_matches(']');
    let name = if name.is_empty() { host } else { name };
    ServerName::try_from(name.to_owned()).map_err(wrong)
}
