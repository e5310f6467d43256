//! Formulas laid out by the rules of mathematical setting, in the text's own faces.
//!
//! Takes the tree of a formula; gives marks placed from its baseline, with the
//! room they take. Letters of a cut made for mathematics would clash beside the
//! text face, so the measures below are those of that face, in ems of the size.
//! Never breaks lines: `lines` does that between the parts given here.

use super::faces::Faces;
use super::lines::{Type, part_width};
use super::math_strokes as strokes;
use super::page::{Face, Ink, Mark, Segment};
use super::slab::move_by;
use crate::document::math::{Accent, Class, Node, Row, said};

/// Middle of fraction rules and of signs, above the baseline.
const AXIS: f64 = 0.33;
/// Weight of fraction rules, roots and drawn brackets; the least in points.
pub(super) const RULE: f64 = 0.055;
const LEAST_RULE: f64 = 0.6;
/// A fraction's rule goes so far beyond its longer part, which stands so far off it.
const OVERHANG: f64 = 0.2;
const CLEAR: f64 = 0.14;
/// Scripts: their size, and where they stand.
const SCRIPT: f64 = 0.70;
const RAISED: f64 = 0.34;
const LOWERED: f64 = 0.16;
/// Scripts of scripts are no smaller than so much of the text's size.
const LEAST: f64 = 0.55;
/// A script's baseline stands at most so far below the top of a tall thing, and at
/// least so far below its foot.
const HANG: f64 = 0.36;
const DROP: f64 = 0.10;
/// Between a raised and a lowered script.
const BETWEEN: f64 = 0.16;
const RELATION: f64 = 0.28;
const BINARY: f64 = 0.22;
const PUNCTUATION: f64 = 0.18;
const LARGE: f64 = 0.14;
/// What a typed bracket of the face encloses; larger ones are drawn.
const BRACKET: (f64, f64) = (0.78, 0.24);
/// Formulas within each other beyond this are said in a line: no page holds them.
const DEEPEST: usize = 24;

/// Something laid out: marks from its left edge and baseline, y down.
#[derive(Debug, Clone, Default)]
pub(super) struct Boxed {
    pub(super) width: f64,
    pub(super) ascent: f64,
    pub(super) descent: f64,
    pub(super) marks: Vec<Mark>,
}

/// A part of a formula that no line break cuts.
pub(super) struct Part {
    pub(super) boxed: Boxed,
    pub(super) said: String,
    /// The space behind it, if its line goes on.
    pub(super) space: f64,
    /// A line may end behind it, but had better not.
    pub(super) tied: bool,
}

/// How large and how roomy.
#[derive(Debug, Clone, Copy)]
struct Style {
    size: f64,
    /// The size of the text around the formula.
    text: f64,
    level: Level,
    bold: bool,
    ink: Ink,
    depth: usize,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Level {
    Display,
    Text,
    Script,
}

impl Style {
    fn smaller(self) -> Style {
        let size = (self.size * SCRIPT).max(self.text * LEAST).min(self.size);
        Style { size, level: Level::Script, depth: self.depth + 1, ..self }
    }

    fn deeper(self) -> Style {
        Style { depth: self.depth + 1, ..self }
    }

    fn rule(self) -> f64 {
        (RULE * self.size).max(LEAST_RULE)
    }
}

/// A row as parts between which a line may end; `whole` keeps it in one.
pub(super) fn parts(
    row: &Row,
    look: Type,
    bold: bool,
    display: bool,
    whole: bool,
    faces: &Faces,
) -> Vec<Part> {
    let level = if display { Level::Display } else { Level::Text };
    let bold = bold || matches!(look.face, Face::Bold | Face::Semibold);
    let style = Style { size: look.size, text: look.size, level, bold, ink: look.ink, depth: 0 };
    let mut parts: Vec<Part> = Vec::new();
    let mut open = Boxed::default();
    let mut from = 0;
    let close = |open: &mut Boxed, nodes: &[Node], space: f64, tied: bool| Part {
        boxed: std::mem::take(open),
        said: said(nodes),
        space,
        tied,
    };
    for (i, atom) in atoms(row, style, faces).into_iter().enumerate() {
        let ends = match row.get(i.wrapping_sub(1)) {
            Some(_) if whole || i == from => None,
            Some(Node::Sign { class: Class::Relation, .. }) => Some(false),
            Some(Node::Sign { class: Class::Binary, .. }) if atom.before > 0.0 => Some(true),
            _ => None,
        };
        match ends {
            Some(tied) => {
                parts.push(close(&mut open, &row[from..i], atom.before, tied));
                from = i;
            }
            None => open.width += atom.before,
        }
        open.put(atom.boxed);
    }
    if from < row.len() {
        parts.push(close(&mut open, &row[from..], 0.0, false));
    }
    parts
}

/// A node laid out, and the space before it.
struct Atom {
    before: f64,
    boxed: Boxed,
}

/// The nodes of a row with the spaces that their classes ask for.
fn atoms(row: &[Node], style: Style, faces: &Faces) -> Vec<Atom> {
    let mut atoms = Vec::with_capacity(row.len());
    let mut last: Option<Class> = None;
    for (i, node) in row.iter().enumerate() {
        if let Node::Space(width) = node {
            let boxed =
                Boxed { width: f64::from(*width) / 1000.0 * style.size, ..Boxed::default() };
            atoms.push(Atom { before: 0.0, boxed });
            continue;
        }
        let mut class = class_of(node);
        let follows = row[i + 1..].iter().find(|next| !matches!(next, Node::Space(_)));
        // A sign with nothing before it, or nothing after, is not between two.
        if class == Class::Binary
            && (follows.is_none() || !matches!(last, Some(Class::Ordinary | Class::Close)))
        {
            class = Class::Ordinary;
        }
        let before = last.map_or(0.0, |last| gap(last, class, style.level)) * style.size;
        atoms.push(Atom { before, boxed: node_box(node, style, faces) });
        last = Some(class);
    }
    atoms
}

fn class_of(node: &Node) -> Class {
    match node {
        Node::Sign { class, .. } => *class,
        Node::Scripts { base, .. } => match base.as_slice() {
            [Node::Sign { class, .. }] => *class,
            _ => Class::Ordinary,
        },
        _ => Class::Ordinary,
    }
}

fn gap(left: Class, right: Class, level: Level) -> f64 {
    let (relation, binary, punctuation) =
        if level == Level::Script { (0.06, 0.0, 0.1) } else { (RELATION, BINARY, PUNCTUATION) };
    match (left, right) {
        (Class::Relation, Class::Relation) => 0.0,
        (Class::Relation, _) | (_, Class::Relation) => relation,
        (Class::Binary, _) | (_, Class::Binary) => binary,
        (Class::Punctuation, _) => punctuation,
        (Class::Large, Class::Ordinary | Class::Large)
        | (Class::Ordinary | Class::Close, Class::Large) => LARGE,
        _ => 0.0,
    }
}

impl Boxed {
    /// Sets `other` at the right end.
    fn put(&mut self, other: Boxed) {
        let x = self.width;
        self.width += other.width;
        self.add(other, x, 0.0);
    }

    /// Draws `other` with its left edge at `x` and its baseline `y` lower.
    fn add(&mut self, other: Boxed, x: f64, y: f64) {
        self.ascent = self.ascent.max(other.ascent - y);
        self.descent = self.descent.max(other.descent + y);
        for mut mark in other.marks {
            move_by(&mut mark, x, y);
            self.marks.push(mark);
        }
    }

    fn height(&self) -> f64 {
        self.ascent + self.descent
    }

    /// The same at another size.
    pub(super) fn scaled(mut self, by: f64) -> Boxed {
        for mark in &mut self.marks {
            strokes::scale(mark, by);
        }
        self.width *= by;
        self.ascent *= by;
        self.descent *= by;
        self
    }
}

fn row_box(row: &[Node], style: Style, faces: &Faces) -> Boxed {
    if style.depth > DEEPEST {
        return text(&said(row), Face::Regular, style, faces);
    }
    let mut out = Boxed::default();
    for atom in atoms(row, style, faces) {
        out.width += atom.before;
        out.put(atom.boxed);
    }
    out
}

fn node_box(node: &Node, style: Style, faces: &Faces) -> Boxed {
    match node {
        Node::Sign { text: sign, class: Class::Large, .. } if !is_word(sign) => {
            let size = style.size * if style.level == Level::Display { 1.45 } else { 1.15 };
            let mut boxed = text(sign, upright(style), Style { size, ..style }, faces);
            // Its middle stands on the axis.
            let down = (boxed.ascent - boxed.descent) / 2.0 - AXIS * style.size;
            let mut out = Boxed { width: boxed.width, ..Boxed::default() };
            boxed.width = 0.0;
            out.add(boxed, 0.0, down);
            out
        }
        Node::Sign { text: sign, italic, .. } => {
            text(sign, if *italic { Face::Italic } else { upright(style) }, style, faces)
        }
        Node::Space(_) => Boxed::default(),
        Node::Group(inner) => row_box(inner, style.deeper(), faces),
        Node::Fraction { over, under } => fraction(over, under, style, faces),
        Node::Root { degree, under } => root(degree, under, style, faces),
        Node::Scripts { base, below, above } => scripts(base, below, above, style, faces),
        Node::Fenced { open, inside, close } => fenced(*open, inside, *close, style, faces),
        Node::Accent { accent, under } => accented(*accent, under, style, faces),
    }
}

fn upright(style: Style) -> Face {
    if style.bold { Face::Bold } else { Face::Regular }
}

fn is_word(text: &str) -> bool {
    text.chars().all(|c| c.is_ascii_alphabetic())
}

fn text(text: &str, face: Face, style: Style, faces: &Faces) -> Boxed {
    let mut out = Boxed::default();
    for run in &faces.shape(face, text).runs {
        let size = style.size * run.scale;
        let (top, foot) = faces.extent(run.face, &run.glyphs);
        out.ascent = out.ascent.max(top * size / 1000.0);
        out.descent = out.descent.max(-foot * size / 1000.0);
        out.marks.push(Mark::Text {
            face: run.face,
            size,
            x: out.width,
            baseline: 0.0,
            ink: style.ink,
            glyphs: run.glyphs.clone(),
        });
        out.width += part_width(run, style.size);
    }
    out
}

fn fraction(over: &Row, under: &Row, style: Style, faces: &Faces) -> Boxed {
    let em = style.size;
    let inner = match style.level {
        Level::Display => Style { level: Level::Text, ..style.deeper() },
        _ => style.smaller(),
    };
    let (over, under) = (row_box(over, inner, faces), row_box(under, inner, faces));
    let rule = style.rule();
    let axis = AXIS * em;
    let half = rule / 2.0 + CLEAR * em;
    // Fractions side by side stand on the same lines, whatever their letters.
    let (least_up, least_down) = match style.level {
        Level::Display => (0.68 * em, 0.66 * em),
        _ => (0.48 * em, 0.34 * em),
    };
    let up = (axis + half + over.descent).max(least_up);
    let down = (half - axis + under.ascent).max(least_down);
    let width = over.width.max(under.width) + 2.0 * OVERHANG * em;
    // A little air, so that two rules side by side do not run together.
    let side = 0.08 * em;
    let mut out = Boxed { width: width + 2.0 * side, ..Boxed::default() };
    let (x_over, x_under) = ((width - over.width) / 2.0, (width - under.width) / 2.0);
    out.add(over, side + x_over, -up);
    out.marks.push(strokes::level(side, side + width, -axis, rule, style.ink));
    out.add(under, side + x_under, down);
    out
}

fn root(degree: &Row, under: &Row, style: Style, faces: &Faces) -> Boxed {
    let em = style.size;
    let inside = row_box(under, style.deeper(), faces);
    let rule = style.rule();
    let top = inside.ascent.max(0.66 * em) + CLEAR * em + rule / 2.0;
    let foot = inside.descent.max(0.02 * em);
    let sign = 0.52 * em;
    let mut out = Boxed::default();
    if !degree.is_empty() {
        let degree = row_box(degree, style.smaller(), faces);
        let raise = (0.62 * (top + foot) - foot).max(0.42 * em);
        let width = (degree.width - 0.22 * em).max(0.0);
        out.add(degree, 0.0, -raise);
        out.width = width;
    }
    let x = out.width;
    let right = x + sign + inside.width + 0.10 * em;
    out.marks.push(strokes::path(
        vec![
            Segment::Move(x + 0.06 * em, -0.30 * em),
            Segment::Line(x + 0.15 * em, -0.36 * em),
            Segment::Line(x + 0.30 * em, foot),
            Segment::Line(x + sign - 0.04 * em, -top),
            Segment::Line(right, -top),
        ],
        rule,
        style.ink,
    ));
    out.ascent = out.ascent.max(top + rule / 2.0);
    out.descent = out.descent.max(foot + rule / 2.0);
    out.add(inside, x + sign, 0.0);
    out.width = right + 0.06 * em;
    out
}

fn scripts(base: &Row, below: &Row, above: &Row, style: Style, faces: &Faces) -> Boxed {
    let em = style.size;
    let small = style.smaller();
    let limits = style.level == Level::Display
        && matches!(base.as_slice(), [Node::Sign { text, class: Class::Large, .. }]
            if !text.contains('∫') && (!is_word(text) || matches!(text.as_str(), "lim" | "max" | "min")));
    let base_box = row_box(base, style.deeper(), faces);
    // A prime is a sign that stands high of itself.
    let prime = above.iter().all(|n| matches!(n, Node::Sign { text, .. } if text == "′"));
    let below = row_box(below, small, faces);
    let above = row_box(above, if prime { style.deeper() } else { small }, faces);
    if limits {
        return with_limits(base_box, below, above, em);
    }
    let mut up = (RAISED * em).max(base_box.ascent - HANG * em);
    let mut down = (LOWERED * em).max(base_box.descent + DROP * em - 0.2 * small.size);
    // Letters and signs keep the usual places, tall or not.
    if matches!(base.as_slice(), [Node::Sign { class: Class::Ordinary | Class::Close, .. }] | []) {
        (up, down) = (RAISED * em, LOWERED * em);
    }
    if prime {
        up = 0.0;
    }
    if above.width > 0.0 && below.width > 0.0 {
        let gap = (up - above.descent) - (below.ascent - down);
        let short = (BETWEEN * em - gap).max(0.0);
        up += 0.6 * short;
        down += 0.4 * short;
    }
    let mut out = base_box;
    // An italic letter leans into the place of what is raised beside it.
    let italic = matches!(base.as_slice(), [Node::Sign { italic: true, .. }]);
    let x = out.width;
    let lean = if italic { 0.05 * em } else { 0.02 * em };
    let width = (below.width + 0.02 * em).max(above.width + lean);
    let (raised, lowered) = (above.width > 0.0, below.width > 0.0);
    if lowered {
        out.add(below, x + 0.02 * em, down);
    }
    if raised {
        out.add(above, x + lean, -up);
    }
    if raised || lowered {
        out.width = x + width + 0.03 * em;
    }
    out
}

/// Above and below a large sign, in its middle.
fn with_limits(base: Boxed, below: Boxed, above: Boxed, em: f64) -> Boxed {
    let width = base.width.max(below.width).max(above.width);
    let clear = 0.14 * em;
    let (top, foot) = (base.ascent, base.descent);
    let mut out = Boxed { width, ..Boxed::default() };
    let middle = |inner: &Boxed| (width - inner.width) / 2.0;
    let x = middle(&base);
    out.add(base, x, 0.0);
    if below.width > 0.0 {
        let (x, down) = (middle(&below), foot + clear + below.ascent);
        out.add(below, x, down);
    }
    if above.width > 0.0 {
        let (x, up) = (middle(&above), top + clear + above.descent);
        out.add(above, x, -up);
    }
    out
}

fn fenced(
    open: Option<char>,
    inside: &Row,
    close: Option<char>,
    style: Style,
    faces: &Faces,
) -> Boxed {
    let em = style.size;
    let inner = row_box(inside, style.deeper(), faces);
    let small = inner.ascent <= BRACKET.0 * em && inner.descent <= BRACKET.1 * em;
    let axis = AXIS * em;
    let half = (inner.ascent - axis).max(inner.descent + axis) + 0.04 * em;
    let side = |sign: Option<char>, opens: bool| match sign {
        None => Boxed::default(),
        Some(sign) if small => text(&sign.to_string(), upright(style), style, faces),
        Some(sign) => {
            let mut boxed = Boxed::default();
            let (mark, width) =
                strokes::bracket(sign, opens, half, axis, em, style.rule(), style.ink);
            boxed.marks.extend(mark);
            boxed.width = width;
            boxed.ascent = axis + half;
            boxed.descent = half - axis;
            boxed
        }
    };
    let mut out = side(open, true);
    let air = if small { 0.0 } else { 0.03 * em };
    out.width += air;
    out.put(inner);
    out.width += air;
    out.put(side(close, false));
    out
}

fn accented(accent: Accent, under: &Row, style: Style, faces: &Faces) -> Boxed {
    let em = style.size;
    let mut out = row_box(under, style.deeper(), faces);
    let y = out.ascent.max(0.49 * em) + 0.12 * em;
    let lean =
        if matches!(under.as_slice(), [Node::Sign { italic: true, .. }]) { 0.06 } else { 0.0 };
    let marks =
        strokes::accent(accent, lean * em, out.width + lean * em, y, em, style.rule(), style.ink);
    out.marks.extend(marks);
    out.ascent = y + 0.12 * em;
    out.ascent = out.ascent.max(out.height() - out.descent);
    out
}
