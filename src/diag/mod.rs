//! What is wrong with an author's files: places, codes and messages.
//!
//! Takes findings from every stage; gives them back in file order, rendered for
//! a terminal, as JSON lines or as SARIF. Never prints, never stops a stage: a stage
//! collects all it finds and goes on as far as it can.

mod code;
mod json;
mod mend;
mod place;
mod render;
mod sarif;

pub use code::{Code, Severity};
pub use json::json_line;
pub use mend::{Mend, Surety};
pub use place::{Place, SourceFile, Span};
pub use render::render;
pub use sarif::sarif;

/// One finding. `message` is one sentence in a teacher's words; `found` and
/// `expected` are short; `next` is the one thing to do now.
#[derive(Debug, Clone)]
pub struct Diagnostic {
    pub code: Code,
    pub severity: Severity,
    pub place: Place,
    pub message: String,
    pub found: String,
    pub expected: String,
    pub next: String,
    /// The line as it should be written, where we can tell.
    pub written: Option<String>,
    /// The change that makes it so, where it is one of a few letters in place.
    pub mend: Option<Mend>,
    /// Other places that matter to the finding, each with a few words.
    pub related: Vec<(Place, String)>,
}

impl Diagnostic {
    /// A finding with the severity that its code carries by default.
    pub fn new(code: Code, place: Place, message: impl Into<String>) -> Self {
        Diagnostic {
            code,
            severity: code.severity(),
            place,
            message: message.into(),
            found: String::new(),
            expected: String::new(),
            next: String::new(),
            written: None,
            mend: None,
            related: Vec::new(),
        }
    }

    #[must_use]
    pub fn found(mut self, found: impl Into<String>) -> Self {
        self.found = found.into();
        self
    }

    #[must_use]
    pub fn expected(mut self, expected: impl Into<String>) -> Self {
        self.expected = expected.into();
        self
    }

    #[must_use]
    pub fn next(mut self, next: impl Into<String>) -> Self {
        self.next = next.into();
        self
    }

    #[must_use]
    pub fn written(mut self, line: impl Into<String>) -> Self {
        self.written = Some(line.into());
        self
    }

    /// What should stand in place of a span of the finding's own file.
    #[must_use]
    pub fn mended(mut self, span: Span, made: &str, surety: Surety) -> Self {
        self.written = Some(self.place.file.line_with(span, made));
        self.mend = Some(Mend { span, made: made.to_owned(), surety });
        self
    }

    /// The next step where a word may be misspelt: the word that is near it, else what
    /// `otherwise` says.
    #[must_use]
    pub fn suggesting(self, near: Option<&str>, otherwise: &str) -> Self {
        match near {
            Some(near) => self.next(format!("did you mean `{near}`?")),
            None => self.next(otherwise),
        }
    }

    /// The same, with the near word in place of the span as a mend.
    #[must_use]
    pub fn misspelt(self, span: Span, near: Option<&str>, surety: Surety, otherwise: &str) -> Self {
        let finding = self.suggesting(near, otherwise);
        match near {
            Some(near) => finding.mended(span, near, surety),
            None => finding,
        }
    }

    #[must_use]
    pub fn related(mut self, place: Place, words: impl Into<String>) -> Self {
        self.related.push((place, words.into()));
        self
    }
}

/// The findings of a run over one or more files.
#[derive(Debug, Clone, Default)]
pub struct Diagnostics {
    all: Vec<Diagnostic>,
}

impl Diagnostics {
    pub fn new() -> Self {
        Self::default()
    }

    pub fn push(&mut self, diagnostic: Diagnostic) {
        self.all.push(diagnostic);
    }

    pub fn extend(&mut self, other: Diagnostics) {
        self.all.extend(other.all);
    }

    pub fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    pub fn len(&self) -> usize {
        self.all.len()
    }

    pub fn has_errors(&self) -> bool {
        self.all.iter().any(|d| d.severity == Severity::Error)
    }

    /// In file order, then by place; one finding said twice is said once.
    pub fn sorted(mut self) -> Vec<Diagnostic> {
        // By lines first: of a table only the row that a finding is about is kept.
        self.all.sort_by_cached_key(|d| {
            let name = d.place.file.name().to_owned();
            (name, d.place.line_column(), d.place.span.end, d.code, d.message.clone())
        });
        self.all.dedup_by(|a, b| {
            a.code == b.code
                && a.place.span == b.place.span
                && a.place.file.name() == b.place.file.name()
                && a.message == b.message
        });
        self.all
    }

    pub fn iter(&self) -> impl Iterator<Item = &Diagnostic> {
        self.all.iter()
    }
}

/// The name in `known` that is closest to `typed`, if one is close enough that
/// a slip of the fingers explains it (edit distance at most a third of the length).
pub fn nearest<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let limit = (typed.chars().count() / 3).max(1);
    known
        .into_iter()
        .map(|name| (edit_distance(&typed.to_lowercase(), &name.to_lowercase()), name))
        .filter(|(distance, _)| *distance <= limit)
        .min_by_key(|(distance, name)| (*distance, name.len()))
        .map(|(_, name)| name)
}

/// Edits (insert, delete, replace, swap of neighbours) that turn `a` into `b`.
fn edit_distance(a: &str, b: &str) -> usize {
    let a: Vec<char> = a.chars().collect();
    let b: Vec<char> = b.chars().collect();
    let mut rows = vec![vec![0usize; b.len() + 1]; a.len() + 1];
    for (i, row) in rows.iter_mut().enumerate() {
        row[0] = i;
    }
    for (j, cell) in rows[0].iter_mut().enumerate() {
        *cell = j;
    }
    for i in 1..=a.len() {
        for j in 1..=b.len() {
            let same = usize::from(a[i - 1] != b[j - 1]);
            let mut best =
                (rows[i - 1][j] + 1).min(rows[i][j - 1] + 1).min(rows[i - 1][j - 1] + same);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(rows[i - 2][j - 2] + 1);
            }
            rows[i][j] = best;
        }
    }
    rows[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_is_near_and_another_word_is_not() {
        assert_eq!(nearest("brien", ["brine", "steam"]), Some("brine"));
        assert_eq!(nearest("crystals", ["brine", "steam"]), None);
    }
}
