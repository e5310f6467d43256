//! Directives of a sheet that a second person checks a paper with. The others are read in
//! `directive`.

use serde::Deserialize;

use super::blocks::{Block, Slot, plain};
use super::directive::{list, rows, yaml};
use super::inline::inline;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FactBody {
    label: String,
    #[serde(default)]
    value: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ChecksBody {
    #[serde(default, deserialize_with = "list")]
    lines: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SlotsBody {
    #[serde(default, deserialize_with = "list")]
    slots: Vec<SlotBody>,
    #[serde(default)]
    below: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SlotBody {
    label: String,
    width: f64,
}

/// The directive called `name`; none if it is not one of these.
///
/// # Errors
/// One sentence on what is wrong with the YAML, and its line there (from 1).
pub(super) fn directive(name: &str, body: &str) -> Option<Result<Block, (usize, String)>> {
    Some(match name {
        "fact-cells" => rows(body).map(|cells: Vec<FactBody>| {
            let cell = |cell: &FactBody| (plain(&inline(&cell.label)), inline(&cell.value));
            Block::FactCells(cells.iter().map(cell).collect())
        }),
        "checks" => yaml(body).map(|body: ChecksBody| {
            Block::Checks(body.lines.iter().map(|line| inline(line)).collect())
        }),
        "slots" => yaml(body).map(|body: SlotsBody| Block::Slots {
            slots: body.slots.iter().map(slot).collect(),
            below: inline(&body.below),
        }),
        _ => return None,
    })
}

fn slot(body: &SlotBody) -> Slot {
    let width = if body.width.is_finite() { body.width.max(0.0) } else { 0.0 };
    Slot { label: plain(&inline(&body.label)), width }
}
