//! `check`: every mistake in every file, in one run.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use crate::composing::Profile;
use crate::composing::faces::Faces;
use crate::diag::{Diagnostic, Diagnostics};
use crate::document::Templates;
use crate::question::Assessment;
use crate::reading;
use crate::reading::model::Model;
use crate::rules::Waiver;
use crate::version::Draws;

use super::extras::Makes;
use super::print::templates_beside;
use super::{department, load, paper};

/// What `check` found.
#[derive(Debug)]
pub struct Checked {
    pub findings: Vec<Diagnostic>,
    /// Units that were read.
    pub units: usize,
    /// Questions in them that can be printed.
    pub questions: usize,
    /// Rules that an author breaks on purpose, in the order of the files.
    pub waivers: Vec<Waiver>,
    /// Papers whose table can be filled.
    pub papers: usize,
    pub failed: bool,
}

/// Seed for the one version that `check` draws to see that there is one.
pub(super) const TRIAL_SEED: u64 = 1;

/// Checks files and folders.
pub fn check(paths: &[PathBuf]) -> Checked {
    let mut out = Diagnostics::new();
    let mut units = 0;
    let mut questions = 0;
    let mut waivers = Vec::new();
    let mut papers = 0;
    let files = reading::find::files(paths, &mut out);
    for found in &files.units {
        units += 1;
        let mut own = Diagnostics::new();
        if let Some(model) = load::model_of(&found.file, &mut own) {
            questions += model.questions.len();
            if !own.has_errors() {
                waivers.extend(load::ruled(&model, &mut own));
            }
            out.extend(own);
            let asked = Assessment::of_unit(&model);
            let drawn = load::draw(&asked, TRIAL_SEED, 1, &mut out);
            if let Some(draws) = drawn.filter(|draws| draws.len() == model.questions.len()) {
                slides(&model, &draws, &mut out);
            }
        } else {
            out.extend(own);
        }
    }
    // A paper tells what is wrong with the department beside it.
    let folder = |found: &reading::find::Found| found.path.parent().map(Path::to_path_buf);
    let told: BTreeSet<PathBuf> = files.papers.iter().filter_map(folder).collect();
    let beside: BTreeSet<PathBuf> = files.units.iter().filter_map(folder).collect();
    for folder in beside.difference(&told) {
        department::of(folder, &mut out);
    }
    for found in &files.papers {
        papers += usize::from(paper::check(found, &mut out));
    }
    let failed = out.has_errors();
    Checked { findings: out.sorted(), units, questions, waivers, papers, failed }
}

/// What would not fit on slides. A unit is sound all the same, so what keeps them
/// from being laid out here is left to `print` to tell.
fn slides(model: &Model, draws: &[Draws], out: &mut Diagnostics) {
    let unit = PathBuf::from(model.parsed.file.name());
    let templates = Templates::new(Some(&templates_beside(&unit)));
    let makes = Makes {
        model,
        draws,
        seed: TRIAL_SEED,
        templates: &templates,
        faces: &Faces::embedded(),
        profile: Profile::default(),
    };
    let found = makes.too_long().unwrap_or_default();
    found.into_iter().for_each(|finding| out.push(finding));
}
