//! The demonstration paper set from the demonstration units: its table is filled to
//! the mark, the choice stays until it is asked for anew, and a table that cannot be
//! filled is told cell by cell.

mod demo;

use std::fs;
use std::path::PathBuf;

use stillroom::diag::{Code, Diagnostic, Diagnostics};
use stillroom::paper::Difference;
use stillroom::reading;
use stillroom::run::{SetJob, SetOutcome, SetPaper, set};
use tempfile::TempDir;

/// The units and the paper in a folder of their own, without what was chosen there.
struct Desk {
    folder: TempDir,
}

impl Desk {
    fn new() -> Desk {
        Desk { folder: demo::copied() }
    }

    fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn text(&self, name: &str) -> String {
        fs::read_to_string(self.at(name)).expect("it is there")
    }

    fn change(&self, from: &str, to: &str) {
        let text = self.text("term-one.paper.md");
        assert!(text.contains(from), "{from}");
        fs::write(self.at("term-one.paper.md"), text.replacen(from, to, 1)).expect("written");
    }

    fn run(&self, again: bool) -> SetPaper {
        set(&SetJob { paper: self.at("term-one.paper.md"), again }).expect("it runs")
    }

    fn set(&self, again: bool) -> SetOutcome {
        let done = self.run(again);
        done.outcome.unwrap_or_else(|| panic!("{:?}", done.findings))
    }

    /// The mistakes that keep the paper from being set.
    fn refused(&self) -> Vec<Diagnostic> {
        let done = self.run(false);
        assert!(done.outcome.is_none());
        assert!(!self.at("term-one.chosen.yaml").exists(), "something was written");
        done.findings.into_iter().filter(|f| f.code == Code::PaperUnfillable).collect()
    }

    /// The questions chosen, with their marks.
    fn chosen(&self) -> Vec<(String, u32)> {
        let mut out = Diagnostics::new();
        let path = self.at("term-one.chosen.yaml");
        let file = reading::file::read(&path, "chosen", &mut out).expect("it is there");
        let list = reading::paper::chosen(&file, &mut out).expect("it can be read");
        list.picks.into_iter().map(|pick| (pick.id.value, pick.marks)).collect()
    }

    /// The row of the paper's table and the level, from what a question's unit says.
    fn cell_of(&self, id: &str) -> (String, String) {
        let (unit, question) = id.split_once('/').expect("a unit and a question");
        let text = self.text(&format!("{unit}.md"));
        let block =
            text.split("```question\n").find(|b| b.starts_with(&format!("id: {question}\n")));
        let block = block.expect("the question stands in its unit");
        let line = |key: &str| {
            let found = block.lines().find_map(|line| line.strip_prefix(&format!("{key}: ")));
            found.expect("it says so").to_owned()
        };
        let objective = line("objective");
        let strands = [
            ("techniques", &["property"][..]),
            ("quality of products", &["shares", "quality"]),
            ("extraction and chromatography", &["extraction", "chromatograms"]),
        ];
        let strand = strands.iter().find(|(_, own)| own.contains(&objective.as_str()));
        (strand.map_or(objective.clone(), |(name, _)| (*name).to_owned()), line("level"))
    }
}

#[test]
fn the_table_is_filled_to_the_mark() {
    let desk = Desk::new();
    let outcome = desk.set(false);
    assert_eq!((outcome.marks, outcome.wrote, outcome.stood), (60, true, false));
    assert!(outcome.minutes <= 75);
    let mut rows = desk.text("term-one.paper.md");
    rows = rows.lines().filter(|line| line.starts_with('|')).collect::<Vec<_>>().join("\n");
    let mut lines = rows.lines().map(|line| {
        line.trim_matches('|').split('|').map(|cell| cell.trim().to_owned()).collect::<Vec<_>>()
    });
    let head = lines.next().expect("a head");
    let chosen = desk.chosen();
    for row in lines.filter(|row| row[0] != "total" && !row[0].starts_with(':')) {
        for (column, level) in head.iter().enumerate().filter(|(_, h)| *h != "marks").skip(1) {
            let wanted: u32 = row[column].parse().unwrap_or(0);
            let own = chosen.iter().filter(|(id, _)| {
                let (objective, of) = desk.cell_of(id);
                objective == row[0] && of == *level
            });
            assert_eq!(own.map(|(_, marks)| marks).sum::<u32>(), wanted, "{} {level}", row[0]);
        }
    }
    let taken = |name: &str| chosen.iter().filter(|(id, _)| id == name).count();
    assert_eq!(taken("ombrindale-potash/mill-sieve"), 1, "it must be taken");
    let either = taken("quarnholm-salt/winter-pan") + taken("lissenfold-lavender/solvent-loop");
    assert_eq!(either, 1, "exactly one of the two");
    for unit in ["quarnholm-salt", "ombrindale-potash", "lissenfold-lavender"] {
        let own = chosen.iter().filter(|(id, _)| id.starts_with(unit));
        let marks: u32 = own.map(|(_, marks)| marks).sum();
        assert!((15..=25).contains(&marks), "{unit} has {marks} of 60");
    }
    let levels: Vec<usize> = chosen
        .iter()
        .map(|(id, _)| head.iter().position(|h| *h == desk.cell_of(id).1).expect("a column"))
        .collect();
    assert!(levels.is_sorted(), "easy comes before hard: {chosen:?}");
}

#[test]
fn a_choice_stays_until_it_is_asked_for_anew() {
    let desk = Desk::new();
    desk.set(false);
    let first = desk.text("term-one.chosen.yaml");
    let same = desk.set(false);
    assert!(!same.wrote && same.stood && same.differences.is_empty());
    desk.change("seed: 2031", "seed: 2032");
    let told = desk.set(false);
    assert!(!told.wrote);
    assert_eq!(told.differences.first(), Some(&Difference::Seed(2031, 2032)));
    assert_eq!(desk.text("term-one.chosen.yaml"), first, "nothing changes unasked");
    assert!(desk.set(true).wrote);
    assert_ne!(desk.text("term-one.chosen.yaml"), first);
    assert!(!desk.set(true).wrote, "what is the same is not written again");
}

#[test]
fn what_an_earlier_paper_took_is_taken_last() {
    let desk = Desk::new();
    desk.set(false);
    let is_loop =
        |(id, _): &(String, u32)| desk.cell_of(id) == ("chain".to_owned(), "analyse".to_owned());
    let before = desk.chosen().into_iter().find(is_loop).expect("one of the two loops");
    fs::remove_file(desk.at("term-one.chosen.yaml")).expect("it was there");
    let ledger = format!("paper,question\nmock,{}\n", before.0);
    fs::write(desk.at("papers.csv"), ledger).expect("written");
    desk.set(false);
    let after = desk.chosen().into_iter().find(is_loop).expect("one of the two loops");
    assert_ne!(before, after);
    assert!(desk.text("papers.csv").contains(&format!("mock,{}", before.0)), "it is remembered");
}

#[test]
fn a_cell_beyond_what_the_units_hold_is_named() {
    let desk = Desk::new();
    desk.change("marks: 60\n", "");
    desk.change("|     6 |         |     6 |", "|    12 |         |    12 |");
    desk.change("|    29 |      15 |    60 |", "|    35 |      15 |    66 |");
    let found = desk.refused();
    let [finding] = &found[..] else { panic!("{found:?}") };
    assert!(finding.message.contains("hold 9 for `solubility` at `apply`"), "{}", finding.message);
    assert!(finding.message.contains("12 are wanted"), "{}", finding.message);
    assert!(finding.expected.contains("solubility: apply 9"));
    let written = finding.written.as_deref().expect("the row as it can be");
    assert!(written.contains("|    9 |"), "{written}");
}

#[test]
fn a_demand_that_stands_in_the_way_is_named() {
    let desk = Desk::new();
    desk.change("one_of:\n", "one_of:\n  - [dish-cooling, wash-water]\n");
    let found = desk.refused();
    let [finding] = &found[..] else { panic!("{found:?}") };
    assert!(finding.found.contains("`one_of`"), "{}", finding.found);
}
