//! How fast composed pages become files, how large, and with how much memory.
//!
//! Run with `cargo bench --bench pdf`, and part of a trial's name to choose among
//! them. Prints one line a trial: 1,000 files of two pages, and one file of 4,000.

use std::time::Instant;

use stillroom::composing::faces::Faces;
use stillroom::composing::page::{Composed, Face, Ink, Mark, Page};
use stillroom::run::{in_order, write_whole};
use stillroom::writing::{Book, Part, Subset, ink, write_pdf};

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const WORDS: [&str; 24] = [
    "brine",
    "filtrate",
    "is",
    "boiled",
    "until",
    "crystals",
    "show",
    "250\u{A0}kg",
    "of",
    "the",
    "mother",
    "liquor",
    "5.0\u{202F}%",
    "salt",
    "H₂O",
    "evaporates",
    "and",
    "a",
    "residue",
    "remains;",
    "Calculate",
    "washing",
    "at",
    "25\u{202F}°C",
];

/// A page of text: 44 lines of body, as the page design fills an A4 sheet.
fn page(faces: &Faces, seed: u64) -> Page {
    let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1;
    let mut marks = Vec::new();
    for row in 0..44u32 {
        let face = if row % 11 == 0 { Face::Semibold } else { Face::Regular };
        let (left, baseline) = (62.4, 80.0 + 16.0 * f64::from(row));
        let mut x = left;
        while x < 470.0 {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            // Figures differ from page to page, as they do between versions.
            let figure = format!("{}.{}", state >> 52, (state >> 48) % 10);
            let word = WORDS.get((state >> 33) as usize % (WORDS.len() + 3));
            for text in [word.copied().unwrap_or(&figure), " "] {
                for run in &faces.shape(face, text).runs {
                    let advance = run.width * 0.012;
                    let size = 12.0 * run.scale;
                    append(&mut marks, run.face, size, (x, baseline), &run.glyphs);
                    x += advance;
                }
            }
        }
    }
    Page { width: 595.28, height: 841.89, marks, ..Page::default() }
}

/// Adds glyphs to the line's last mark if they carry it on, as the composer does.
fn append(
    marks: &mut Vec<Mark>,
    face: Face,
    size: f64,
    at: (f64, f64),
    more: &[stillroom::composing::page::Glyph],
) {
    if let Some(Mark::Text { face: f, size: s, baseline, glyphs, .. }) = marks.last_mut()
        && *f == face
        && *s == size
        && *baseline == at.1
    {
        glyphs.extend_from_slice(more);
        return;
    }
    let glyphs = more.to_vec();
    marks.push(Mark::Text { face, size, x: at.0, baseline: at.1, ink: Ink::Black, glyphs });
}

fn document(faces: &Faces, seed: u64, pages: u64) -> Composed {
    Composed {
        title: "Salt from the sea".into(),
        language: "en-GB".into(),
        pages: (0..pages).map(|number| page(faces, seed * pages + number + 1)).collect(),
        outline: vec![(0, "Questions".into(), 0, 80.0)],
        ..Composed::default()
    }
}

/// The most memory this process has held, in MB, where the system tells.
fn peak() -> String {
    std::fs::read_to_string("/proc/self/status")
        .ok()
        .and_then(|status| {
            let line = status.lines().find(|line| line.starts_with("VmHWM"))?.to_owned();
            line.split_whitespace().nth(1)?.parse::<u64>().ok()
        })
        .map_or_else(|| "unknown".into(), |kb| format!("{} MB", kb / 1024))
}

/// Seconds of processor time this process has used, on all threads.
fn processor() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    // Fields 14 and 15, in hundredths of a second; the name before may hold spaces.
    let fields = stat.rsplit(')').next().unwrap_or_default().split_whitespace();
    fields.skip(11).take(2).filter_map(|ticks| ticks.parse::<f64>().ok()).sum::<f64>() / 100.0
}

/// Does a trial that gives its file's length, and says how it went: by the clock,
/// and in processor time, which a busy machine leaves alone.
#[allow(clippy::print_stdout)]
fn trial(name: &str, pages: u32, run: impl FnOnce() -> u64) {
    let (clock, busy) = (Instant::now(), processor());
    let bytes = run();
    let (clock, busy) = (clock.elapsed().as_secs_f64(), processor() - busy);
    println!(
        "{name}: {clock:.2} s, {busy:.2} s of processor, {:.0} pages/s, {:.2} kB a page, peak {}",
        f64::from(pages) / clock,
        bytes as f64 / 1000.0 / f64::from(pages),
        peak()
    );
}

fn main() {
    let faces = Faces::embedded();
    let subset = Subset::of(&WORDS.concat().chars().collect(), &faces).expect("sound faces");
    let folder = tempfile::tempdir().expect("a folder for the trial");
    // `cargo bench` adds an option of its own; a word chooses trials by name.
    let chosen = std::env::args().skip(1).find(|word| !word.starts_with('-')).unwrap_or_default();

    let name = "composing alone, 4,000 pages, one thread";
    if name.contains(&chosen) {
        trial(name, 4000, || {
            for version in 0..1000 {
                std::hint::black_box(document(&faces, version, 4));
            }
            0
        });
    }

    let name = "1,000 files of two pages, two threads";
    if name.contains(&chosen) {
        trial(name, 2000, || {
            let mut bytes = 0;
            in_order(
                0..1000,
                2,
                |version| write_pdf(&document(&faces, u64::from(version), 2), &subset, "seed"),
                |version, pdf| {
                    bytes += pdf.len() as u64;
                    let path = folder.path().join(format!("{version}.pdf"));
                    write_whole(&path, &pdf).expect("a writable folder");
                    Ok(())
                },
            )
            .expect("pages that fit the subset");
            bytes
        });
    }

    for workers in [1, 2] {
        let name = format!("one file of 4,000 pages, composing included, {workers} at work");
        if name.contains(&chosen) {
            trial(&name, 4000, || one_file(&faces, &subset, 1000, workers));
        }
    }

    // Chosen one at a time, these show whether memory grows with the versions.
    for versions in [300, 3000] {
        let name = format!("one file of {versions} versions, two at work");
        if name.contains(&chosen) {
            trial(&name, 4 * versions, || one_file(&faces, &subset, versions, 2));
        }
    }

    let name = "one file of 4,000 pages composed beforehand, one thread";
    if name.contains(&chosen) {
        let composed = document(&faces, 7, 4000);
        trial(name, 4000, || {
            write_pdf(&composed, &subset, "seed").expect("pages that fit the subset").len() as u64
        });
    }
}

/// Versions of four pages strung into one file; its length.
fn one_file(faces: &Faces, subset: &Subset, versions: u32, workers: usize) -> u64 {
    let file = tempfile::tempfile().expect("a folder for the trial");
    let sink = std::io::BufWriter::new(file);
    let mut book = Book::new(sink, subset, "All versions", "en-GB", "seed").expect("a sink");
    in_order(
        0..versions,
        workers,
        |version| ink(&document(faces, u64::from(version), 4), subset),
        |version, inked| {
            let part =
                Part { bookmark: format!("Version {version}"), label: format!("{version} ") };
            book.add(inked, Some(&part))
        },
    )
    .expect("pages that fit the subset");
    let file = book.finish().expect("a sink").into_inner().expect("a sink");
    file.metadata().expect("the file just written").len()
}
