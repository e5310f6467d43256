//! Prints proof sheets of every block to a folder, to be judged by eye:
//! `cargo run --example proof -- FOLDER`.

use std::path::Path;

use stillroom::composing::faces::Faces;
use stillroom::composing::page::Composed;
use stillroom::composing::{Paper, Profile, compose};
use stillroom::document::{Templates, read, symbols};
use stillroom::writing::{Subset, write_pdf};

#[path = "../tests/samples/mod.rs"]
mod samples;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "out/proof".to_owned());
    std::fs::create_dir_all(&folder)?;
    let templates = Templates::new(None);
    let faces = Faces::embedded();
    let profiles = [
        ("a4", Profile::default()),
        ("letter", Profile { paper: Paper::Letter, ..Profile::default() }),
        ("large", Profile { large_print: true, ..Profile::default() }),
    ];
    let fill = |name: &str, context: &dyn Fn() -> Result<String, _>| {
        let markdown = context().map_err(|fault| format!("{name}: {fault:?}"))?;
        read(&markdown).map_err(|fault| format!("{name}: {fault:?}"))
    };
    for (name, document) in [
        (
            "worksheet",
            fill("worksheet", &|| templates.fill("sheet.md", &samples::sheet(false, 9)))?,
        ),
        ("key", fill("key", &|| templates.fill("sheet.md", &samples::sheet(true, 9)))?),
        ("unkind", fill("unkind", &|| templates.fill("sheet.md", &samples::unkind()))?),
        ("lesson", fill("lesson", &|| templates.fill("lesson.md", &samples::lesson()))?),
    ] {
        for (paper, profile) in &profiles {
            let composed = compose(&document, profile, &faces);
            write(&composed, &Path::new(&folder).join(format!("{name}-{paper}.pdf")))?;
        }
    }
    Ok(())
}

fn write(composed: &Composed, path: &Path) -> Result<(), Box<dyn std::error::Error>> {
    let subset = Subset::of(&symbols("").collect(), &Faces::embedded())?;
    let bytes = write_pdf(composed, &subset, "proof")?;
    std::fs::write(path, bytes)?;
    Ok(())
}
