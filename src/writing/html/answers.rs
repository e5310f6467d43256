//! Answers: a blank to be filled for a learner; the value, the working and the
//! mistakes to look for on a teacher's copy.

use super::CopyFor;
use super::runs::{inline, text};
use crate::document::{Answer, AnswerLine, Boxes, Run, Runs, Table, Written};

/// A line to write on, named for who cannot see it.
pub(super) fn blank(what: &str) -> String {
    let name =
        if what.is_empty() { "blank".to_owned() } else { format!("blank for {}", text(what)) };
    format!("<span class=\"blank\" role=\"img\" aria-label=\"{name}\"></span>")
}

pub(super) fn counted(marks: u32) -> String {
    format!("{marks} mark{}", if marks == 1 { "" } else { "s" })
}

pub(super) fn answer(out: &mut String, answer: &Answer, copy: CopyFor, part: Option<&str>) {
    if copy == CopyFor::Teacher {
        working(out, answer);
    }
    let count = answer.lines.len();
    for (i, line) in answer.lines.iter().enumerate() {
        let marks = if i + 1 == count { marks(answer.marks) } else { String::new() };
        out.push_str(&format!("<p class=\"answer\">{}{marks}</p>\n", filled(line, copy, part)));
    }
    if count == 0 {
        out.push_str(&format!("<p class=\"answer\">{}</p>\n", marks(answer.marks).trim_start()));
    }
}

fn marks(marks: u32) -> String {
    format!(" <span class=\"marks\">[{}]</span>", counted(marks))
}

/// "mass of salt = 20 kg", or a blank in the value's place.
fn filled(line: &AnswerLine, copy: CopyFor, part: Option<&str>) -> String {
    let value = if copy == CopyFor::Teacher && !line.value.is_empty() {
        format!("<b class=\"key\">{}</b>", inline(&line.value))
    } else {
        blank(&part.map_or_else(|| "the answer".to_owned(), |part| format!("answer {part}")))
    };
    let name = inline(&line.name);
    let equals = if name.is_empty() { String::new() } else { format!("{name} = ") };
    let unit = inline(&line.unit);
    let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
    format!("{equals}{value}{unit}")
}

fn working(out: &mut String, answer: &Answer) {
    for line in &answer.working {
        out.push_str(&format!("<p class=\"working\">{}</p>\n", inline(line)));
    }
    if answer.mistakes.is_empty() {
        return;
    }
    out.push_str("<p>Mistakes to look for:</p>\n<ul>\n");
    for mistake in &answer.mistakes {
        let (value, says) = (inline(&mistake.value), inline(&mistake.says));
        out.push_str(&format!("<li><b>{value}</b> {says}</li>\n"));
    }
    out.push_str("</ul>\n");
}

/// Boxes as a list; a teacher's copy says which are ticked and what stands in them.
pub(super) fn boxes(out: &mut String, boxes: &Boxes, copy: CopyFor, part: Option<&str>) {
    let teacher = copy == CopyFor::Teacher;
    out.push_str("<ul class=\"boxes\">\n");
    for item in &boxes.boxes {
        let name = part.unwrap_or("the answer");
        let inside = if teacher && item.ticked {
            "<b class=\"key\">[right]</b>".to_owned()
        } else if teacher && !item.fill.is_empty() {
            format!("<b class=\"key\">{}</b>", text(&item.fill))
        } else {
            blank(&format!("box of {name}"))
        };
        let label = if item.label.is_empty() {
            String::new()
        } else {
            format!("<b>{}</b> ", text(&item.label))
        };
        out.push_str(&format!("<li>{inside} {label}{}</li>\n", inline(&item.text)));
    }
    out.push_str("</ul>\n");
    if !boxes.beside.is_empty() {
        out.push_str("<ul class=\"boxes\">\n");
        for (label, words) in &boxes.beside {
            out.push_str(&format!("<li><b>{}</b> {}</li>\n", text(label), inline(words)));
        }
        out.push_str("</ul>\n");
    }
    if boxes.marks > 0 {
        out.push_str(&format!("<p class=\"answer\">{}</p>\n", marks(boxes.marks).trim_start()));
    }
}

/// Room for words; a teacher's copy has the points with what each earns.
pub(super) fn written(out: &mut String, written: &Written, copy: CopyFor, part: Option<&str>) {
    if copy == CopyFor::Teacher {
        for (words, earns) in &written.texts {
            let earns =
                if earns.is_empty() { String::new() } else { format!(" [{}]", text(earns)) };
            out.push_str(&format!("<p class=\"working\">{}{earns}</p>\n", inline(words)));
        }
    }
    let name = part.map_or_else(|| "the answer".to_owned(), |part| format!("answer {part}"));
    let marks = if written.marks > 0 { marks(written.marks) } else { String::new() };
    out.push_str(&format!("<p class=\"answer\">{}{marks}</p>\n", blank(&name)));
}

/// Runs whose gaps a teacher's copy fills.
pub(super) fn gaps(runs: &[Run], copy: CopyFor) -> Runs {
    let filled = |run: &Run| match &run.gap {
        Some(gap) if copy == CopyFor::Teacher => {
            Run { text: gap.fill.clone(), bold: true, ..Run::default() }
        }
        _ => run.clone(),
    };
    runs.iter().map(filled).collect()
}

/// A table whose gaps a teacher's copy fills.
pub(super) fn table_for(table: &Table, copy: CopyFor) -> Table {
    let rows = table.rows.iter().map(|row| row.iter().map(|cell| gaps(cell, copy)).collect());
    Table { rows: rows.collect(), ..table.clone() }
}
