//! A session by TLS: with the right authority it is bound, with another it is not.
//!
//! The certificates are for 127.0.0.1 and for tests only; their authority's key was thrown away.

use crate::centre::Rig;
use clutchline::links::board::Standing;
use clutchline::links::smpp::pdu::{Body, Pdu};
use std::io::{Read, Write};
use std::net::TcpListener;
use std::sync::Arc;
use tempfile::tempdir;
use tokio_rustls::rustls::pki_types::pem::PemObject;
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer};
use tokio_rustls::rustls::{ServerConfig, ServerConnection, StreamOwned, crypto};

fn file(name: &str) -> String {
    format!("{}/tests/smpp/tls/{name}", env!("CARGO_MANIFEST_DIR"))
}

fn config() -> Arc<ServerConfig> {
    let chain = CertificateDer::pem_file_iter(file("centre.pem"))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    let key = PrivateKeyDer::from_pem_file(file("centre.key")).unwrap();
    let provider = Arc::new(crypto::ring::default_provider());
    let config = ServerConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .unwrap()
        .with_no_client_auth()
        .with_single_cert(chain, key)
        .unwrap();
    Arc::new(config)
}

#[test]
fn the_bind_goes_by_tls_to_a_centre_whose_authority_is_known() {
    let dir = tempdir().unwrap();
    let door = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = door.local_addr().unwrap().to_string();
    let rig = Rig::start(dir.path(), &address, |link| {
        link.smpp.tls = file("authority.pem");
    });
    let connection = ServerConnection::new(config()).unwrap();
    let mut stream = StreamOwned::new(connection, door.accept().unwrap().0);
    let mut frame = [0; 512];
    let read = stream.read(&mut frame).unwrap();
    let bind = Pdu::read(&frame[..read]).unwrap().pdu;
    let Body::Bind(how, _) = bind.body else {
        panic!("a bind, not {bind:?}");
    };
    let answer = Pdu::new(bind.sequence, Body::BindResp(how, "centre".to_owned()));
    stream.write_all(&answer.write().unwrap()).unwrap();
    stream.flush().unwrap();
    rig.until("it is bound", |rig| rig.state().standing == Standing::Up);
    rig.close();
}

#[test]
fn a_centre_of_an_unknown_authority_gets_no_password() {
    let dir = tempdir().unwrap();
    let door = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = door.local_addr().unwrap().to_string();
    let rig = Rig::start(dir.path(), &address, |link| {
        link.smpp.tls = "roots".to_owned();
    });
    let connection = ServerConnection::new(config()).unwrap();
    let mut stream = StreamOwned::new(connection, door.accept().unwrap().0);
    let mut octets = Vec::new();
    assert!(stream.read_to_end(&mut octets).is_err() && octets.is_empty());
    rig.until("it says why", |rig| rig.state().last_error.is_some());
    let (_, words) = rig.state().last_error.unwrap();
    assert!(words.contains("certificate"), "{words}");
    rig.close();
}
