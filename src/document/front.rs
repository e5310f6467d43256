//! Directives of a paper's front page. The others are read in `directive`.

use serde::Deserialize;

use super::blocks::{Block, Cover, Marker, MarkerRow, plain};
use super::directive::{list, yaml};
use super::inline::inline;
use super::read::Drawings;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CoverBody {
    title: String,
    #[serde(default)]
    school: String,
    #[serde(default)]
    badge: String,
    #[serde(default)]
    subject: String,
    #[serde(default, deserialize_with = "list")]
    cells: Vec<CellBody>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CellBody {
    label: String,
    value: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CandidateBody {
    #[serde(default)]
    name: String,
    #[serde(default)]
    class: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TopicBody {
    heading: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MarkerBody {
    #[serde(default)]
    writes: String,
    #[serde(default, deserialize_with = "list")]
    rows: Vec<RowBody>,
    total: u32,
    given: Option<u32>,
    #[serde(default)]
    foot: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RowBody {
    question: u32,
    max: u32,
    given: Option<u32>,
}

/// The directive called `name`; none if it is not one of these.
///
/// # Errors
/// One sentence on what is wrong with the YAML, and its line there (from 1).
pub(super) fn directive(
    name: &str,
    body: &str,
    drawings: &Drawings,
) -> Option<Result<Block, (usize, String)>> {
    Some(match name {
        "cover" => yaml(body).map(|body: CoverBody| {
            Block::Cover(Cover {
                school: inline(&body.school),
                badge: drawings.pictures.get(&body.badge).cloned(),
                subject: inline(&body.subject),
                title: inline(&body.title),
                cells: body
                    .cells
                    .iter()
                    .map(|cell| (plain(&inline(&cell.label)), inline(&cell.value)))
                    .collect(),
            })
        }),
        "candidate" => yaml(body).map(|body: CandidateBody| Block::Candidate {
            name: inline(&body.name),
            class: inline(&body.class),
        }),
        "topic" => yaml(body).map(|body: TopicBody| Block::Topic(inline(&body.heading))),
        "marker" => yaml(body).map(|body: MarkerBody| {
            Block::Marker(Marker {
                writes: match plain(&inline(&body.writes)) {
                    word if word.is_empty() => "mark".to_owned(),
                    word => word,
                },
                rows: body
                    .rows
                    .iter()
                    .map(|row| MarkerRow {
                        question: row.question.to_string(),
                        max: row.max,
                        given: row.given,
                    })
                    .collect(),
                total: body.total,
                given: body.given,
                foot: inline(&body.foot),
            })
        }),
        _ => return None,
    })
}
