//! Directives: the YAML inside a fenced block to one block of the document.

use serde::de::DeserializeOwned;
use serde::{Deserialize, Deserializer};

use super::blocks::{
    Answer, AnswerLine, Block, Fact, Grid, GridColumn, GridRow, Mistake, Opening, Room, Run, Runs,
    Sheet, Step, Term, plain,
};
use super::classroom::MOST_LINES;
use super::inline::inline;
use super::read::Drawings;
use super::{checking, classroom, feedback, front, responses};
use crate::figure::Drawing;

/// What a fenced block turned out to be.
pub(super) enum Directive {
    Sheet(Sheet),
    Block(Block),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SheetBody {
    title: String,
    #[serde(default)]
    language: String,
    #[serde(default)]
    hyphenation: bool,
    #[serde(default)]
    left: String,
    #[serde(default)]
    right: String,
    #[serde(default)]
    code: String,
    #[serde(default)]
    version: String,
    #[serde(default)]
    seed: String,
    #[serde(default)]
    tab: String,
    #[serde(default)]
    teacher: bool,
    #[serde(default)]
    marked: bool,
    #[serde(default)]
    last: String,
    #[serde(default)]
    seat: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OpeningBody {
    title: String,
    #[serde(default)]
    line: String,
    score: Option<u32>,
    given: Option<u32>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NamesBody {
    #[serde(default)]
    name: String,
    #[serde(default)]
    class: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NumberBody {
    number: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LabelBody {
    label: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PartBody {
    #[serde(default)]
    label: String,
    #[serde(default)]
    sub: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TotalBody {
    marks: u32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AnswerBody {
    #[serde(default)]
    marks: u32,
    #[serde(default, deserialize_with = "list")]
    lines: Vec<LineBody>,
    #[serde(default, deserialize_with = "list")]
    working: Vec<String>,
    #[serde(default, deserialize_with = "list")]
    mistakes: Vec<MistakeBody>,
    #[serde(default)]
    tight: bool,
    #[serde(default)]
    see: String,
    room: Option<RoomBody>,
    judged: Option<feedback::JudgedBody>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RoomBody {
    kind: RoomKind,
    width: Option<f64>,
    height: Option<f64>,
    lines: Option<u32>,
}

#[derive(Deserialize)]
#[serde(rename_all = "lowercase")]
enum RoomKind {
    None,
    Blank,
    Lines,
    Drawing,
    Graph,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LineBody {
    #[serde(default)]
    name: String,
    #[serde(default)]
    unit: String,
    #[serde(default)]
    value: String,
    #[serde(default)]
    wrote: String,
    width: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct MistakeBody {
    pub(super) value: String,
    #[serde(default)]
    pub(super) says: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StepBody {
    #[serde(default)]
    says: String,
    #[serde(default, deserialize_with = "list")]
    chain: Vec<String>,
    number: Option<u32>,
    #[serde(default)]
    marks: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FactBody {
    pub(super) term: String,
    pub(super) says: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TermBody {
    term: String,
    meaning: String,
    #[serde(default)]
    example: String,
    #[serde(default)]
    not: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CaptionBody {
    #[serde(default)]
    label: String,
    #[serde(default)]
    text: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GridBody {
    columns: Vec<ColumnBody>,
    #[serde(default, deserialize_with = "list")]
    rows: Vec<RowBody>,
    #[serde(default)]
    least: f64,
    #[serde(default)]
    cut: bool,
    #[serde(default)]
    ruled: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ColumnBody {
    #[serde(default)]
    head: String,
    width: f64,
    #[serde(default)]
    gap: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RowBody {
    cells: Vec<Cell>,
    #[serde(default, rename = "goes-on")]
    goes_on: bool,
    #[serde(default)]
    total: bool,
}

/// A text, a list of texts that stand one under another, or what a marker looks for.
#[derive(Deserialize)]
#[serde(untagged)]
enum Cell {
    One(String),
    Several(Vec<String>),
    Exact(ExactBody),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ExactBody {
    /// What is bold in it must be said in just these words: it is underlined.
    exact: String,
    /// A word in bold before it.
    #[serde(default)]
    lead: String,
}

impl Cell {
    fn paragraphs(&self) -> Vec<Runs> {
        let texts = match self {
            Cell::One(text) => std::slice::from_ref(text),
            Cell::Several(texts) => texts.as_slice(),
            Cell::Exact(body) => return vec![body.runs()],
        };
        texts.iter().filter(|text| !text.trim().is_empty()).map(|text| inline(text)).collect()
    }
}

impl ExactBody {
    fn runs(&self) -> Runs {
        let lead = Run { text: format!("{}  ", self.lead), bold: true, ..Run::default() };
        let lead = (!self.lead.is_empty()).then_some(lead);
        let underlined =
            |run: Run| Run { bold: false, underlined: run.bold || run.underlined, ..run };
        lead.into_iter().chain(inline(&self.exact).into_iter().map(underlined)).collect()
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FigureBody {
    id: String,
    #[serde(default)]
    label: String,
    #[serde(default)]
    caption: String,
    #[serde(default)]
    blanks: bool,
    #[serde(default, deserialize_with = "list")]
    letters: Vec<String>,
    names: Option<Vec<NameBody>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NameBody {
    name: String,
    #[serde(default)]
    wrote: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PagesBody {
    #[serde(default)]
    counts: String,
}

/// The directive called `name`; none if there is no such word.
///
/// # Errors
/// One sentence on what is wrong with the YAML, and its line there (from 1).
pub(super) fn directive(
    name: &str,
    body: &str,
    drawings: &Drawings,
) -> Option<Result<Directive, (usize, String)>> {
    let block =
        match name {
            "sheet" => return Some(yaml(body).map(|body| Directive::Sheet(sheet(&body)))),
            "opening" => yaml(body).map(|body: OpeningBody| {
                Block::Opening(Opening {
                    title: inline(&body.title),
                    line: inline(&body.line),
                    score: body.score,
                    given: body.given,
                })
            }),
            "names" => yaml(body).map(|body: NamesBody| Block::Names {
                name: inline(&body.name),
                class: inline(&body.class),
            }),
            "question" => yaml(body)
                .map(|body: NumberBody| Block::Question { number: plain(&inline(&body.number)) }),
            "part" => yaml(body).map(|body: PartBody| Block::Part {
                label: plain(&inline(&body.label)),
                sub: plain(&inline(&body.sub)),
            }),
            "answer" => yaml(body).map(|body| Block::Answer(answer(body))),
            "total" => yaml(body).map(|body: TotalBody| Block::Total { marks: body.marks }),
            "example" => yaml(body)
                .map(|body: LabelBody| Block::Example { label: plain(&inline(&body.label)) }),
            "close" => Ok(Block::Close),
            "steps" => rows(body).map(|steps: Vec<StepBody>| {
                Block::Steps(
                    steps
                        .iter()
                        .map(|step| Step {
                            says: inline(&step.says),
                            chain: step.chain.iter().map(|line| inline(line)).collect(),
                            number: step.number,
                            marks: plain(&inline(&step.marks)),
                        })
                        .collect(),
                )
            }),
            "facts" => rows(body).map(|facts: Vec<FactBody>| {
                Block::Facts(
                    facts
                        .iter()
                        .map(|fact| Fact { term: inline(&fact.term), says: inline(&fact.says) })
                        .collect(),
                )
            }),
            "glossary" => rows(body).map(|terms: Vec<TermBody>| {
                Block::Glossary(
                    terms
                        .iter()
                        .map(|term| Term {
                            term: inline(&term.term),
                            meaning: inline(&term.meaning),
                            example: inline(&term.example),
                            not: inline(&term.not),
                        })
                        .collect(),
                )
            }),
            "caption" => yaml(body).map(|body: CaptionBody| Block::Caption {
                label: plain(&inline(&body.label)),
                text: inline(&body.text),
            }),
            "grid" => yaml(body).map(|body| Block::Grid(grid(body))),
            "figure" => yaml(body).and_then(|body| figure(&body, drawings)),
            "behind" => Ok(Block::Behind),
            "pages" => yaml(body)
                .map(|body: PagesBody| Block::Pages { counts: plain(&inline(&body.counts)) }),
            _ => {
                let other = feedback::directive(name, body)
                    .or_else(|| front::directive(name, body, drawings))
                    .or_else(|| checking::directive(name, body))
                    .or_else(|| responses::directive(name, body))
                    .or_else(|| classroom::directive(name, body, drawings));
                return other.map(|block| block.map(Directive::Block));
            }
        };
    Some(block.map(Directive::Block))
}

fn figure(body: &FigureBody, drawings: &Drawings) -> Result<Block, (usize, String)> {
    let mut drawing = drawing(&body.id, drawings)?;
    if let Some(names) = &body.names {
        // A name that nobody wrote leaves its line empty.
        for label in drawing.labels.iter_mut().filter(|label| label.asked) {
            let own = names.iter().find(|own| plain(&inline(&own.name)) == label.text);
            label.text = own.map_or_else(String::new, |own| plain(&inline(&own.wrote)));
        }
    }
    Ok(Block::Figure {
        label: plain(&inline(&body.label)),
        caption: inline(&body.caption),
        drawing,
        blanks: body.blanks,
        letters: body.letters.iter().map(|name| plain(&inline(name))).collect(),
    })
}

/// The drawing of an id.
pub(super) fn drawing(id: &str, drawings: &Drawings) -> Result<Drawing, (usize, String)> {
    let id = plain(&inline(id));
    let found = drawings.get(&id).ok_or_else(|| (1, format!("there is no figure called {id}")))?;
    Ok(found.clone())
}

fn sheet(body: &SheetBody) -> Sheet {
    let words = |text: &str| plain(&inline(text));
    Sheet {
        title: words(&body.title),
        language: words(&body.language),
        hyphenation: body.hyphenation,
        left: words(&body.left),
        right: words(&body.right),
        code: words(&body.code),
        version: words(&body.version),
        seed: words(&body.seed),
        tab: words(&body.tab),
        teacher: body.teacher,
        marked: body.marked,
        last: words(&body.last),
        seat: words(&body.seat),
    }
}

fn grid(body: GridBody) -> Grid {
    let usable = |mm: f64| if mm.is_finite() { mm.max(0.0) } else { 0.0 };
    Grid {
        columns: body
            .columns
            .iter()
            .map(|column| GridColumn {
                head: inline(&column.head),
                width: usable(column.width),
                gap: column.gap,
            })
            .collect(),
        rows: body
            .rows
            .iter()
            .map(|row| GridRow {
                cells: row.cells.iter().map(Cell::paragraphs).collect(),
                goes_on: row.goes_on,
                total: row.total,
            })
            .collect(),
        least: usable(body.least),
        cut: body.cut,
        ruled: body.ruled,
    }
}

fn answer(body: AnswerBody) -> Answer {
    Answer {
        marks: body.marks,
        lines: body
            .lines
            .iter()
            .map(|line| AnswerLine {
                name: inline(&line.name),
                unit: inline(&line.unit),
                value: inline(&line.value),
                wrote: inline(&line.wrote),
                width: line.width.filter(|mm| mm.is_finite() && *mm > 0.0),
            })
            .collect(),
        working: body.working.iter().map(|line| inline(line)).collect(),
        mistakes: body
            .mistakes
            .iter()
            .map(|mistake| Mistake { value: inline(&mistake.value), says: inline(&mistake.says) })
            .collect(),
        tight: body.tight,
        see: plain(&inline(&body.see)),
        room: body.room.as_ref().map_or(Room::Usual, room),
        judged: body.judged.map(feedback::judged),
    }
}

/// Graph paper where nothing is said of its size, in mm.
const GRAPH: (f64, f64) = (120.0, 100.0);

fn room(body: &RoomBody) -> Room {
    let length = |mm: Option<f64>| mm.filter(|mm| mm.is_finite() && *mm > 0.0);
    let (width, height) = (length(body.width), length(body.height));
    match body.kind {
        RoomKind::None => Room::None,
        RoomKind::Blank => height.map_or(Room::Usual, Room::Blank),
        RoomKind::Lines => Room::Ruled(body.lines.map(|lines| lines.min(MOST_LINES))),
        RoomKind::Drawing => Room::Drawing(height),
        RoomKind::Graph => Room::Graph(width.unwrap_or(GRAPH.0), height.unwrap_or(GRAPH.1)),
    }
}

/// A list; nothing after the colon, as a loop without rounds leaves it, is none.
pub(super) fn list<'de, D: Deserializer<'de>, T: Deserialize<'de>>(
    from: D,
) -> Result<Vec<T>, D::Error> {
    Option::deserialize(from).map(Option::unwrap_or_default)
}

/// The YAML of a directive that is a list.
pub(super) fn rows<T: DeserializeOwned>(body: &str) -> Result<Vec<T>, (usize, String)> {
    if body.trim().is_empty() { Ok(Vec::new()) } else { yaml(body) }
}

pub(super) fn yaml<T: DeserializeOwned>(body: &str) -> Result<T, (usize, String)> {
    let body = if body.trim().is_empty() { "{}" } else { body };
    serde_saphyr::from_str(body).map_err(|error| {
        let line = error.location().map_or(1, |location| location.line() as usize);
        let said = error.to_string();
        let said = said.lines().next().unwrap_or("the YAML cannot be read");
        (line, said.trim_start_matches("error: ").trim_end_matches('.').to_owned())
    })
}
