//! The files of a job, read and written whole. No other place of the crate writes to disk.
//!
//! In: paths and texts. Out: pages, or why a file cannot be read; a text on disk, whole or not at all.
//! Never: leaves half a file, follows a name without end, reads what is not a plain file.

use std::fs::{File, OpenOptions};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use atomic_write_file::AtomicWriteFile;
use sha2::{Digest, Sha256};

use crate::fault::{Fault, Page, Refused, Span, Wording, say};

use super::Wrong;

/// The largest file that is read, in bytes.
pub const LARGEST: u64 = 64 << 20;

/// The longest line that is read at the prompt, in bytes.
pub const LONGEST: usize = 64 << 10;

/// Why a file cannot be read.
#[derive(Clone, Debug, PartialEq)]
pub enum Unread {
    /// No file of this name.
    Absent,
    /// No file of this name; one with an ending behind it is there.
    Ending(String),
    /// A folder.
    Folder,
    /// Neither a file nor a folder: a pipe, a device.
    NotPlain,
    /// A link that leads out of the folders that are looked in.
    Outside,
    /// A link to a file that is not there.
    Nowhere,
    /// More than [`LARGEST`] bytes.
    TooLarge,
    /// A line fed to the prompt, of more than [`LONGEST`] bytes.
    LongLine,
    /// A byte that is not UTF-8 text.
    NotText,
    /// The system says why.
    System(String),
}

impl Unread {
    /// Returns what is wrong, what the place is, what to do.
    pub fn wording(&self) -> Wording {
        match self {
            Self::Absent => say("no such file", "", "see that the name and the folder are right"),
            Self::Ending(name) => say("no such file", "", format!("write its ending too: {name}")),
            Self::Folder => say("this is a folder", "", "name a file in it"),
            Self::NotPlain => say("not a plain file", "", "name a file on disk"),
            Self::Outside => say(
                "a link that leads out of the job's folder",
                "",
                "put the file itself there, or name its folder with --library",
            ),
            Self::Nowhere => {
                say("a link that leads to no file", "", "put the file itself there, or take the link away")
            }
            Self::TooLarge => {
                say("more than 64 MiB", "", "nothing that large is read: is it the right file?")
            }
            Self::LongLine => {
                say("a line longer than 64 KiB", "", "nothing that long is typed: is it the right file?")
            }
            Self::NotText => say("not UTF-8 text", "", "save it as UTF-8"),
            Self::System(words) => say(format!("cannot be read: {words}"), "", ""),
        }
    }
}

/// Reads a file as a page; `name` is what its faults call it.
///
/// # Errors
/// Why the file cannot be read, as a page refused: empty, or, where a byte is not UTF-8, as much of
/// the text as can be shown, with the place of the byte.
pub fn read_page(path: &Path, name: &str) -> Result<Arc<Page>, Refused> {
    let ending = |unread: Unread| {
        let there = |ending: &&str| path.extension().is_none() && path.with_extension(ending).is_file();
        let ending = ["sheet", "basis", "toml"].iter().copied().find(there);
        match (unread, ending) {
            (Unread::Absent, Some(ending)) => Unread::Ending(format!("{name}.{ending}")),
            (unread, _) => unread,
        }
    };
    let bytes =
        read_bytes(path).map_err(|unread| refused(Page::new(name, ""), Span::new(0, 0), ending(unread)))?;
    String::from_utf8(bytes).map(|text| Page::new(name, text)).map_err(|error| {
        let start = error.utf8_error().valid_up_to();
        let text = String::from_utf8_lossy(error.as_bytes()).into_owned();
        let shown = char::REPLACEMENT_CHARACTER.len_utf8();
        refused(Page::new(name, text), Span::new(start, start + shown), Unread::NotText)
    })
}

/// Reads a file as a page, unless it is a link that leads out of some folders.
///
/// # Errors
/// As [`read_page`], or that it leads outside.
pub fn read_inside(path: &Path, name: &str, folders: &[PathBuf]) -> Result<Arc<Page>, Refused> {
    let is_link = std::fs::symlink_metadata(path).is_ok_and(|found| found.is_symlink());
    let within = |real: &Path| {
        folders.iter().filter_map(|folder| folder.canonicalize().ok()).any(|folder| real.starts_with(folder))
    };
    if is_link && path.canonicalize().is_ok_and(|real| !within(&real)) {
        return Err(refused(Page::new(name, ""), Span::new(0, 0), Unread::Outside));
    }
    if is_link && path.metadata().is_err_and(|error| error.kind() == io::ErrorKind::NotFound) {
        return Err(refused(Page::new(name, ""), Span::new(0, 0), Unread::Nowhere));
    }
    read_page(path, name)
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
    if found.is_dir() {
        Err(Unread::Folder)
    } else if !found.is_file() {
        Err(Unread::NotPlain)
    } else if found.len() > LARGEST {
        Err(Unread::TooLarge)
    } else {
        Ok(())
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

/// Returns whether an open file is the one that a path leads to.
pub(super) fn is_file_at(file: &File, path: &Path) -> bool {
    let (Ok(open), Ok(found)) = (file.metadata(), std::fs::metadata(path)) else { return false };
    open.len() == found.len() && same_place(&open, &found)
}

#[cfg(unix)]
fn same_place(open: &std::fs::Metadata, found: &std::fs::Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    (open.dev(), open.ino()) == (found.dev(), found.ino())
}

/// Elsewhere the length has to do; there an open file cannot be taken away.
#[cfg(not(unix))]
fn same_place(_: &std::fs::Metadata, _: &std::fs::Metadata) -> bool {
    true
}

/// Takes away what a crash left of replacing a file: begun, and not renamed. Only for who holds the file's lock.
pub(super) fn sweep(path: &Path) {
    let real = path.canonicalize().unwrap_or_else(|_| path.to_owned());
    let (Some(folder), Some(name)) = (real.parent(), real.file_name().and_then(|name| name.to_str())) else {
        return;
    };
    let begun = |found: &str| {
        let tail = found.strip_prefix('.').and_then(|rest| rest.strip_prefix(name)?.strip_prefix('.'));
        tail.is_some_and(|tail| tail.len() == 6 && tail.chars().all(|c| c.is_ascii_alphanumeric()))
    };
    for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
        if entry.file_name().to_str().is_some_and(begun) {
            let _ = std::fs::remove_file(entry.path());
        }
    }
}

/// Writes a file that is not there yet, or replaces one that begins with `opening`, as only ours do.
///
/// # Errors
/// [`io::ErrorKind::AlreadyExists`] where another file has the name, or what the system says.
pub fn write_ours(path: &Path, text: &str, opening: &str) -> io::Result<()> {
    match read_bytes(path) {
        Ok(old) if old.starts_with(opening.as_bytes()) => write_whole(path, text),
        Ok(_) => Err(io::ErrorKind::AlreadyExists.into()),
        // A name that is taken by what cannot be read is refused there.
        Err(_) => write_new(path, text),
    }
}

/// Returns the SHA-256 of bytes, in hexadecimal.
pub fn hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use std::path::PathBuf;

    use super::*;
    use crate::fault::Kind;

    /// A folder of one test, taken away at its end.
    struct Folder(PathBuf);

    impl Folder {
        fn new(test: &str) -> Self {
            let path = std::env::temp_dir().join(format!("wattle-{test}-{}", std::process::id()));
            let _ = std::fs::remove_dir_all(&path);
            std::fs::create_dir_all(&path).expect("a folder for the test");
            Self(path)
        }

        fn names(&self) -> Vec<String> {
            let found = std::fs::read_dir(&self.0).expect("the folder");
            found.flatten().map(|file| file.file_name().to_string_lossy().into_owned()).collect()
        }
    }

    impl Drop for Folder {
        fn drop(&mut self) {
            let _ = std::fs::remove_dir_all(&self.0);
        }
    }

    fn put(path: &Path, bytes: &[u8]) {
        let mut file = OpenOptions::new().write(true).create_new(true).open(path).expect("a new file");
        file.write_all(bytes).expect("written");
    }

    /// Returns why a file is not read, its page as far as it can be shown, and the place.
    fn unread(path: &Path) -> (Unread, String, Span) {
        let refused = read_page(path, "job").expect_err("refused");
        assert_eq!(refused.faults.len(), 1);
        let fault = &refused.faults[0];
        match &fault.kind {
            Kind::Job(Wrong::Unread(unread)) => (unread.clone(), refused.page.text.clone(), fault.at),
            _ => panic!("{fault:?}"),
        }
    }

    #[test]
    fn a_file_is_read_as_it_is() {
        let folder = Folder::new("read");
        let path = folder.0.join("a");
        put(&path, "\u{feff}a\r\nb".as_bytes());
        let page = read_page(&path, "job").expect("a page");
        assert_eq!((page.name.as_str(), page.text.as_str()), ("job", "\u{feff}a\r\nb"));
    }

    #[test]
    fn what_is_not_there_and_a_folder_are_told_apart() {
        let folder = Folder::new("absent");
        assert_eq!(unread(&folder.0.join("none")).0, Unread::Absent);
        assert_eq!(unread(&folder.0).0, Unread::Folder);
    }

    #[cfg(unix)]
    #[test]
    fn a_device_is_refused_before_it_is_read() {
        assert_eq!(unread(Path::new("/dev/null")).0, Unread::NotPlain);
    }

    #[test]
    fn a_byte_that_is_no_text_is_pointed_at() {
        let folder = Folder::new("bytes");
        let path = folder.0.join("a");
        put(&path, b"title = \"caf\xe9\"");
        assert_eq!(unread(&path), (Unread::NotText, "title = \"caf\u{fffd}\"".to_owned(), Span::new(12, 15)));
    }

    #[test]
    fn one_byte_more_than_the_largest_is_refused() {
        let folder = Folder::new("large");
        let path = folder.0.join("a");
        put(&path, b"");
        let file = OpenOptions::new().write(true).open(&path).expect("the file");
        file.set_len(LARGEST + 1).expect("a sparse file");
        assert_eq!(unread(&path).0, Unread::TooLarge);
        file.set_len(3).expect("cut");
        assert_eq!(read_page(&path, "job").expect("a page").text, "\0\0\0");
    }

    #[test]
    fn a_file_is_replaced_whole_and_nothing_is_left_beside_it() {
        let folder = Folder::new("whole");
        let path = folder.0.join("a");
        write_whole(&path, "long before").expect("written");
        write_whole(&path, "now").expect("written");
        assert_eq!(read_page(&path, "a").expect("a page").text, "now");
        assert_eq!(folder.names(), ["a"]);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stays_a_link_and_what_it_leads_to_is_replaced() {
        let folder = Folder::new("link");
        let (real, link) = (folder.0.join("real"), folder.0.join("link"));
        put(&real, b"before");
        std::os::unix::fs::symlink(&real, &link).expect("a link");
        write_whole(&link, "now").expect("written");
        assert!(link.symlink_metadata().expect("the link").file_type().is_symlink());
        assert_eq!(read_page(&real, "a").expect("a page").text, "now");
    }

    #[test]
    fn a_new_file_is_never_written_over_another() {
        let folder = Folder::new("new");
        let path = folder.0.join("a");
        write_new(&path, "first").expect("written");
        let error = write_new(&path, "second").expect_err("refused");
        assert_eq!(error.kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(read_page(&path, "a").expect("a page").text, "first");
        assert!(write_new(&folder.0.join("none/a"), "x").is_err());
    }

    #[test]
    fn only_a_file_of_ours_is_written_again() {
        let folder = Folder::new("ours");
        let path = folder.0.join("a");
        write_ours(&path, "# ours\n1", "# ours\n").expect("written");
        write_ours(&path, "# ours\n2", "# ours\n").expect("written again");
        assert_eq!(read_page(&path, "a").expect("a page").text, "# ours\n2");
        write_whole(&path, "# not ours\n").expect("written");
        let error = write_ours(&path, "# ours\n3", "# ours\n").expect_err("refused");
        assert_eq!(error.kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(read_page(&path, "a").expect("a page").text, "# not ours\n");
        assert!(write_ours(&folder.0, "x", "").is_err(), "a folder is never written over");
    }

    #[test]
    fn the_hash_is_that_of_the_standard() {
        // Of "abc": the example that NIST gives with FIPS 180-4 for SHA-256. Of the empty text: no document at hand.
        // Both are written from memory.
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(hash(b"abc"), abc);
        let empty = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";
        assert_eq!(hash(b""), empty);
    }
}
