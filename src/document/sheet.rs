//! What the sheet templates are given: a version's questions, answers and working
//! as text.
//!
//! Takes solved questions; gives contexts. The learner's and the teacher's copy
//! come from one context, so they cannot differ.

use crate::question::{Answer, Assessment, Cover, Listed, MarkedStep, Solution, WorkedStep};
use crate::reading::cautions::of_question;
use crate::reading::department::Department;
use crate::reading::model::Model;
use crate::reading::parsed::{Data, Part, Question, Space};

use super::context::{
    AnswerContext, ColumnContext, DataContext, FigureContext, FrontContext, MarkerRowContext,
    MistakeContext, PartContext, QuestionContext, RoomContext, SectionContext, SheetContext,
    StepContext,
};
use super::escape::escape;
use super::forms;
use super::lesson::{caption, data};
use super::letters::{lettered_question, spoken};
use super::pictures::BADGE;

/// The last of a sheet's cautions.
const DEFERRING: &str = "These questions tell of practical work and do not ask for it. Follow your \
school's risk assessment and local rules; a qualified teacher decides whether it is done.";
/// Slips noted beside the working; more would crowd it.
const MOST_SLIPS: usize = 3;

/// The sheet of one version, without its code. `solved` holds its questions in
/// the assessment's order, each with its answers.
pub fn sheet(
    asked: &Assessment<'_>,
    solved: &[(Solution<'_>, Vec<Answer>)],
    version: &str,
    seed: u64,
    key: bool,
) -> SheetContext {
    let mut questions: Vec<QuestionContext> = solved
        .iter()
        .zip(&asked.questions)
        .enumerate()
        .map(|(index, ((solution, answers), listed))| {
            question(listed.unit, index, solution, answers, key)
        })
        .collect();
    sections(asked, &mut questions);
    questions.iter_mut().for_each(|own| lettered_question(own, &asked.department.letters));
    SheetContext {
        title: asked.title.clone(),
        front: asked.cover.as_ref().map(|cover| front(cover, &asked.department, &questions)),
        objective_line: objective_line(asked),
        head_left: asked.left.clone(),
        head_right: asked.right.clone(),
        letters: spoken(&asked.department.letters),
        code: String::new(),
        version: version.to_owned(),
        seed: seed.to_string(),
        key,
        score: questions.iter().map(|q| q.total).sum(),
        language: asked.language.clone(),
        data: tables(&asked.questions),
        questions,
        cautions: cautions(&asked.questions),
        seat: String::new(),
        named: false,
        marked: None,
        timed: false,
    }
}

/// A paper's front page.
fn front(cover: &Cover, department: &Department, questions: &[QuestionContext]) -> FrontContext {
    let minutes = cover.minutes;
    FrontContext {
        school: cover.school.clone(),
        badge: department.badge.as_ref().map_or_else(String::new, |_| BADGE.to_owned()),
        subject: cover.subject.clone(),
        date: cover.date.clone(),
        time: format!("{minutes} minute{}", if minutes == 1 { "" } else { "s" }),
        need: cover.need.clone(),
        instructions: cover.instructions.clone(),
        information: cover.information.clone(),
        foot: cover.foot.clone(),
        learner: String::new(),
        class: String::new(),
        rows: questions
            .iter()
            .map(|q| MarkerRowContext { question: q.number, max: q.total, given: None })
            .collect(),
    }
}

/// Tells the first question of each section so.
fn sections(asked: &Assessment<'_>, questions: &mut [QuestionContext]) {
    let Some(cover) = &asked.cover else { return };
    let section = |index: usize| asked.questions[index].section;
    for index in 0..questions.len() {
        let Some(own) = section(index) else { continue };
        let opens = index == 0 || section(index - 1) != Some(own);
        let Some(title) = cover.sections.get(own).filter(|_| opens) else { continue };
        let all = (0..questions.len()).filter(|other| section(*other) == Some(own));
        let marks = all.map(|other| questions[other].total).sum();
        questions[index].section = Some(SectionContext { title: title.clone(), marks });
    }
}

/// The tables that questions read and do not show, each once, in the order of the units.
fn tables(questions: &[Listed<'_>]) -> Vec<DataContext> {
    let mut found: Vec<(usize, &Data)> = Vec::new();
    let mut units: Vec<&str> = Vec::new();
    for listed in questions {
        let known = units.iter().position(|unit| *unit == listed.unit_id());
        let unit = known.unwrap_or_else(|| {
            units.push(listed.unit_id());
            units.len() - 1
        });
        for table in listed.unit.tables_read(listed.checked) {
            if !found.iter().any(|(of, one)| *of == unit && one.id.value == table.id.value) {
                found.push((unit, table));
            }
        }
    }
    found.sort_by_key(|(unit, table)| (*unit, table.span.start));
    let mut tables: Vec<DataContext> = found.into_iter().map(|(_, table)| data(table)).collect();
    let mut named: Vec<&str> = Vec::new();
    for table in questions.iter().flat_map(|listed| listed.unit.built_in_read(listed.checked)) {
        if !named.contains(&table.name) {
            named.push(table.name);
            tables.push(solubilities(table.name, table.points, table.source));
        }
    }
    tables
}

/// A built-in table of solubilities, laid out as a unit's own: degC, g per 100 g of water.
pub(super) fn solubilities(name: &str, points: &[(f64, f64)], source: &str) -> DataContext {
    let places = usize::from(points.iter().any(|(_, grams)| grams.fract() != 0.0));
    let head = |head: String, numbers: bool| ColumnContext { head, numbers };
    let across = points.iter().map(|(degrees, _)| head(format!("{degrees}"), true));
    let cells = points.iter().map(|(_, grams)| format!("{grams:.places$}"));
    DataContext {
        title: format!("Solubility of {name}, in g/100\u{202f}g of water"),
        columns: std::iter::once(head("temperature / °C".to_owned(), false))
            .chain(across)
            .collect(),
        rows: vec![std::iter::once(name.to_owned()).chain(cells).collect()],
        source: source.to_owned(),
    }
}

/// The usual cautions of work at a bench that the questions tell of, with a last word.
fn cautions(questions: &[Listed<'_>]) -> Vec<String> {
    let mut found: Vec<&str> = Vec::new();
    for listed in questions {
        for caution in of_question(listed.unit, &listed.checked.question) {
            if !found.contains(&caution) {
                found.push(caution);
            }
        }
    }
    if !found.is_empty() {
        found.push(DEFERRING);
    }
    found.into_iter().map(ToOwned::to_owned).collect()
}

/// Class and course, at the left of every header.
pub(super) fn head_left(model: &Model) -> String {
    Assessment::of_unit(model).left
}

pub(super) fn head_right(model: &Model) -> String {
    model.parsed.front.place.as_ref().map_or_else(String::new, |p| p.value.clone())
}

/// The objective's words, where all questions of a unit share one.
fn objective_line(asked: &Assessment<'_>) -> Option<String> {
    let [_] = asked.units.as_slice() else { return None };
    let mut ids: Vec<&str> = asked
        .questions
        .iter()
        .filter_map(|listed| listed.checked.question.objective.as_ref())
        .map(|o| o.value.as_str())
        .collect();
    ids.sort_unstable();
    ids.dedup();
    let [id] = ids.as_slice() else { return None };
    asked.objectives().into_iter().find(|(o, _)| o == id).map(|(_, words)| sentence(words))
}

/// With a full stop, if it has no stop of its own.
fn sentence(text: &str) -> String {
    if text.ends_with(['.', '?', '!']) { text.to_owned() } else { format!("{text}.") }
}

fn question(
    model: &Model,
    index: usize,
    solution: &Solution<'_>,
    answers: &[Answer],
    key: bool,
) -> QuestionContext {
    let parts = parts(solution, answers, key, key);
    QuestionContext {
        section: None,
        number: u32::try_from(index + 1).unwrap_or(u32::MAX),
        stem: stem(solution),
        figure: figure(model, index + 1, &solution.checked.question),
        data: model.tables_named(&solution.checked.question).into_iter().map(data).collect(),
        total: parts.iter().map(|part| part.marks).sum(),
        parts,
    }
}

/// What is told before the parts, its gaps open.
pub(super) fn stem(solution: &Solution<'_>) -> String {
    let text = solution.filled(&solution.checked.question.stem);
    let parts = 0..solution.checked.question.parts.len();
    // Gaps in the stem are those of a question that has no other text.
    let responses = parts.filter_map(|part| solution.response(part));
    match forms::fills(responses) {
        Some(words) if solution.checked.question.parts.len() == 1 => {
            forms::opened(&text, &mut words.iter())
        }
        _ => text,
    }
}

/// The figure that a question shows. Its drawing is the question's own, because the
/// names to be written on it are.
fn figure(model: &Model, number: usize, question: &Question) -> Option<FigureContext> {
    let (figure, _) = model.figure(&question.figure.as_ref()?.value)?;
    Some(FigureContext {
        id: figure_id(model, question, &figure.id.value),
        label: format!("Figure {number}.1"),
        caption: caption(model, figure),
        names: Vec::new(),
    })
}

/// The id of a figure as a question shows it.
pub fn figure_id(model: &Model, question: &Question, figure: &str) -> String {
    format!("{}/{figure}/{}", model.parsed.front.id.value, question.id.value)
}

/// The parts of a question; what only a teacher's copy shows is left out of others.
/// `marking` adds what only a marker needs.
pub(super) fn parts(
    solution: &Solution<'_>,
    answers: &[Answer],
    key: bool,
    marking: bool,
) -> Vec<PartContext> {
    let worked = solution.marked_working(answers);
    // A lone step needs no number to be spoken of.
    let mut numbers = (1..).take(if worked.len() > 1 { worked.len() } else { 0 });
    let mut remarks = remarks_on_steps(solution);
    let mut parts = Vec::new();
    let mut before: Option<&Part> = None;
    for (number, part) in solution.checked.question.parts.iter().enumerate() {
        let goes_on = before.is_some_and(|before| part.sub.is_some() && before.label == part.label);
        before = Some(part);
        let response = solution.response(number);
        let own: Vec<&Answer> = answers.iter().filter(|a| a.part == number).collect();
        let steps: Vec<&MarkedStep> = worked.iter().filter(|s| s.step.part == number).collect();
        let noted = own
            .first()
            // Beside options stands what each of them shows.
            .filter(|_| key && response.is_none())
            .map(|answer| slips(solution, number, answer))
            .unwrap_or_default();
        let mut worked_answer: Vec<StepContext> = Vec::new();
        for step in steps.iter().filter(|_| key) {
            worked_answer.push(StepContext {
                number: numbers.next(),
                says: mathematical(&step.step.says),
                chain: chain(&step.step),
                marks: if marking { marks(step) } else { String::new() },
            });
            // Once each, with the first step that finds its quantity.
            let (here, later): (Vec<Remark>, Vec<Remark>) =
                remarks.into_iter().partition(|(path, _)| step.step.finds(solution, path));
            remarks = later;
            if marking {
                worked_answer.extend(here.iter().map(|(_, text)| remark(text)));
            }
        }
        if key && let Some(response) = response.filter(|response| !response.points.is_empty()) {
            if part.is_worked() {
                // The working earns the marks; what the options show stands below it.
                let lines = if marking { forms::guidance(response) } else { Vec::new() };
                let ticked = format!("Option **{}**.", response.key);
                worked_answer.extend(std::iter::once(ticked).chain(lines).map(beside));
            } else {
                worked_answer.extend(forms::solution(response, marking));
            }
        }
        if marking {
            worked_answer.extend(part.remark.as_ref().map(|text| remark(&text.value)));
            let lines = match response {
                Some(_) => Vec::new(),
                None => for_the_marker(&own, &noted),
            };
            let lines = lines.into_iter();
            worked_answer.extend(lines.map(|line| beside(mathematical(&line))));
        }
        let shown = if key { steps.as_slice() } else { &[] };
        parts.push(PartContext {
            label: label(part).filter(|_| !goes_on),
            sub: part.sub.as_ref().map(|sub| format!("({})", sub.value)),
            mark: part.mark(),
            lead: solution.filled(&part.lead),
            text: text_of(solution, number),
            form: response.map(|response| forms::form(solution, response)),
            marks: match response {
                Some(response) if !part.is_worked() => response.marks,
                _ => steps.iter().flat_map(|step| &step.marks).map(|mark| mark.count).sum(),
            },
            room: room(part),
            answers: own
                .iter()
                .map(|answer| AnswerContext {
                    name: answer.name.clone(),
                    unit: answer.unit.print().to_owned(),
                    value: answer.printed.clone(),
                    wrote: String::new(),
                    width: None,
                })
                .collect(),
            working: match response {
                Some(response) if key && !part.is_worked() => forms::answered(response),
                _ => shown.iter().map(|step| short_line(&step.step)).collect(),
            },
            solution: worked_answer,
            mistakes: noted,
            judged: None,
        });
    }
    parts
}

/// The room that a part asks for; ruled lines where it counts them.
fn room(part: &Part) -> Option<RoomContext> {
    let lines = part.lines.as_ref().map(|lines| lines.value);
    let kind = |kind: &str| RoomContext { kind: kind.to_owned(), ..RoomContext::default() };
    Some(match part.space {
        Some(Space::None) => kind("none"),
        Some(Space::Blank(height)) => RoomContext { height: Some(height), ..kind("blank") },
        Some(Space::Drawing(height)) => RoomContext { height, ..kind("drawing") },
        Some(Space::Graph(sides)) => RoomContext {
            width: sides.map(|sides| sides.0),
            height: sides.map(|sides| sides.1),
            ..kind("graph")
        },
        Some(Space::Lines) => RoomContext { lines, ..kind("lines") },
        None => RoomContext { lines: Some(lines?), ..kind("lines") },
    })
}

/// What a part asks, its gaps open.
fn text_of(solution: &Solution<'_>, part: usize) -> String {
    let text = solution.filled(&solution.checked.question.parts[part].text);
    match forms::fills(solution.response(part).into_iter()) {
        Some(words) => forms::opened(&text, &mut words.iter()),
        None => text,
    }
}

/// The stem and what a part asks, with these words in the gaps; none if it has none.
pub(super) fn with_gaps(
    solution: &Solution<'_>,
    part: usize,
    words: &[String],
) -> Option<(String, String)> {
    let question = &solution.checked.question;
    let wanted = forms::fills(solution.response(part).into_iter())?;
    // A gap that was left empty stays so.
    let given: Vec<String> =
        (0..wanted.len()).map(|at| words.get(at).cloned().unwrap_or_default()).collect();
    let text = forms::opened(&solution.filled(&question.parts[part].text), &mut given.iter());
    let stem = solution.filled(&question.stem);
    let alone = question.parts.len() == 1;
    Some((if alone { forms::opened(&stem, &mut given.iter()) } else { stem }, text))
}

/// A quantity's dotted name, and the author's remark on the step that finds it.
pub(super) type Remark<'a> = (Vec<&'a str>, String);

pub(super) fn remarks_on_steps<'a>(solution: &Solution<'a>) -> Vec<Remark<'a>> {
    let parts = solution.checked.question.parts.iter();
    parts
        .flat_map(|part| &part.remarks)
        .filter_map(|(quantity, text)| Some((quantity.value.as_name()?, text.value.clone())))
        .collect()
}

/// The author's words, who may use Markdown.
fn remark(text: &str) -> StepContext {
    beside(format!("**Remark.** {text}"))
}

/// Words to the steps above.
fn beside(markdown: String) -> StepContext {
    StepContext { says: markdown, ..StepContext::default() }
}

/// "M1 A1".
fn marks(step: &MarkedStep) -> String {
    let each: Vec<String> = step.marks.iter().map(ToString::to_string).collect();
    each.join(" ")
}

fn label(part: &Part) -> Option<String> {
    part.label.as_ref().map(|label| format!("({})", label.value))
}

fn slips(solution: &Solution<'_>, part: usize, answer: &Answer) -> Vec<MistakeContext> {
    solution
        .common_slips(part, answer)
        .into_iter()
        .take(MOST_SLIPS)
        .map(|slip| MistakeContext { value: slip.printed, says: slip.says })
        .collect()
}

/// A step on one line, for the working space: the symbols are left out where
/// numbers stand in their place.
fn short_line(step: &WorkedStep) -> String {
    let mut links: Vec<&str> = std::iter::once(&step.name)
        .chain(&step.chain)
        .map(String::as_str)
        .filter(|link| !link.starts_with("so "))
        .collect();
    if links.len() > 3 {
        links.remove(1);
    }
    let mut line: Vec<String> = links.into_iter().map(mathematical).collect();
    line.extend(bold_answer(step));
    line.join(" = ")
}

/// The first link with its left side, the others without; the printed answer bold.
fn chain(step: &WorkedStep) -> Vec<String> {
    let mut links: Vec<String> = step.chain.iter().map(|link| mathematical(link)).collect();
    links.extend(bold_answer(step));
    if let Some(first) = links.first_mut() {
        *first = format!("{} = {first}", mathematical(&step.name));
    }
    links
}

fn bold_answer(step: &WorkedStep) -> Option<String> {
    step.answer.as_ref().map(|answer| format!("**{}**", mathematical(answer)))
}

/// What a marker needs beside the working: the range to accept, and the slips that
/// can be told by their value.
fn for_the_marker(answers: &[&Answer], slips: &[MistakeContext]) -> Vec<String> {
    let mut lines = Vec::new();
    for answer in answers {
        let (lowest, highest) = answer.accepted();
        if lowest != highest {
            let unit = answer.unit.print();
            let unit = if unit.is_empty() { String::new() } else { format!("\u{202f}{unit}") };
            // A formula that names itself takes no article.
            let signs = [" ÷ ", " × ", " + ", " \u{2212} ", "("];
            let name = match signs.iter().any(|sign| answer.name.contains(sign)) {
                _ if answers.len() < 2 => String::new(),
                true => format!(" for {}", answer.name),
                false => format!(" for the {}", answer.name),
            };
            lines.push(format!("Accept {lowest} to {highest}{unit}{name}."));
        }
    }
    if !slips.is_empty() {
        let each: Vec<String> =
            slips.iter().map(|slip| format!("{} ({})", slip.value, slip.says)).collect();
        lines.push(format!("Slips to look for: {}.", each.join("; ")));
    }
    lines
}

/// Plain text as Markdown, with a lone x or y in italics as a quantity's letter is set.
pub(super) fn mathematical(text: &str) -> String {
    let escaped = escape(text);
    let mut out = String::with_capacity(escaped.len() + 8);
    let mut before = ' ';
    let mut chars = escaped.chars().peekable();
    while let Some(c) = chars.next() {
        let after = chars.peek().copied().unwrap_or(' ');
        let in_word = before.is_alphabetic() || after.is_alphabetic() || after.is_ascii_digit();
        if matches!(c, 'x' | 'y') && !in_word {
            out.push_str(&format!("*{c}*"));
        } else {
            out.push(c);
        }
        before = c;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_lone_x_or_y_is_a_letter_of_algebra() {
        assert_eq!(mathematical("120 + 0.38x kg"), "120 + 0.38*x* kg");
        assert_eq!(mathematical("so x = 3"), "so *x* = 3");
        assert_eq!(mathematical("so 0.2y = 90x² − y"), "so 0.2*y* = 90*x*² − *y*");
        assert_eq!(mathematical("mixed hexane by layers"), "mixed hexane by layers");
    }
}
