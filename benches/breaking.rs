//! How even the lines of the demonstration units' paragraphs are: the squared room
//! at the ends of their lines, against lines of whole words that are each filled before
//! the next. Lessons may have parted words; sheets for learners never do.
//!
//! `cargo bench --bench breaking`; prints one row a unit and sheet.

#![allow(clippy::print_stdout)]

use std::path::Path;

use stillroom::composing::faces::Faces;
use stillroom::composing::{Paper, Profile, slack};
use stillroom::document::{Block, Runs, read};

fn main() {
    let faces = Faces::embedded();
    let a4 = Profile::default();
    let booklet = Profile { paper: Paper::A5, compact: true, ..a4 };
    let large = Profile { large_print: true, ..a4 };
    let sheets = [
        ("A4", a4, None),
        ("A5", booklet, None),
        ("large print", large, None),
        ("A4, parted", a4, Some("en")),
        ("A5, parted", booklet, Some("en")),
        ("large print, parted", large, Some("en")),
    ];
    println!(
        "{:<20}{:<30}{:>8}{:>14}{:>14}{:>8}",
        "unit", "sheet", "lines", "ours", "filled", "less"
    );
    for unit in ["quarnholm-salt", "ombrindale-potash"] {
        let paragraphs = paragraphs(unit);
        // The first of two lines is at its best when filled, so that short paragraphs
        // leave nothing to win; those of four lines and more are counted apart.
        for (name, sheet, parted, least) in sheets
            .iter()
            .flat_map(|(name, sheet, parted)| [(name, sheet, parted, 0), (name, sheet, parted, 3)])
        {
            let (mut count, mut ours, mut filled) = (0, 0.0, 0.0);
            for runs in &paragraphs {
                let (best, plain) = slack(runs, sheet, *parted, &faces);
                if best.len() < least {
                    continue;
                }
                count += best.len();
                ours += best.iter().map(|room| room * room).sum::<f64>();
                filled += plain.iter().map(|room| room * room).sum::<f64>();
            }
            let less = 100.0 * (1.0 - ours / f64::max(filled, 1.0));
            let name = if least > 0 { format!("{name}, 4 and more") } else { (*name).to_owned() };
            println!("{unit:<20}{name:<30}{count:>8}{ours:>14.0}{filled:>14.0}{less:>7.1}%");
        }
    }
}

/// Paragraphs of a unit: its prose, and the texts of its questions.
fn paragraphs(unit: &str) -> Vec<Runs> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("units").join(format!("{unit}.md"));
    let text = std::fs::read_to_string(path).unwrap_or_default();
    // The keys of a block stand above its line of dashes; what is below is Markdown.
    let mut markdown = String::new();
    let mut keys = false;
    for line in text.lines().skip(1).skip_while(|line| *line != "---").skip(1) {
        match line.trim() {
            fence if fence.starts_with("```") => keys = fence.len() > 3,
            "---" => keys = false,
            _ if keys => {}
            _ => markdown.push_str(line),
        }
        markdown.push('\n');
    }
    let blocks = read(&markdown).map(|document| document.blocks).unwrap_or_default();
    let paragraphs = blocks.into_iter().filter_map(|block| match block {
        Block::Paragraph(runs) => Some(runs),
        _ => None,
    });
    paragraphs.collect()
}
