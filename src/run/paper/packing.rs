//! The packing list of a paper: made once every copy has its pages.

use std::path::Path;

use crate::composing::{Paper, Profile, compose};
use crate::document::{
    CopyFile, Document, InRoom, PackedRoom, Packing, packing, read_with, sheet, symbols,
};
use crate::version::letters;
use crate::writing::{Subset, write_pdf};

use super::super::files::write_whole;
use super::super::press::{Press, characters};
use super::super::print::{Trouble, templates_beside, unread};
use super::rooms::Rooms;
use super::sets::Pages;

/// The list's file.
pub(super) const FILE: &str = "packing-list.pdf";

/// The list as a document, and every character of it. `pages` holds those of each copy.
pub(super) fn document(
    press: &Press<'_>,
    rooms: &Rooms,
    pages: &[Pages],
) -> Result<(Document, String), Trouble> {
    let (context, drawings) = packing(&packed(press, rooms, pages)?);
    let markdown = press.templates.fill("packing-list.md", &context)?;
    let document =
        read_with(&markdown, &drawings).map_err(|fault| unread("packing-list.md", fault))?;
    let labels = drawings.figures().flat_map(|drawing| &drawing.labels);
    let mut words: String = labels.map(|label| label.text.as_str()).collect();
    words.extend(symbols(&markdown));
    words.push_str(&markdown);
    Ok((document, words))
}

/// Writes the list.
pub(super) fn write(
    press: &Press<'_>,
    rooms: &Rooms,
    pages: &[Pages],
    folder: &Path,
) -> Result<(), Trouble> {
    let (document, words) = document(press, rooms, pages)?;
    let mut used = characters(press.asked, &templates_beside(&press.job.unit));
    used.extend(words.chars().filter(|c| !c.is_control()));
    let subset = Subset::of(&used, &press.faces)?;
    // Each room's pages are a sheet of their own, to go with its papers.
    let profile = Profile { tables: true, fill: 2, ..press.job.profile.on_sheets() };
    let composed = compose(&document, &profile, &press.faces);
    let identity = format!("{} {} packing list", press.id(), press.job.seed);
    Ok(write_whole(&folder.join(FILE), &write_pdf(&composed, &subset, &identity)?)?)
}

fn packed(press: &Press<'_>, rooms: &Rooms, pages: &[Pages]) -> Result<Packing, Trouble> {
    let mut files: Vec<CopyFile> = rooms
        .files
        .iter()
        .map(|name| CopyFile { name: format!("{name}.pdf"), ..CopyFile::default() })
        .collect();
    // Which file and which pages each learner's copy has.
    let mut found: Vec<(usize, Pages)> = vec![(0, (0, 0)); rooms.learners.len()];
    for (copy, pages) in rooms.copies.iter().zip(pages) {
        files[copy.file].copies += 1;
        files[copy.file].pages = pages.1;
        if let Some(index) = copy.learner {
            found[index] = (copy.file, *pages);
        }
    }
    let in_room = |index: usize, seated: &[usize]| {
        let learner = &rooms.learners[index];
        let desk = learner.desk.as_ref().filter(|_| seated.contains(&index));
        InRoom {
            name: learner.name.clone(),
            class: learner.class.clone(),
            desk: desk.map(|d| (d.row, d.seat, d.row_name.clone(), d.seat_name.clone())),
            version: letters(u64::from(rooms.versions[index])),
            arrangements: learner.needs.names(),
            paper: learner.needs.paper.clone(),
            file: found[index].0,
            pages: found[index].1,
        }
    };
    let booklet = press.job.profile.paper == Paper::A5;
    Ok(Packing {
        title: press.asked.title.clone(),
        right: press.asked.right.clone(),
        language: press.asked.language.clone(),
        seed: press.job.seed,
        versions: (0..press.job.versions).map(|version| letters(u64::from(version))).collect(),
        data_page: !booklet && has_data(press)?,
        files,
        rooms: rooms
            .places
            .iter()
            .map(|place| PackedRoom {
                name: place.name.clone(),
                learners: place.learners.iter().map(|i| in_room(*i, &place.seated)).collect(),
                spares: place.spares.iter().map(|v| letters(u64::from(*v))).collect(),
                corners: place.corners,
                apart: place.is_apart(),
            })
            .collect(),
    })
}

/// Whether tables stand on a page behind the questions.
fn has_data(press: &Press<'_>) -> Result<bool, Trouble> {
    let first = press.first();
    let solved = press.solved(first)?;
    let context = sheet(press.asked, &solved, &letters(u64::from(first)), press.job.seed, false);
    Ok(!context.data.is_empty())
}
