//! Directives of a marked copy: what a marker writes beside answers, and what a learner is
//! told of it all.

use serde::Deserialize;

use super::blocks::{Block, Judged, StripCell, plain};
use super::directive::{list, rows, yaml};
use super::inline::inline;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct JudgedBody {
    #[serde(default)]
    given: u32,
    #[serde(default, deserialize_with = "list")]
    codes: Vec<CodeBody>,
    #[serde(default)]
    note: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CodeBody {
    code: String,
    #[serde(default)]
    earned: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FeedbackBody {
    title: String,
    #[serde(default)]
    right: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CellBody {
    head: String,
    says: String,
    #[serde(default)]
    full: bool,
    #[serde(default)]
    total: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ToldBody {
    #[serde(default)]
    heading: String,
    #[serde(default, deserialize_with = "list")]
    lines: Vec<String>,
    #[serde(default)]
    dashed: bool,
}

/// The directive called `name`; none if there is no such word here.
///
/// # Errors
/// One sentence on what is wrong with the YAML, and its line there (from 1).
pub(super) fn directive(name: &str, body: &str) -> Option<Result<Block, (usize, String)>> {
    Some(match name {
        "feedback" => yaml(body).map(|body: FeedbackBody| Block::Feedback {
            title: inline(&body.title),
            right: inline(&body.right),
        }),
        "strip" => rows(body).map(|cells: Vec<CellBody>| {
            let cell = |cell: &CellBody| StripCell {
                head: plain(&inline(&cell.head)),
                says: plain(&inline(&cell.says)),
                full: cell.full,
                total: cell.total,
            };
            Block::Strip(cells.iter().map(cell).collect())
        }),
        "told" => yaml(body).map(|body: ToldBody| Block::Told {
            heading: inline(&body.heading),
            lines: body.lines.iter().map(|line| inline(line)).collect(),
            dashed: body.dashed,
        }),
        _ => return None,
    })
}

pub(super) fn judged(body: JudgedBody) -> Judged {
    Judged {
        given: body.given,
        codes: body.codes.iter().map(|c| (plain(&inline(&c.code)), c.earned)).collect(),
        note: inline(&body.note),
    }
}
