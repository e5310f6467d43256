//! Files that appear whole or not at all.
//!
//! Takes bytes and a path; writes beside the place and moves there when complete.

use std::fs::{self, File, OpenOptions};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

/// A file could not be written. Says which and why, in the system's words.
#[derive(Debug)]
pub struct FileError {
    pub path: PathBuf,
    pub reason: io::Error,
}

impl std::fmt::Display for FileError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "could not write {}: {}", self.path.display(), self.reason)
    }
}

impl std::error::Error for FileError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        Some(&self.reason)
    }
}

/// Writes a file so that it is never seen half done: an older file of that name
/// stays until the new one is complete. Missing folders are made.
///
/// # Errors
/// `FileError` with the path asked for.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    let mut file = WholeFile::create(path)?;
    file.write_all(bytes).map_err(|reason| FileError { path: path.to_owned(), reason })?;
    file.keep()
}

/// A file being written beside its final place; it moves there when kept and is
/// removed when dropped.
pub struct WholeFile {
    path: PathBuf,
    beside: PathBuf,
    file: Option<BufWriter<File>>,
}

impl WholeFile {
    /// # Errors
    /// `FileError` with the path asked for.
    pub fn create(path: &Path) -> Result<WholeFile, FileError> {
        let failed = |reason| FileError { path: path.to_owned(), reason };
        if path.file_name().is_none() {
            return Err(failed(io::Error::new(io::ErrorKind::InvalidInput, "this names no file")));
        }
        let folder = path.parent().unwrap_or(Path::new(""));
        if !folder.as_os_str().is_empty() {
            fs::create_dir_all(folder).map_err(failed)?;
        }
        let (beside, file) = beside(folder).map_err(failed)?;
        Ok(WholeFile { path: path.to_owned(), beside, file: Some(BufWriter::new(file)) })
    }

    /// Moves the finished file to its place, over an older one.
    ///
    /// # Errors
    /// `FileError` with the path asked for; nothing is left behind then.
    pub fn keep(mut self) -> Result<(), FileError> {
        let moved = match self.file.take() {
            // Closed before the move, which Windows would refuse otherwise.
            Some(file) => file
                .into_inner()
                .map_err(io::IntoInnerError::into_error)
                .map(drop)
                .and_then(|()| fs::rename(&self.beside, &self.path)),
            None => Ok(()),
        };
        moved.map_err(|reason| {
            // What cannot be removed either is reported by the failure itself.
            let _ = fs::remove_file(&self.beside);
            FileError { path: self.path.clone(), reason }
        })
    }

    pub fn path(&self) -> &Path {
        &self.path
    }
}

/// A new file in the folder, under a name that nothing else has. In the same
/// folder: a move between disks would be a copy after all.
fn beside(folder: &Path) -> io::Result<(PathBuf, File)> {
    // Distinguishes files that this process writes at the same time.
    static COUNTER: AtomicU32 = AtomicU32::new(0);
    loop {
        let number = COUNTER.fetch_add(1, Ordering::Relaxed);
        let path = folder.join(format!(".stillroom-{}-{number}.part", std::process::id()));
        match OpenOptions::new().write(true).create_new(true).open(&path) {
            Ok(file) => return Ok((path, file)),
            // Left by a process that was cut short and had our number.
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
        }
    }
}

impl Write for WholeFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match &mut self.file {
            Some(file) => file.write(bytes),
            None => Err(io::ErrorKind::BrokenPipe.into()),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.as_mut().map_or(Ok(()), Write::flush)
    }
}

impl Drop for WholeFile {
    fn drop(&mut self) {
        if self.file.take().is_some() {
            let _ = fs::remove_file(&self.beside);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_replaces_an_older_one_and_leaves_nothing_beside() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("deep").join("key.pdf");
        write_whole(&path, b"first").unwrap();
        write_whole(&path, b"second").unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"second");
        assert_eq!(fs::read_dir(path.parent().unwrap()).unwrap().count(), 1);
    }

    #[test]
    fn a_dropped_file_leaves_the_older_one_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("key.pdf");
        write_whole(&path, b"older").unwrap();
        let mut file = WholeFile::create(&path).unwrap();
        file.write_all(b"half of").unwrap();
        drop(file);
        assert_eq!(fs::read(&path).unwrap(), b"older");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_failure_names_the_path_asked_for() {
        let folder = tempfile::tempdir().unwrap();
        let taken = folder.path().join("taken");
        fs::create_dir(&taken).unwrap();
        fs::write(taken.join("inside"), b"x").unwrap();
        let error = write_whole(&taken, b"bytes").unwrap_err();
        assert_eq!(error.path, taken);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
        let under_a_file = taken.join("inside").join("key.pdf");
        assert_eq!(write_whole(&under_a_file, b"bytes").unwrap_err().path, under_a_file);
    }
}
