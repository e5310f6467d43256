//! `check --mend`: the findings whose mend is sure are mended in the file itself.
//!
//! Takes files and folders; writes each mended unit whole, and gives what was changed.
//! A mend is kept only if the file, read again, has fewer mistakes; what is a guess at
//! an author's meaning is never made.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::diag::{Code, Diagnostic, Diagnostics, Mend, Severity, SourceFile, Surety};
use crate::reading;

use super::files::{FileError, write_whole};
use super::load;

/// One line of a file that was mended. Lines are without indent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    pub file: String,
    /// From 1, where it stood when it was mended.
    pub line: usize,
    pub code: Code,
    pub before: String,
    pub after: String,
}

/// Mends the units under `paths`.
///
/// # Errors
/// `FileError` where a file cannot be written; those before it are mended by then.
pub fn mend(paths: &[PathBuf]) -> Result<Vec<Change>, FileError> {
    let mut changes = Vec::new();
    // What cannot be read is told by the check that follows.
    for found in reading::find::files(paths, &mut Diagnostics::new()).units {
        let (file, made) = mended(&found.file);
        if !made.is_empty() {
            replace(&found.path, file.text())?;
        }
        changes.extend(made);
    }
    Ok(changes)
}

/// Writes over a file where it truly stands, with the rights that it had.
fn replace(path: &Path, text: &str) -> Result<(), FileError> {
    let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let rights = fs::metadata(&path).map(|known| known.permissions());
    write_whole(&path, text.as_bytes())?;
    match rights {
        Ok(rights) => {
            fs::set_permissions(&path, rights).map_err(|reason| FileError { path, reason })
        }
        Err(_) => Ok(()),
    }
}

/// The file with all that is sure mended, and the changes in the order they were made.
fn mended(file: &Arc<SourceFile>) -> (Arc<SourceFile>, Vec<Change>) {
    let mut file = Arc::clone(file);
    let mut changes = Vec::new();
    let mut refused: Vec<Change> = Vec::new();
    let mut findings = findings_of(&file);
    loop {
        let sure: Vec<(Mend, Change)> = findings
            .iter()
            .filter_map(|finding| sure(&file, finding))
            .filter(|(_, change)| !refused.contains(change))
            .collect();
        let Some((first, change)) = sure.first() else { return (file, changes) };
        // One at a time, so that a refused one spoils no other and each change is
        // shown as it was made.
        let trial = SourceFile::new(file.name(), file.mended([first]));
        let then = findings_of(&trial);
        if mistakes(&then) < mistakes(&findings) {
            changes.push(change.clone());
            (file, findings) = (trial, then);
        } else {
            refused.push(change.clone());
        }
    }
}

fn findings_of(file: &Arc<SourceFile>) -> Vec<Diagnostic> {
    let mut out = Diagnostics::new();
    load::model_of(file, &mut out);
    out.sorted()
}

fn mistakes(findings: &[Diagnostic]) -> usize {
    findings.iter().filter(|finding| finding.severity == Severity::Error).count()
}

fn sure(file: &SourceFile, finding: &Diagnostic) -> Option<(Mend, Change)> {
    let mend = finding.mend.as_ref().filter(|mend| mend.surety == Surety::Sure)?;
    let change = Change {
        file: file.name().to_owned(),
        line: file.line_column(mend.span.start).0,
        code: finding.code,
        before: file.line_with(mend.span, file.slice(mend.span)),
        after: file.line_with(mend.span, &mend.made),
    };
    Some((mend.clone(), change))
}
