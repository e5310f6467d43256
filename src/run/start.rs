//! `start`: a small commented unit that checks clean and prints at once.

use std::path::{Path, PathBuf};

use super::files::{FileError, write_whole};

/// The unit that a new file starts as; TITLE and ID stand for the teacher's own.
const PATTERN: &str = include_str!("../../templates/start.md");

/// Writes a new unit named after `title` into `folder` and gives its path. An
/// existing file is left alone.
///
/// # Errors
/// The file exists or cannot be written.
pub fn start(title: &str, folder: &Path) -> Result<PathBuf, FileError> {
    let id = id_of(title);
    let path = folder.join(format!("{id}.md"));
    if path.exists() {
        let reason = std::io::Error::new(
            std::io::ErrorKind::AlreadyExists,
            "a file of that name is there already; give another title",
        );
        return Err(FileError { path, reason });
    }
    let title = title.trim().replace('\\', "\\\\").replace('"', "\\\"");
    let title: String = title.chars().filter(|c| !c.is_control()).collect();
    let title = if title.is_empty() { "A new unit".to_owned() } else { title };
    let text = PATTERN.replace("TITLE", &format!("\"{title}\"")).replace("ID", &id);
    write_whole(&path, text.as_bytes())?;
    Ok(path)
}

/// Lower-case letters and digits with hyphens between.
fn id_of(title: &str) -> String {
    let mut id = String::new();
    for c in title.chars().flat_map(char::to_lowercase) {
        if c.is_ascii_alphanumeric() {
            id.push(c);
        } else if !id.is_empty() && !id.ends_with('-') {
            id.push('-');
        }
    }
    let id = id.trim_end_matches('-');
    let id = id.trim_start_matches(|c: char| c.is_ascii_digit() || c == '-');
    if id.is_empty() { "new-unit".to_owned() } else { id.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::id_of;

    #[test]
    fn a_title_gives_an_id() {
        assert_eq!(id_of("Salt from the sea"), "salt-from-the-sea");
        assert_eq!(id_of("  3. Öl & water! "), "l-water");
        assert_eq!(id_of("***"), "new-unit");
    }
}
