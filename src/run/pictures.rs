//! Pictures that a unit's texts show: found beside the unit, read, and what keeps
//! them from being printed.
//!
//! A picture lies in the unit's folder or in one within it: a unit that is handed on
//! with its folder is whole, and nothing else of the machine gets on a page.

use std::collections::BTreeMap;
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

use crate::diag::{Code, Diagnostic, Diagnostics, Place, SourceFile, Span};
use crate::document::pictures_in;
use crate::picture::{Picture, read};
use crate::reading::model::Model;
use crate::reading::parsed::{Item, Written};

/// Larger files are no picture for a page.
const MOST_BYTES: u64 = 20_000_000;

/// The pictures of a unit by their addresses, those that can be read.
pub(super) fn of(model: &Model) -> BTreeMap<String, Arc<Picture>> {
    let mut found = BTreeMap::new();
    for written in texts(model) {
        for shown in pictures_in(&written.text) {
            if let Ok(bytes) = bytes_of(&model.parsed.file, &shown.address)
                && let Ok(picture) = read(&bytes)
            {
                found.insert(shown.address, Arc::new(picture));
            }
        }
    }
    found
}

/// What is wrong with the pictures of a unit.
pub(super) fn check(model: &Model, out: &mut Diagnostics) {
    for written in texts(model) {
        for shown in pictures_in(&written.text) {
            let at = model.parsed.file.span_within(written.span, &written.text, shown.at.clone());
            let found = format!("`{}`", written.text[shown.at.clone()].trim());
            if shown.words.trim().is_empty() {
                out.push(
                    finding(
                        model,
                        Code::PictureWithoutWords,
                        at,
                        "This picture has no words for who cannot see it.",
                    )
                    .found(found.clone())
                    .expected(format!("`![what it shows]({})`", shown.address))
                    .next("say in a sentence what is to be seen, and give no answer away"),
                );
            }
            if !shown.alone {
                out.push(
                    finding(
                        model,
                        Code::PictureInLine,
                        at,
                        "A picture stands in a paragraph of its own.",
                    )
                    .found("text beside it")
                    .expected("an empty line before it and after it")
                    .next(
                        "put it on a line of its own; a caption goes in quotes behind its address",
                    ),
                );
            }
            if let Err(finding) = beside(&model.parsed.file, at, &shown.address) {
                out.push(*finding);
            }
        }
    }
}

/// The picture that a file names at a place, which lies in the file's folder.
///
/// # Errors
/// What keeps it from being shown.
pub(super) fn beside(
    file: &Arc<SourceFile>,
    at: Span,
    address: &str,
) -> Result<Picture, Box<Diagnostic>> {
    let bytes =
        bytes_of(file, address).map_err(|wrong| Box::new(refused(file, at, address, wrong)))?;
    read(&bytes).map_err(|fault| {
        Box::new(
            Diagnostic::new(Code::PictureUnread, Place::new(file, at), &fault.says)
                .found(fault.found)
                .expected("a PNG, JPEG or plain SVG file")
                .next(fault.next),
        )
    })
}

fn finding(model: &Model, code: Code, at: Span, says: &str) -> Diagnostic {
    Diagnostic::new(code, Place::new(&model.parsed.file, at), says)
}

/// The texts of a unit that may hold pictures.
fn texts(model: &Model) -> Vec<&Written> {
    let mut texts = Vec::new();
    for item in &model.parsed.items {
        match item {
            Item::Prose(prose) => texts.push(&prose.markdown),
            Item::Question(question) | Item::Example(question) => {
                texts.push(&question.stem);
                texts.extend(question.parts.iter().map(|part| &part.text));
            }
            _ => {}
        }
    }
    texts
}

/// Why there are no bytes.
enum Wrong {
    Outside,
    Missing(std::io::Error),
    Large,
}

fn bytes_of(file: &SourceFile, address: &str) -> Result<Vec<u8>, Wrong> {
    let path = inside(address).ok_or(Wrong::Outside)?;
    let folder = Path::new(file.name()).parent().unwrap_or(Path::new(""));
    let path = folder.join(path);
    // A link may lead outside too.
    let real = std::fs::canonicalize(&path).map_err(Wrong::Missing)?;
    let home = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let home = std::fs::canonicalize(home).map_err(Wrong::Missing)?;
    if !real.starts_with(home) {
        return Err(Wrong::Outside);
    }
    if std::fs::metadata(&real).map_err(Wrong::Missing)?.len() > MOST_BYTES {
        return Err(Wrong::Large);
    }
    std::fs::read(&real).map_err(Wrong::Missing)
}

/// The path of an address that stays within its folder.
fn inside(address: &str) -> Option<PathBuf> {
    let plain = !address.is_empty() && !address.contains([':', '\\']);
    let path = PathBuf::from(address.replace("%20", " "));
    let within =
        path.components().all(|part| matches!(part, Component::Normal(_) | Component::CurDir));
    (plain && within).then_some(path)
}

fn refused(file: &Arc<SourceFile>, at: Span, address: &str, wrong: Wrong) -> Diagnostic {
    let (code, says, found) = match wrong {
        Wrong::Outside => (
            Code::PictureOutside,
            "Pictures lie beside the unit, in its own folder.",
            format!("`{address}`"),
        ),
        Wrong::Missing(error) if error.kind() == std::io::ErrorKind::NotFound => (
            Code::PictureMissing,
            "There is no such picture beside the unit.",
            format!("no file `{address}`"),
        ),
        Wrong::Missing(error) => {
            (Code::PictureMissing, "This picture cannot be opened.", error.kind().to_string())
        }
        Wrong::Large => (
            Code::PictureUnread,
            "This picture is larger than any page needs.",
            "more than 20 megabytes".to_owned(),
        ),
    };
    Diagnostic::new(code, Place::new(file, at), says)
        .found(found)
        .expected("the name of a file in the folder of the unit")
        .next("put a copy of it there, and write its name without a path")
}
