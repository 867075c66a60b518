//! The side door: how other commands reach a data folder that a running gateway holds.
//!
//! A Unix socket in the folder, for its owner only. A caller sends one errand and reads what it prints, frame by frame. This room carries bytes; it
//! does not know what an errand means.

use std::io::{self, Read, Write};
use std::os::unix::fs::PermissionsExt;
use std::os::unix::net::{UnixListener, UnixStream};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// The socket's name in the data folder.
pub const SOCKET: &str = "door";
/// An errand holds a text or a name and a path: far more than any needs.
const ERRAND_MOST: u32 = 64 * 1024;
/// Bytes of one answering frame: an export goes out in many.
const FRAME_MOST: usize = 64 * 1024;
/// A caller that neither writes nor reads for this long is gone.
const PATIENCE: Duration = Duration::from_secs(30);

/// Does an errand: its bytes, and where what it prints goes. An error is a sentence for the operator.
pub type RunErrand<'a> = &'a dyn Fn(&[u8], &mut dyn Write) -> Result<(), String>;

/// A piece of output follows.
const OUTPUT: u8 = 0;
/// The errand is done; nothing follows.
const DONE: u8 = 1;
/// The errand failed; what follows says why.
const FAILED: u8 = 2;

/// Why an errand did not come through.
#[derive(Debug, thiserror::Error)]
pub enum DoorError {
    /// Nobody listens: no gateway runs on this folder.
    #[error("no gateway runs on this folder")]
    Nobody,
    /// The line broke.
    #[error("the running gateway did not answer: {0}")]
    Broken(#[from] io::Error),
    /// The gateway did not do it, and says why.
    #[error("{0}")]
    Failed(String),
}

/// The socket, open for callers; removed when dropped.
#[derive(Debug)]
pub struct Door {
    listener: UnixListener,
    path: PathBuf,
}

impl Door {
    /// Opens the door of a folder that this process has locked. A socket left by a killed process is replaced.
    ///
    /// # Errors
    /// When the disk refuses it, or the path is longer than a socket's name may be (about 100 bytes).
    pub fn open(dir: &Path) -> io::Result<Self> {
        let path = dir.join(SOCKET);
        match std::fs::remove_file(&path) {
            Err(why) if why.kind() != io::ErrorKind::NotFound => return Err(why),
            _ => {}
        }
        let listener = UnixListener::bind(&path)?;
        std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o600))?;
        Ok(Self { listener, path })
    }

    /// Serves callers one after another until `closing` says so; `run` does an errand and writes what it prints.
    ///
    /// # Errors
    /// When the socket itself fails; a caller's failure ends that caller only.
    pub fn serve(&self, closing: &dyn Fn() -> bool, run: RunErrand<'_>) -> io::Result<()> {
        loop {
            let (caller, _) = self.listener.accept()?;
            if closing() {
                return Ok(());
            }
            if let Err(why) = answer(&caller, run) {
                tracing::warn!(%why, "a caller at the side door was lost");
            }
        }
    }

    /// Wakes [`Door::serve`] so that it sees that it is closing.
    pub fn knock(dir: &Path) {
        UnixStream::connect(dir.join(SOCKET)).ok();
    }
}

impl Drop for Door {
    fn drop(&mut self) {
        std::fs::remove_file(&self.path).ok();
    }
}

fn answer(mut caller: &UnixStream, run: RunErrand<'_>) -> io::Result<()> {
    caller.set_read_timeout(Some(PATIENCE))?;
    caller.set_write_timeout(Some(PATIENCE))?;
    let mut length = [0; 4];
    caller.read_exact(&mut length)?;
    let length = u32::from_be_bytes(length);
    if length > ERRAND_MOST {
        return frame(caller, FAILED, b"this errand is too long");
    }
    let mut errand = vec![0; length as usize];
    caller.read_exact(&mut errand)?;
    let mut output = Frames {
        caller,
        waiting: Vec::new(),
    };
    let done = run(&errand, &mut output);
    output.flush()?;
    match done {
        Ok(()) => frame(caller, DONE, &[]),
        Err(why) => frame(caller, FAILED, why.as_bytes()),
    }
}

fn frame(mut to: &UnixStream, kind: u8, bytes: &[u8]) -> io::Result<()> {
    let bytes = bytes.get(..FRAME_MOST).unwrap_or(bytes);
    let length = u32::try_from(bytes.len()).unwrap_or(0);
    to.write_all(&[kind])?;
    to.write_all(&length.to_be_bytes())?;
    to.write_all(bytes)
}

/// Output on its way to a caller, a frame at a time.
struct Frames<'a> {
    caller: &'a UnixStream,
    waiting: Vec<u8>,
}

impl Write for Frames<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let room = FRAME_MOST - self.waiting.len();
        let taken = bytes.len().min(room);
        self.waiting.extend(bytes.iter().take(taken));
        if self.waiting.len() == FRAME_MOST {
            self.flush()?;
        }
        Ok(taken)
    }

    fn flush(&mut self) -> io::Result<()> {
        if !self.waiting.is_empty() {
            frame(self.caller, OUTPUT, &self.waiting)?;
            self.waiting.clear();
        }
        Ok(())
    }
}

/// Sends an errand to the gateway that runs on a folder and copies what it prints to `out`.
///
/// # Errors
/// [`DoorError::Nobody`] where no gateway runs; else how it failed.
pub fn call(dir: &Path, errand: &[u8], out: &mut dyn Write) -> Result<(), DoorError> {
    let mut door = UnixStream::connect(dir.join(SOCKET)).map_err(|_| DoorError::Nobody)?;
    let length = u32::try_from(errand.len())
        .ok()
        .filter(|n| *n <= ERRAND_MOST);
    let length = length.ok_or_else(|| DoorError::Failed("this errand is too long".to_owned()))?;
    door.write_all(&length.to_be_bytes())?;
    door.write_all(errand)?;
    loop {
        let mut head = [0; 5];
        door.read_exact(&mut head)?;
        let [kind, length @ ..] = head;
        let length = u32::from_be_bytes(length) as usize;
        if length > FRAME_MOST {
            let why = io::Error::other("a frame is longer than frames may be");
            return Err(DoorError::Broken(why));
        }
        let mut bytes = vec![0; length];
        door.read_exact(&mut bytes)?;
        match kind {
            OUTPUT => out.write_all(&bytes)?,
            DONE => return Ok(()),
            _ => {
                return Err(DoorError::Failed(
                    String::from_utf8_lossy(&bytes).into_owned(),
                ));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(errand: &[u8], out: &mut dyn Write) -> Result<(), String> {
        if errand == b"fail" {
            return Err("it failed".to_owned());
        }
        out.write_all(&errand.repeat(40_000))
            .map_err(|e| e.to_string())
    }

    #[test]
    fn an_errand_s_output_comes_back_whole_and_failures_say_why() {
        let dir = tempfile::tempdir().unwrap();
        assert!(matches!(
            call(dir.path(), b"x", &mut Vec::new()),
            Err(DoorError::Nobody)
        ));
        let door = Door::open(dir.path()).unwrap();
        let mode = std::fs::metadata(dir.path().join(SOCKET))
            .unwrap()
            .permissions()
            .mode();
        assert_eq!(mode & 0o777, 0o600);
        let closing = std::sync::atomic::AtomicBool::new(false);
        let closing = &closing;
        std::thread::scope(|scope| {
            let door = &door;
            scope.spawn(move || {
                door.serve(&|| closing.load(std::sync::atomic::Ordering::SeqCst), &run)
            });
            let mut out = Vec::new();
            call(dir.path(), b"abc", &mut out).unwrap();
            assert_eq!(out, b"abc".repeat(40_000));
            let failed = call(dir.path(), b"fail", &mut Vec::new()).unwrap_err();
            assert_eq!(failed.to_string(), "it failed");
            let long = call(dir.path(), &vec![0; 65 * 1024], &mut Vec::new()).unwrap_err();
            assert_eq!(long.to_string(), "this errand is too long");
            closing.store(true, std::sync::atomic::Ordering::SeqCst);
            Door::knock(dir.path());
        });
    }
}
