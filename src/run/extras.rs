//! What is printed beside the sheets when asked for: slides with speaker's notes,
//! handouts of them, technique cards, practical sheets.
//!
//! Takes a checked and drawn unit; gives files as bytes, none written, and what is
//! too long for its slide as findings.

use crate::composing::faces::Faces;
use crate::composing::page::Composed;
use crate::composing::{Deck, Profile, cards, compose, slides as lay_slides};
use crate::diag::{Code, Diagnostic, Place, Span};
use crate::document::{Document, Templates, read_with, slides, techniques};
use crate::question::Assessment;
use crate::reading::model::Model;
use crate::version::{Draws, letters};
use crate::writing::{Subset, write_pdf};

use super::figures;
use super::print::{Trouble, unread};
use super::solving;

/// What to print beside worksheets, keys and lesson.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Extras {
    pub slides: bool,
    /// How many slides to a sheet, for each handout.
    pub handouts: Vec<u32>,
    pub cards: bool,
    pub practical: bool,
    /// Of a paper: what a second person checks it with.
    pub moderation: bool,
}

impl Extras {
    /// Whether a file of this name has the numbers of an earlier run, and this one
    /// does not write it anew.
    pub(super) fn is_outdated(&self, name: &str) -> bool {
        let handout = name.strip_prefix("handout-").and_then(|rest| rest.strip_suffix(".pdf"));
        match (name, handout.map(str::parse)) {
            ("slides.pdf" | "notes.pdf", _) => !self.slides,
            ("check-sheet.pdf", _) => !self.moderation,
            (_, Some(Ok(up))) => !self.handouts.contains(&up),
            _ => false,
        }
    }
}

/// The version whose numbers the quiz on the slides has.
const QUIZ: u32 = 0;

/// What the extras are made from.
pub(super) struct Makes<'a> {
    pub(super) model: &'a Model,
    pub(super) draws: &'a [Draws],
    pub(super) seed: u64,
    pub(super) templates: &'a Templates,
    pub(super) faces: &'a Faces,
    pub(super) profile: Profile,
}

impl Makes<'_> {
    /// All files asked for, by name.
    pub(super) fn files(
        &self,
        extras: &Extras,
        subset: &Subset,
    ) -> Result<Vec<(String, Vec<u8>)>, Trouble> {
        let id = &self.model.parsed.front.id.value;
        self.composed(extras)?
            .into_iter()
            .map(|(name, composed)| {
                let bytes = write_pdf(&composed, subset, &format!("{id} {name} {}", self.seed))?;
                Ok((format!("{name}.pdf"), bytes))
            })
            .collect()
    }

    /// The pages of all that is asked for, by name.
    pub(super) fn composed(&self, extras: &Extras) -> Result<Vec<(String, Composed)>, Trouble> {
        let mut composed = Vec::new();
        if extras.slides || !extras.handouts.is_empty() {
            let deck = self.deck()?;
            if extras.slides {
                composed.push(("slides".to_owned(), self.profile.inked(deck.composed())));
                composed.push(("notes".to_owned(), deck.notes(&self.profile, self.faces)));
            }
            for up in &extras.handouts {
                let handout = deck.handout(*up, &self.profile, self.faces).ok_or_else(|| {
                    Trouble::Ours(format!("there is no handout of {up} slides to a sheet"))
                })?;
                composed.push((format!("handout-{up}"), self.profile.inked(handout)));
            }
        }
        if extras.cards {
            let document = self.techniques("cards.md")?;
            composed.push(("cards".to_owned(), cards(&document, &self.profile, self.faces)));
        }
        if extras.practical {
            let document = self.techniques("practical.md")?;
            composed.push(("practical".to_owned(), compose(&document, &self.profile, self.faces)));
        }
        Ok(composed)
    }

    fn deck(&self) -> Result<Deck, Trouble> {
        let examples = solving::examples(self.model)?;
        let quiz =
            solving::questions(&Assessment::of_unit(self.model), self.draws, self.seed, QUIZ)?;
        let version = letters(u64::from(QUIZ));
        let drawings = figures::on_slides(self.model, self.faces);
        let context = slides(self.model, &examples, &quiz, &version, self.seed, &drawings);
        let markdown = self.templates.fill("slides.md", &context)?;
        let document =
            read_with(&markdown, &drawings).map_err(|fault| unread("slides.md", fault))?;
        Ok(lay_slides(&document, self.faces))
    }

    fn techniques(&self, template: &'static str) -> Result<Document, Trouble> {
        let drawings = figures::of_techniques(self.model, self.faces);
        let markdown = self.templates.fill(template, &techniques(self.model, &drawings))?;
        read_with(&markdown, &drawings).map_err(|fault| unread(template, fault))
    }

    /// A note for each text that does not fit on its slide.
    pub(super) fn too_long(&self) -> Result<Vec<Diagnostic>, Trouble> {
        let file = &self.model.parsed.file;
        let note = |over: &crate::composing::Over| {
            let text = file.text();
            let start = over.place.min(text.len());
            let end = text[start..].find('\n').map_or(text.len(), |n| start + n);
            let plural = if over.lines == 1 { "" } else { "s" };
            Diagnostic::new(
                Code::SlideTooLong,
                Place::new(file, Span::new(start, end)),
                format!("On slides this has {} line{plural} too many.", over.lines),
            )
            .found(format!("`{}`, on {} slides", over.title, over.slides))
            .expected("at most 7 lines on a slide")
            .next("shorten it, or part it by a heading; else it goes on to a further slide")
        };
        Ok(self.deck()?.over.iter().map(note).collect())
    }
}
