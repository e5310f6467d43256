//! What a learner writes down after a piece of practical work: the table to fill in and
//! what its numbers are asked.
//!
//! Takes a technique; gives heads, rows and a question. Most techniques part masses that
//! can be weighed. A chromatogram has distances instead, and what a steam still gives is
//! two layers in a cylinder. Never knows a number.

use crate::reading::parsed::Technique;

use super::context::ResultsContext;
use super::lesson::words;

/// Spots for which there is a row.
const SPOTS: u32 = 4;

pub(super) fn results(technique: &Technique) -> ResultsContext {
    let id = technique.id.value.as_str();
    let sketch = technique.sketch.as_ref().map_or("", |sketch| sketch.value.as_str());
    let says = |word: &str| sketch.contains(word) || id.split('-').any(|part| part == word);
    if says("chromatography") {
        return made(
            &["spot", "distance of spot / cm", "distance of front / cm", "Rf", "what I saw"],
            (1..=SPOTS).map(|spot| spot.to_string()).collect(),
            "Which spots have travelled alike, as far as you can measure? Say what their Rf tells of the substances in them, and what it cannot tell.",
        );
    }
    if id.split('-').any(|part| part == "steam") {
        let rows = ["upper layer", "lower layer", "both together"];
        return made(
            &["what", "from / cm³", "to / cm³", "volume / cm³", "what I saw"],
            rows.map(str::to_owned).to_vec(),
            "Do the volumes of the two layers add up to the volume of both? Say what share of it the smaller layer is, and what may have stayed behind.",
        );
    }
    let outlets = technique.outlets.iter().map(|(role, _)| words(&role.value));
    made(
        &["what", "with dish / g", "dish / g", "mass / g", "what I saw"],
        std::iter::once("the mixture".to_owned()).chain(outlets).collect(),
        "Do the masses add up to the mass at the beginning? Say by how much they differ, and where that may have gone.",
    )
}

fn made(columns: &[&str], rows: Vec<String>, asks: &str) -> ResultsContext {
    let columns = columns.iter().map(|head| (*head).to_owned()).collect();
    ResultsContext { columns, rows, asks: asks.to_owned() }
}
