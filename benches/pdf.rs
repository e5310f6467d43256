//! How fast composed pages become files, how large, and with how much memory.
//!
//! Run with `cargo bench --bench pdf`. Takes no input; prints one line a trial:
//! one file of 4,000 text pages, and 1,000 files of two pages on two threads.

use std::time::{Duration, Instant};

use stillroom::composing::faces::Faces;
use stillroom::composing::page::{Composed, Face, Ink, Mark, Page};
use stillroom::run::{in_order, write_whole};
use stillroom::writing::{Book, Part, Subset, ink, write_pdf};

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const WORDS: [&str; 24] = [
    "brine", "filtrate", "is", "boiled", "until", "crystals", "show", "250\u{A0}kg", "of", "the",
    "mother", "liquor", "5.0\u{202F}%", "salt", "H₂O", "evaporates", "and", "a", "residue",
    "remains;", "Calculate", "washing", "at", "25\u{202F}°C",
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
            let word = WORDS[(state >> 33) as usize % WORDS.len()];
            for text in [word, " "] {
                for run in &faces.shape(face, text).runs {
                    let advance = run.width * 0.012;
                    let size = 12.0 * run.scale;
                    append(&mut marks, run.face, size, (x, baseline), &run.glyphs);
                    x += advance;
                }
            }
        }
    }
    Page { width: 595.28, height: 841.89, marks }
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

#[allow(clippy::print_stdout)]
fn say(trial: &str, took: Duration, pages: u32, bytes: u64) {
    println!(
        "{trial}: {:.2} s, {:.0} pages/s, {:.2} kB a page, peak {}",
        took.as_secs_f64(),
        f64::from(pages) / took.as_secs_f64(),
        bytes as f64 / 1000.0 / f64::from(pages),
        peak()
    );
}

fn main() {
    let faces = Faces::embedded();
    let subset = Subset::of(&WORDS.concat().chars().collect(), &faces).expect("sound faces");
    let folder = tempfile::tempdir().expect("a folder for the trial");

    let begin = Instant::now();
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
    say("1,000 two-page files, two threads", begin.elapsed(), 2000, bytes);

    for workers in [1, 2] {
        let begin = Instant::now();
        let path = folder.path().join("all.pdf");
        let file = std::fs::File::create(&path).expect("a writable folder");
        let sink = std::io::BufWriter::new(file);
        let mut book = Book::new(sink, &subset, "All versions", "en-GB", "seed").expect("a sink");
        in_order(
            0..1000,
            workers,
            |version| ink(&document(&faces, u64::from(version), 4), &subset),
            |version, inked| {
                let part =
                    Part { bookmark: format!("Version {version}"), label: format!("{version} ") };
                book.add(inked, Some(&part))
            },
        )
        .expect("pages that fit the subset");
        drop(book.finish().expect("a sink"));
        let bytes = std::fs::metadata(&path).expect("the file just written").len();
        let trial = format!("one file of 4,000 pages, composing included, {workers} at work");
        say(&trial, begin.elapsed(), 4000, bytes);
    }

    // All pages composed beforehand: the writer alone.
    let composed = document(&faces, 7, 4000);
    let begin = Instant::now();
    let pdf = write_pdf(&composed, &subset, "seed").expect("pages that fit the subset");
    say("one file of 4,000 pages, writing alone, one thread", begin.elapsed(), 4000, pdf.len() as u64);
}
