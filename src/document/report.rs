//! The report on a class and its questions: what the template is given, made of what was
//! gathered, and the charts beside it.

use std::collections::BTreeMap;

use crate::figure::Drawing;
use crate::figure::class::{Gained, Sign, gained, marks_of_all, who_did_what};
use crate::marking::advice::{APART, CHANCE, advice, chance, sources};
use crate::marking::statistics::{Interval, Summary};
use crate::marking::{Column, Gathered, Verdict};
use crate::question::Assessment;
use crate::question::mistakes::{Mistake, catalogue};
use crate::version::letters;

use super::context::{CellsContext, FigureContext, ReportContext, WidthContext};
use super::escape::escape;
use super::read::Drawings;

/// Mistakes of a part that are told by name.
const MOST_MISTAKES: usize = 4;
/// Mistakes of which is told what helps.
const MOST_REMEDIES: usize = 8;
/// Versions that have a column.
const MOST_VERSIONS: usize = 12;

/// A learner's row in the table of who did what: name, sign for each column, total.
pub type LearnerRow = (String, Vec<Sign>, String);

/// What a report is about.
pub struct Reported<'a> {
    pub asked: &'a Assessment<'a>,
    pub columns: &'a [Column],
    pub gathered: &'a Gathered,
    /// All learners, if they are few enough for a table.
    pub learners: &'a [LearnerRow],
    /// The class, if all learners are of one.
    pub class: Option<&'a str>,
    pub held_back: u64,
}

/// The report's context, and its drawings by id.
pub fn report(of: &Reported<'_>) -> (ReportContext, Drawings) {
    let summary = Summary::of(&of.gathered.tally);
    let mut drawings = Drawings::new();
    let mut number = 0;
    // A chart on several drawings is one figure, which goes on.
    let mut figure = |name: &str, charts: Vec<Drawing>, caption: &str| -> Vec<FigureContext> {
        number += usize::from(!charts.is_empty());
        let each = charts.into_iter().enumerate().map(|(at, drawing)| {
            let id = format!("report/{name}-{number}-{at}");
            drawings.extend([(id.clone(), drawing)]);
            let caption = if at == 0 { caption } else { "(continued)" };
            FigureContext {
                id,
                label: format!("Figure {number}"),
                caption: caption.to_owned(),
                names: Vec::new(),
            }
        });
        each.collect()
    };
    let parts: Vec<Gained> = of
        .columns
        .iter()
        .enumerate()
        .map(|(at, column)| Gained {
            part: column.label.clone(),
            share: summary.items[at].facility.unwrap_or(0.0),
            beside: of
                .gathered
                .commonest(at)
                .first()
                .filter(|(_, count)| *count > 1)
                .map_or_else(String::new, |(name, count)| format!("{name}: {count}")),
        })
        .collect();
    let gained = figure(
        "gained",
        gained(&parts),
        "Share of the marks gained on each part, and the mistake most made",
    );
    let marks = summary.median.and_then(|median| marks_of_all(&summary.distribution, median));
    let marks = figure("marks", marks.into_iter().collect(), "Marks of all learners");
    let heads: Vec<String> = of.columns.iter().map(|column| column.key.clone()).collect();
    let learners =
        if of.learners.is_empty() { Vec::new() } else { who_did_what(&heads, of.learners) };
    let learners = figure(
        "learners",
        learners,
        "Who did what: filled for full marks, half filled for some, a ring for none, a dash for an answer left out",
    );
    let title = of.asked.title.clone();
    let count = summary.learners;
    let class = of.class.filter(|class| !class.is_empty());
    let fair = of.gathered.versions.parts();
    let context = ReportContext {
        heading: class.map_or_else(|| "What the class could do".to_owned(), |class| format!("What {class} could do")),
        line: format!("{title} · {count} learner{} · {} marks", if count == 1 { "" } else { "s" }, summary.full),
        head_right: of.asked.right.clone(),
        language: of.asked.language.clone(),
        held_back: (of.held_back > 0).then(|| {
            let (rows, are) = if of.held_back == 1 { ("row", "is") } else { ("rows", "are") };
            format!("{} {rows} of the file {are} not counted here: something in them must be mended first.", of.held_back)
        }),
        gained,
        marks,
        grades: grades(of, &summary),
        learners,
        to_do: to_do(of, &summary, &fair),
        objectives: objectives(of, &summary),
        paper: paper(of, &summary),
        items: items(of, &summary, &fair),
        mistakes: mistakes(of),
        remedies: remedies(of),
        versions: versions(of, &fair),
        versions_line: versions_line(of, &fair),
        sources: sources(),
        title,
    };
    (context, drawings)
}

fn cells(columns: &[(&str, f64)], rows: Vec<Vec<String>>) -> CellsContext {
    let columns = columns
        .iter()
        .map(|(head, width)| WidthContext { head: (*head).to_owned(), width: *width })
        .collect();
    CellsContext { columns, rows, ..CellsContext::default() }
}

/// Two decimals, with a true minus; a dash where there is none.
fn two(value: Option<f64>) -> String {
    value.map_or_else(
        || "–".to_owned(),
        |value| {
            let text = format!("{value:.2}");
            if text == "-0.00" { "0.00".to_owned() } else { text.replace('-', "−") }
        },
    )
}

fn between(interval: Option<Interval>) -> String {
    interval.map_or_else(String::new, |i| format!("{} to {}", two(Some(i.low)), two(Some(i.high))))
}

fn to_do(
    of: &Reported<'_>,
    summary: &Summary,
    fair: &[crate::marking::statistics::Fairness],
) -> CellsContext {
    let rows = of
        .columns
        .iter()
        .enumerate()
        .filter_map(|(at, column)| {
            let commonest = of.gathered.commonest(at);
            let most = commonest.first().copied();
            let says = advice(&summary.items[at], &fair[at], summary.learners, most);
            (!says.is_empty()).then(|| {
                let item = &summary.items[at];
                vec![
                    column.label.clone(),
                    two(item.facility),
                    two(item.discrimination),
                    escape(most.map_or("–", |(name, _)| name)).into_owned(),
                    escape(&says.join(" ")).into_owned(),
                ]
            })
        })
        .collect();
    let heads = [
        ("part", 14.0),
        ("facility", 20.0),
        ("discrimination", 28.0),
        ("mistake most made", 42.0),
        ("what to do", 70.0),
    ];
    cells(&heads, rows)
}

/// How many learners have each grade, where the department gives any.
fn grades(of: &Reported<'_>, summary: &Summary) -> CellsContext {
    let counts = of.asked.department.graded(&summary.distribution);
    let rows = counts.into_iter().map(|(grade, from, count)| {
        vec![escape(&grade).into_owned(), from.to_string(), count.to_string()]
    });
    cells(&[("grade", 24.0), ("from marks", 24.0), ("learners", 24.0)], rows.collect())
}

fn objectives(of: &Reported<'_>, summary: &Summary) -> CellsContext {
    let mut rows = Vec::new();
    for (id, words) in of.asked.objectives() {
        let own: Vec<usize> = (0..of.columns.len())
            .filter(|at| of.columns[*at].objective.as_deref() == Some(id))
            .collect();
        let full: f64 = own.iter().map(|at| f64::from(of.columns[*at].most)).sum();
        if full == 0.0 {
            continue;
        }
        let gained: f64 = own
            .iter()
            .map(|at| summary.items[*at].facility.unwrap_or(0.0) * f64::from(of.columns[*at].most))
            .sum();
        let parts: Vec<&str> = own.iter().map(|at| of.columns[*at].key.as_str()).collect();
        rows.push(vec![
            escape(words).into_owned(),
            format!("{full:.0}"),
            format!("{:.0}\u{202f}%", 100.0 * gained / full),
            parts.join(" "),
        ]);
    }
    cells(&[("objective", 82.0), ("marks", 14.0), ("gained", 18.0), ("parts", 60.0)], rows)
}

fn paper(of: &Reported<'_>, summary: &Summary) -> Vec<String> {
    let mut lines = Vec::new();
    if let (Some(mean), Some(median)) = (summary.mean, summary.median) {
        let spread = summary
            .deviation
            .map_or_else(String::new, |sd| format!(", standard deviation {sd:.1}"));
        lines.push(format!("Mean {mean:.1} of {}, median {median:.1}{spread}.", summary.full));
    }
    let name = if summary.all_one_mark { "KR-20" } else { "Alpha" };
    match summary.alpha {
        Some(alpha) => {
            let range = summary
                .alpha_between
                .map_or_else(String::new, |i| format!(" (95\u{202f}%: {})", between(Some(i))));
            let kr21 =
                summary.kr21.map_or_else(String::new, |k| format!(", KR-21 {}", two(Some(k))));
            let sem = summary.sem.map_or_else(String::new, |sem| {
                format!(" A learner's marks are good to about ±{sem:.1} (standard error of measurement).")
            });
            lines.push(format!("{name} {}{range}{kr21}.{sem}", two(Some(alpha))));
        }
        None => {
            lines.push("Alpha is not defined: there is no spread, or only one part.".to_owned());
        }
    }
    if let Some((rate, learners)) = of.gathered.marks_per_minute() {
        lines.push(format!(
            "Marks gained in a minute: {rate:.2}, over {learners} learners whose minutes are known."
        ));
    }
    lines
}

fn items(
    of: &Reported<'_>,
    summary: &Summary,
    fair: &[crate::marking::statistics::Fairness],
) -> CellsContext {
    let rows = of
        .columns
        .iter()
        .zip(&summary.items)
        .enumerate()
        .map(|(at, (column, item))| {
            vec![
                column.key.clone(),
                item.most.to_string(),
                two(item.facility),
                between(item.facility_between),
                two(item.discrimination),
                between(item.discrimination_between),
                two(item.corrected),
                item.omit_rate
                    .map_or_else(String::new, |rate| format!("{:.0}\u{202f}%", 100.0 * rate)),
                two(item.alpha_without),
                fair[at].adjusted.map_or_else(|| "–".to_owned(), |p| two(Some(p))),
            ]
        })
        .collect();
    let heads = [
        ("part", 12.0),
        ("marks", 14.0),
        ("facility", 18.0),
        ("95 %", 25.0),
        ("discr.", 15.0),
        ("95 %", 27.0),
        ("r", 14.0),
        ("left out", 13.0),
        ("alpha without", 17.0),
        ("versions, p", 19.0),
    ];
    cells(&heads, rows)
}

/// How often each thing happened on each part: what a table of distractors is for choices.
fn mistakes(of: &Reported<'_>) -> CellsContext {
    let mut rows = Vec::new();
    for (at, column) in of.columns.iter().enumerate() {
        let count = |verdict| of.gathered.count(at, verdict);
        let named: Vec<(&str, u64)> = of.gathered.commonest(at);
        let told: Vec<String> = named
            .iter()
            .take(MOST_MISTAKES)
            .map(|(name, count)| format!("{} ({count})", escape(name)))
            .collect();
        rows.push(vec![
            column.key.clone(),
            (count(Verdict::Right) + count(Verdict::Unit) + count(Verdict::Figures)).to_string(),
            count(Verdict::FollowedThrough).to_string(),
            named.iter().map(|(_, n)| n).sum::<u64>().to_string(),
            (count(Verdict::Wrong) + count(Verdict::Point)).to_string(),
            count(Verdict::Blank).to_string(),
            told.join("; "),
        ]);
    }
    let heads = [
        ("part", 12.0),
        ("right", 13.0),
        ("ft", 11.0),
        ("named", 17.0),
        ("other", 13.0),
        ("left out", 16.0),
        ("mistakes by name", 92.0),
    ];
    cells(&heads, rows)
}

/// What the commonest mistakes of the catalogue show, and what helps. One that could not be
/// told from another is left out.
fn remedies(of: &Reported<'_>) -> CellsContext {
    let mut made: BTreeMap<&str, u64> = BTreeMap::new();
    for at in 0..of.columns.len() {
        for (name, count) in of.gathered.commonest(at) {
            *made.entry(name).or_default() += count;
        }
    }
    let known = catalogue();
    let mut rows: Vec<(u64, &Mistake)> = known
        .iter()
        .filter_map(|(_, mistake)| Some((*made.get(mistake.name)?, *mistake)))
        .filter(|(count, _)| *count > 1)
        .collect();
    rows.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.name.cmp(b.1.name)));
    rows.dedup_by_key(|(_, mistake)| mistake.name);
    rows.truncate(MOST_REMEDIES);
    let rows = rows.into_iter().map(|(count, mistake)| {
        let text = |words: &str| escape(words).into_owned();
        vec![text(mistake.name), count.to_string(), text(mistake.shows), text(mistake.remedy)]
    });
    let heads = [("mistake", 44.0), ("made", 14.0), ("what it shows", 52.0), ("what helps", 64.0)];
    cells(&heads, rows.collect())
}

fn versions(of: &Reported<'_>, fair: &[crate::marking::statistics::Fairness]) -> CellsContext {
    let whole = of.gathered.versions.whole();
    if whole.shares.len() < 2 {
        return CellsContext::default();
    }
    let shown = whole.shares.len().min(MOST_VERSIONS);
    let width = (174.0 - 14.0 - 22.0) / shown as f64;
    let mut columns = vec![WidthContext { head: "part".to_owned(), width: 14.0 }];
    columns.extend(whole.shares.iter().take(shown).map(|(version, learners, _)| WidthContext {
        head: format!("{} ({learners})", letters(u64::from(*version))),
        width: width.min(24.0),
    }));
    columns.push(WidthContext { head: "p, adjusted".to_owned(), width: 22.0 });
    let row = |name: &str, one: &crate::marking::statistics::Fairness| {
        let mut cells = vec![name.to_owned()];
        cells.extend(one.shares.iter().take(shown).map(|(_, _, share)| two(Some(*share))));
        cells.push(two(one.adjusted));
        cells
    };
    let mut rows = vec![row("all", &whole)];
    rows.extend(of.columns.iter().zip(fair).map(|(column, one)| row(&column.key, one)));
    CellsContext { columns, rows, ..CellsContext::default() }
}

fn versions_line(of: &Reported<'_>, fair: &[crate::marking::statistics::Fairness]) -> String {
    let unlike: Vec<String> = of
        .columns
        .iter()
        .zip(fair)
        .filter(|(_, one)| one.adjusted.is_some_and(|p| p < CHANCE) && one.gap() >= APART)
        .map(|(column, one)| format!("{} ({})", column.label, chance(one.adjusted.unwrap_or(1.0))))
        .collect();
    if unlike.is_empty() {
        "Share of the marks by version, learners in brackets. No part was harder in one version than chance explains.".to_owned()
    } else {
        format!(
            "Share of the marks by version, learners in brackets. Versions differ more than chance explains on {}.",
            unlike.join(", ")
        )
    }
}
