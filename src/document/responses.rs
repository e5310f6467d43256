//! Directives of the room for answers that are no numbers: boxes, ruled lines, a bank
//! of words. The others are read in `directive`.

use serde::Deserialize;

use super::blocks::{Block, BoxItem, Boxes, Written, plain};
use super::directive::{list, yaml};
use super::feedback;
use super::inline::inline;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BoxesBody {
    #[serde(default)]
    marks: u32,
    #[serde(default)]
    row: bool,
    #[serde(default, deserialize_with = "list")]
    boxes: Vec<BoxBody>,
    #[serde(default, deserialize_with = "list")]
    beside: Vec<BesideBody>,
    judged: Option<feedback::JudgedBody>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BoxBody {
    #[serde(default)]
    label: String,
    text: String,
    #[serde(default)]
    fill: String,
    #[serde(default)]
    ticked: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BesideBody {
    label: String,
    text: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenBody {
    count: u32,
    #[serde(default)]
    marks: u32,
    #[serde(default, deserialize_with = "list")]
    texts: Vec<TextBody>,
    #[serde(default)]
    see: String,
    judged: Option<feedback::JudgedBody>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TextBody {
    text: String,
    #[serde(default)]
    marks: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BankBody {
    #[serde(default, deserialize_with = "list")]
    words: Vec<String>,
}

/// Ruled lines beyond this are a slip of the pen.
const MOST_LINES: u32 = 60;

/// The directive called `name`; none if there is no such word here.
///
/// # Errors
/// One sentence on what is wrong with the YAML, and its line there (from 1).
pub(super) fn directive(name: &str, body: &str) -> Option<Result<Block, (usize, String)>> {
    let words = |text: &str| plain(&inline(text));
    Some(match name {
        "boxes" => yaml(body).map(|body: BoxesBody| {
            Block::Boxes(Boxes {
                marks: body.marks,
                row: body.row,
                boxes: body
                    .boxes
                    .iter()
                    .map(|item| BoxItem {
                        label: words(&item.label),
                        text: inline(&item.text),
                        fill: words(&item.fill),
                        ticked: item.ticked,
                    })
                    .collect(),
                beside: body
                    .beside
                    .iter()
                    .map(|item| (words(&item.label), inline(&item.text)))
                    .collect(),
                judged: body.judged.map(feedback::judged),
            })
        }),
        "written" => yaml(body).map(|body: WrittenBody| {
            Block::Written(Written {
                count: body.count.clamp(1, MOST_LINES),
                marks: body.marks,
                texts: body
                    .texts
                    .iter()
                    .map(|text| (inline(&text.text), words(&text.marks)))
                    .collect(),
                see: words(&body.see),
                judged: body.judged.map(feedback::judged),
            })
        }),
        "bank" => yaml(body).map(|body: BankBody| {
            Block::Bank(body.words.iter().map(|word| inline(word)).collect())
        }),
        _ => return None,
    })
}
