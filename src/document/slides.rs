//! What the templates of slides, technique cards and practical sheets are given.
//!
//! Takes a unit, its solved examples and one version's solved questions; gives
//! contexts. A section's prose is not put on slides whole: a slide shows its lists
//! and tables and the sentences in which the author set something in bold, and the
//! speaker's notes have all of it. Never rewords, never measures: how much a slide
//! holds is only estimated here, so that ideas are parted where one ends.

use std::ops::Range;

use crate::diag::Span;
use crate::figure::{Subject, apparatus, natural, subject};
use crate::question::{Answer, Form, Response, Solution, language_of};
use crate::reading::model::{Model, capital};
use crate::reading::parsed::{Draw, Figure, Item, Part, Prose, Question, Review, Written};
use crate::version::check;

use super::context::{
    AskContext, ChoiceContext, DataContext, PairContext, PartContext, SlideFigureContext,
    SlideItem, SlidesContext, StepsContext, TechniqueContext, TechniquesContext,
};
use super::forms::{Lined, lined, spoken};
use super::lesson::{
    CLOSING, caption, data, knowing, lettered_id, objectives, process, recalled, review_title,
    shown_title, technique, term, words,
};
use super::read::Drawings;
use super::sentences::{Kind, blocks, is_stressed, rough_lines, rough_lines_of, sentences};
use super::sheet::{figure_id, head_left, head_right, parts, solubilities, stem};

/// Lines of text that a slide holds.
const MOST_LINES: usize = 7;

/// Characters on a line that uses the width of the slide.
const ON_A_WIDE_LINE: usize = 50;

/// Characters on a line beside the letter of an option, and in a column of two.
const ON_AN_OPTION: usize = 46;
const IN_A_COLUMN: usize = 22;

/// Characters in the cells of a row.
const ON_A_ROW: usize = 66;

/// A version's questions with their answers.
pub type Quiz<'a> = [(Solution<'a>, Vec<Answer>)];

/// The slides of a unit, its quiz with the numbers of `version`. `examples` are the
/// solved examples by item index, `drawings` those that slides may show.
pub fn slides(
    model: &Model,
    examples: &[(usize, Solution<'_>, Vec<Answer>)],
    questions: &Quiz<'_>,
    version: &str,
    seed: u64,
    drawings: &Drawings,
) -> SlidesContext {
    let front = &model.parsed.front;
    let mut items = Vec::new();
    let mut section = front.title.value.clone();
    let mut shown = 0;
    for (index, item) in model.parsed.items.iter().enumerate() {
        match item {
            Item::Prose(found) => prose(found, examples, &mut section, &mut items),
            Item::Technique(found) => {
                items.push(on_slides(found.span.start, technique(found)));
            }
            Item::Process(found) => items.push(SlideItem::Process(process(found))),
            Item::Example(_) => {
                if let Some((_, solution, answers)) = examples.iter().find(|(i, ..)| *i == index) {
                    shown += 1;
                    let name = format!("Example {shown}");
                    items.push(SlideItem::Example(ask(&name, solution, answers)));
                }
            }
            Item::Data(found) if !found.asks_only => items.push(SlideItem::Data(data(found))),
            Item::Glossary(terms) => {
                items.push(SlideItem::Glossary { terms: terms.iter().map(term).collect() });
            }
            Item::Figure(found) if on_a_slide(model, found) => {
                items.push(SlideItem::Figure(figure(model, found, drawings)));
            }
            Item::Figure(_) | Item::Data(_) | Item::Question(_) => {}
            Item::Review(found) => items.push(review(found, index, examples)),
        }
    }
    let techniques = all_techniques(model);
    SlidesContext {
        title: front.title.value.clone(),
        class_line: front.class.as_ref().map(|c| c.value.clone()).unwrap_or_default(),
        head_right: head_right(model),
        language: language_of(model),
        version: version.to_owned(),
        seed: seed.to_string(),
        objectives: objectives(model),
        items,
        closing: (!techniques.is_empty()).then(|| CLOSING.to_owned()),
        techniques,
        questions: questions
            .iter()
            .enumerate()
            .map(|(number, (solution, answers))| {
                let name = format!("Question {}", number + 1);
                AskContext {
                    figures: asked_of(model, &solution.checked.question, drawings),
                    tables: tables(model, solution),
                    ..ask(&name, solution, answers)
                }
            })
            .collect(),
    }
}

/// A figure with what its letters stand for.
fn figure(model: &Model, found: &Figure, drawings: &Drawings) -> SlideFigureContext {
    let title = shown_title(model, found).unwrap_or_else(|| match caption(model, found) {
        caption if caption.is_empty() => "What is this?".to_owned(),
        caption => caption,
    });
    let (ids, parts) = match subject(model, found) {
        Some(Subject::Sketch(name)) if !found.letters => {
            let parts = apparatus::parts(name).unwrap_or_default();
            (vec![lettered_id(name)], parts.into_iter().map(str::to_owned).collect())
        }
        _ => {
            let ids = (1..).map(|part| part_id(&found.id.value, part));
            (ids.take_while(|id| drawings.contains_key(id)).collect(), Vec::new())
        }
    };
    SlideFigureContext { ids, title, parts }
}

/// The id of a part of a figure that takes several slides.
pub fn part_id(figure: &str, part: usize) -> String {
    format!("{figure} {part}")
}

/// The id of the diagram of a technique's step.
pub fn step_id(technique: &str) -> String {
    format!("step/{technique}")
}

/// A figure whose words can be read from afar. Of others the table is shown.
pub fn on_a_slide(model: &Model, figure: &Figure) -> bool {
    if figure.asks_only {
        return false;
    }
    match subject(model, figure) {
        Some(Subject::Table(data)) => {
            let draw = figure.draw.as_ref().map_or_else(|| natural(data), |draw| draw.value);
            matches!(draw, Draw::Curve | Draw::Line | Draw::Bars)
        }
        Some(Subject::Process(_) | Subject::Sketch(_)) => true,
        Some(Subject::Unknown(_)) | None => false,
    }
}

/// What cards and practical sheets are made of, with the drawings that there are.
pub fn techniques(model: &Model, drawings: &Drawings) -> TechniquesContext {
    let front = &model.parsed.front;
    let mut techniques = all_techniques(model);
    for technique in &mut techniques {
        let step = step_id(&technique.id);
        technique.step = if drawings.contains_key(&step) { step } else { String::new() };
        technique.edition = edition(technique);
    }
    TechniquesContext {
        title: front.title.value.clone(),
        head_left: head_left(model),
        head_right: head_right(model),
        unit: front.id.value.clone(),
        language: language_of(model),
        techniques,
        closing: CLOSING.to_owned(),
    }
}

/// Tells a card from one printed before its words were changed.
fn edition(technique: &TechniqueContext) -> String {
    let outlets = technique.outlets.iter().flat_map(|outlet| [&outlet.role, &outlet.stream]);
    let lists = [&technique.apparatus, &technique.steps, &technique.cautions, &technique.industry];
    let texts = [&technique.title, &technique.property, &technique.separates, &technique.sketch];
    let all = texts.into_iter().chain(outlets).chain(lists.into_iter().flatten());
    let all: Vec<&str> = all.map(String::as_str).collect();
    check(all.join("\n").as_bytes())
}

fn all_techniques(model: &Model) -> Vec<TechniqueContext> {
    let items = model.parsed.items.iter();
    items
        .filter_map(|item| match item {
            Item::Technique(found) => Some(technique(found)),
            _ => None,
        })
        .collect()
}

/// A technique with its steps and cautions parted into what a slide holds. The
/// heading of a caution takes a line of its own.
fn on_slides(place: usize, technique: TechniqueContext) -> SlideItem {
    let mut first = 1;
    let steps = shared_out(&technique.steps, MOST_LINES)
        .into_iter()
        .map(|texts| {
            let from = first;
            first += texts.len();
            StepsContext { first: from, texts }
        })
        .collect();
    let cautions = shared_out(&technique.cautions, MOST_LINES - 1);
    SlideItem::Technique { place, technique: Box::new(technique), steps, cautions }
}

/// Texts shared out evenly over as few slides as hold them.
fn shared_out(texts: &[String], most: usize) -> Vec<Vec<String>> {
    let mut shared = filled_up(texts, most);
    for fewer in (1..most).rev() {
        let evener = filled_up(texts, fewer);
        if evener.len() > shared.len() {
            break;
        }
        shared = evener;
    }
    shared
}

fn filled_up(texts: &[String], most: usize) -> Vec<Vec<String>> {
    let mut shared: Vec<Vec<String>> = Vec::new();
    let mut used = 0;
    for text in texts {
        let lines = text.chars().count().div_ceil(ON_A_WIDE_LINE);
        match shared.last_mut() {
            Some(last) if used + lines <= most => {
                last.push(text.clone());
                used += lines;
            }
            _ => {
                shared.push(vec![text.clone()]);
                used = lines;
            }
        }
    }
    shared
}

/// A block of prose on its way to a slide: what is shown of it, what is said.
struct Idea {
    shown: String,
    said: String,
}

/// The slides of a stretch of prose. `section` is the heading it stands under, and
/// becomes the last one in it.
fn prose(
    prose: &Prose,
    examples: &[(usize, Solution<'_>, Vec<Answer>)],
    section: &mut String,
    items: &mut Vec<SlideItem>,
) {
    let written = &prose.markdown;
    let solution = knowing(written, examples);
    let filled = |range: Range<usize>| {
        let part = part_of(written, range);
        solution.map_or_else(|| part.text.clone(), |solution| solution.filled(&part))
    };
    let mut ideas: Vec<Idea> = Vec::new();
    let mut place = written.span.start;
    for (kind, range) in blocks(&written.text) {
        let at = written.span.start + range.start;
        match kind {
            Kind::Section(title) => {
                pack(section, place, &mut ideas, items);
                *section = title;
                place = at;
            }
            Kind::Paragraph => {
                let said = filled(range);
                ideas.push(Idea { shown: stressed(&said), said });
            }
            Kind::List(items) => {
                let whole = filled(range.clone());
                // A list stays together as long as a slide holds it.
                let fits = rough_lines(&whole) <= MOST_LINES;
                for range in if fits { vec![range] } else { items } {
                    let shown = filled(range);
                    ideas.push(Idea { said: shown.clone(), shown });
                }
            }
            Kind::Other => {
                let shown = filled(range);
                ideas.push(Idea { shown, said: String::new() });
            }
            Kind::Rule => {}
        }
    }
    pack(section, place, &mut ideas, items);
}

/// A stretch of a text with the blanks in it.
fn part_of(written: &Written, range: Range<usize>) -> Written {
    let start = written.span.start;
    let blanks = written
        .blanks
        .iter()
        .filter(|blank| range.start <= blank.at.start && blank.at.end <= range.end);
    Written {
        text: written.text[range.clone()].to_owned(),
        span: Span::new(start + range.start, start + range.end),
        blanks: blanks
            .cloned()
            .map(|mut blank| {
                blank.at = blank.at.start - range.start..blank.at.end - range.start;
                blank
            })
            .collect(),
    }
}

/// The sentences of a paragraph that have something in bold, as a list.
fn stressed(paragraph: &str) -> String {
    bullets(sentences(paragraph).into_iter().filter(|sentence| is_stressed(sentence)))
}

fn bullets<'a>(sentences: impl Iterator<Item = &'a str>) -> String {
    sentences.map(|sentence| format!("- {}\n", sentence.replace('\n', " "))).collect()
}

/// Puts a section's ideas on slides, as many on each as it holds.
fn pack(title: &str, place: usize, ideas: &mut Vec<Idea>, items: &mut Vec<SlideItem>) {
    let mut ideas = std::mem::take(ideas);
    let lines: usize = ideas.iter().map(|idea| rough_lines(&idea.said)).sum();
    let bare = ideas.iter().all(|idea| idea.shown.trim().is_empty());
    for idea in &mut ideas {
        if lines <= MOST_LINES && !idea.said.is_empty() {
            // All of a short section can be shown.
            idea.shown.clone_from(&idea.said);
        } else if bare {
            idea.shown = bullets(sentences(&idea.said).into_iter().take(1));
        }
    }
    let (mut body, mut notes) = (String::new(), String::new());
    let mut used = 0;
    let mut continued = items.iter().any(|item| match item {
        SlideItem::Prose { title: before, .. } => before == title,
        _ => false,
    });
    let mut push = |body: &mut String, notes: &mut String| {
        let (body, notes) = (std::mem::take(body), std::mem::take(notes));
        items.push(SlideItem::Prose { title: title.to_owned(), continued, place, body, notes });
        continued = true;
    };
    for idea in ideas {
        let lines = rough_lines(&idea.shown);
        if used > 0 && lines > 0 && used + lines > MOST_LINES {
            push(&mut body, &mut notes);
            used = 0;
        }
        if lines > 0 {
            join(&mut body, &idea.shown);
        }
        if !idea.said.is_empty() {
            join(&mut notes, &idea.said);
        }
        used += lines;
    }
    if used > 0 || !notes.is_empty() {
        push(&mut body, &mut notes);
    }
}

/// Adds a block of Markdown to others: an item of a list stands close to one before it,
/// all else is parted by an empty line.
fn join(text: &mut String, block: &str) {
    let block = block.trim_end();
    if !text.is_empty() {
        let before = text.rsplit("\n\n").next().unwrap_or_default();
        let close = is_listed(before) && is_listed(block);
        text.push_str(if close { "\n" } else { "\n\n" });
    }
    text.push_str(block);
}

/// Whether a block of Markdown begins with an item of a list.
fn is_listed(block: &str) -> bool {
    let rest = block.trim_start_matches(|c: char| c.is_ascii_digit());
    let number = rest.len() < block.len() && rest.starts_with(['.', ')']);
    number || ["- ", "* ", "+ "].iter().any(|sign| block.starts_with(sign))
}

/// A question as slides: what is told, then each part asked and answered. What is
/// told stands with each part where a slide holds both, else before each that counts
/// with it.
fn ask(name: &str, solution: &Solution<'_>, answers: &[Answer]) -> AskContext {
    let question = &solution.checked.question;
    let title = format!("{name}: {}", title_of(question));
    let stem = stem(solution);
    let place = question.stem.span.start;
    let mut stands = false;
    let mut pairs = Vec::new();
    let parts = parts(solution, answers, true, false);
    for (number, (part, written)) in parts.into_iter().zip(&question.parts).enumerate() {
        let own = if written.text.text.trim().is_empty() { place } else { written.text.span.start };
        let title = match part.mark.as_str() {
            "" => title.clone(),
            mark => format!("{name} {mark}"),
        };
        let response = solution.response(number);
        let mut pair = PairContext { title, place: own, ..pair(part, written, response) };
        let room = MOST_LINES.saturating_sub(lined_up(&pair));
        if lines(&stem) + lines(&pair.text) <= room {
            pair.text = joined(&[&stem, &pair.text]);
            stands = true;
        } else if pair.text.is_empty() {
            // The stem itself asks.
            pair.text.clone_from(&stem);
        } else if !stands || response.is_none() {
            pair.stem.clone_from(&stem);
            stands = true;
        }
        if pair.options.is_empty() {
            if lines(&pair.text) > room
                && let Some((text, table)) = pair.text.split_once("\n\n|")
            {
                (pair.table, pair.text) = (format!("|{table}"), text.to_owned());
            }
        } else if lines(&pair.text) > room + 1 {
            pair.lead_in = std::mem::take(&mut pair.text);
            pair.text = last_sentence(&pair.lead_in);
            if pair.text == pair.lead_in || lines(&pair.text) > room {
                pair.text.clear();
            }
        }
        pairs.push(pair);
    }
    // Names that no part asks for are written before the first.
    if !question.blank.is_empty() && !pairs.iter().any(|pair| pair.names) {
        pairs.iter_mut().take(1).for_each(|pair| pair.names = true);
    }
    AskContext { title, place, name: name.to_owned(), pairs, ..AskContext::default() }
}

/// A part asked and answered, without its title and what its question tells.
fn pair(part: PartContext, written: &Part, response: Option<&Response>) -> PairContext {
    let Lined { note, beside, matched, asked, answered } =
        response.and_then(lined).unwrap_or_default();
    // What is marked among the options needs no telling below them.
    let tells = !asked.is_empty() && !written.is_worked();
    let text = match asked.is_empty() {
        true => joined(&[&part.text, &response.map(spoken).unwrap_or_default()]),
        false => format!("{} {note}", part.text.trim()).trim().to_owned(),
    };
    PairContext {
        text: joined(&[&part.lead, &text]),
        beside,
        matched,
        options: asked,
        chosen: answered,
        names: response.is_some_and(|response| matches!(response.form, Form::Names)),
        working: if tells { Vec::new() } else { part.working },
        // One slip is enough to talk about.
        mistakes: part.mistakes.into_iter().take(1).collect(),
        ..PairContext::default()
    }
}

/// Paragraphs of those texts that there are.
fn joined(texts: &[&str]) -> String {
    let texts = texts.iter().map(|text| text.trim()).filter(|text| !text.is_empty());
    texts.collect::<Vec<_>>().join("\n\n")
}

/// Lines of a text that uses the width of the slide, roughly.
fn lines(text: &str) -> usize {
    let (rows, others): (Vec<&str>, Vec<&str>) = text.lines().partition(|l| l.starts_with('|'));
    // The rule below a table's heads is no row.
    let rows = rows.iter().filter(|row| !row.starts_with("|:--"));
    let tall = |row: &&str| row.chars().filter(|c| *c != '|').count().div_ceil(ON_A_ROW);
    rough_lines_of(&others.join("\n"), ON_A_WIDE_LINE) + rows.map(tall).sum::<usize>()
}

/// Lines that the options of a part take, roughly.
fn lined_up(pair: &PairContext) -> usize {
    let on_a_line = if pair.beside.is_empty() { ON_AN_OPTION } else { IN_A_COLUMN };
    let tall = |text: &str| text.chars().count().div_ceil(on_a_line).max(1);
    let rows = 0..pair.beside.len().max(pair.options.len());
    rows.map(|row| {
        let beside = pair.beside.get(row).map_or(0, |text| tall(text));
        beside.max(pair.options.get(row).map_or(0, |option| tall(&option.text)))
    })
    .sum()
}

/// The last sentence of the last paragraph.
fn last_sentence(text: &str) -> String {
    let paragraph = text.rsplit("\n\n").next().unwrap_or_default();
    sentences(paragraph).pop().unwrap_or_default().to_owned()
}

/// The drawings that a question shows.
fn asked_of(model: &Model, question: &Question, drawings: &Drawings) -> Vec<String> {
    let shown = question.figure.as_ref().and_then(|id| model.figure(&id.value));
    let Some((figure, _)) = shown else { return Vec::new() };
    let id = figure_id(model, question, &figure.id.value);
    let ids = (1..).map(|part| part_id(&id, part));
    ids.take_while(|id| drawings.contains_key(id)).collect()
}

/// The tables that a question names or reads.
fn tables(model: &Model, solution: &Solution<'_>) -> Vec<DataContext> {
    let named = model.tables_named(&solution.checked.question);
    // A stem that has the numbers in a table of its own needs no other.
    if solution.checked.question.stem.text.contains("\n|") {
        return named.into_iter().map(data).collect();
    }
    let mut read = model.tables_read(solution.checked);
    read.retain(|table| named.iter().all(|shown| shown.id.value != table.id.value));
    let built_in = model.built_in_read(solution.checked).into_iter();
    let built_in = built_in.map(|table| solubilities(table.name, table.points, table.source));
    named.into_iter().chain(read).map(data).chain(built_in).collect()
}

/// A quick review: each question asked, then answered on the next slide.
fn review(
    found: &Review,
    index: usize,
    examples: &[(usize, Solution<'_>, Vec<Answer>)],
) -> SlideItem {
    let title = review_title(found);
    let place = found.span.start;
    let pairs = (1..)
        .zip(recalled(found, index, examples))
        .map(|(number, question)| {
            let unmarked =
                |option: &ChoiceContext| ChoiceContext { right: false, ..option.clone() };
            PairContext {
                title: format!("{title} {number}"),
                place,
                text: question.ask.trim().to_owned(),
                options: question.options.iter().map(unmarked).collect(),
                working: if question.options.is_empty() {
                    vec![question.answer]
                } else {
                    Vec::new()
                },
                chosen: question.options,
                ..PairContext::default()
            }
        })
        .collect();
    SlideItem::Review(AskContext { title, place, pairs, ..AskContext::default() })
}

fn title_of(question: &Question) -> String {
    match &question.title {
        Some(title) => title.value.clone(),
        None => capital(&words(&question.id.value)),
    }
}
