//! What templates are given of parts that are answered otherwise than by a number on
//! a line: the room to answer, the key in it, the points that earn marks.
//!
//! Takes responses; gives contexts and Markdown. Both copies come from one context.

use std::collections::BTreeSet;

use crate::question::kinds::{Choice, FilledCell, Point};
use crate::question::{Form, Response, Solution};
use crate::reading::model::kinds::Table;

use super::context::{
    AnswerContext, BoxContext, ChoiceContext, ColumnContext, FormContext, StepContext, WriteContext,
};
use super::escape::escape;
use super::inline::{framed_gap, gap};
use super::sheet::mathematical;

/// What stands for a gap in an author's text.
const GAP: &str = "___";

/// The room for an answer.
pub(super) fn form(solution: &Solution<'_>, response: &Response) -> FormContext {
    let part = &solution.checked.question.parts[response.part];
    let mut made =
        FormContext { marks: response.marks, see: part.mark(), ..FormContext::default() };
    match &response.form {
        Form::Options { options, several } => {
            made.is = "options".to_owned();
            made.note = several.map(how_many).unwrap_or_default();
            made.boxes = options.iter().map(option).collect();
            made.row = true;
        }
        Form::Judgement { answer, lines, reasons } => {
            made.is = "judgement".to_owned();
            made.row = true;
            made.boxes = [("true", *answer), ("false", !*answer)]
                .map(|(word, ticked)| BoxContext {
                    text: word.to_owned(),
                    ticked,
                    ..BoxContext::default()
                })
                .to_vec();
            made.lines = *lines;
            made.writes =
                if reasons.is_empty() { Vec::new() } else { writes(&response.points[1..]) };
        }
        Form::Pairs { left, right } => {
            made.is = "pairs".to_owned();
            if repeats(left.iter().map(|(_, letter)| letter)) {
                made.note = "A letter may be used more than once.".to_owned();
            }
            made.boxes = left
                .iter()
                .map(|(text, letter)| BoxContext {
                    text: text.clone(),
                    fill: letter.clone(),
                    ..BoxContext::default()
                })
                .collect();
            made.beside = right
                .iter()
                .map(|(letter, text)| BoxContext {
                    label: letter.clone(),
                    text: text.clone(),
                    ..BoxContext::default()
                })
                .collect();
        }
        Form::Sequence { lines } => {
            made.is = "sequence".to_owned();
            made.boxes = lines
                .iter()
                .map(|(text, place)| BoxContext {
                    text: text.clone(),
                    fill: place.to_string(),
                    ..BoxContext::default()
                })
                .collect();
        }
        Form::Prose { lines } => {
            made.is = "prose".to_owned();
            made.lines = *lines;
            made.writes = writes(&response.points);
        }
        Form::Gaps { words, bank } => {
            made.is = "gaps".to_owned();
            if !bank.is_empty() && repeats(words.iter()) {
                made.note = "A word may be used more than once.".to_owned();
            }
            made.bank.clone_from(bank);
        }
        Form::Names => made.is = "names".to_owned(),
        Form::Reading { table } => {
            made.is = "reading".to_owned();
            made.table_of(table.as_ref().map(|table| (table, &[][..])));
        }
        Form::Cells { table, gaps } => {
            made.is = "filling".to_owned();
            made.table_of(Some((table, gaps)));
        }
        Form::Odd { table, lines, .. } => {
            made.is = "odd".to_owned();
            made.table_of(Some((table, &[])));
            made.lines = *lines;
            made.writes = writes(&response.points[1..]);
        }
    }
    made.answers = answers(response);
    made
}

impl FormContext {
    fn table_of(&mut self, table: Option<(&Table, &[FilledCell])>) {
        let Some((table, gaps)) = table else { return };
        self.columns = table
            .head
            .iter()
            .enumerate()
            .map(|(n, head)| ColumnContext { head: escape(head).into_owned(), numbers: n > 0 })
            .collect();
        self.rows = table
            .rows
            .iter()
            .enumerate()
            .map(|(row, cells)| {
                let cell = |(column, text): (usize, &String)| {
                    let blank = gaps.iter().find(|(r, c, _)| (*r, *c) == (row, column));
                    blank
                        .map_or_else(|| escape(text).into_owned(), |(.., v)| framed_gap(&escape(v)))
                };
                cells.iter().enumerate().map(cell).collect()
            })
            .collect();
    }
}

/// The rows of a table with these words in its cells to fill in; none if it has none.
pub(super) fn with_cells(response: &Response, words: &[String]) -> Option<Vec<Vec<String>>> {
    let Form::Cells { table, gaps } = &response.form else { return None };
    let written = gaps
        .iter()
        .enumerate()
        .map(|(n, (row, column, _))| (*row, *column, words.get(n).cloned().unwrap_or_default()));
    let written: Vec<FilledCell> = written.collect();
    let mut made = FormContext::default();
    made.table_of(Some((table, &written)));
    Some(made.rows)
}

/// The names that a learner is to write on a figure, in the order in which they are asked.
pub(super) fn names(response: &Response) -> Option<Vec<String>> {
    let text = |point: &Point| point.text.replace("**", "");
    matches!(response.form, Form::Names).then(|| response.points.iter().map(text).collect())
}

/// Answer lines, where a value is written on one.
fn answers(response: &Response) -> Vec<AnswerContext> {
    let line = |name: &str, unit: &str, value: &str| AnswerContext {
        name: name.to_owned(),
        unit: unit.to_owned(),
        value: value.to_owned(),
        ..AnswerContext::default()
    };
    match &response.form {
        Form::Reading { .. } => {
            response.values.iter().map(|v| line(&v.name, v.unit.print(), &v.printed)).collect()
        }
        Form::Odd { .. } => vec![line("value that does not fit", "", &response.key)],
        _ => Vec::new(),
    }
}

/// Whether one of these stands among them twice.
fn repeats<'a>(texts: impl Iterator<Item = &'a String>) -> bool {
    let mut seen = BTreeSet::new();
    !texts.into_iter().all(|text| seen.insert(text.to_lowercase()))
}

fn how_many(count: usize) -> String {
    let boxes = if count == 1 { "box" } else { "boxes" };
    format!("Tick **{}** {boxes}.", counted(count))
}

fn counted(count: usize) -> String {
    let words = ["no", "one", "two", "three", "four", "five", "six"];
    words.get(count).map_or_else(|| count.to_string(), |word| (*word).to_owned())
}

fn option(choice: &Choice) -> BoxContext {
    BoxContext {
        label: choice.letter.clone(),
        text: choice.text.clone(),
        ticked: choice.right,
        fill: String::new(),
    }
}

fn writes(points: &[Point]) -> Vec<WriteContext> {
    points
        .iter()
        .filter(|point| !point.spare)
        .map(|point| WriteContext { text: point.text.clone(), marks: code(point) })
        .collect()
}

/// "B1".
pub(super) fn code(point: &Point) -> String {
    format!("B{}", point.marks)
}

/// A text with its gaps open; on a teacher's copy `fills` stand in them. Gives how many
/// it had.
pub(super) fn opened(text: &str, fills: &mut std::slice::Iter<'_, String>) -> String {
    let mut out = String::with_capacity(text.len() + 16);
    let mut rest = text;
    while let Some((before, after)) = rest.split_once(GAP) {
        let Some(fill) = fills.next() else { break };
        out.push_str(before);
        out.push_str(&gap(&escape(fill)));
        rest = after.trim_start_matches('_');
    }
    out.push_str(rest);
    out
}

/// The words for the gaps of a question's stem and parts.
pub(super) fn fills<'r>(responses: impl Iterator<Item = &'r Response>) -> Option<&'r [String]> {
    let mut words = responses.filter_map(|response| match &response.form {
        Form::Gaps { words, .. } => Some(words.as_slice()),
        _ => None,
    });
    words.next()
}

/// The worked answer: what earns each mark.
pub(super) fn solution(response: &Response, marking: bool) -> Vec<StepContext> {
    let mut steps: Vec<StepContext> = response
        .points
        .iter()
        .map(|point| StepContext {
            number: None,
            says: point.text.clone(),
            chain: Vec::new(),
            marks: if marking && !point.spare { code(point) } else { String::new() },
        })
        .collect();
    if marking {
        let lines = guidance(response).into_iter();
        steps.extend(lines.map(|says| StepContext { says, ..StepContext::default() }));
    }
    steps
}

/// What holds for the part as a whole, as sentences.
pub(super) fn guidance(response: &Response) -> Vec<String> {
    let sentence = |text: &String| {
        let mut characters = text.chars();
        let first: String = characters.next().into_iter().flat_map(char::to_uppercase).collect();
        format!("{first}{}.", characters.as_str())
    };
    response.guidance.iter().map(sentence).collect()
}

/// A part as it is asked where nobody writes in it, as on a slide.
pub(super) fn spoken(response: &Response) -> String {
    let listed = |rows: Vec<String>| rows.join("\n");
    match &response.form {
        Form::Options { options, several } => {
            let mut rows: Vec<String> =
                options.iter().map(|o| format!("- **{}** {}", o.letter, o.text)).collect();
            if let Some(count) = several {
                rows.insert(0, format!("{}\n", how_many(*count)));
            }
            listed(rows)
        }
        Form::Judgement { lines: 0, .. } => "True or false?".to_owned(),
        Form::Judgement { .. } => "True or false, and why?".to_owned(),
        Form::Pairs { left, right } => {
            let left: Vec<&str> = left.iter().map(|(text, _)| text.as_str()).collect();
            let right: Vec<String> =
                right.iter().map(|(letter, text)| format!("**{letter}** {text}")).collect();
            format!("- {}\n- {}", left.join("; "), right.join("; "))
        }
        Form::Sequence { lines } => {
            listed(lines.iter().map(|(text, _)| format!("- {text}")).collect())
        }
        Form::Gaps { bank, .. } if !bank.is_empty() => format!("Words: {}.", bank.join(", ")),
        Form::Reading { table: Some(table) }
        | Form::Cells { table, .. }
        | Form::Odd { table, .. } => {
            let gaps: &[FilledCell] = match &response.form {
                Form::Cells { gaps, .. } => gaps,
                _ => &[],
            };
            spoken_table(table, gaps)
        }
        Form::Prose { .. } | Form::Gaps { .. } | Form::Names | Form::Reading { .. } => {
            String::new()
        }
    }
}

/// The options of a choice, the right ones marked.
pub(super) fn chosen_from(response: &Response) -> Vec<ChoiceContext> {
    match &response.form {
        Form::Options { options, .. } => options
            .iter()
            .map(|o| ChoiceContext {
                letter: o.letter.clone(),
                text: o.text.clone(),
                right: o.right,
            })
            .collect(),
        _ => Vec::new(),
    }
}

/// What is chosen from, matched or ordered line by line on a slide.
#[derive(Debug, Clone, Default)]
pub(super) struct Lined {
    /// A sentence that leads to it; empty if none is needed.
    pub(super) note: String,
    pub(super) beside: Vec<String>,
    /// The same with the letters of their partners.
    pub(super) matched: Vec<String>,
    pub(super) asked: Vec<ChoiceContext>,
    pub(super) answered: Vec<ChoiceContext>,
}

/// A part's lines on a slide; none where its form has none.
pub(super) fn lined(response: &Response) -> Option<Lined> {
    let unmarked = |choices: &[ChoiceContext]| {
        choices.iter().map(|choice| ChoiceContext { right: false, ..choice.clone() }).collect()
    };
    match &response.form {
        Form::Options { several, .. } => {
            let answered = chosen_from(response);
            Some(Lined {
                note: several
                    .map(|count| format!("Choose **{}**.", counted(count)))
                    .unwrap_or_default(),
                asked: unmarked(&answered),
                answered,
                ..Lined::default()
            })
        }
        Form::Pairs { left, right } => {
            let choice = |(letter, text): &(String, String)| ChoiceContext {
                letter: letter.clone(),
                text: text.clone(),
                right: false,
            };
            let asked: Vec<ChoiceContext> = right.iter().map(choice).collect();
            Some(Lined {
                beside: left.iter().map(|(text, _)| text.clone()).collect(),
                matched: left.iter().map(|(text, own)| format!("{text} **{own}**")).collect(),
                answered: asked.clone(),
                asked,
                ..Lined::default()
            })
        }
        Form::Sequence { lines } => {
            let answered: Vec<ChoiceContext> = lines
                .iter()
                .map(|(text, place)| ChoiceContext {
                    letter: place.to_string(),
                    text: text.clone(),
                    right: true,
                })
                .collect();
            let asked = lines
                .iter()
                .map(|(text, _)| ChoiceContext { text: text.clone(), ..ChoiceContext::default() });
            Some(Lined { asked: asked.collect(), answered, ..Lined::default() })
        }
        _ => None,
    }
}

fn spoken_table(table: &Table, gaps: &[FilledCell]) -> String {
    let row = |cells: Vec<String>| format!("| {} |", cells.join(" | "));
    let head = row(table.head.iter().map(|cell| escape(cell).into_owned()).collect());
    let rule: String = table
        .head
        .iter()
        .enumerate()
        .map(|(n, _)| if n == 0 { "|:---" } else { "|---:" })
        .collect();
    let rows = table.rows.iter().enumerate().map(|(r, cells)| {
        let cell = |(c, text): (usize, &String)| {
            let blank = gaps.iter().any(|(row, column, _)| (*row, *column) == (r, c));
            if blank { "?".to_owned() } else { escape(text).into_owned() }
        };
        row(cells.iter().enumerate().map(cell).collect())
    });
    [head, format!("{rule}|")].into_iter().chain(rows).collect::<Vec<_>>().join("\n")
}

/// The answer as short lines, as on a slide.
pub(super) fn answered(response: &Response) -> Vec<String> {
    match &response.form {
        Form::Options { options, .. } => {
            let right = options.iter().filter(|option| option.right);
            right.map(|option| format!("**{}** {}", option.letter, option.text)).collect()
        }
        Form::Sequence { lines } => {
            let mut lines: Vec<&(String, usize)> = lines.iter().collect();
            lines.sort_by_key(|(_, place)| *place);
            lines.iter().map(|(text, place)| format!("**{place}** {text}")).collect()
        }
        Form::Gaps { .. } | Form::Names => vec![format!("**{}**", mathematical(&response.key))],
        _ => {
            let earning = response.points.iter().filter(|point| !point.spare);
            earning.map(|point| point.text.clone()).collect()
        }
    }
}
