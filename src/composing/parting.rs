//! Words parted into syllables, for lines that may end within one.
//!
//! Takes words shaped whole; gives their beginnings as words of their own, with the
//! hyphen to be drawn if a line ends there. A word of capitals, with a digit, with
//! several looks or with a formula in it stays whole.

use hypher::Lang;

use super::faces::Faces;
use super::lines::{Piece, Word};
use super::page::Glyph;

/// Shorter words stay whole, and so many letters stay on either side of a hyphen.
const SHORTEST: usize = 6;
const BEFORE: usize = 2;
const AFTER: usize = 3;

/// Each word, or its parts.
pub(super) fn syllables(words: Vec<Word>, language: Lang, faces: &Faces) -> Vec<Word> {
    let mut out = Vec::with_capacity(2 * words.len());
    for word in words {
        let cuts = cuts(&word, language);
        if cuts.is_empty() {
            out.push(word);
        } else {
            part(word, &cuts, faces, &mut out);
        }
    }
    out
}

/// The glyphs before which a word may part.
fn cuts(word: &Word, language: Lang) -> Vec<usize> {
    let [piece] = word.pieces.as_slice() else { return Vec::new() };
    if piece.formula.is_some() || piece.raise != 0.0 {
        return Vec::new();
    }
    let text: String = piece.glyphs.iter().map(|glyph| glyph.text.as_str()).collect();
    let bare = text.trim_matches(|c: char| !c.is_alphabetic());
    let capital = |c: char| c.is_uppercase();
    if bare.chars().count() < SHORTEST
        || !bare.chars().all(char::is_alphabetic)
        // A name may not be parted as its language would.
        || bare.chars().any(capital)
    {
        return Vec::new();
    }
    let mut at = text.find(bare).unwrap_or(0);
    let mut places = Vec::new();
    for syllable in hypher::hyphenate(bare, language) {
        at += syllable.len();
        places.push(at);
    }
    let mut cuts = Vec::new();
    let mut passed = 0;
    for (index, glyph) in piece.glyphs.iter().enumerate() {
        let before = text[..passed].chars().filter(|c| c.is_alphabetic()).count();
        let after = text[passed..].chars().filter(|c| c.is_alphabetic()).count();
        if index > 0 && places.contains(&passed) && before >= BEFORE && after >= AFTER {
            cuts.push(index);
        }
        passed += glyph.text.len();
    }
    cuts
}

/// A word's parts; they keep the advances that they have together.
fn part(word: Word, cuts: &[usize], faces: &Faces, to: &mut Vec<Word>) {
    let Word { mut pieces, space, tied, ends, .. } = word;
    let Some(mut piece) = pieces.pop() else { return };
    let width =
        |glyphs: &[Glyph]| glyphs.iter().map(|g| g.advance).sum::<f64>() * piece.size / 1000.0;
    let hyphen = faces.shape(piece.face, "-").runs.first().map(|run| Piece {
        glyphs: run.glyphs.clone(),
        width: width(&run.glyphs),
        formula: None,
        ..piece.clone()
    });
    let glyphs = std::mem::take(&mut piece.glyphs);
    let mut from = 0;
    for end in cuts.iter().copied().chain([glyphs.len()]) {
        let own = glyphs[from..end].to_vec();
        let width = own.iter().map(|g| g.advance).sum::<f64>() * piece.size / 1000.0;
        let last = end == glyphs.len();
        to.push(Word {
            pieces: vec![Piece { glyphs: own, width, ..piece.clone() }],
            width,
            space: if last { space } else { 0.0 },
            tied: last && tied,
            ends: last && ends,
            hyphen: hyphen.clone().filter(|_| !last),
        });
        from = end;
    }
}
