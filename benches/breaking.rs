//! How even the lines of the demonstration units' paragraphs are: the squared room at
//! the ends of their lines, the last of each paragraph apart, against lines of whole
//! words that are each filled before the next.
//!
//! Lessons may have parted words, and are shown with whole words too; the text of
//! questions never has them. Of whole words the breaks are the best that there are in as
//! few lines, so that what is won there is all that can be.
//!
//! `cargo bench --bench breaking`; prints a row for each unit and sheet, and their sums.

#![allow(clippy::print_stdout)]

use std::path::Path;

use stillroom::composing::faces::Faces;
use stillroom::composing::{Paper, Profile, slack};
use stillroom::document::{Block, Runs, read};

/// Lines, and the squared room at their ends in square points.
#[derive(Clone, Copy, Default)]
struct Room {
    lines: usize,
    ours: f64,
    filled: f64,
}

impl Room {
    fn add(&mut self, other: Room) {
        self.lines += other.lines;
        self.ours += other.ours;
        self.filled += other.filled;
    }

    fn row(self, unit: &str, sheet: &str, text: &str) {
        let less = 100.0 * (1.0 - self.ours / f64::max(self.filled, 1.0));
        println!(
            "{unit:<20}{sheet:<14}{text:<24}{:>7}{:>12.0}{:>12.0}{less:>7.1}%",
            self.lines, self.ours, self.filled
        );
    }
}

fn main() {
    let faces = Faces::embedded();
    let a4 = Profile::default();
    let booklet = Profile { paper: Paper::A5, compact: true, ..a4 };
    let large = Profile { large_print: true, ..a4 };
    let sheets = [("A4", a4), ("A5", booklet), ("large print", large)];
    println!(
        "{:<20}{:<14}{:<24}{:>7}{:>12}{:>12}{:>8}",
        "unit", "sheet", "text", "lines", "ours", "filled", "less"
    );
    let mut sums = [Room::default(); 3];
    let texts = ["lesson, parted", "lesson, whole words", "questions, whole words"];
    for unit in ["quarnholm-salt", "ombrindale-potash", "lissenfold-lavender"] {
        let (lesson, questions) = paragraphs(unit);
        for (sheet, profile) in &sheets {
            let rooms = [
                room(&lesson, profile, Some("en"), &faces),
                room(&lesson, profile, None, &faces),
                room(&questions, profile, None, &faces),
            ];
            for ((room, sum), text) in rooms.into_iter().zip(&mut sums).zip(texts) {
                room.row(unit, sheet, text);
                sum.add(room);
            }
        }
    }
    for (sum, text) in sums.into_iter().zip(texts) {
        sum.row("all", "all", text);
    }
}

fn room(paragraphs: &[Runs], profile: &Profile, parted: Option<&str>, faces: &Faces) -> Room {
    let mut room = Room::default();
    for runs in paragraphs {
        let (ours, filled) = slack(runs, profile, parted, faces);
        let squares = |rooms: &[f64]| rooms.iter().map(|room| room * room).sum::<f64>();
        room.add(Room { lines: ours.len() + 1, ours: squares(&ours), filled: squares(&filled) });
    }
    room
}

/// Paragraphs of a unit: its lesson's, and those of its questions' texts.
fn paragraphs(unit: &str) -> (Vec<Runs>, Vec<Runs>) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("units").join(format!("{unit}.md"));
    let text = std::fs::read_to_string(path).unwrap_or_default();
    // The keys of a block stand above its line of dashes; what is below is Markdown.
    let (mut lesson, mut questions) = (String::new(), String::new());
    let (mut keys, mut in_block) = (false, false);
    for line in text.lines().skip(1).skip_while(|line| *line != "---").skip(1) {
        match line.trim() {
            fence if fence.starts_with("```") => {
                keys = fence.len() > 3;
                in_block = keys;
            }
            "---" => keys = false,
            _ if keys => {}
            _ if in_block => questions.push_str(line),
            _ => lesson.push_str(line),
        }
        lesson.push('\n');
        questions.push('\n');
    }
    (read_paragraphs(&lesson), read_paragraphs(&questions))
}

fn read_paragraphs(markdown: &str) -> Vec<Runs> {
    let blocks = read(markdown).map(|document| document.blocks).unwrap_or_default();
    let paragraphs = blocks.into_iter().filter_map(|block| match block {
        Block::Paragraph(runs) => Some(runs),
        _ => None,
    });
    paragraphs.collect()
}
