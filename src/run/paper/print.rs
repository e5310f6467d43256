//! `print PAPER`: the front page, the questions that were chosen and the data page, in every
//! version, with keys, mark scheme and the form for responses.
//!
//! What every version has is made by `press`, as for a unit's sheets.

use crate::composing::faces::Faces;
use crate::composing::page::Composed;
use crate::composing::{Pair, Profile};
use crate::diag::Diagnostics;
use crate::document::Templates;
use crate::version::letters;
use crate::writing::Subset;

use super::super::figures::drawings;
use super::super::forms;
use super::super::load;
use super::super::press::{Kind, Press, characters};
use super::super::print::{PrintJob, Trouble, remove_older, templates_beside};
use super::asked::asked;
use super::load::Loaded;
use super::moderation::{self, Begun};
use super::set;

/// Prints a paper; gives the folder and how many versions there are, or nothing where
/// something in the files must be mended first.
///
/// # Errors
/// What kept a sound paper from being printed.
pub(in super::super) fn print(
    job: &PrintJob,
    out: &mut Diagnostics,
    progress: &mut dyn FnMut(u32),
) -> Result<Option<(std::path::PathBuf, PrintJob)>, Trouble> {
    let Some(loaded) = set::read(&job.unit, out) else { return Ok(None) };
    let job = of_paper(job, &loaded);
    let Some(begun) = begun(&job, &loaded, out) else { return Ok(None) };
    let done = with_press(&job, &loaded, out, |press| {
        press.tried()?;
        let pack = begun.as_ref().map(|begun| begun.pack(press, &loaded)).transpose()?;
        let folder = job.out.join(press.id());
        press.all(&folder, progress)?;
        if let Some(pack) = pack {
            pack.keep(&folder)?;
        }
        if job.only.is_none() {
            remove_older(&folder, &job);
        }
        Ok(folder)
    })?;
    Ok(done.map(|folder| (folder, job)))
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
    let laid = with_press(&job, &loaded, &mut out, |press| {
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
    then: impl FnOnce(&Press<'_>) -> Result<T, Trouble>,
) -> Result<Option<T>, Trouble> {
    loaded.models.iter().for_each(|model| load::refused(model, out));
    let Some(asked) = asked(loaded, out).filter(|_| !out.has_errors()) else { return Ok(None) };
    let last = job.only.map_or(job.versions, |only| only + 1);
    let Some(draws) = load::draw(&asked, job.seed, u64::from(last), out) else { return Ok(None) };
    let beside = templates_beside(&job.unit);
    let faces = Faces::embedded();
    let roster = match &job.roster {
        None => Vec::new(),
        Some(path) => match forms::roster(path, out) {
            Some(roster) => roster,
            None => return Ok(None),
        },
    };
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
    then(&press).map(Some)
}
