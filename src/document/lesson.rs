//! What the lesson template is given: a unit's prose, techniques, processes,
//! examples with their working, data and glossary.

use crate::figure::apparatus::{parts as parts_of, sketch_of};
use crate::figure::axis;
use crate::quantity::{Number, Unit, print_number};
use crate::question::{Answer, Solution, language_of};
use crate::reading::cautions;
use crate::reading::model::{Model, capital};
use crate::reading::parsed::{Data, Figure, Item, Process, Review, Technique, Term, Written};

use super::context::{
    ByProductContext, ColumnContext, DataContext, ExampleContext, FigureContext, LessonContext,
    LessonItem, ObjectiveContext, OperationContext, OutletContext, PartContext, ProcessContext,
    RecallContext, TechniqueContext, TermContext,
};
use super::forms::{answered, chosen_from, spoken};
use super::results::results;
use super::sheet::{head_left, head_right, parts, stem};

/// Stands at the end of every handout that describes practical work.
pub(super) const CLOSING: &str = "Before any practical work follow your school's risk assessment, your local \
rules and the supplier's safety data sheet. A qualified teacher decides whether an activity is \
allowed. Beyond the school laboratory such work is for trained people with the licences and \
permits that it needs.";

/// The handout of a lesson. `examples` are the solved examples by item index.
pub fn lesson(model: &Model, examples: &[(usize, Solution<'_>, Vec<Answer>)]) -> LessonContext {
    let front = &model.parsed.front;
    let (mut number, mut figures) = (0, 0);
    let mut items = Vec::new();
    let mut practical = false;
    for (index, item) in model.parsed.items.iter().enumerate() {
        match item {
            Item::Prose(prose) => {
                let markdown = filled(&prose.markdown, examples);
                if !markdown.trim().is_empty() {
                    items.push(LessonItem::Prose { markdown });
                }
            }
            Item::Technique(found) => {
                practical = true;
                items.push(LessonItem::Technique(Box::new(technique(found))));
            }
            Item::Process(found) => {
                practical = true;
                items.push(LessonItem::Process(process(found)));
            }
            Item::Example(question) => {
                practical |= cautions::at_a_bench(question);
                if let Some((_, solution, answers)) = examples.iter().find(|(i, ..)| *i == index) {
                    number += 1;
                    items.push(LessonItem::Example(ExampleContext {
                        number,
                        stem: stem(solution),
                        parts: told(solution, parts(solution, answers, true, false)),
                    }));
                }
            }
            Item::Figure(found) if !found.asks_only => {
                figures += 1;
                items.push(LessonItem::Figure(FigureContext {
                    id: found.id.value.clone(),
                    label: format!("Figure {figures}"),
                    caption: caption(model, found),
                    names: Vec::new(),
                }));
            }
            Item::Data(found) if !found.asks_only => items.push(LessonItem::Data(data(found))),
            Item::Glossary(terms) => {
                items.push(LessonItem::Glossary { terms: terms.iter().map(term).collect() });
            }
            Item::Review(found) => {
                items.push(LessonItem::Review {
                    title: review_title(found),
                    questions: recalled(found, index, examples),
                });
            }
            Item::Figure(_) | Item::Data(_) | Item::Question(_) => {}
        }
    }
    LessonContext {
        title: front.title.value.clone(),
        head_left: head_left(model),
        head_right: head_right(model),
        class_line: front.class.as_ref().map(|c| c.value.clone()).unwrap_or_default(),
        minutes: front.minutes.as_ref().map(|m| m.value),
        objectives: objectives(model),
        language: language_of(model),
        hyphenation: model.parsed.front.hyphenation,
        items,
        closing: practical.then(|| CLOSING.to_owned()),
    }
}

pub(super) fn review_title(review: &Review) -> String {
    review.title.as_ref().map_or_else(|| "Quick review".to_owned(), |title| title.value.clone())
}

/// The questions of a review: those made from blocks, then its own.
pub(super) fn recalled(
    review: &Review,
    index: usize,
    examples: &[(usize, Solution<'_>, Vec<Answer>)],
) -> Vec<RecallContext> {
    let made = examples.iter().filter(|(item, ..)| *item == index).map(|(_, solution, _)| {
        let response = solution.response(0);
        RecallContext {
            ask: stem(solution),
            options: response.map(chosen_from).unwrap_or_default(),
            answer: response.map(answered).unwrap_or_default().join("; "),
        }
    });
    let own = review.questions.iter().map(|(ask, answer)| RecallContext {
        ask: ask.value.clone(),
        options: Vec::new(),
        answer: answer.value.clone(),
    });
    made.chain(own).collect()
}

/// Parts with what a learner chooses from in their texts, where nobody writes.
pub(super) fn told(solution: &Solution<'_>, mut parts: Vec<PartContext>) -> Vec<PartContext> {
    for (number, part) in parts.iter_mut().enumerate() {
        let words = solution.response(number).map(spoken).unwrap_or_default();
        if !words.is_empty() {
            part.text = format!("{}\n\n{words}", part.text.trim_end());
        }
    }
    parts
}

/// What stands below a figure: the author's words, or the title of what it shows.
pub(super) fn caption(model: &Model, figure: &Figure) -> String {
    let own = figure.caption.as_ref().map(|caption| caption.value.clone());
    own.or_else(|| shown_title(model, figure)).unwrap_or_default()
}

/// The title of the block that a figure is of; of an apparatus what it is for.
pub(super) fn shown_title(model: &Model, figure: &Figure) -> Option<String> {
    let found = model.parsed.items.iter().find_map(|item| match item {
        Item::Process(found) if found.id.as_ref().is_some_and(|id| id.value == figure.shows()) => {
            Some(found.title.as_ref().map(|t| t.value.clone()))
        }
        Item::Technique(found) if found.id.value == figure.shows() => {
            Some(Some(technique(found).title))
        }
        Item::Data(found) if found.id.value == figure.shows() => {
            Some(found.title.as_ref().map(|t| t.value.clone()))
        }
        _ => None,
    });
    // A lettered apparatus asks what it is for.
    let named = figure.sketch.as_ref().filter(|_| !figure.letters);
    found.unwrap_or_else(|| named.map(|sketch| capital(&sketch.value)))
}

/// Prose with the numbers of whichever example knows them.
fn filled(text: &Written, examples: &[(usize, Solution<'_>, Vec<Answer>)]) -> String {
    match knowing(text, examples) {
        Some(solution) => solution.filled(text),
        None => text.text.clone(),
    }
}

/// The example whose numbers a text's blanks take, if it has any.
pub(super) fn knowing<'a, 'b>(
    text: &Written,
    examples: &'b [(usize, Solution<'a>, Vec<Answer>)],
) -> Option<&'b Solution<'a>> {
    if text.blanks.is_empty() {
        return None;
    }
    let knows = |solution: &Solution<'_>| {
        text.blanks.iter().all(|blank| {
            blank.formula.names().all(|(path, _)| solution.checked.slot_of(&path).is_some())
        })
    };
    examples
        .iter()
        .find(|(_, solution, _)| knows(solution))
        .or(examples.first())
        .map(|(_, solution, _)| solution)
}

pub(super) fn objectives(model: &Model) -> Vec<ObjectiveContext> {
    let objectives = model.parsed.front.objectives.iter();
    objectives
        .map(|(id, words)| ObjectiveContext { id: id.value.clone(), words: words.value.clone() })
        .collect()
}

pub(super) fn term(term: &Term) -> TermContext {
    TermContext {
        term: term.term.value.clone(),
        meaning: term.meaning.value.clone(),
        example: term.example.as_ref().map(|t| t.value.clone()).unwrap_or_default(),
        not: term.not.as_ref().map(|t| t.value.clone()).unwrap_or_default(),
    }
}

/// An id or name as a person reads it.
pub(super) fn words(name: &str) -> String {
    name.replace(['_', '-'], " ")
}

/// The id of the drawing of an apparatus.
pub fn sketch_id(name: &str) -> String {
    format!("sketch/{name}")
}

/// The same with letters in place of names.
pub fn lettered_id(name: &str) -> String {
    format!("lettered/{name}")
}

pub(super) fn technique(found: &Technique) -> TechniqueContext {
    let texts = |list: &[crate::reading::parsed::Text]| {
        list.iter().map(|text| text.value.clone()).collect::<Vec<_>>()
    };
    TechniqueContext {
        id: found.id.value.clone(),
        title: found
            .title
            .as_ref()
            .map_or_else(|| capital(&words(&found.id.value)), |t| t.value.clone()),
        property: found.property.value.clone(),
        separates: found.separates.as_ref().map(|s| s.value.clone()).unwrap_or_default(),
        outlets: found
            .outlets
            .iter()
            .map(|(role, stream)| OutletContext {
                role: words(&role.value),
                stream: stream.value.clone(),
            })
            .collect(),
        apparatus: texts(&found.apparatus),
        steps: texts(&found.steps),
        cautions: cautions::of_technique(found),
        industry: texts(&found.industry),
        sketch: sketch_of(found).map(sketch_id).unwrap_or_default(),
        parts: sketch_of(found)
            .and_then(parts_of)
            .unwrap_or_default()
            .into_iter()
            .map(str::to_owned)
            .collect(),
        step: String::new(),
        results: results(found),
        edition: String::new(),
    }
}

pub(super) fn process(found: &Process) -> ProcessContext {
    ProcessContext {
        title: found
            .title
            .as_ref()
            .or(found.id.as_ref())
            .map_or_else(|| "Process".to_owned(), |t| t.value.clone()),
        operations: found
            .operations
            .iter()
            .map(|operation| {
                let kind = operation.kind.value;
                let is_inlet = |key: &str| kind.inlets.iter().any(|p| p.key == key);
                let of = |inlets: bool| {
                    operation
                        .ports
                        .iter()
                        .filter(move |(port, _)| is_inlet(port.value.key) == inlets)
                };
                OperationContext {
                    step: words(&operation.name.value),
                    operation: kind.name.to_owned(),
                    inlets: of(true)
                        .flat_map(|(_, streams)| streams.iter().map(|s| words(&s.value)))
                        .collect(),
                    outlets: of(false)
                        .flat_map(|(port, streams)| {
                            streams.iter().map(|s| OutletContext {
                                role: port.value.key.to_owned(),
                                stream: words(&s.value),
                            })
                        })
                        .collect(),
                }
            })
            .collect(),
        by_products: found
            .by_products
            .iter()
            .map(|(stream, purpose)| ByProductContext {
                stream: words(&stream.value),
                purpose: purpose.value.clone(),
            })
            .collect(),
    }
}

pub(super) fn data(found: &Data) -> DataContext {
    // Every place across the top that any row has, in order.
    let mut across: Vec<&Number> = Vec::new();
    for (x, _) in found.rows.iter().flat_map(|(_, points)| points) {
        if !across.iter().any(|a| a.value == x.value) {
            across.push(x);
        }
    }
    across.sort_by(|a, b| a.value.total_cmp(&b.value));
    let (name, unit) = found
        .columns
        .as_ref()
        .map_or_else(|| (String::new(), Unit::none()), |(n, u)| (n.clone(), u.clone()));
    let mut columns = vec![ColumnContext { head: quantity_head(&name, &unit), numbers: false }];
    if found.listed {
        columns.push(ColumnContext { head: axis(found).head(), numbers: true });
    } else {
        let number = |x: &&Number| ColumnContext { head: print_number(*x), numbers: true };
        columns.extend(across.iter().map(number));
    }
    let rows = found
        .rows
        .iter()
        .map(|(row, points)| {
            let mut cells = vec![row.value.clone()];
            cells.extend(across.iter().map(|x| {
                points
                    .iter()
                    .find(|(at, _)| at.value == x.value)
                    .map_or_else(|| "–".to_owned(), |(_, y)| print_number(y))
            }));
            cells
        })
        .collect();
    let title = found.title.as_ref().map_or_else(|| words(&found.id.value), |t| t.value.clone());
    let title = match &found.unit {
        Some(unit) if !unit.value.print().is_empty() && !found.listed => {
            format!("{title}, in {}", unit.value.print())
        }
        _ => title,
    };
    DataContext {
        title,
        columns,
        rows,
        source: found.source.as_ref().map(|s| s.value.clone()).unwrap_or_default(),
    }
}

/// "temperature / °C", as a table's head says a quantity.
fn quantity_head(name: &str, unit: &Unit) -> String {
    if unit.print().is_empty() { name.to_owned() } else { format!("{name} / {}", unit.print()) }
}
