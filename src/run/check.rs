//! `check`: every mistake in every file, in one run.

use std::path::PathBuf;

use crate::diag::{Diagnostic, Diagnostics};
use crate::reading;

use super::load;

/// What `check` found.
#[derive(Debug)]
pub struct Checked {
    pub findings: Vec<Diagnostic>,
    /// Units that were read.
    pub units: usize,
    /// Questions in them that can be printed.
    pub questions: usize,
    pub failed: bool,
}

/// Seed for the one version that `check` draws to see that there is one.
const TRIAL_SEED: u64 = 1;

/// Checks files and folders.
pub fn check(paths: &[PathBuf]) -> Checked {
    let mut out = Diagnostics::new();
    let mut units = 0;
    let mut questions = 0;
    for found in reading::find::units(paths, &mut out) {
        units += 1;
        if let Some(model) = load::model_of(&found.file, &mut out) {
            questions += model.questions.len();
            load::draw(&model, TRIAL_SEED, 1, &mut out);
        }
    }
    let failed = out.has_errors();
    Checked { findings: out.sorted(), units, questions, failed }
}
