//! Which sketch shows the apparatus of a technique.
//!
//! Takes a technique of a unit; gives the name of a sketch, or none where nothing
//! tells. What the author says comes first, then the id, then the apparatus.

use crate::reading::parsed::Technique;

/// Words of an id, and the sketch that they mean.
const BY_ID: &[(&str, &str)] = &[
    ("fractional", "fractional distillation"),
    ("distillation", "simple distillation"),
    ("filtration", "filtration"),
    ("filtering", "filtration"),
    ("evaporation", "evaporation"),
    ("crystallisation", "crystallisation"),
    ("crystallization", "crystallisation"),
    ("funnel", "separating funnel"),
    ("chromatography", "paper chromatography"),
    ("centrifugation", "centrifuge"),
    ("centrifuge", "centrifuge"),
    ("sublimation", "sublimation"),
];

/// Things on the bench, and the sketch that they mean. Those that several techniques
/// use come last.
const BY_THING: &[(&str, &str)] = &[
    ("fractionating column", "fractional distillation"),
    ("condenser", "simple distillation"),
    ("separating funnel", "separating funnel"),
    ("chromatography paper", "paper chromatography"),
    ("centrifuge", "centrifuge"),
    ("filter paper", "filtration"),
    ("crystallising dish", "crystallisation"),
    ("evaporating basin", "evaporation"),
];

/// The sketch of a technique's apparatus.
pub fn sketch_of(technique: &Technique) -> Option<&'static str> {
    if let Some(sketch) = &technique.sketch {
        // `none` is the name of no sketch.
        return super::names().find(|name| *name == sketch.value);
    }
    let id = technique.id.value.as_str();
    let things = || technique.apparatus.iter().map(|thing| thing.value.as_str());
    let told = |table: &'static [(&str, &'static str)], says: &dyn Fn(&str) -> bool| {
        table.iter().find(|(word, _)| says(word)).map(|(_, sketch)| *sketch)
    };
    let column = || things().any(|thing| thing.contains("fractionating column"));
    match told(BY_ID, &|word| id.split('-').any(|part| part == word)) {
        // An id may leave open which still is meant.
        Some("simple distillation") if column() => Some("fractional distillation"),
        None => told(BY_THING, &|word| things().any(|thing| thing.contains(word))),
        found => found,
    }
}
