//! An open serial port: a thread that reads and says what it read, and a hand that writes.
//!
//! Does not know what the octets say.

use serialport::TTYPort;
use std::io::{ErrorKind, Read, Write};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{SyncSender, TrySendError};
use std::thread::JoinHandle;
use std::time::Duration;

/// How long a read waits: a port that is to be closed is closed within it.
const READ_WAIT: Duration = Duration::from_millis(200);
/// How long a write waits for a modem that takes nothing.
const WRITE_WAIT: Duration = Duration::from_secs(2);
/// Between two looks at a channel that is full.
const FULL_WAIT: Duration = Duration::from_millis(10);
/// Octets read at once.
const READ_AT_ONCE: usize = 1_024;

/// What the reading thread says.
#[derive(Debug)]
pub enum Said {
    /// These octets came.
    Octets(Vec<u8>),
    /// The port is gone.
    Gone(String),
}

/// An open port. It is closed when dropped.
#[derive(Debug)]
pub struct Port {
    writer: TTYPort,
    closing: Arc<AtomicBool>,
    reader: Option<JoinHandle<()>>,
}

/// Opens a port for us alone and says nothing: to see whether it can be opened.
///
/// # Errors
/// What the system says.
pub fn open(path: &Path, baud: u32) -> serialport::Result<TTYPort> {
    serialport::new(path.to_string_lossy(), baud)
        .timeout(WRITE_WAIT)
        .open_native()
}

impl Port {
    /// Opens the port and begins to read: what comes is wrapped by `note` and put into `tell`, until the port or the receiver is gone.
    ///
    /// # Errors
    /// The port cannot be opened, or no thread started.
    pub fn open<N: Send + 'static>(
        path: &Path,
        baud: u32,
        tell: SyncSender<N>,
        note: impl Fn(Said) -> N + Send + 'static,
    ) -> std::io::Result<Self> {
        let writer = open(path, baud)?;
        let mut reader = writer.try_clone_native()?;
        serialport::SerialPort::set_timeout(&mut reader, READ_WAIT)?;
        let closing = Arc::new(AtomicBool::new(false));
        let told = closing.clone();
        let thread = std::thread::Builder::new()
            .name("modem reader".to_owned())
            .spawn(move || {
                read_on(&mut reader, &told, &|said| put(&tell, note(said), &told));
            })?;
        Ok(Self {
            writer,
            closing,
            reader: Some(thread),
        })
    }

    /// Writes all of it.
    ///
    /// # Errors
    /// The port is gone, or takes nothing any more.
    pub fn write(&mut self, octets: &[u8]) -> std::io::Result<()> {
        self.writer.write_all(octets)
    }

    /// The reading thread has seen that the port is closing, or ended.
    pub fn close(&self) {
        self.closing.store(true, Ordering::SeqCst);
    }
}

impl Drop for Port {
    /// Waits for the reader, whose copy of the port would keep the next opening out.
    fn drop(&mut self) {
        self.close();
        if let Some(reader) = self.reader.take() {
            reader.join().ok();
        }
    }
}

/// Waits for room in the channel, but not while the port is closing: whoever closes it reads no more. Whether it was put.
fn put<N>(tell: &SyncSender<N>, mut note: N, closing: &AtomicBool) -> bool {
    loop {
        note = match tell.try_send(note) {
            Ok(()) => return true,
            Err(TrySendError::Full(note)) if !closing.load(Ordering::SeqCst) => note,
            Err(TrySendError::Full(_) | TrySendError::Disconnected(_)) => return false,
        };
        std::thread::park_timeout(FULL_WAIT);
    }
}

fn read_on(port: &mut TTYPort, closing: &AtomicBool, tell: &dyn Fn(Said) -> bool) {
    let mut input = [0; READ_AT_ONCE];
    while !closing.load(Ordering::SeqCst) {
        let said = match port.read(&mut input) {
            Ok(0) => Said::Gone("end of the stream".to_owned()),
            Ok(n) => Said::Octets(input.get(..n).unwrap_or_default().to_vec()),
            Err(error) if matches!(error.kind(), ErrorKind::TimedOut | ErrorKind::Interrupted) => {
                continue;
            }
            Err(error) => Said::Gone(error.to_string()),
        };
        let over = matches!(said, Said::Gone(_));
        if !tell(said) || over {
            return;
        }
    }
}
