//! Inline Markdown to runs: bold, single-letter quantities, chemical formulas
//! and mathematics. Never loses a text.

use std::sync::Arc;

use pulldown_cmark::{Event, Parser, Tag, TagEnd};

use super::blocks::{Gap, Run, Runs, Shift, Slant};
use super::escape::{is_active, opens_block, options};
use super::formula::chemical_runs;
use super::math;

/// A line of Markdown from within a directive.
pub(super) fn inline(text: &str) -> Runs {
    let text = text.trim();
    if text.is_empty() {
        return Vec::new();
    }
    if !text.contains(|c: char| is_active(c) || matches!(c, '\n' | OPENS | OPENS_FRAME)) {
        return vec![Run { text: text.to_owned(), ..Run::default() }];
    }
    // Read as a document, a line that begins "3." would be a list.
    let guarded;
    let line = if opens_block(text) || text.starts_with("* ") || text.starts_with('>') {
        let digits = text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len();
        guarded = format!("{}\\{}", &text[..digits], &text[digits..]);
        guarded.as_str()
    } else {
        text
    };
    let mut collector = Collector::default();
    for event in Parser::new_ext(line, options()) {
        collector.take(event);
    }
    collector.finish()
}

/// Gathers inline events to runs.
#[derive(Default)]
pub(super) struct Collector {
    runs: Runs,
    bold: usize,
    /// Where the runs of each open emphasis begin, and whether its text joined
    /// no run before it.
    emphases: Vec<usize>,
    links: Vec<(String, usize)>,
    pub(super) pictures: Vec<Met>,
    /// The picture whose words are being read, and where they begin.
    picture: Option<(Met, usize)>,
}

/// A picture in a text: where it is, what it shows in words, its caption.
#[derive(Debug, Default)]
pub(super) struct Met {
    pub(super) address: String,
    pub(super) words: String,
    pub(super) title: String,
}

impl Collector {
    pub(super) fn take(&mut self, event: Event<'_>) {
        match event {
            Event::Text(text) | Event::Html(text) | Event::InlineHtml(text) => self.text(&text),
            Event::Code(code) => match chemical_runs(&code) {
                Some(formula) => {
                    for run in formula {
                        self.push(Run { bold: self.bold > 0, ..run });
                    }
                }
                None => self.text(&code),
            },
            Event::InlineMath(tex) => self.formula(&tex, false),
            Event::DisplayMath(tex) => self.formula(&tex, true),
            Event::SoftBreak => self.text(" "),
            Event::HardBreak => self.text("\n"),
            Event::Start(tag) => self.open(tag),
            Event::End(end) => self.close(end),
            Event::Rule | Event::FootnoteReference(_) | Event::TaskListMarker(_) => {}
        }
    }

    fn open(&mut self, tag: Tag<'_>) {
        match tag {
            Tag::Strong => self.bold += 1,
            Tag::Emphasis => {
                self.runs.push(Run::default());
                self.emphases.push(self.runs.len());
            }
            Tag::Link { dest_url, .. } => {
                self.links.push((dest_url.into_string(), self.length()));
            }
            Tag::Image { dest_url, title, .. } if self.picture.is_none() => {
                let (address, title) = (dest_url.into_string(), title.into_string());
                let met = Met { address, title, ..Met::default() };
                self.picture = Some((met, self.length()));
            }
            Tag::CodeBlock(_) | Tag::Paragraph | Tag::Item if !self.runs.is_empty() => {
                self.text(" ");
            }
            _ => {}
        }
    }

    fn close(&mut self, end: TagEnd) {
        match end {
            TagEnd::Strong => self.bold = self.bold.saturating_sub(1),
            TagEnd::Emphasis => {
                let from = self.emphases.pop().unwrap_or(0).min(self.runs.len());
                let letters: usize = self.runs[from..]
                    .iter()
                    .filter(|run| run.shift == Shift::None)
                    .map(|run| run.text.chars().filter(|c| below_or_letter(*c)).count())
                    .sum();
                // Learner text has no italics but for a quantity's one letter.
                for run in &mut self.runs[from..] {
                    if letters > 1 {
                        run.bold = true;
                    } else if run.shift == Shift::None {
                        run.slant = Slant::Italic;
                    }
                }
                self.runs.push(Run::default());
            }
            TagEnd::Link => {
                if let Some((address, from)) = self.links.pop() {
                    let said = self.tail(from);
                    let bare = address.trim_start_matches("mailto:");
                    if !bare.is_empty() && said != bare && !bare.starts_with('#') {
                        self.text(&format!(" ({bare})"));
                    }
                }
            }
            TagEnd::Image => {
                if let Some((met, from)) = self.picture.take() {
                    let words = self.tail(from);
                    self.pictures.push(Met { words, ..met });
                }
            }
            _ => {}
        }
    }

    fn length(&self) -> usize {
        self.runs.iter().map(|run| run.text.len()).sum()
    }

    fn tail(&self, from: usize) -> String {
        let all: String = self.runs.iter().map(|run| run.text.as_str()).collect();
        all.get(from..).unwrap_or_default().to_owned()
    }

    fn text(&mut self, text: &str) {
        // What steers machines is nothing on paper.
        let text = text.chars().filter(|c| !c.is_control() || *c == '\n').collect();
        self.push(Run { text, bold: self.bold > 0, ..Run::default() });
    }

    /// A formula is a run of its own; one that cannot be read prints as typed.
    fn formula(&mut self, typed: &str, display: bool) {
        match math::read(typed, display) {
            Ok(formula) => self.runs.push(Run {
                text: formula.said(),
                bold: self.bold > 0,
                math: Some(Arc::new(formula)),
                ..Run::default()
            }),
            Err(_) => self.text(typed),
        }
    }

    fn push(&mut self, run: Run) {
        join(&mut self.runs, run);
    }

    pub(super) fn finish(self) -> Runs {
        let mut out = Runs::new();
        for run in self.runs {
            if !run.text.is_empty() {
                join(&mut out, run);
            }
        }
        if let Some(first) = out.first_mut() {
            first.text = first.text.trim_start().to_owned();
        }
        if let Some(last) = out.last_mut() {
            last.text = last.text.trim_end().to_owned();
        }
        out.retain(|run| !run.text.is_empty());
        out.into_iter().flat_map(with_gaps).collect()
    }
}

fn below_or_letter(c: char) -> bool {
    c.is_alphanumeric() && !('₀'..='₉').contains(&c)
}

/// A gap as document Markdown has it: private characters around what fills it.
const OPENS: char = '\u{e000}';
const OPENS_FRAME: char = '\u{e002}';
const CLOSES: char = '\u{e001}';
/// What a gap says where it cannot be drawn.
const BLANK: &str = "_____";

/// A gap to write a word in, for document Markdown.
pub(super) fn gap(fill: &str) -> String {
    format!("{OPENS}{fill}{CLOSES}")
}

/// A framed gap to write a number in.
pub(super) fn framed_gap(fill: &str) -> String {
    format!("{OPENS_FRAME}{fill}{CLOSES}")
}

/// A run with the gaps in it as runs of their own.
fn with_gaps(run: Run) -> Runs {
    let mut out = Runs::new();
    let mut rest = run.text.as_str();
    while let Some((before, gap, after)) = next_gap(rest) {
        out.push(Run { text: before.to_owned(), ..run.clone() });
        out.push(Run { text: BLANK.to_owned(), gap: Some(gap), ..Run::default() });
        rest = after;
    }
    if out.is_empty() {
        return vec![run];
    }
    out.push(Run { text: rest.to_owned(), ..run.clone() });
    out.retain(|run| !run.text.is_empty());
    out
}

fn next_gap(text: &str) -> Option<(&str, Gap, &str)> {
    let start = text.find([OPENS, OPENS_FRAME])?;
    let framed = text[start..].starts_with(OPENS_FRAME);
    let inside = &text[start + OPENS.len_utf8()..];
    let end = inside.find(CLOSES)?;
    let gap = Gap { fill: inside[..end].to_owned(), framed };
    Some((&text[..start], gap, &inside[end + CLOSES.len_utf8()..]))
}

/// Adds a run, to the one before it if they look alike.
fn join(runs: &mut Runs, run: Run) {
    match runs.last_mut() {
        Some(last)
            if last.bold == run.bold
                && last.slant == run.slant
                && last.shift == run.shift
                && last.math.is_none()
                && run.math.is_none()
                && last.gap.is_none()
                && run.gap.is_none()
                && (!last.text.is_empty() || run.text.is_empty()) =>
        {
            last.text.push_str(&run.text);
        }
        _ => runs.push(run),
    }
}

/// Every character that reading a text may print though it is not in the text.
pub fn symbols(text: &str) -> impl Iterator<Item = char> {
    let own = "√−×→⇌≤≥′·₀₁₂₃₄₅₆₇₈₉⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻\u{a0}\u{202f}";
    own.chars().chain(math::signs(text))
}

#[cfg(test)]
mod tests {
    use super::super::blocks::plain;
    use super::*;

    #[test]
    fn emphasis_is_bold_unless_it_is_one_letter() {
        let runs = inline("take *all* of *m*");
        assert_eq!(plain(&runs), "take all of m");
        assert!(runs[1].bold && runs[1].slant == Slant::Upright);
        assert!(!runs[3].bold && runs[3].slant == Slant::Italic);
    }

    #[test]
    fn mathematics_keeps_every_word() {
        let read = |tex: &str| plain(&inline(&format!("${tex}$")));
        assert_eq!(read("x^2 + y_1 = -3"), "x^2 + y_1 = −3");
        assert_eq!(read(r"\frac{m}{V + 1} \times \text{mass}"), "m/(V + 1) × mass");
        // What cannot be read stands as it was typed.
        assert_eq!(read(r"\unheard x_{ab}"), r"\unheard x_{ab}");
        let runs = inline("of $x$ kg");
        assert_eq!((plain(&runs).as_str(), runs.len()), ("of x kg", 3));
    }

    #[test]
    fn a_line_that_looks_like_a_block_stays_a_line() {
        for text in ["3. _x_", "# `a`", "- `a`", "* `a` b", "> `a`", "+ [1]", "=== ~"] {
            let shown = text.replace(['`'], "").replace("_x_", "x");
            assert_eq!(plain(&inline(text)), shown, "{text}");
        }
    }
}
