//! A unit's texts in pieces, each with its place: what the rules read.
//!
//! Takes a parsed unit; gives passages whose plain text has as many bytes as what the
//! author wrote, so that every place in it is a place in the file.

use std::ops::Range;

use crate::diag::{Place, Span};
use crate::reading::parsed::{Item, ParsedUnit, Question, Text, Waived, Written};

/// What a passage is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    Title,
    Apparatus,
    Step,
    Caution,
    Industry,
    /// What a technique rests on and parts, its outlets.
    About,
    Prose,
    /// An item of a numbered list: work in steps.
    Numbered,
    Table,
    Stem,
    Part,
    Note,
}

/// A run of text without Markdown's own signs.
#[derive(Debug, Clone)]
pub(super) struct Passage<'a> {
    pub(super) role: Role,
    /// As the author wrote it; the plain text has the same length.
    original: &'a str,
    pub(super) plain: String,
    /// Where `original` begins in what was read from `span`.
    from: usize,
    whole: &'a str,
    span: Span,
}

/// The passages of one block.
#[derive(Debug)]
pub(super) struct Block<'a> {
    pub(super) item: &'a Item,
    pub(super) passages: Vec<Passage<'a>>,
}

static NONE: Waived = Vec::new();

impl<'a> Block<'a> {
    /// What the block waives.
    pub(super) fn allow(&self) -> &'a Waived {
        match self.item {
            Item::Technique(technique) => &technique.allow,
            Item::Process(process) => &process.allow,
            Item::Question(question) | Item::Example(question) => &question.allow,
            Item::Data(data) => &data.allow,
            Item::Figure(figure) => &figure.allow,
            _ => &NONE,
        }
    }

    pub(super) fn of(&self, roles: &'a [Role]) -> impl Iterator<Item = &Passage<'a>> {
        self.passages.iter().filter(|passage| roles.contains(&passage.role))
    }

    pub(super) fn question(&self) -> Option<&'a Question> {
        match self.item {
            Item::Question(question) | Item::Example(question) => Some(question),
            _ => None,
        }
    }
}

impl Passage<'_> {
    /// Where a range of the plain text stands in the file.
    pub(super) fn place(&self, unit: &ParsedUnit, at: Range<usize>) -> Place {
        let at = self.from + at.start..self.from + at.end;
        Place::new(&unit.file, unit.file.span_within(self.span, self.whole, at))
    }

    /// The author's own words there.
    pub(super) fn slice(&self, at: Range<usize>) -> &str {
        self.original.get(at).unwrap_or_default()
    }
}

/// All texts of a unit, block by block.
pub(super) fn blocks(unit: &ParsedUnit) -> Vec<Block<'_>> {
    unit.items.iter().map(|item| Block { item, passages: passages(item) }).collect()
}

fn passages(item: &Item) -> Vec<Passage<'_>> {
    let mut found = Vec::new();
    match item {
        Item::Prose(prose) => pieces(&prose.markdown, Role::Prose, &mut found),
        Item::Technique(technique) => {
            found.extend(technique.title.iter().map(|t| of_text(Role::Title, t)));
            let about = technique.separates.iter().chain(technique.outlets.iter().map(|(_, s)| s));
            found.push(of_text(Role::About, &technique.property));
            found.extend(about.map(|t| of_text(Role::About, t)));
            found.extend(technique.apparatus.iter().map(|t| of_text(Role::Apparatus, t)));
            found.extend(technique.steps.iter().map(|t| of_text(Role::Step, t)));
            found.extend(technique.cautions.iter().map(|t| of_text(Role::Caution, t)));
            found.extend(technique.industry.iter().map(|t| of_text(Role::Industry, t)));
        }
        Item::Question(question) | Item::Example(question) => {
            found.extend(question.title.iter().map(|t| of_text(Role::Title, t)));
            pieces(&question.stem, Role::Stem, &mut found);
            for part in &question.parts {
                pieces(&part.text, Role::Part, &mut found);
                found.extend(part.remark.iter().map(|t| of_text(Role::Note, t)));
            }
        }
        Item::Glossary(terms) => {
            for term in terms {
                found.push(of_text(Role::Note, &term.meaning));
                found.extend(term.example.iter().map(|t| of_text(Role::Note, t)));
            }
        }
        Item::Figure(figure) => {
            found.extend(figure.caption.iter().map(|t| of_text(Role::Note, t)));
        }
        Item::Data(data) => {
            let texts = data.title.iter().chain(&data.source);
            found.extend(texts.map(|t| of_text(Role::Note, t)));
        }
        Item::Review(review) => {
            let texts =
                review.title.iter().chain(review.questions.iter().flat_map(|(q, a)| [q, a]));
            found.extend(texts.map(|t| of_text(Role::Note, t)));
        }
        Item::Process(process) => {
            let texts = process.title.iter().chain(process.by_products.iter().map(|(_, t)| t));
            found.extend(texts.map(|t| of_text(Role::Note, t)));
        }
    }
    found
}

fn of_text(role: Role, text: &Text) -> Passage<'_> {
    Passage {
        role,
        original: &text.value,
        plain: plain(&text.value, 0, &[]),
        from: 0,
        whole: &text.value,
        span: text.span,
    }
}

/// Cuts Markdown at blank lines, list items, headings and tables.
fn pieces<'a>(written: &'a Written, role: Role, into: &mut Vec<Passage<'a>>) {
    let blanks: Vec<Range<usize>> = written.blanks.iter().map(|blank| blank.at.clone()).collect();
    let mut open: Option<(Role, Range<usize>)> = None;
    let mut close = |open: &mut Option<(Role, Range<usize>)>| {
        let Some((role, range)) = open.take() else { return };
        let original = &written.text[range.clone()];
        into.push(Passage {
            role,
            original,
            plain: plain(original, range.start, &blanks),
            from: range.start,
            whole: &written.text,
            span: written.span,
        });
    };
    let mut at = 0;
    let mut code = false;
    for line in written.text.split_inclusive('\n') {
        let range = at..at + line.trim_end().len();
        at += line.len();
        let text = line.trim().trim_start_matches(['>', ' ']);
        if text.starts_with("```") || text.starts_with("~~~") {
            code = !code;
            close(&mut open);
            continue;
        }
        if code || text.is_empty() {
            close(&mut open);
            continue;
        }
        let digits = text.trim_start_matches(|c: char| c.is_ascii_digit());
        let numbered = digits.len() < text.len()
            && digits.starts_with(['.', ')'])
            && digits[1..].starts_with(' ');
        let own = if text.starts_with('|') {
            Some(Role::Table)
        } else if text.starts_with('#') {
            Some(Role::Title)
        } else if numbered && role == Role::Prose {
            Some(Role::Numbered)
        } else if numbered || text.starts_with("- ") || text.starts_with("* ") {
            Some(role)
        } else {
            None
        };
        match own {
            Some(own) => {
                close(&mut open);
                open = Some((own, range));
                if matches!(own, Role::Table | Role::Title) {
                    close(&mut open);
                }
            }
            None => match &mut open {
                Some((_, whole)) => whole.end = range.end,
                None => open = Some((role, range)),
            },
        }
    }
    close(&mut open);
}

/// The text with Markdown's signs blanked out and every `{{ }}` a number of its length.
fn plain(original: &str, from: usize, blanks: &[Range<usize>]) -> String {
    let mut bytes = original.as_bytes().to_vec();
    let mut blank = |range: Range<usize>, with: u8| {
        bytes[range].iter_mut().for_each(|byte| *byte = with);
    };
    for (at, sign) in original.char_indices() {
        // Underscores within words stay; a digit before `.` or `)` in a list is its number.
        if matches!(sign, '*' | '`' | '#' | '>' | '|' | '\n' | '\r' | '\t') {
            blank(at..at + 1, b' ');
        }
    }
    let mark = original.trim_start_matches(['>', ' ', '#', '-', '*']);
    let lead = original.len() - mark.len();
    let digits = mark.len() - mark.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let listed =
        digits > 0 && mark[digits..].starts_with(['.', ')']) && mark[digits + 1..].starts_with(' ');
    blank(0..lead, b' ');
    if listed {
        blank(lead..lead + digits + 1, b' ');
    }
    for each in blanks {
        let start = each.start.saturating_sub(from);
        let end = each.end.saturating_sub(from).min(original.len());
        if each.start >= from && start < end {
            blank(start..end, b' ');
            blank(start..start + 1, b'7');
        }
    }
    // Only signs of one byte were changed, or whole blanks.
    String::from_utf8(bytes).unwrap_or_else(|_| original.to_owned())
}
