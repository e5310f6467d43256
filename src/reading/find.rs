//! The units and papers among the files and folders that a user named.
//!
//! Files come in the order given, a folder's files sorted by name, each once.
//! Folders whose name begins with a dot are not entered and links not followed.

use std::collections::HashSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use walkdir::WalkDir;

use super::file::{read, unreadable};
use super::sort::{Sort, passed_over, what_is_it};
use crate::diag::{Code, Diagnostic, Diagnostics, Place, SourceFile, Span};

/// A file that was found and read.
#[derive(Debug, Clone)]
pub struct Found {
    pub path: PathBuf,
    pub file: Arc<SourceFile>,
}

/// Units and papers, in the order of their paths.
#[derive(Debug, Clone, Default)]
pub struct Files {
    pub units: Vec<Found>,
    pub papers: Vec<Found>,
}

/// Reads every unit and every paper under `paths`. What is neither gets a note; a
/// folder in which none stands is an error, and so is none at all.
pub fn files(paths: &[PathBuf], out: &mut Diagnostics) -> Files {
    let mut seen = HashSet::new();
    let mut files = Files::default();
    let before = out.len();
    let mut fault = false;
    for path in paths {
        let mut own = 0;
        for (path, shown) in markdown_files(path, out) {
            if !seen.insert(std::fs::canonicalize(&path).unwrap_or_else(|_| path.clone())) {
                own += 1;
                continue;
            }
            let Some(file) = read(&path, &shown, out) else {
                own += 1;
                fault = true;
                continue;
            };
            match what_is_it(&file) {
                Sort::UnitFile => {
                    own += 1;
                    files.units.push(Found { path, file });
                }
                Sort::PaperFile => {
                    own += 1;
                    files.papers.push(Found { path, file });
                }
                Sort::Other => out.push(passed_over(&file)),
            }
        }
        if own == 0 && path.is_dir() {
            fault = true;
            out.push(no_units(path, "There is no unit in this folder."));
        }
    }
    // Files named one by one may well be a mixed lot, as long as one is a unit.
    let none = files.units.is_empty() && files.papers.is_empty();
    if none && !fault && (out.len() > before || paths.is_empty()) {
        let path = paths.first().map_or(Path::new("."), PathBuf::as_path);
        out.push(no_units(path, "No unit is among the files named, so there is nothing to print."));
    }
    files
}

fn no_units(path: &Path, message: &str) -> Diagnostic {
    let file = SourceFile::new(shown(path), "");
    Diagnostic::new(Code::NoUnits, Place::new(&file, Span::default()), message)
        .found("no Markdown file whose front matter has `objectives`")
        .expected("at least one unit")
        .next("name another file or folder, or begin a unit with `stillroom start TITLE`")
}

/// The Markdown files of a folder, or the file itself, each with the name to show.
fn markdown_files(path: &Path, out: &mut Diagnostics) -> Vec<(PathBuf, String)> {
    if !path.is_dir() {
        return vec![(path.to_path_buf(), shown(path))];
    }
    let visible = |name: &std::ffi::OsStr| !name.to_string_lossy().starts_with('.');
    let walk = WalkDir::new(path)
        .sort_by_file_name()
        .into_iter()
        .filter_entry(|entry| entry.depth() == 0 || visible(entry.file_name()));
    let mut files = Vec::new();
    for entry in walk {
        match entry {
            Ok(entry) => {
                let is_markdown = entry.path().extension().is_some_and(|e| {
                    e.eq_ignore_ascii_case("md") || e.eq_ignore_ascii_case("markdown")
                });
                if entry.file_type().is_file() && is_markdown {
                    files.push((entry.path().to_path_buf(), shown(entry.path())));
                }
            }
            Err(error) => {
                let at = error.path().unwrap_or(path);
                let why = error.io_error().map_or_else(|| error.to_string(), ToString::to_string);
                out.push(unreadable(&shown(at), &why));
            }
        }
    }
    files
}

/// The path with forward slashes on every system, so that findings read alike.
fn shown(path: &Path) -> String {
    let text = path.display().to_string();
    if cfg!(windows) { text.replace('\\', "/") } else { text }
}
