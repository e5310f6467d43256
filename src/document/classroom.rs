//! Directives of slides, technique cards and practical sheets: their YAML to
//! blocks. The others are read in `directive`.

use serde::Deserialize;

use super::blocks::{Block, Card, CardColumn, Choice, Fact, Mistake, Runs, Slide, plain};
use super::directive::{FactBody, MistakeBody, drawing, list, yaml};
use super::inline::inline;
use super::read::Drawings;
use crate::figure::Drawing;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SlideBody {
    title: String,
    #[serde(default)]
    line: String,
    #[serde(default)]
    opening: bool,
    #[serde(default)]
    tab: String,
    #[serde(default = "yes")]
    learners: bool,
    place: Option<usize>,
}

fn yes() -> bool {
    true
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WorkingBody {
    #[serde(default, deserialize_with = "list")]
    lines: Vec<String>,
    #[serde(default, deserialize_with = "list")]
    mistakes: Vec<MistakeBody>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ChoicesBody {
    #[serde(default, deserialize_with = "list")]
    beside: Vec<String>,
    #[serde(default, deserialize_with = "list")]
    options: Vec<ChoiceBody>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ChoiceBody {
    #[serde(default)]
    letter: String,
    text: String,
    #[serde(default)]
    right: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CardBody {
    title: String,
    #[serde(default)]
    role: String,
    #[serde(default)]
    lead: String,
    #[serde(default, deserialize_with = "list")]
    columns: Vec<ColumnBody>,
    #[serde(default, deserialize_with = "list")]
    caution: Vec<String>,
    #[serde(default, deserialize_with = "list")]
    below: Vec<FactBody>,
    /// The id of a figure.
    #[serde(default)]
    step: String,
    #[serde(default)]
    foot: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ColumnBody {
    #[serde(default)]
    heading: String,
    #[serde(default)]
    numbered: bool,
    #[serde(default, deserialize_with = "list")]
    lines: Vec<String>,
    #[serde(default, deserialize_with = "list")]
    facts: Vec<FactBody>,
    /// The id of a figure.
    #[serde(default)]
    figure: String,
    #[serde(default)]
    under: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CellsBody {
    #[serde(default, deserialize_with = "list")]
    columns: Vec<String>,
    #[serde(default, deserialize_with = "list")]
    rows: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LinesBody {
    count: u32,
}

/// Ruled lines beyond this are a slip of the pen.
pub(super) const MOST_LINES: u32 = 200;

/// The directive called `name`; none if there is no such word here.
///
/// # Errors
/// One sentence on what is wrong with the YAML, and its line there (from 1).
pub(super) fn directive(
    name: &str,
    body: &str,
    drawings: &Drawings,
) -> Option<Result<Block, (usize, String)>> {
    Some(match name {
        "slide" => yaml(body).map(slide),
        "notes" => Ok(Block::Notes),
        "working" => yaml(body).map(|body: WorkingBody| Block::Working {
            lines: each(&body.lines),
            mistakes: body.mistakes.iter().map(mistake).collect(),
        }),
        "choices" => yaml(body).map(|body: ChoicesBody| Block::Choices {
            beside: each(&body.beside),
            options: body.options.iter().map(choice).collect(),
        }),
        "card" => yaml(body).and_then(|body| Ok(Block::Card(card(&body, drawings)?))),
        "cells" => yaml(body).map(|body: CellsBody| Block::Cells {
            columns: each(&body.columns),
            rows: each(&body.rows),
        }),
        "lines" => {
            yaml(body).map(|body: LinesBody| Block::Lines { count: body.count.min(MOST_LINES) })
        }
        _ => return None,
    })
}

fn each(texts: &[String]) -> Vec<Runs> {
    texts.iter().map(|text| inline(text)).collect()
}

fn slide(body: SlideBody) -> Block {
    Block::Slide(Slide {
        title: inline(&body.title),
        line: inline(&body.line),
        opening: body.opening,
        tab: plain(&inline(&body.tab)),
        learners: body.learners,
        place: body.place,
    })
}

fn choice(body: &ChoiceBody) -> Choice {
    Choice { letter: body.letter.clone(), text: inline(&body.text), right: body.right }
}

fn mistake(body: &MistakeBody) -> Mistake {
    Mistake { value: inline(&body.value), says: inline(&body.says) }
}

fn fact(body: &FactBody) -> Fact {
    Fact { term: inline(&body.term), says: inline(&body.says) }
}

/// The drawing of an id, if there is an id.
fn shown(id: &str, drawings: &Drawings) -> Result<Option<Drawing>, (usize, String)> {
    (!id.is_empty()).then(|| drawing(id, drawings)).transpose()
}

fn column(column: &ColumnBody, drawings: &Drawings) -> Result<CardColumn, (usize, String)> {
    Ok(CardColumn {
        heading: inline(&column.heading),
        numbered: column.numbered,
        lines: each(&column.lines),
        facts: column.facts.iter().map(fact).collect(),
        drawing: shown(&column.figure, drawings)?,
        under: column.under,
    })
}

fn card(body: &CardBody, drawings: &Drawings) -> Result<Card, (usize, String)> {
    let columns = body.columns.iter().map(|part| column(part, drawings));
    Ok(Card {
        title: inline(&body.title),
        role: inline(&body.role),
        lead: inline(&body.lead),
        columns: columns.collect::<Result<_, _>>()?,
        caution: each(&body.caution),
        below: body.below.iter().map(fact).collect(),
        step: shown(&body.step, drawings)?,
        foot: plain(&inline(&body.foot)),
    })
}
