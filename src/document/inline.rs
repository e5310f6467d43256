//! Inline Markdown to runs: bold, single-letter quantities, chemical formulas
//! and plain mathematics. Never loses a text.

use pulldown_cmark::{CowStr, Event, Parser, Tag, TagEnd};

use super::blocks::{Run, Runs, Shift, Slant};
use super::escape::{is_active, opens_block, options};
use super::formula::{above, below, chemical};

/// A line of Markdown from within a directive.
pub(super) fn inline(text: &str) -> Runs {
    let text = text.trim();
    if text.is_empty() {
        return Vec::new();
    }
    if !text.contains(|c: char| is_active(c) || c == '\n') {
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
    /// Address and words of pictures met.
    pub(super) pictures: Vec<(String, String)>,
    picture: Option<(String, usize)>,
}

impl Collector {
    pub(super) fn take(&mut self, event: Event<'_>) {
        match event {
            Event::Text(text) | Event::Html(text) | Event::InlineHtml(text) => self.text(&text),
            Event::Code(code) => match chemical(&code) {
                Some(formula) => self.text(&formula),
                None => self.text(&code),
            },
            Event::InlineMath(tex) | Event::DisplayMath(tex) => {
                for mut run in math(&tex) {
                    run.bold |= self.bold > 0;
                    self.push(run);
                }
            }
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
            Tag::Image { dest_url, .. } if self.picture.is_none() => {
                self.picture = Some((dest_url.into_string(), self.length()));
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
                if let Some((address, from)) = self.picture.take() {
                    let words = self.tail(from);
                    self.pictures.push((address, words));
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
        self.push(Run { text: text.to_owned(), bold: self.bold > 0, ..Run::default() });
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
        out
    }
}

fn below_or_letter(c: char) -> bool {
    c.is_alphanumeric() && !('₀'..='₉').contains(&c)
}

/// Adds a run, to the one before it if they look alike.
fn join(runs: &mut Runs, run: Run) {
    match runs.last_mut() {
        Some(last)
            if last.bold == run.bold
                && last.slant == run.slant
                && last.shift == run.shift
                && (!last.text.is_empty() || run.text.is_empty()) =>
        {
            last.text.push_str(&run.text);
        }
        _ => runs.push(run),
    }
}

/// Mathematics in a line: letters that stand alone italic, words upright, powers
/// and indices raised and lowered; a fraction is written with a stroke.
pub(super) fn math(tex: &CowStr<'_>) -> Runs {
    let characters: Vec<char> = tex.chars().collect();
    let mut runs = Runs::new();
    Mathematics { characters: &characters, at: 0 }.list(&mut runs, Shift::None, 0);
    let length: usize = runs.iter().map(|run| run.text.chars().count()).sum();
    if length <= UNPARTED {
        for run in &mut runs {
            run.text = run.text.replace(' ', "\u{a0}");
        }
    }
    runs
}

/// A formula of up to so many characters is not parted at the end of a line.
const UNPARTED: usize = 24;

struct Mathematics<'a> {
    characters: &'a [char],
    at: usize,
}

/// Brackets within brackets beyond this are printed as typed.
const DEEPEST: usize = 12;

impl Mathematics<'_> {
    fn next(&mut self) -> Option<char> {
        let c = self.characters.get(self.at).copied();
        self.at += usize::from(c.is_some());
        c
    }

    fn peek(&self) -> Option<char> {
        self.characters.get(self.at).copied()
    }

    /// Up to the end or to the bracket that closes this list.
    fn list(&mut self, out: &mut Runs, shift: Shift, depth: usize) {
        while let Some(c) = self.next() {
            match c {
                '}' if depth > 0 => return,
                '{' if depth < DEEPEST => self.list(out, shift, depth + 1),
                '^' | '_' => {
                    let to = if c == '^' { Shift::Above } else { Shift::Below };
                    let mut group = Runs::new();
                    self.argument(&mut group, to, depth);
                    raise(out, group, to);
                }
                '\\' => self.command(out, shift, depth),
                ' ' | '\n' | '\t' | '\r' => {}
                c if c.is_alphabetic() => {
                    let mut word = c.to_string();
                    while let Some(c) = self.peek().filter(|c| c.is_alphabetic()) {
                        word.push(c);
                        self.at += 1;
                    }
                    let slant =
                        if word.chars().count() == 1 { Slant::Italic } else { Slant::Upright };
                    join(out, Run { text: word, slant, shift, bold: false });
                }
                c => sign(out, c, shift),
            }
        }
    }

    /// One letter, number or bracketed list.
    fn argument(&mut self, out: &mut Runs, shift: Shift, depth: usize) {
        while self.peek() == Some(' ') {
            self.at += 1;
        }
        match self.next() {
            Some('{') if depth < DEEPEST => self.list(out, shift, depth + 1),
            Some('\\') => self.command(out, shift, depth),
            Some(c) if c.is_alphabetic() => {
                let run = Run { text: c.to_string(), slant: Slant::Italic, shift, bold: false };
                join(out, run);
            }
            Some(c) => sign(out, c, shift),
            None => {}
        }
    }

    fn command(&mut self, out: &mut Runs, shift: Shift, depth: usize) {
        let start = self.at;
        while self.peek().is_some_and(|c| c.is_ascii_alphabetic()) {
            self.at += 1;
        }
        let name: String = self.characters[start..self.at].iter().collect();
        let upright = |text: &str| Run { text: text.to_owned(), shift, ..Run::default() };
        match name.as_str() {
            "" => match self.next() {
                Some(',' | ';' | ':' | ' ') => join(out, upright("\u{202f}")),
                Some('!') | None => {}
                Some('\\') => join(out, upright(" ")),
                Some(c) => join(out, upright(&c.to_string())),
            },
            "frac" | "dfrac" | "tfrac" => {
                for i in 0..2 {
                    if i == 1 {
                        join(out, upright("/"));
                    }
                    let mut group = Runs::new();
                    self.argument(&mut group, shift, depth);
                    bracket(out, group, shift);
                }
            }
            "sqrt" => {
                let mut group = Runs::new();
                self.argument(&mut group, shift, depth);
                join(out, upright("√"));
                bracket(out, group, shift);
            }
            "text" | "mathrm" | "mathbf" | "operatorname" => {
                if self.peek() == Some('{') {
                    self.at += 1;
                    let start = self.at;
                    while self.peek().is_some_and(|c| c != '}') {
                        self.at += 1;
                    }
                    let words: String = self.characters[start..self.at].iter().collect();
                    self.at += 1;
                    join(out, upright(&words));
                }
            }
            "left" | "right" | "displaystyle" => {}
            _ => match symbol(&name) {
                Some(c) if c.is_alphabetic() => {
                    let run = Run { text: c.to_string(), slant: Slant::Italic, shift, bold: false };
                    join(out, run);
                }
                Some(c) => sign(out, c, shift),
                None => join(out, upright(&name)),
            },
        }
    }
}

/// A sign, with air around it where it stands between two things.
fn sign(out: &mut Runs, c: char, shift: Shift) {
    let c = match c {
        '-' => '−',
        '*' => '×',
        '~' => '\u{a0}',
        c => c,
    };
    let before = out.last().and_then(|run| run.text.trim_end().chars().next_back());
    let between = before.is_some_and(|c| !is_relation(c) && !matches!(c, '(' | '[' | ','));
    let text = if shift == Shift::None && between && is_relation(c) {
        format!(" {c} ")
    } else if c == ',' {
        ", ".to_owned()
    } else {
        c.to_string()
    };
    join(out, Run { text, shift, ..Run::default() });
}

fn is_relation(c: char) -> bool {
    matches!(
        c,
        '+' | '−'
            | '×'
            | '÷'
            | '='
            | '<'
            | '>'
            | '≤'
            | '≥'
            | '≈'
            | '≠'
            | '→'
            | '⇌'
            | '∝'
            | '±'
            | '·'
    )
}

/// A power or an index: with characters of its own if all have one.
fn raise(out: &mut Runs, group: Runs, to: Shift) {
    let find = if to == Shift::Above { above } else { below };
    let text: String = group.iter().map(|run| run.text.as_str()).collect();
    match text.chars().map(find).collect::<Option<String>>() {
        Some(text) if !text.is_empty() => join(out, Run { text, ..Run::default() }),
        _ => {
            for run in group {
                join(out, run);
            }
        }
    }
}

fn bracket(out: &mut Runs, group: Runs, shift: Shift) {
    let text: String = group.iter().map(|run| run.text.as_str()).collect();
    let simple = text.chars().all(|c| c.is_alphanumeric() || c == '.');
    let sign = |c: &str| Run { text: c.to_owned(), shift, ..Run::default() };
    if !simple {
        join(out, sign("("));
    }
    for run in group {
        join(out, run);
    }
    if !simple {
        join(out, sign(")"));
    }
}

/// The commands of mathematics that stand for one sign.
const COMMANDS: &[(&str, char)] = &[
    ("times", '×'),
    ("div", '÷'),
    ("cdot", '·'),
    ("pm", '±'),
    ("le", '≤'),
    ("leq", '≤'),
    ("ge", '≥'),
    ("geq", '≥'),
    ("ne", '≠'),
    ("neq", '≠'),
    ("approx", '≈'),
    ("to", '→'),
    ("rightarrow", '→'),
    ("rightleftharpoons", '⇌'),
    ("propto", '∝'),
    ("degree", '°'),
    ("circ", '°'),
    ("ldots", '…'),
    ("dots", '…'),
    ("Delta", 'Δ'),
    ("Sigma", 'Σ'),
    ("sum", 'Σ'),
    ("alpha", 'α'),
    ("beta", 'β'),
    ("gamma", 'γ'),
    ("delta", 'δ'),
    ("eta", 'η'),
    ("theta", 'θ'),
    ("lambda", 'λ'),
    ("mu", 'μ'),
    ("pi", 'π'),
    ("rho", 'ρ'),
    ("sigma", 'σ'),
    ("phi", 'φ'),
    ("omega", 'ω'),
];

fn symbol(name: &str) -> Option<char> {
    COMMANDS.iter().find(|(command, _)| *command == name).map(|(_, sign)| *sign)
}

/// Every character that reading may print though the text that is read has it not.
pub fn symbols() -> impl Iterator<Item = char> {
    let signs = COMMANDS.iter().map(|(_, sign)| *sign);
    signs.chain("√−×→⇌·₀₁₂₃₄₅₆₇₈₉⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻\u{a0}\u{202f}".chars())
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
        let read = |tex: &str| plain(&inline(&format!("${tex}$"))).replace('\u{a0}', " ");
        assert_eq!(read("x^2 + y_1 = -3"), "x² + y₁ = −3");
        assert_eq!(read(r"\frac{m}{V + 1} \times \text{mass}"), "m/(V + 1) × mass");
        assert_eq!(read(r"\unheard x_{ab}"), "unheardxab");
    }

    #[test]
    fn a_line_that_looks_like_a_block_stays_a_line() {
        for text in ["3. _x_", "# `a`", "- `a`", "* `a` b", "> `a`", "+ [1]", "=== ~"] {
            let shown = text.replace(['`'], "").replace("_x_", "x");
            assert_eq!(plain(&inline(text)), shown, "{text}");
        }
    }
}
