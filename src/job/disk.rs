//! The files of a job, read and written whole. No other place of the crate writes to disk.
//!
//! In: paths and texts. Out: pages, or why a file cannot be read; a text on disk, whole or not at all.
//! Never: leaves half a file, follows a name without end, reads what is not a plain file.

use std::fs::{File, OpenOptions};
use std::io::{self, Read, Write};
use std::path::Path;
use std::sync::Arc;

use atomic_write_file::AtomicWriteFile;
use sha2::{Digest, Sha256};

use crate::fault::{Fault, Page, Refused, Span, Wording};

use super::Wrong;

/// The largest file that is read, in bytes.
pub const LARGEST: u64 = 64 << 20;

/// Why a file cannot be read.
#[derive(Clone, Debug, PartialEq)]
pub enum Unread {
    /// No file of this name.
    Absent,
    /// A folder.
    Folder,
    /// Neither a file nor a folder: a pipe, a device.
    NotPlain,
    /// More than [`LARGEST`] bytes.
    TooLarge,
    /// A byte that is not UTF-8 text.
    NotText,
    /// The system says why.
    System(String),
}

impl Unread {
    /// Returns what is wrong, what the place is, what to do.
    pub fn wording(&self) -> Wording {
        match self {
            Self::Absent => Wording::new("no such file", "", "see that the name and the folder are right"),
            Self::Folder => Wording::new("this is a folder", "", "name a file in it"),
            Self::NotPlain => Wording::new("not a plain file", "", "name a file on disk"),
            Self::TooLarge => {
                Wording::new("more than 64 MiB", "", "nothing that large is read: is it the right file?")
            }
            Self::NotText => Wording::new("not UTF-8 text", "", "save it as UTF-8"),
            Self::System(words) => Wording::new(format!("cannot be read: {words}"), "", ""),
        }
    }
}

/// Reads a file as a page; `name` is what its faults call it.
///
/// # Errors
/// Why the file cannot be read, as a page refused: empty, or, where a byte is not UTF-8, as much of
/// the text as can be shown, with the place of the byte.
pub fn read_page(path: &Path, name: &str) -> Result<Arc<Page>, Refused> {
    let bytes = read_bytes(path).map_err(|unread| refused(Page::new(name, ""), Span::new(0, 0), unread))?;
    String::from_utf8(bytes).map(|text| Page::new(name, text)).map_err(|error| {
        let start = error.utf8_error().valid_up_to();
        let text = String::from_utf8_lossy(error.as_bytes()).into_owned();
        let shown = char::REPLACEMENT_CHARACTER.len_utf8();
        refused(Page::new(name, text), Span::new(start, start + shown), Unread::NotText)
    })
}

fn refused(page: Arc<Page>, at: Span, unread: Unread) -> Refused {
    Refused { page, faults: vec![Fault::new(at, Wrong::Unread(unread))] }
}

fn read_bytes(path: &Path) -> Result<Vec<u8>, Unread> {
    let system = |error: io::Error| match error.kind() {
        io::ErrorKind::NotFound => Unread::Absent,
        io::ErrorKind::IsADirectory => Unread::Folder,
        _ => Unread::System(error.to_string()),
    };
    // Looked at before it is opened: opening a pipe would wait for its other end.
    plain(&std::fs::metadata(path).map_err(system)?)?;
    let file = File::open(path).map_err(system)?;
    plain(&file.metadata().map_err(system)?)?;
    let mut bytes = Vec::new();
    file.take(LARGEST + 1).read_to_end(&mut bytes).map_err(system)?;
    if bytes.len() as u64 > LARGEST { Err(Unread::TooLarge) } else { Ok(bytes) }
}

fn plain(found: &std::fs::Metadata) -> Result<(), Unread> {
    match () {
        () if found.is_dir() => Err(Unread::Folder),
        () if !found.is_file() => Err(Unread::NotPlain),
        () if found.len() > LARGEST => Err(Unread::TooLarge),
        () => Ok(()),
    }
}

/// Replaces a file whole. A link stays a link: what it leads to is replaced.
///
/// The text goes into a new file beside the old, which is synced and renamed over it, and the folder
/// is synced. After a crash at any step the file holds the old text or the new, whole; a file begun
/// and not renamed may be left beside it.
///
/// # Errors
/// What the system says; the old file is then as it was.
pub fn write_whole(path: &Path, text: &str) -> io::Result<()> {
    let real = match path.canonicalize() {
        Ok(real) => real,
        Err(error) if error.kind() == io::ErrorKind::NotFound => path.to_owned(),
        Err(error) => return Err(error),
    };
    let mut file = AtomicWriteFile::open(real)?;
    file.write_all(text.as_bytes())?;
    file.commit()
}

/// Writes a file that is not there yet.
///
/// The name is claimed with an empty file, which is then replaced whole. After a crash the file is
/// absent, empty, or whole.
///
/// # Errors
/// [`io::ErrorKind::AlreadyExists`] where there is a file, or what the system says.
pub fn write_new(path: &Path, text: &str) -> io::Result<()> {
    OpenOptions::new().write(true).create_new(true).open(path)?;
    write_whole(path, text).inspect_err(|_| {
        // The name was claimed two lines above, so the file is ours to take away.
        let _ = std::fs::remove_file(path);
    })
}

/// Returns the SHA-256 of bytes, in hexadecimal.
pub fn hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}
