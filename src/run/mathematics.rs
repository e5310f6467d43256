//! Formulas in a unit's texts that no page could show.
//!
//! Takes a parsed unit; says each formula that cannot be read, at its place.

use crate::diag::{Code, Diagnostic, Diagnostics, Place, Span};
use crate::document::math::unread;
use crate::reading::parsed::{Item, ParsedUnit, Question, Text, Written};

pub(super) fn check(parsed: &ParsedUnit, out: &mut Diagnostics) {
    let mut check = Check { parsed, out };
    let front = &parsed.front;
    check.text(&front.title);
    for (_, words) in &front.objectives {
        check.text(words);
    }
    for item in &parsed.items {
        match item {
            Item::Prose(prose) => check.written(&prose.markdown),
            Item::Technique(technique) => {
                let texts = [&technique.apparatus, &technique.steps, &technique.cautions]
                    .into_iter()
                    .chain([&technique.industry]);
                texts.flatten().for_each(|text| check.text(text));
            }
            Item::Question(question) | Item::Example(question) => check.question(question),
            Item::Glossary(terms) => {
                for term in terms {
                    let more = term.example.iter().chain(&term.not);
                    [&term.term, &term.meaning]
                        .into_iter()
                        .chain(more)
                        .for_each(|text| check.text(text));
                }
            }
            Item::Figure(figure) => figure.caption.iter().for_each(|text| check.text(text)),
            Item::Review(review) => {
                review.questions.iter().flat_map(|(a, b)| [a, b]).for_each(|text| check.text(text));
            }
            Item::Process(_) | Item::Data(_) => {}
        }
    }
}

struct Check<'a> {
    parsed: &'a ParsedUnit,
    out: &'a mut Diagnostics,
}

impl Check<'_> {
    fn question(&mut self, question: &Question) {
        self.written(&question.stem);
        for part in &question.parts {
            self.written(&part.text);
            part.remark.iter().for_each(|remark| self.text(remark));
        }
    }

    fn written(&mut self, written: &Written) {
        self.markdown(&written.text, written.span);
    }

    fn text(&mut self, text: &Text) {
        self.markdown(&text.value, text.span);
    }

    fn markdown(&mut self, markdown: &str, span: Span) {
        for fault in unread(markdown) {
            let file = &self.parsed.file;
            let at = file.span_within(span, markdown, fault.at.clone());
            let found = match markdown[fault.at].trim() {
                "" => "nothing".to_owned(),
                text => format!("`{}`", text.lines().next().unwrap_or(text)),
            };
            let finding =
                Diagnostic::new(Code::BadMathematics, Place::new(file, at), fault.message)
                    .found(found)
                    .expected(fault.expected)
                    .next(fault.next);
            self.out.push(finding);
        }
    }
}
