//! Ids under `without` that the catalogue does not have.

use crate::diag::{Code, Diagnostic, Place, Surety, nearest};
use crate::reading::model::Model;
use crate::reading::parsed::Text;

use super::catalogue;

/// A finding for each id that names no built-in mistake.
pub fn unknown(model: &Model) -> Vec<Diagnostic> {
    let known: Vec<&str> = catalogue().iter().map(|(_, mistake)| mistake.id).collect();
    let examples = model.examples.iter().map(|(_, checked)| checked);
    let parts = model.questions.iter().chain(examples).flat_map(|c| &c.question.parts);
    let ids = parts.flat_map(|part| &part.without);
    ids.filter(|id| !known.contains(&id.value.as_str()))
        .map(|id| finding(model, id, &known))
        .collect()
}

fn finding(model: &Model, id: &Text, known: &[&str]) -> Diagnostic {
    let finding = Diagnostic::new(
        Code::UnknownMistake,
        Place::new(&model.parsed.file, id.span),
        format!("There is no built-in mistake `{}`.", id.value),
    )
    .found(format!("`{}`", id.value))
    .expected("an id of the catalogue; `stillroom words` lists them");
    finding.misspelt(
        id.span,
        nearest(&id.value, known.iter().copied()),
        Surety::Likely,
        "take it out; mistakes of your own need no `without`",
    )
}
