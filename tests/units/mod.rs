//! The unit files that tests walk: the demonstrations, the records, the goldens and
//! the samples, in the order of their names.

use std::path::{Path, PathBuf};

pub(crate) fn files() -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folders = ["units", "tests/records", "tests/goldens", "tests/samples"];
    let mut files: Vec<PathBuf> = folders
        .iter()
        .flat_map(|folder| walkdir::WalkDir::new(root.join(folder)))
        .map(|entry| entry.expect("a folder that can be read").into_path())
        .filter(|path| path.extension().is_some_and(|end| end == "md"))
        .collect();
    files.sort();
    files
}
