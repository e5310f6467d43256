//! Reports on a class and its questions: pages, a table and JSON.

use std::path::Path;

use serde::Serialize;

use crate::composing::faces::Faces;
use crate::composing::{Profile, compose};
use crate::document::{LearnerRow, Reported, Templates, read_with, report, symbols};
use crate::figure::class::Sign;
use crate::marking::statistics::{Interval, Summary};
use crate::marking::{Column, Gathered, Verdict};
use crate::writing::{CsvTable, Subset, write_pdf};

use super::files::{WholeFile, write_whole};
use super::mark::{Desk, Script};
use super::press::characters;
use super::print::{Trouble, templates_beside, unread};

/// Learners who are told one by one; with more, the table is left out.
const MOST_LEARNERS: usize = 60;

/// What a report needs beside the gathered figures.
#[derive(Default)]
pub(super) struct Roll {
    learners: Vec<LearnerRow>,
    too_many: bool,
    /// The class of the first learner, and whether others are of another.
    class: Option<String>,
    mixed: bool,
}

impl Roll {
    pub(super) fn add(&mut self, desk: &Desk<'_>, script: &Script) {
        match &self.class {
            None => self.class = Some(script.learner.class.clone()),
            Some(class) => self.mixed |= *class != script.learner.class,
        }
        if self.learners.len() == MOST_LEARNERS {
            self.learners.clear();
            self.too_many = true;
        }
        if self.too_many {
            return;
        }
        let sign = |(column, one): (&Column, &crate::marking::Judged)| match one.verdict {
            Verdict::Blank => Sign::Blank,
            _ if one.marks == column.most => Sign::Full,
            _ if one.marks == 0 => Sign::Nothing,
            _ => Sign::Part,
        };
        let signs = desk.columns.iter().zip(&script.judged).map(sign).collect();
        self.learners.push((script.learner.name.clone(), signs, script.total().to_string()));
    }
}

/// Writes `report.pdf`, `items.csv` and `report.json`.
pub(super) fn reports(
    desk: &Desk<'_>,
    gathered: &Gathered,
    roll: &Roll,
    held_back: u64,
    folder: &Path,
) -> Result<(), Trouble> {
    let summary = Summary::of(&gathered.tally);
    let about = Reported {
        asked: desk.asked,
        columns: &desk.columns,
        gathered,
        learners: &roll.learners,
        class: roll.class.as_deref().filter(|_| !roll.mixed),
        held_back,
    };
    let (context, drawings) = report(&about);
    let beside = templates_beside(&desk.job.unit);
    let templates = Templates::new(Some(&beside));
    let markdown = templates.fill("class-report.md", &context)?;
    let document =
        read_with(&markdown, &drawings).map_err(|fault| unread("class-report.md", fault))?;
    let faces = Faces::embedded();
    let mut letters = characters(desk.asked, &beside);
    letters.extend(symbols(&markdown).chain(markdown.chars()).filter(|c| !c.is_control()));
    for drawing in drawings.figures() {
        letters.extend(drawing.labels.iter().flat_map(|label| label.text.chars()));
    }
    let subset = Subset::of(&letters, &faces)?;
    let profile = Profile { tables: true, ..desk.job.profile };
    let composed = compose(&document, &profile, &faces);
    let identity = format!("{} {} report", desk.asked.id, desk.job.seed);
    write_whole(&folder.join("report.pdf"), &write_pdf(&composed, &subset, &identity)?)?;
    items(desk, gathered, &summary, folder)?;
    let json = serde_json::to_string_pretty(&json(desk, gathered, &summary, held_back))
        .map_err(|error| Trouble::Ours(error.to_string()))?;
    write_whole(&folder.join("report.json"), format!("{json}\n").as_bytes())?;
    Ok(())
}

/// `items.csv`: a row for each part.
fn items(
    desk: &Desk<'_>,
    gathered: &Gathered,
    summary: &Summary,
    folder: &Path,
) -> Result<(), Trouble> {
    let heads: Vec<String> = [
        "part",
        "question",
        "marks",
        "facility",
        "facility low",
        "facility high",
        "discrimination",
        "discrimination low",
        "discrimination high",
        "discrimination all ties",
        "corrected r",
        "omit rate",
        "alpha without",
        "version gap",
        "version p adjusted",
        "commonest mistake",
        "made by",
    ]
    .map(str::to_owned)
    .to_vec();
    let mut table = CsvTable::new(WholeFile::create(&folder.join("items.csv"))?, &heads)?;
    let fair = gathered.versions.parts();
    let figure = |value: Option<f64>| value.map_or_else(String::new, |v| format!("{v:.6}"));
    for (at, (column, item)) in desk.columns.iter().zip(&summary.items).enumerate() {
        let low = |i: Option<Interval>| figure(i.map(|i| i.low));
        let high = |i: Option<Interval>| figure(i.map(|i| i.high));
        let commonest = gathered.commonest(at);
        let (name, count) = commonest.first().copied().unwrap_or(("", 0));
        table.row(&[
            column.key.clone(),
            column.question_id.clone(),
            item.most.to_string(),
            figure(item.facility),
            low(item.facility_between),
            high(item.facility_between),
            figure(item.discrimination),
            low(item.discrimination_between),
            high(item.discrimination_between),
            figure(item.discrimination_all_ties),
            figure(item.corrected),
            figure(item.omit_rate),
            figure(item.alpha_without),
            figure(Some(fair[at].gap())),
            figure(fair[at].adjusted),
            name.to_owned(),
            count.to_string(),
        ])?;
    }
    table.finish()?.keep()?;
    Ok(())
}

#[derive(Serialize)]
struct Json<'a> {
    unit: &'a str,
    seed: u64,
    learners: u64,
    rows_not_marked: u64,
    marks: u32,
    mean: Option<f64>,
    median: Option<f64>,
    standard_deviation: Option<f64>,
    distribution: &'a [u64],
    alpha: Option<f64>,
    alpha_95: Option<[f64; 2]>,
    kr20: Option<f64>,
    kr21: Option<f64>,
    sem: Option<f64>,
    marks_per_minute: Option<f64>,
    parts: Vec<JsonPart<'a>>,
}

#[derive(Serialize)]
struct JsonPart<'a> {
    part: &'a str,
    question: &'a str,
    objective: Option<&'a str>,
    marks: u32,
    facility: Option<f64>,
    facility_95: Option<[f64; 2]>,
    discrimination: Option<f64>,
    discrimination_95: Option<[f64; 2]>,
    point_biserial: Option<f64>,
    point_biserial_corrected: Option<f64>,
    omit_rate: Option<f64>,
    alpha_if_deleted: Option<f64>,
    versions: Vec<JsonVersion>,
    versions_p: Option<f64>,
    versions_p_adjusted: Option<f64>,
    mistakes: Vec<JsonMistake<'a>>,
}

#[derive(Serialize)]
struct JsonVersion {
    version: String,
    learners: u64,
    facility: f64,
}

#[derive(Serialize)]
struct JsonMistake<'a> {
    name: &'a str,
    learners: u64,
}

fn json<'a>(
    desk: &'a Desk<'_>,
    gathered: &'a Gathered,
    summary: &'a Summary,
    held_back: u64,
) -> Json<'a> {
    let pair = |i: Option<Interval>| i.map(|i| [i.low, i.high]);
    let parts = desk
        .columns
        .iter()
        .zip(&summary.items)
        .zip(gathered.versions.parts())
        .enumerate()
        .map(|(at, ((column, item), fair))| JsonPart {
            part: &column.key,
            question: &column.question_id,
            objective: column.objective.as_deref(),
            marks: item.most,
            facility: item.facility,
            facility_95: pair(item.facility_between),
            discrimination: item.discrimination,
            discrimination_95: pair(item.discrimination_between),
            point_biserial: item.point_biserial,
            point_biserial_corrected: item.corrected,
            omit_rate: item.omit_rate,
            alpha_if_deleted: item.alpha_without,
            versions: fair
                .shares
                .iter()
                .map(|(version, learners, facility)| JsonVersion {
                    version: crate::version::letters(u64::from(*version)),
                    learners: *learners,
                    facility: *facility,
                })
                .collect(),
            versions_p: fair.p,
            versions_p_adjusted: fair.adjusted,
            mistakes: gathered
                .commonest(at)
                .into_iter()
                .map(|(name, learners)| JsonMistake { name, learners })
                .collect(),
        })
        .collect();
    Json {
        unit: &desk.asked.id,
        seed: desk.job.seed,
        learners: summary.learners,
        rows_not_marked: held_back,
        marks: summary.full,
        mean: summary.mean,
        median: summary.median,
        standard_deviation: summary.deviation,
        distribution: &summary.distribution,
        alpha: summary.alpha,
        alpha_95: pair(summary.alpha_between),
        kr20: summary.alpha.filter(|_| summary.all_one_mark),
        kr21: summary.kr21,
        sem: summary.sem,
        marks_per_minute: gathered.marks_per_minute().map(|(rate, _)| rate),
        parts,
    }
}
