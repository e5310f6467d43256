//! A paper's names looked up in its units: which questions may be chosen, in which
//! cell of the table each counts, and what the programme is to meet.

use crate::diag::{Code, Diagnostic, Diagnostics, Place, Span, nearest};
use crate::reading::department::Levels;
use crate::reading::model::{Checked, Model};
use crate::reading::paper::{Bounds, ParsedPaper, Section};
use crate::reading::parsed::Text;
use crate::version::{Key, Stream};

use super::clues::{Said, apart};
use super::ledger::Ledger;
use super::pick::{Candidate, SectionRule, TIES, Wanted};

/// A unit of the paper, with what its questions come to.
#[derive(Debug)]
pub struct UnitOf<'a> {
    pub model: &'a Model,
    /// For each question; none where it cannot be had in all versions.
    pub worth: Vec<Option<Worth>>,
}

/// What a question is worth and says.
#[derive(Debug, Clone, Default)]
pub struct Worth {
    pub marks: u32,
    /// In each version.
    pub said: Vec<Said>,
    pub hash: String,
}

/// A question that may be chosen.
#[derive(Debug, Clone)]
pub struct Question {
    /// "quarnholm-salt/two-pans".
    pub id: String,
    /// The number of its unit, and its own number there.
    pub unit: usize,
    pub number: usize,
    pub row: usize,
    /// The number of its level, from the easiest of the school's levels.
    pub level: usize,
    pub has_figure: bool,
    pub hash: String,
}

/// What there is to choose from, and what is wanted. Questions and candidates are
/// the same in the same order.
#[derive(Debug, Clone, Default)]
pub struct Bank {
    pub questions: Vec<Question>,
    pub candidates: Vec<Candidate>,
    pub wanted: Wanted,
}

impl Bank {
    /// How many marks the units hold in each cell.
    pub fn held(&self) -> Vec<u32> {
        let mut held = vec![0; self.wanted.cells.len()];
        for candidate in &self.candidates {
            held[candidate.cell] += candidate.marks;
        }
        held
    }
}

/// The unit and the objective that a question names.
fn objective_of<'a>(model: &'a Model, checked: &'a Checked) -> Option<(&'a str, &'a str)> {
    let objective = checked.question.objective.as_ref()?;
    Some((&model.parsed.front.id.value, &objective.value))
}

/// Looks a paper up in its units. Gives a bank only if every name was found.
pub fn bank(
    paper: &ParsedPaper,
    units: &[UnitOf<'_>],
    levels: &Levels,
    ledger: &Ledger,
    out: &mut Diagnostics,
) -> Option<Bank> {
    let before = errors(out);
    let at = At { paper, units, levels };
    let columns = at.columns(out);
    let rows = at.rows(out);
    at.check_sums(out);
    if errors(out) > before {
        return None;
    }
    let mut bank = Bank {
        wanted: Wanted {
            cells: paper.table.rows.iter().flat_map(|r| &r.cells).map(|c| c.bounds).collect(),
            total: paper.front.marks.as_ref().map(|marks| Bounds::exactly(marks.value)),
            seconds: Some(paper.front.minutes.value * 60),
            ..Wanted::default()
        },
        ..Bank::default()
    };
    at.fill(&mut bank, &rows, &columns, ledger, out);
    at.demands(&mut bank, out);
    at.sections(&mut bank, &rows, &columns, out);
    (errors(out) == before).then_some(bank)
}

fn errors(out: &Diagnostics) -> usize {
    out.iter().filter(|d| d.severity == crate::diag::Severity::Error).count()
}

struct At<'a> {
    paper: &'a ParsedPaper,
    units: &'a [UnitOf<'a>],
    levels: &'a Levels,
}

/// An objective as a row names it: of one unit, or of all.
struct Named {
    unit: Option<String>,
    objective: String,
}

impl Named {
    fn of(text: &str) -> Named {
        match text.split_once('/') {
            Some((unit, objective)) => {
                Named { unit: Some(unit.trim().to_owned()), objective: objective.trim().to_owned() }
            }
            None => Named { unit: None, objective: text.to_owned() },
        }
    }

    fn takes(&self, unit: &str, objective: &str) -> bool {
        self.objective == objective && self.unit.as_ref().is_none_or(|own| own == unit)
    }
}

impl At<'_> {
    fn finding(&self, code: Code, span: Span, message: impl Into<String>) -> Diagnostic {
        Diagnostic::new(code, Place::new(&self.paper.file, span), message)
    }

    /// The number of each column's level.
    fn columns(&self, out: &mut Diagnostics) -> Vec<usize> {
        let mut columns = Vec::new();
        for head in &self.paper.table.levels {
            match self.levels.named(&head.value) {
                Some(level) if columns.contains(&level) => out.push(
                    self.finding(
                        Code::PaperLevel,
                        head.span,
                        format!("The level `{}` has a second column.", head.value),
                    )
                    .found("two columns of one level")
                    .expected("each level once")
                    .next("put the marks of both into one column"),
                ),
                Some(level) => columns.push(level),
                None => out.push(self.unknown_level(head)),
            }
        }
        columns
    }

    fn unknown_level(&self, text: &Text) -> Diagnostic {
        let known: Vec<&str> = self.levels.names().collect();
        let finding = self
            .finding(
                Code::PaperLevel,
                text.span,
                format!("There is no level called `{}`.", text.value),
            )
            .found(format!("`{}`", text.value))
            .expected(known.join(", "));
        finding.suggesting(
            nearest(&text.value, known.iter().copied()),
            "name a column by one of these, or `marks`, `%` or `minutes`",
        )
    }

    /// What each row takes.
    fn rows(&self, out: &mut Diagnostics) -> Vec<Vec<Named>> {
        let strands = &self.paper.front.strands;
        for (name, _) in strands {
            if !self.paper.table.rows.iter().any(|row| row.label.value == name.value) {
                out.push(
                    self.finding(
                        Code::PaperRow,
                        name.span,
                        format!("The strand `{}` has no row in the table.", name.value),
                    )
                    .found(format!("`{}`", name.value))
                    .expected("a row of the same name")
                    .next("add the row, or take the strand out"),
                );
            }
        }
        let rows = self.paper.table.rows.iter();
        rows.map(|row| {
            let strand = strands.iter().find(|(name, _)| name.value == row.label.value);
            let texts = strand.map_or(std::slice::from_ref(&row.label), |(_, texts)| texts);
            texts.iter().filter_map(|text| self.named(text, out)).collect()
        })
        .collect()
    }

    fn named(&self, text: &Text, out: &mut Diagnostics) -> Option<Named> {
        let named = Named::of(&text.value);
        let all = || {
            self.units.iter().flat_map(|unit| {
                let front = &unit.model.parsed.front;
                front.objectives.iter().map(|(id, _)| (front.id.value.as_str(), id.value.as_str()))
            })
        };
        if all().any(|(unit, objective)| named.takes(unit, objective)) {
            return Some(named);
        }
        let known: Vec<String> = match &named.unit {
            Some(_) => all().map(|(unit, objective)| format!("{unit}/{objective}")).collect(),
            None => {
                let mut plain: Vec<String> = Vec::new();
                for (_, objective) in all() {
                    if !plain.iter().any(|one| one == objective) {
                        plain.push(objective.to_owned());
                    }
                }
                plain
            }
        };
        let finding = self
            .finding(
                Code::PaperRow,
                text.span,
                format!("No unit of this paper has the objective `{}`.", text.value),
            )
            .found(format!("`{}`", text.value))
            .expected(known.join(", "));
        out.push(finding.suggesting(
            nearest(&text.value, known.iter().map(String::as_str)),
            "name an objective, or make it a strand under `strands`",
        ));
        None
    }

    fn check_sums(&self, out: &mut Diagnostics) {
        let total = self.paper.table.total();
        if total.most == 0 {
            out.push(
                self.finding(
                    Code::PaperTable,
                    self.paper.table.span,
                    "No cell of this table holds any marks.",
                )
                .found("empty cells")
                .expected("the marks of each objective at each level")
                .next("write the marks into the cells"),
            );
        }
        if let Some(marks) = self.paper.front.marks.as_ref().filter(|m| !total.holds(m.value)) {
            out.push(
                self.finding(
                    Code::PaperBounds,
                    marks.span,
                    format!("The cells of the table come to {total} marks, not {}.", marks.value),
                )
                .found(format!("`{}`", marks.value))
                .expected(format!("{total}"))
                .next("mend the total or the cells"),
            );
        }
        let sections = &self.paper.front.sections;
        let least: u32 = sections.iter().filter_map(|s| Some(s.marks.as_ref()?.value.least)).sum();
        let all_said = !sections.is_empty() && sections.iter().all(|s| s.marks.is_some());
        let most: u32 = sections.iter().filter_map(|s| Some(s.marks.as_ref()?.value.most)).sum();
        if let Some(first) = sections.iter().find_map(|s| s.marks.as_ref())
            && (least > total.most || all_said && most < total.least)
        {
            let sum = Bounds { least, most: most.max(least) };
            out.push(
                self.finding(
                    Code::PaperBounds,
                    first.span,
                    format!("The sections come to {sum} marks and the table to {total}."),
                )
                .found(format!("{sum} marks in all sections"))
                .expected(format!("{total}"))
                .next("mend the marks of the sections or the cells"),
            );
        }
    }

    /// Puts every question that counts somewhere into the bank.
    fn fill(
        &self,
        bank: &mut Bank,
        rows: &[Vec<Named>],
        columns: &[usize],
        ledger: &Ledger,
        out: &mut Diagnostics,
    ) {
        let total = self.paper.table.total().most.max(1);
        let seconds_a_mark = f64::from(self.paper.front.minutes.value) * 60.0 / f64::from(total);
        for (unit, of) in self.units.iter().enumerate() {
            let unit_id = &of.model.parsed.front.id.value;
            for (number, (checked, worth)) in of.model.questions.iter().zip(&of.worth).enumerate() {
                let question = &checked.question;
                let (Some((_, objective)), Some(level)) =
                    (objective_of(of.model, checked), question.level.as_ref())
                else {
                    out.push(passed_over(of.model, checked));
                    continue;
                };
                let (Some(worth), Some(level)) = (worth, self.levels.of(&level.value)) else {
                    continue;
                };
                let Some(column) = columns.iter().position(|own| *own == level) else { continue };
                let takes = |exactly: bool| {
                    rows.iter().position(|row| {
                        row.iter().any(|named| {
                            named.takes(unit_id, objective) && named.unit.is_some() == exactly
                        })
                    })
                };
                let Some(row) = takes(true).or_else(|| takes(false)) else { continue };
                let cell = row * columns.len() + column;
                if bank.wanted.cells[cell].most == 0 || worth.marks == 0 {
                    continue;
                }
                let id = format!("{unit_id}/{}", question.id.value);
                let seconds = question.minutes.as_ref().map_or_else(
                    // As long as a mark of this paper takes.
                    || (seconds_a_mark * f64::from(worth.marks)).floor() as u32,
                    |minutes| minutes.value * 60,
                );
                let key = Key {
                    seed: self.paper.front.seed,
                    unit: unit_id,
                    question: &question.id.value,
                };
                let tie = Stream::of_question(key, "paper").below(u64::from(TIES));
                bank.candidates.push(Candidate {
                    cell,
                    marks: worth.marks,
                    seconds,
                    earlier: ledger.earlier(&self.paper.id, &id),
                    tie: u32::try_from(tie).unwrap_or(0),
                });
                bank.questions.push(Question {
                    id,
                    unit,
                    number,
                    row,
                    level,
                    has_figure: question.figure.is_some(),
                    hash: worth.hash.clone(),
                });
            }
        }
        for one in 0..bank.questions.len() {
            for other in one + 1..bank.questions.len() {
                let said = |n: usize| {
                    let question: &Question = &bank.questions[n];
                    self.units[question.unit].worth[question.number].as_ref().map(|w| &w.said)
                };
                if let (Some(a), Some(b)) = (said(one), said(other))
                    && apart(a, b)
                {
                    bank.wanted.apart.push((one, other));
                }
            }
        }
    }

    /// What must be taken, must not, and of which exactly one is.
    fn demands(&self, bank: &mut Bank, out: &mut Diagnostics) {
        let front = &self.paper.front;
        let mut barred = Vec::new();
        for text in &front.must_not {
            // One that counts nowhere is not taken anyway.
            let Some(id) = self.question(text, out) else { continue };
            barred.extend(bank.questions.iter().position(|q| q.id == id));
        }
        let wanted = |text: &Text, out: &mut Diagnostics| -> Option<usize> {
            let id = self.question(text, out)?;
            let found = bank.questions.iter().position(|question| question.id == id);
            if found.is_none() {
                out.push(
                    self.finding(
                        Code::PaperQuestion,
                        text.span,
                        format!("The question `{id}` counts in no cell of the table."),
                    )
                    .found("a question whose objective and level have no marks in the table")
                    .expected("a question of a cell that holds marks")
                    .next("give its cell marks, or take it out of this list"),
                );
            } else if found.is_some_and(|n| barred.contains(&n)) {
                out.push(
                    self.finding(
                        Code::PaperQuestion,
                        text.span,
                        format!("The question `{id}` is wanted and barred."),
                    )
                    .found("it stands under `must_not` too")
                    .expected("each question in one of these lists")
                    .next("take it out of one of them"),
                );
            }
            found
        };
        let must: Vec<usize> = front.must.iter().filter_map(|t| wanted(t, out)).collect();
        let groups: Vec<Vec<usize>> = front
            .one_of
            .iter()
            .map(|group| group.iter().filter_map(|t| wanted(t, out)).collect())
            .collect();
        bank.wanted.must = must;
        bank.wanted.one_of = groups.into_iter().filter(|g: &Vec<usize>| !g.is_empty()).collect();
        // What is barred leaves the bank, which moves the numbers after it.
        barred.sort_unstable();
        let kept = |n: usize| barred.binary_search(&n).is_err();
        let moved = |n: usize| n - barred.partition_point(|b| *b < n);
        let wanted = &mut bank.wanted;
        wanted.apart.retain(|(a, b)| kept(*a) && kept(*b));
        wanted.apart.iter_mut().for_each(|pair| *pair = (moved(pair.0), moved(pair.1)));
        wanted.must = wanted.must.iter().map(|n| moved(*n)).collect();
        wanted.one_of.iter_mut().flatten().for_each(|n| *n = moved(*n));
        let mut number = 0..;
        bank.questions.retain(|_| number.next().is_some_and(kept));
        let mut number = 0..;
        bank.candidates.retain(|_| number.next().is_some_and(kept));
    }

    /// The whole id of the question that a text names.
    fn question(&self, text: &Text, out: &mut Diagnostics) -> Option<String> {
        let ids: Vec<String> = self
            .units
            .iter()
            .flat_map(|unit| {
                let own = &unit.model.parsed.front.id.value;
                unit.model.questions.iter().map(move |q| format!("{own}/{}", q.question.id.value))
            })
            .collect();
        let ends = |id: &str| id.split_once('/').is_some_and(|(_, own)| own == text.value);
        let named: Vec<&String> = ids.iter().filter(|id| **id == text.value || ends(id)).collect();
        match named[..] {
            [one] => return Some(one.clone()),
            [] => {
                let plain = ids.iter().filter_map(|id| id.split_once('/')).map(|(_, own)| own);
                let whole = ids.iter().map(String::as_str);
                let near = if text.value.contains('/') {
                    nearest(&text.value, whole)
                } else {
                    nearest(&text.value, plain)
                };
                let finding = self
                    .finding(
                        Code::PaperQuestion,
                        text.span,
                        format!("No unit of this paper has a question `{}`.", text.value),
                    )
                    .found(format!("`{}`", text.value))
                    .expected("the unit's id, a stroke, the question's id");
                out.push(finding.suggesting(near, "look the id up in its unit"));
            }
            _ => {
                let both: Vec<String> = named.iter().map(|id| format!("`{id}`")).collect();
                out.push(
                    self.finding(
                        Code::PaperQuestion,
                        text.span,
                        format!("Several units have a question `{}`.", text.value),
                    )
                    .found(both.join(", "))
                    .expected("one question")
                    .next("write the unit's id and a stroke before it"),
                );
            }
        }
        None
    }

    fn sections(
        &self,
        bank: &mut Bank,
        rows: &[Vec<Named>],
        columns: &[usize],
        out: &mut Diagnostics,
    ) {
        for section in &self.paper.front.sections {
            let own_rows = self.section_rows(section, out);
            let mut own_levels = Vec::new();
            for text in &section.levels {
                let level = self.levels.named(&text.value).filter(|level| columns.contains(level));
                match level {
                    Some(level) => own_levels.push(level),
                    None => out.push(self.unknown_level(text)),
                }
            }
            debug_assert!(own_rows.iter().all(|row| *row < rows.len()));
            let fits = |(question, candidate): (&Question, &Candidate)| {
                (own_rows.is_empty() || own_rows.contains(&question.row))
                    && (own_levels.is_empty() || own_levels.contains(&question.level))
                    && section.each.as_ref().is_none_or(|each| each.value.holds(candidate.marks))
            };
            bank.wanted.sections.push(SectionRule {
                allowed: bank.questions.iter().zip(&bank.candidates).map(fits).collect(),
                marks: section.marks.as_ref().map(|marks| marks.value),
                questions: section.questions.as_ref().map(|questions| questions.value),
            });
        }
    }

    fn section_rows(&self, section: &Section, out: &mut Diagnostics) -> Vec<usize> {
        let mut own = Vec::new();
        for text in &section.objectives {
            let row = self.paper.table.rows.iter().position(|row| row.label.value == text.value);
            if let Some(row) = row {
                own.push(row);
                continue;
            }
            let known: Vec<&str> =
                self.paper.table.rows.iter().map(|row| row.label.value.as_str()).collect();
            let finding = self
                .finding(
                    Code::PaperRow,
                    text.span,
                    format!("The table has no row `{}`.", text.value),
                )
                .found(format!("`{}`", text.value))
                .expected(known.join(", "));
            out.push(finding.suggesting(
                nearest(&text.value, known.iter().copied()),
                "name a row of the table",
            ));
        }
        own
    }
}

fn passed_over(model: &Model, checked: &Checked) -> Diagnostic {
    let question = &checked.question;
    let lacks = match (&question.objective, &question.level) {
        (None, None) => "neither `objective` nor `level`",
        (None, _) => "no `objective`",
        _ => "no `level`",
    };
    Diagnostic::new(
        Code::PaperPassesOver,
        Place::new(&model.parsed.file, question.id.span),
        format!("No paper can take the question `{}`: it counts in no cell.", question.id.value),
    )
    .found(lacks)
    .expected("both, so that a table of specifications has a cell for it")
    .next("add them if papers should take it; else there is nothing to do")
}
