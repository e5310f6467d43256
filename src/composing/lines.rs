//! Runs to lines: words shaped and measured, broken where the lines come out most
//! even: whole, or parted at syllables where that is asked; a number keeps its unit.

use hypher::Lang;

use super::faces::Faces;
use super::math::{self, Boxed, Part};
use super::page::{Face, Glyph, Ink, Mark};
use super::parting;
use super::slab::move_by;
use crate::document::math::Row;
use crate::document::{Gap, Run, Shift, Slant};

/// A look of text: its face, size, the height of its lines, its ink.
#[derive(Debug, Clone, Copy)]
pub(super) struct Type {
    pub(super) face: Face,
    pub(super) size: f64,
    pub(super) leading: f64,
    pub(super) ink: Ink,
}

/// A part of a word that is drawn in one face at one height.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    pub(super) face: Face,
    pub(super) size: f64,
    /// Up from the baseline.
    pub(super) raise: f64,
    pub(super) glyphs: Vec<Glyph>,
    pub(super) width: f64,
    /// With a stroke beneath.
    pub(super) underlined: bool,
    /// A formula in place of glyphs.
    pub(super) formula: Option<Box<Formula>>,
}

/// A formula laid out, or a part of one, and what it says.
#[derive(Debug, Clone)]
pub(super) struct Formula {
    boxed: Boxed,
    said: String,
    /// Of a gap: what a teacher's copy writes there.
    fill: Option<String>,
}

/// A gap of a line and what fills it.
pub(super) struct Filling {
    pub(super) x: f64,
    pub(super) width: f64,
    pub(super) fill: String,
}

/// What no line break cuts.
#[derive(Debug, Clone, Default)]
pub(super) struct Word {
    pub(super) pieces: Vec<Piece>,
    pub(super) width: f64,
    /// The space behind it, if its line goes on.
    pub(super) space: f64,
    /// The next word stays on its line.
    pub(super) tied: bool,
    /// The line ends behind it.
    pub(super) ends: bool,
    /// It is the beginning of a word: what is drawn behind it if its line ends there.
    pub(super) hyphen: Option<Piece>,
}

/// A line ready to draw.
#[derive(Debug, Clone, Default)]
pub(super) struct Line {
    words: Vec<Word>,
    pub(super) width: f64,
    /// How far its formulas reach above the baseline and below it.
    pub(super) ascent: f64,
    pub(super) descent: f64,
    /// It ends within a word.
    pub(super) parts: bool,
}

/// A gap in prose, in points beside text of 12 pt; the width of a frame for a number
/// and how far it reaches above the baseline and below.
const BLANK: f64 = 79.4;
const FRAME: (f64, f64, f64) = (45.4, 17.0, 8.5);

/// An underline lies so far below the baseline, as a share of the size.
const UNDERLINE: f64 = 0.15;

/// What a formula of so few signs holds is not parted at the end of a line.
const UNPARTED: usize = 24;

/// Superscripts and subscripts: size and rise as shares of the size.
const SHIFTED: f64 = 0.70;
const ABOVE: f64 = 0.34;
const BELOW: f64 = -0.16;

/// Runs as lines no wider than `width`; no lines for no text.
pub(super) fn set(runs: &[Run], look: Type, width: f64, faces: &Faces) -> Vec<Line> {
    let mut words = split(runs, look, faces);
    tie(&mut words, width);
    broken(fit(words, width, faces), width)
}

/// The same, with words parted at the ends of lines where that makes them more even.
pub(super) fn parted(
    runs: &[Run],
    look: Type,
    width: f64,
    language: Lang,
    faces: &Faces,
) -> Vec<Line> {
    let mut words = split(runs, look, faces);
    tie(&mut words, width);
    broken(fit(parting::syllables(words, language, faces), width, faces), width)
}

/// The language whose words are parted as a tag such as `en-GB` says.
pub(super) fn language(tag: &str) -> Option<Lang> {
    let primary = tag.split('-').next().unwrap_or(tag).to_ascii_lowercase();
    <[u8; 2]>::try_from(primary.as_bytes()).ok().and_then(Lang::from_iso)
}

/// Words as lines, broken where they come out best.
fn broken(words: Vec<Word>, width: f64) -> Vec<Line> {
    let ends = break_words(&words, width);
    let mut lines = Vec::with_capacity(ends.len());
    let mut words = words.into_iter();
    let mut from = 0;
    for end in ends {
        lines.push(line_of(words.by_ref().take(end - from).collect()));
        from = end;
    }
    lines
}

fn line_of(mut words: Vec<Word>) -> Line {
    let hyphen = words.last_mut().and_then(|last| {
        let hyphen = last.hyphen.take()?;
        last.width += hyphen.width;
        Some(hyphen)
    });
    let parts = hyphen.is_some();
    if let Some(last) = words.last_mut() {
        last.pieces.extend(hyphen);
    }
    let mut line = Line { width: measure(&words), parts, ..Line::default() };
    for formula in words.iter().flat_map(|word| &word.pieces).filter_map(|p| p.formula.as_ref()) {
        line.ascent = line.ascent.max(formula.boxed.ascent);
        line.descent = line.descent.max(formula.boxed.descent);
    }
    line.words = words;
    line
}

/// A formula's row on lines of its own, parted only where it is too wide.
pub(super) fn formula(row: &Row, look: Type, width: f64, faces: &Faces) -> Vec<Line> {
    let mut words = Vec::new();
    let mut word = Word::default();
    let whole = math::parts(row, look, false, true, true, faces);
    let fits = whole.iter().map(|part| part.boxed.width).sum::<f64>() <= width;
    let parts = if fits { whole } else { math::parts(row, look, false, true, false, faces) };
    push_formula(&mut words, &mut word, parts, look);
    if !word.pieces.is_empty() {
        words.push(word);
    }
    broken(fit(words, width, faces), width)
}

/// One line, however wide.
pub(super) fn one(runs: &[Run], look: Type, faces: &Faces) -> Line {
    line_of(split(runs, look, faces))
}

/// Words in one look as one line.
pub(super) fn label(text: &str, look: Type, faces: &Faces) -> Line {
    one(&[Run { text: text.to_owned(), ..Run::default() }], look, faces)
}

fn measure(words: &[Word]) -> f64 {
    let spaces: f64 = words.iter().rev().skip(1).map(|word| word.space).sum();
    spaces + words.iter().map(|word| word.width).sum::<f64>()
}

impl Line {
    /// The gaps of the line as it is drawn from `x`.
    pub(super) fn fillings(&self, x: f64) -> Vec<Filling> {
        let mut found = Vec::new();
        let mut pen = x;
        for word in &self.words {
            for piece in &word.pieces {
                let fill = piece.formula.as_ref().and_then(|formula| formula.fill.clone());
                found.extend(fill.map(|fill| Filling { x: pen, width: piece.width, fill }));
                pen += piece.width;
            }
            pen += word.space;
        }
        found
    }

    /// Draws the line from `x`; pieces that look alike become one mark, spaces
    /// included, so that a page's text reads as sentences.
    pub(super) fn draw(self, x: f64, baseline: f64, look: Type, faces: &Faces, to: &mut Vec<Mark>) {
        let mut pen = x;
        let first = to.len();
        let mut space = 0.0;
        let mut strokes: Vec<(f64, f64)> = Vec::new();
        for word in self.words {
            for piece in word.pieces {
                let at = baseline - piece.raise;
                if piece.underlined {
                    // Words in succession have one stroke.
                    match strokes.last_mut() {
                        Some((_, end)) if pen - *end <= space + 1e-6 => *end = pen + piece.width,
                        _ => strokes.push((pen, pen + piece.width)),
                    }
                }
                if let Some(formula) = piece.formula {
                    draw_formula(*formula, pen, baseline, to);
                    pen += piece.width;
                    space = 0.0;
                    continue;
                }
                match to[first..].last_mut() {
                    Some(Mark::Text { face, size, baseline, glyphs, .. })
                        if *face == piece.face && *size == piece.size && *baseline == at =>
                    {
                        push_space(glyphs, &piece, space, faces);
                        glyphs.extend(piece.glyphs);
                    }
                    _ => to.push(Mark::Text {
                        face: piece.face,
                        size: piece.size,
                        x: pen,
                        baseline: at,
                        ink: look.ink,
                        glyphs: piece.glyphs,
                    }),
                }
                pen += piece.width;
                space = 0.0;
            }
            pen += word.space;
            space = word.space;
        }
        let below = baseline + UNDERLINE * look.size;
        to.extend(strokes.into_iter().map(|(from, end)| Mark::Rule {
            from: (from, below),
            to: (end, below),
            weight: 0.6,
            ink: look.ink,
            dash: None,
        }));
    }
}

/// A formula of one sign reads as that sign; any other says what it stands for.
fn draw_formula(formula: Formula, x: f64, baseline: f64, to: &mut Vec<Mark>) {
    let mut marks = formula.boxed.marks;
    for mark in &mut marks {
        move_by(mark, x, baseline);
    }
    match marks.as_slice() {
        [Mark::Text { .. }] | [] => to.append(&mut marks),
        _ => to.push(Mark::Said { text: formula.said, marks }),
    }
}

fn push_space(glyphs: &mut Vec<Glyph>, piece: &Piece, space: f64, faces: &Faces) {
    if space <= 0.0 {
        return;
    }
    let shaped = faces.shape(piece.face, " ");
    if let Some(glyph) = shaped.runs.first().and_then(|run| run.glyphs.first()) {
        glyphs.push(Glyph { advance: space / piece.size * 1000.0, ..glyph.clone() });
    }
}

fn face_of(run: &Run, look: Type) -> Face {
    match (run.slant, run.bold, look.face) {
        (Slant::Italic, _, _) => Face::Italic,
        (_, true, _) => Face::Bold,
        (_, false, face) => face,
    }
}

fn split(runs: &[Run], look: Type, faces: &Faces) -> Vec<Word> {
    let space = faces.width(look.face, look.size, " ");
    let mut words: Vec<Word> = Vec::new();
    let mut word = Word::default();
    for run in runs {
        if let Some(gap) = &run.gap {
            push_gap(&mut word, gap, look);
            continue;
        }
        if let Some(formula) = &run.math {
            let whole = run.text.chars().count() <= UNPARTED;
            for row in formula.lines.iter().flat_map(|line| [&line.left, &line.right]) {
                let mut parts = math::parts(row, look, run.bold, false, whole, faces);
                if let [only] = parts.as_mut_slice()
                    && formula.lines.len() == 1
                    && formula.lines[0].right.is_empty()
                {
                    only.said.clone_from(&run.text);
                }
                push_formula(&mut words, &mut word, parts, look);
            }
            continue;
        }
        let face = face_of(run, look);
        let (size, raise) = match run.shift {
            Shift::None => (look.size, 0.0),
            Shift::Above => (look.size * SHIFTED, look.size * ABOVE),
            Shift::Below => (look.size * SHIFTED, look.size * BELOW),
        };
        for chunk in run.text.split_inclusive([' ', '\n']) {
            let text = chunk.trim_end_matches([' ', '\n']);
            let mut rest = text;
            while !rest.is_empty() {
                let cut = after_hyphen(rest).unwrap_or(rest.len());
                let pushed = word.pieces.len();
                push_pieces(&mut word, &rest[..cut], face, size, raise, faces);
                word.pieces[pushed..].iter_mut().for_each(|p| p.underlined = run.underlined);
                rest = &rest[cut..];
                if !rest.is_empty() {
                    words.push(std::mem::take(&mut word));
                }
            }
            if chunk.len() > text.len() {
                word.ends = chunk.ends_with('\n');
                word.space = space;
                if !word.pieces.is_empty() || word.ends {
                    words.push(std::mem::take(&mut word));
                } else if let Some(last) = words.last_mut() {
                    last.space = last.space.max(space);
                }
                word = Word::default();
            }
        }
    }
    if !word.pieces.is_empty() {
        words.push(word);
    }
    words
}

/// Adds a formula's parts to a word; all but the last end it.
fn push_formula(words: &mut Vec<Word>, word: &mut Word, parts: Vec<Part>, look: Type) {
    let last = parts.len().saturating_sub(1);
    for (i, part) in parts.into_iter().enumerate() {
        let width = part.boxed.width;
        word.width += width;
        word.pieces.push(Piece {
            face: look.face,
            size: look.size,
            raise: 0.0,
            glyphs: Vec::new(),
            width,
            underlined: false,
            formula: Some(Box::new(Formula { boxed: part.boxed, said: part.said, fill: None })),
        });
        if i < last {
            word.space = part.space;
            word.tied = part.tied;
            words.push(std::mem::take(word));
        }
    }
}

/// A line for a word or a frame for a number, as part of a word.
fn push_gap(word: &mut Word, gap: &Gap, look: Type) {
    let scale = look.size / 12.0;
    let black = |from: (f64, f64), to: (f64, f64), weight: f64| Mark::Rule {
        from,
        to,
        weight: weight * scale,
        ink: Ink::Black,
        dash: None,
    };
    let (width, up, down, marks) = if gap.framed {
        let (width, up, down) = (FRAME.0 * scale, FRAME.1 * scale, FRAME.2 * scale);
        let frame = Mark::Box {
            x: 0.0,
            y: -up,
            width,
            height: up + down,
            weight: Some(0.8 * scale),
            ink: Ink::Black,
        };
        (width, up, down, vec![frame])
    } else {
        let (width, down) = (BLANK * scale, 2.5 * scale);
        (width, 0.0, down, vec![black((0.0, down), (width, down), 0.6)])
    };
    let boxed = Boxed { width, ascent: up, descent: down, marks };
    word.width += width;
    word.pieces.push(Piece {
        face: look.face,
        size: look.size,
        raise: 0.0,
        glyphs: Vec::new(),
        width,
        underlined: false,
        formula: Some(Box::new(Formula {
            boxed,
            said: "blank".to_owned(),
            fill: Some(gap.fill.clone()),
        })),
    });
}

/// The width of a shaped run at a size.
pub(super) fn part_width(run: &super::faces::Run, size: f64) -> f64 {
    run.width * size / 1000.0
}

/// Where a compound may be parted: behind its hyphen or dash, between letters.
fn after_hyphen(text: &str) -> Option<usize> {
    if !text.contains(['-', '–', '—', '/']) {
        return None;
    }
    let letters = |s: &str| s.chars().take(2).filter(|c| c.is_alphabetic()).count() == 2;
    text.char_indices().find_map(|(i, c)| {
        let end = i + c.len_utf8();
        let before = text[..i].chars().next_back().is_some_and(char::is_alphabetic)
            && text[..i].chars().count() >= 2;
        (matches!(c, '-' | '–' | '—' | '/') && before && letters(&text[end..])).then_some(end)
    })
}

fn push_pieces(word: &mut Word, text: &str, face: Face, size: f64, raise: f64, faces: &Faces) {
    for run in &faces.shape(face, text).runs {
        let width = part_width(run, size);
        word.width += width;
        word.pieces.push(Piece {
            face: run.face,
            size: size * run.scale,
            raise,
            glyphs: run.glyphs.clone(),
            width,
            underlined: false,
            formula: None,
        });
    }
}

/// Ties numbers to their units, a figure's word to its number, and the last two
/// words of the paragraph.
fn tie(words: &mut [Word], width: f64) {
    let count = words.len();
    if count < 2 {
        return;
    }
    if words[count - 2].width + words[count - 1].width < 0.4 * width {
        words[count - 2].tied = true;
    }
    for i in 0..count - 1 {
        let next_digit = words[i + 1].first().is_some_and(|c| c.is_ascii_digit());
        let number = words[i].last().is_some_and(|c| c.is_ascii_digit());
        let figure = next_digit
            && matches!(
                words[i].text().as_str(),
                "Figure" | "Table" | "Question" | "Example" | "§" | "Step"
            );
        if words[i].space > 0.0 && (figure || number && is_unit(&words[i + 1].text())) {
            words[i].tied = true;
        }
    }
}

impl Word {
    fn first(&self) -> Option<char> {
        self.pieces.first()?.glyphs.first()?.text.chars().next()
    }

    fn last(&self) -> Option<char> {
        self.pieces.last()?.glyphs.last()?.text.chars().next_back()
    }

    fn text(&self) -> String {
        let mut text = String::new();
        for piece in &self.pieces {
            text.extend(piece.formula.iter().map(|formula| formula.said.as_str()));
            text.extend(piece.glyphs.iter().map(|glyph| glyph.text.as_str()));
        }
        text
    }
}

fn is_unit(word: &str) -> bool {
    let bare = word.trim_end_matches(['.', ',', ';', ':', ')', '?', '!']);
    let first = bare.split('/').next().unwrap_or(bare);
    matches!(
        first.trim_end_matches(['²', '³', '2', '3']),
        "%" | "kg"
            | "g"
            | "mg"
            | "µg"
            | "μg"
            | "t"
            | "lb"
            | "mol"
            | "kmol"
            | "mol%"
            | "mL"
            | "L"
            | "dm"
            | "cm"
            | "m"
            | "mm"
            | "s"
            | "min"
            | "h"
            | "day"
            | "days"
            | "K"
            | "°C"
            | "°F"
            | "Pa"
            | "kPa"
            | "bar"
            | "atm"
            | "mmHg"
            | "ppm"
            | "hours"
            | "minutes"
    )
}

/// A word that is wider than its column is parted by the rules of this language, whatever
/// the text's: a hyphen in an odd place is still better than none.
const TOO_LONG: Lang = Lang::English;

/// Cuts what is wider than a line by itself, at its syllables or between its characters.
fn fit(words: Vec<Word>, width: f64, faces: &Faces) -> Vec<Word> {
    if words.iter().all(|word| word.width <= width) {
        return words;
    }
    let mut out = Vec::with_capacity(words.len() + 4);
    for word in words {
        if word.width <= width {
            out.push(word);
            continue;
        }
        if let Some(halves) = halved(&word, width, faces) {
            out.extend(halves);
            continue;
        }
        let mut part = Word::default();
        for mut piece in word.pieces {
            if let Some(formula) = &mut piece.formula {
                // No place in it for a break: it is set smaller.
                if part.width + piece.width > width && !part.pieces.is_empty() {
                    out.push(std::mem::take(&mut part));
                }
                if piece.width > width {
                    formula.boxed = std::mem::take(&mut formula.boxed).scaled(width / piece.width);
                    piece.width = width;
                }
                part.width += piece.width;
                part.pieces.push(piece);
                continue;
            }
            for glyph in piece.glyphs {
                let advance = glyph.advance * piece.size / 1000.0;
                let starts = !glyph.text.is_empty();
                if part.width + advance > width && starts && !part.pieces.is_empty() {
                    out.push(std::mem::take(&mut part));
                }
                part.width += advance;
                match part.pieces.last_mut() {
                    Some(last)
                        if last.face == piece.face
                            && last.size == piece.size
                            && last.raise == piece.raise
                            && last.underlined == piece.underlined
                            && last.formula.is_none() =>
                    {
                        last.width += advance;
                        last.glyphs.push(glyph);
                    }
                    _ => part.pieces.push(Piece {
                        face: piece.face,
                        size: piece.size,
                        raise: piece.raise,
                        glyphs: vec![glyph],
                        width: advance,
                        underlined: piece.underlined,
                        formula: None,
                    }),
                }
            }
        }
        part.space = word.space;
        part.tied = word.tied;
        part.ends = word.ends;
        out.push(part);
    }
    out
}

/// A word as two parts that each fit a line, the first as long as it can be.
fn halved(word: &Word, width: f64, faces: &Faces) -> Option<[Word; 2]> {
    let syllables = parting::syllables(vec![word.clone()], TOO_LONG, faces);
    (1..syllables.len()).rev().find_map(|cut| {
        let (first, last) = syllables.split_at(cut);
        let joined = |parts: &[Word]| Word {
            pieces: parts.iter().flat_map(|part| part.pieces.clone()).collect(),
            width: parts.iter().map(|part| part.width).sum(),
            ..parts[parts.len() - 1].clone()
        };
        let (first, last) = (joined(first), joined(last));
        let hyphen = first.hyphen.as_ref().map_or(0.0, |hyphen| hyphen.width);
        (first.width + hyphen <= width && last.width <= width).then_some([first, last])
    })
}

/// A line more costs more than any unevenness; a parted tie more than a line.
const LINE: f64 = 100.0;
const PARTED: f64 = 1e4;
const TOO_WIDE: f64 = 1e6;
/// A parted word costs less than a twentieth of a line left empty, a second one in
/// succession as much as a third; a third in succession is never made.
const HYPHEN: f64 = 0.002;
const SECOND_HYPHEN: f64 = 0.1;
const MOST_HYPHENS: usize = 2;

/// The ends of the lines (indices behind their last words): as few lines as will
/// do, and those as even as can be, the last one apart.
fn break_words(words: &[Word], width: f64) -> Vec<usize> {
    let count = words.len();
    if count == 0 {
        return Vec::new();
    }
    if measure(words) <= width && !words[..count - 1].iter().any(|word| word.ends) {
        return vec![count];
    }
    // best[i][h]: the least cost of setting the first i words so that the last h lines
    // end in hyphens, where the last line of that begins, and the h of the one before.
    let mut best = vec![[(f64::INFINITY, 0usize, 0usize); MOST_HYPHENS + 1]; count + 1];
    best[0][0].0 = 0.0;
    for start in 0..count {
        let mut line = 0.0;
        for end in start + 1..=count {
            let word = &words[end - 1];
            line += word.width;
            let last = end == count || word.ends;
            let hyphen = word.hyphen.as_ref().filter(|_| !last).map(|hyphen| hyphen.width);
            let over = (line - width).max(0.0);
            if over > 1e-6 && end > start + 1 {
                break;
            }
            let whole = line + hyphen.unwrap_or(0.0);
            // No room for the hyphen: the word goes on.
            let fits = whole <= width + 1e-6 || end == start + 1;
            let slack = if last { 0.0 } else { (width - whole).max(0.0) / width };
            let mut cost = LINE + slack * slack;
            if !last && word.tied {
                cost += PARTED;
            }
            if over > 1e-6 {
                cost += TOO_WIDE;
            }
            for hyphens in (0..=MOST_HYPHENS).filter(|_| fits) {
                let so_far = best[start][hyphens].0;
                if so_far == f64::INFINITY {
                    continue;
                }
                let (next, extra) = match (hyphen, hyphens) {
                    (None, _) => (0, 0.0),
                    (Some(_), MOST_HYPHENS) => continue,
                    (Some(_), 0) => (1, HYPHEN),
                    (Some(_), _) => (hyphens + 1, HYPHEN + SECOND_HYPHEN),
                };
                if so_far + cost + extra < best[end][next].0 {
                    best[end][next] = (so_far + cost + extra, start, hyphens);
                }
            }
            if word.ends {
                break;
            }
            line += word.space;
        }
    }
    let mut hyphens = 0;
    for (h, (cost, ..)) in best[count].iter().enumerate() {
        if *cost < best[count][hyphens].0 {
            hyphens = h;
        }
    }
    let mut ends = Vec::new();
    let mut at = count;
    while at > 0 {
        ends.push(at);
        let (_, start, before) = best[at][hyphens];
        (at, hyphens) = (start, before);
    }
    ends.reverse();
    ends
}

/// The room left at the ends of a paragraph's lines, its last line apart, as they
/// are broken here, in whole words or parted ones, and as they would be with each line
/// filled with whole words before the next.
pub(super) fn slack(
    runs: &[Run],
    look: Type,
    width: f64,
    parted: Option<Lang>,
    faces: &Faces,
) -> (Vec<f64>, Vec<f64>) {
    let mut words = split(runs, look, faces);
    tie(&mut words, width);
    let whole = fit(words, width, faces);
    let rooms = |words: &[Word], ends: &[usize]| {
        let starts = std::iter::once(0).chain(ends.iter().copied());
        let hyphen = |end: usize| words[end - 1].hyphen.as_ref().map_or(0.0, |piece| piece.width);
        let lines =
            starts.zip(ends).map(|(from, end)| width - measure(&words[from..*end]) - hyphen(*end));
        lines.take(ends.len().saturating_sub(1)).collect()
    };
    let filled = rooms(&whole, &fill_lines(&whole, width));
    let words = match parted {
        Some(language) => parting::syllables(whole, language, faces),
        None => whole,
    };
    (rooms(&words, &break_words(&words, width)), filled)
}

/// The ends of lines that each take as many words as they hold; ties are kept.
fn fill_lines(words: &[Word], width: f64) -> Vec<usize> {
    let mut ends = Vec::new();
    let mut from = 0;
    while from < words.len() {
        let fits = (from + 1..=words.len())
            .take_while(|end| *end == from + 1 || measure(&words[from..*end]) <= width + 1e-6)
            .last()
            .unwrap_or(from + 1);
        let untied = (from + 1..=fits)
            .rev()
            .find(|end| *end == words.len() || !words[*end - 1].tied)
            .unwrap_or(fits);
        from = untied;
        ends.push(from);
    }
    ends
}

#[cfg(test)]
mod tests {
    use super::*;

    fn look() -> Type {
        Type { face: Face::Regular, size: 12.0, leading: 16.0, ink: Ink::Black }
    }

    fn lines(text: &str, width: f64) -> Vec<String> {
        let runs = [Run { text: text.to_owned(), ..Run::default() }];
        set(&runs, look(), width, &Faces::embedded())
            .iter()
            .map(|line| {
                assert!(line.width <= width + 1e-6, "{text}: {} > {width}", line.width);
                let words: Vec<String> = line.words.iter().map(Word::text).collect();
                words.join(" ")
            })
            .collect()
    }

    #[test]
    fn a_number_keeps_its_unit_and_a_paragraph_its_last_two_words() {
        for width in 120..400 {
            for line in lines("The pan holds 400 kg of brine, 24 % of it salt.", f64::from(width)) {
                assert!(!line.ends_with("400") && !line.ends_with("24"), "{line}");
                assert_ne!(line, "salt.");
            }
        }
    }

    #[test]
    fn what_is_wider_than_a_line_is_cut_and_not_lost() {
        let long = "aqueousammoniumchloride".repeat(6);
        assert_eq!(lines(&long, 100.0).concat(), long);
    }

    #[test]
    fn words_part_at_syllables_and_never_three_lines_in_succession() {
        let faces = Faces::embedded();
        let text = "Crystallisation separates a dissolved substance from concentrated solutions \
                    because its solubility diminishes considerably while temperatures decrease. ";
        let runs = [Run { text: text.repeat(4), ..Run::default() }];
        let mut parted_lines = 0;
        for width in 90..300 {
            let set = parted(&runs, look(), f64::from(width), Lang::English, &faces);
            let mut said = String::new();
            let mut in_succession = 0;
            for line in &set {
                assert!(line.width <= f64::from(width) + 1e-6);
                in_succession = if line.parts { in_succession + 1 } else { 0 };
                parted_lines += usize::from(line.parts);
                assert!(in_succession <= MOST_HYPHENS, "at {width} pt");
                let words: Vec<String> = line.words.iter().map(Word::text).collect();
                let mut line_said = String::new();
                for (word, of) in words.iter().zip(&line.words) {
                    line_said.push_str(word);
                    line_said.push_str(if of.space > 0.0 { " " } else { "" });
                }
                said.push_str(line_said.strip_suffix('-').unwrap_or(&line_said));
            }
            assert_eq!(said.trim(), text.repeat(4).trim(), "at {width} pt");
            assert!(!set.last().unwrap().parts);
        }
        assert!(parted_lines > 100, "{parted_lines}");
    }

    #[test]
    fn an_asked_for_break_is_kept() {
        assert_eq!(lines("one\ntwo", 400.0), ["one", "two"]);
    }
}
