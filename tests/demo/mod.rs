//! The demonstration's files in a folder of their own, where a test may change them.

use std::fs;
use std::path::Path;

use tempfile::TempDir;

/// Units, papers and what belongs to them, without what was chosen for a paper.
pub(crate) fn copied() -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let units = Path::new(env!("CARGO_MANIFEST_DIR")).join("units");
    for entry in fs::read_dir(units).expect("the units are there") {
        let path = entry.expect("it can be read").path();
        let name = path.file_name().expect("it has a name").to_owned();
        let made = name.to_string_lossy().contains(".chosen.") || name == "papers.csv";
        if path.is_file() && !made {
            fs::copy(&path, folder.path().join(name)).expect("it is copied");
        }
    }
    folder
}
