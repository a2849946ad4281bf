//! The certificate with which the page speaks TLS on a network: one that it makes itself once for this machine, or the workshop's own.
//!
//! Takes files; gives what TLS is spoken with, and the fingerprint that is compared with what a device shows.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use axum_server::tls_rustls::RustlsConfig;
use rustls::ServerConfig;
use rustls::pki_types::pem::PemObject as _;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};

use crate::record::sha256;
use crate::whole;

/// What TLS is spoken with, and the SHA-256 of the certificate in pairs of digits.
pub(super) struct Certificate {
    pub(super) tls: RustlsConfig,
    pub(super) fingerprint: String,
    /// The certificate as a file that a device may be given, to trust it.
    pub(super) pem: String,
}

/// The workshop's own certificate and key; or those that were made for this machine, kept in a folder that is no part of the jobs.
pub(super) fn read(
    own: Option<(PathBuf, PathBuf)>,
    home: &Path,
    names: &[String],
) -> io::Result<Certificate> {
    let (certificate, key) = match own {
        Some(own) => own,
        None => made(home, names)?,
    };
    let faulty = |path: &Path, why: &dyn std::fmt::Display| {
        let message = format!("`{}` cannot be used: {why}", path.display());
        io::Error::new(io::ErrorKind::InvalidData, message)
    };
    let chain: Result<Vec<_>, _> = CertificateDer::pem_file_iter(&certificate)
        .and_then(Iterator::collect::<Result<Vec<_>, _>>);
    let chain = chain.map_err(|error| faulty(&certificate, &error))?;
    let secret = PrivateKeyDer::from_pem_file(&key).map_err(|error| faulty(&key, &error))?;
    let first = chain
        .first()
        .ok_or_else(|| faulty(&certificate, &"it holds no certificate"))?;
    let digest = sha256(first).to_uppercase();
    let pairs: Vec<&str> = (0..digest.len())
        .step_by(2)
        .filter_map(|at| digest.get(at..at + 2))
        .collect();
    let fingerprint = pairs.join(":");
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let config = ServerConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .and_then(|builder| {
            builder
                .with_no_client_auth()
                .with_single_cert(chain, secret)
        })
        .map_err(|error| faulty(&certificate, &error))?;
    Ok(Certificate {
        tls: RustlsConfig::from_config(Arc::new(config)),
        fingerprint,
        pem: fs::read_to_string(&certificate)?,
    })
}

/// The certificate of this machine; made when there is none yet. It names the machine, so that it stays right when its address changes.
fn made(home: &Path, names: &[String]) -> io::Result<(PathBuf, PathBuf)> {
    let files = (home.join("page.certificate.pem"), home.join("page.key.pem"));
    if files.0.is_file() && files.1.is_file() {
        return Ok(files);
    }
    let made = rcgen::generate_simple_self_signed(names.to_vec()).map_err(io::Error::other)?;
    fs::create_dir_all(home)?;
    let key = made.signing_key.serialize_pem();
    whole::put(&files.1, key.as_bytes(), 0o600)?;
    fs::write(&files.0, made.cert.pem())?;
    Ok(files)
}
