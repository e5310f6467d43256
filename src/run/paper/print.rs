//! `print PAPER`: the front page, the questions that were chosen and the data page, in every
//! version, with keys, mark scheme and the form for responses.
//!
//! What every version has is made by `press`, as for a unit's sheets; with a roster every
//! learner has a copy of their own, made by `sets`.

use std::path::{Path, PathBuf};

use crate::composing::faces::Faces;
use crate::composing::page::{Composed, Face};
use crate::composing::{Pair, Profile};
use crate::diag::{Code, Diagnostics};
use crate::document::Templates;
use crate::marking::responses::in_row;
use crate::paper::Learner;
use crate::version::letters;
use crate::writing::Subset;

use super::super::figures::drawings;
use super::super::forms;
use super::super::load;
use super::super::press::{Kind, Press, characters};
use super::super::print::{ClassSet, PrintJob, Trouble, remove_older, templates_beside};
use super::asked::asked;
use super::load::Loaded;
use super::moderation::{self, Begun};
use super::packing;
use super::rooms::{Rooms, rooms};
use super::set;
use super::sets::Sets;

/// Prints a paper; gives the folder, the job with what the paper says itself and how many
/// copies there are for learners, or nothing where something in the files must be mended
/// first.
///
/// # Errors
/// What kept a sound paper from being printed.
pub(in super::super) fn print(
    job: &PrintJob,
    out: &mut Diagnostics,
    progress: &mut dyn FnMut(u32),
) -> Result<Option<(PathBuf, PrintJob, usize)>, Trouble> {
    let Some(loaded) = set::read(&job.unit, out) else { return Ok(None) };
    let job = of_paper(job, &loaded);
    let Some(begun) = begun(&job, &loaded, out) else { return Ok(None) };
    let done = with_press(&job, &loaded, out, |press, rooms| {
        press.tried()?;
        let pack = begun.as_ref().map(|begun| begun.pack(press, &loaded)).transpose()?;
        let sets = rooms.map(|rooms| Sets::new(press, rooms)).transpose()?;
        if let Some(sets) = &sets {
            packing::document(press, sets.rooms, &[])?;
        }
        let folder = job.out.join(press.id());
        press.all(&folder, progress)?;
        if let Some(pack) = pack {
            pack.keep(&folder)?;
        }
        if let Some(sets) = &sets {
            let pages = sets.write(&folder)?;
            packing::write(press, sets.rooms, &pages, &folder)?;
        }
        if job.only.is_none() {
            remove_older(&folder, &job);
            let files: &[String] = sets.as_ref().map_or(&[], |sets| &sets.rooms.files);
            remove_older_sets(&folder, files);
        }
        Ok((folder, sets.map_or(0, |sets| sets.rooms.copies.len())))
    })?;
    Ok(done.map(|(folder, copies)| (folder, job, copies)))
}

/// Everything of a paper, laid out and not written.
///
/// # Errors
/// What kept a sound paper from being laid out.
pub(in super::super) fn laid_out(job: &PrintJob) -> Result<Vec<(String, Composed)>, Trouble> {
    let mut out = Diagnostics::new();
    let Some(loaded) = set::read(&job.unit, &mut out) else { return Ok(Vec::new()) };
    let job = of_paper(job, &loaded);
    let Some(begun) = begun(&job, &loaded, &mut out) else { return Ok(Vec::new()) };
    let laid = with_press(&job, &loaded, &mut out, |press, _| {
        let letters = letters(u64::from(press.first()));
        let Pair { learner, teacher } = press.pair(&press.filled(press.first())?.document);
        let mut all = vec![
            (format!("paper-{letters}"), learner),
            (format!("answer-key-{letters}"), teacher),
            ("scheme".to_owned(), press.scheme_pages(&press.scheme(&[], 1)?)),
        ];
        if let Some(begun) = &begun {
            begun.lay(press, &loaded, &mut |laid| {
                all.push((laid.name, laid.composed));
                Ok(())
            })?;
        }
        Ok(all)
    })?;
    Ok(laid.unwrap_or_default())
}

/// What a moderation pack begins with, if one is wanted; none if something must be mended.
fn begun(job: &PrintJob, loaded: &Loaded, out: &mut Diagnostics) -> Option<Option<Begun>> {
    match job.extras.moderation {
        true => moderation::begun(loaded, out).map(Some),
        false => Some(None),
    }
}

/// The job with what the paper says itself. Papers are printed on both sides.
fn of_paper(job: &PrintJob, loaded: &Loaded) -> PrintJob {
    let front = &loaded.paper.front;
    let fill = job.profile.fill.max(2);
    let profile = Profile { duplex: true, fill, ..job.profile };
    PrintJob { versions: front.versions, seed: front.seed, profile, ..job.clone() }
}

fn with_press<T>(
    job: &PrintJob,
    loaded: &Loaded,
    out: &mut Diagnostics,
    then: impl FnOnce(&Press<'_>, Option<&Rooms>) -> Result<T, Trouble>,
) -> Result<Option<T>, Trouble> {
    loaded.models.iter().for_each(|model| load::refused(model, out));
    let Some(asked) = asked(loaded, out).filter(|_| !out.has_errors()) else { return Ok(None) };
    let last = job.only.map_or(job.versions, |only| only + 1);
    let Some(draws) = load::draw(&asked, job.seed, u64::from(last), out) else { return Ok(None) };
    let beside = templates_beside(&job.unit);
    let faces = Faces::embedded();
    let mut roster = Vec::new();
    let mut shared_out = None;
    if let Some(set) = &job.roster {
        let Some(mut learners) = forms::roster(&set.roster, job.versions, out) else {
            return Ok(None);
        };
        unknown_letters(&learners, set, &faces, out);
        // One version printed anew is no set.
        if job.only.is_none() {
            let rooms = shared_out.insert(rooms(loaded, learners.clone(), set, out));
            for (learner, version) in learners.iter_mut().zip(&rooms.versions) {
                learner.version = Some(*version);
            }
        }
        roster = forms::listed(&learners);
    }
    let press = Press {
        asked: &asked,
        kind: Kind::Paper,
        draws,
        templates: Templates::new(Some(&beside)),
        subset: Subset::of(&characters(&asked, &beside), &faces)?,
        drawings: drawings(&asked, &job.profile, &faces),
        faces,
        roster,
        job,
    };
    then(&press, shared_out.as_ref()).map(Some)
}

/// Names with letters that no typeface here has.
fn unknown_letters(learners: &[Learner], set: &ClassSet, faces: &Faces, out: &mut Diagnostics) {
    for learner in learners {
        let missing = |c: &char| !c.is_control() && !faces.covers(Face::Regular, *c);
        let Some(c) = learner.name.chars().find(missing) else { continue };
        let message = format!("the typefaces here have no `{c}`; it would print as an empty box.");
        out.push(
            in_row(
                Code::MissingGlyph,
                &set.roster.display().to_string(),
                &learner.row,
                None,
                &message,
            )
            .found(format!("`{}`", learner.name))
            .expected("letters of a European language")
            .next("write the name by hand, or spell it in other letters in the roster"),
        );
    }
}

/// Takes away sets of an earlier run that this one did not write anew.
fn remove_older_sets(folder: &Path, written: &[String]) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let Some(stem) = name.to_str().and_then(|name| name.strip_suffix(".pdf")) else { continue };
        let is_set = ["room", "class", "version"].iter().any(|kind| {
            stem.strip_prefix(kind).is_some_and(|rest| rest.is_empty() || rest.starts_with('-'))
        });
        let is_list = written.is_empty() && packing::FILE.strip_suffix(".pdf") == Some(stem);
        if is_list || is_set && !written.iter().any(|own| own == stem) {
            // One that cannot be removed, because it is open in a viewer, stays.
            let _ = std::fs::remove_file(entry.path());
        }
    }
}
