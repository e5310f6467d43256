//! The typefaces: words turned into measured glyphs.
//!
//! Takes a face and a text; gives runs of glyphs with kerning in their advances,
//! each glyph naming the text it stands for. Lengths are thousandths of an em of
//! the size asked for. Never breaks lines, never joins characters into ligatures
//! (a copied "filter" must not come out as "filter" in one file and "ﬁlter" in
//! another), and never fails: a character that no face has is drawn as the empty
//! box of the face asked for, and `Faces::missing` tells of it beforehand.

use std::borrow::Cow;
use std::collections::HashMap;
use std::hash::{BuildHasher, Hasher, RandomState};
use std::sync::{Arc, LazyLock, Mutex, PoisonError};

use harfrust::{
    Buffer, BufferFlags, ClusterLevel, Direction, Feature, Font, Script, ShapeOptions, ShapePlan,
    ShaperFont, Tag, font::Blob,
};
use unicode_normalization::{UnicodeNormalization, is_nfc};

use super::page::{Face, Glyph, Said};

/// The fallback face is drawn smaller: its letters are larger for their size.
const FALLBACK_SCALE: f64 = 0.88;

/// Width of a narrow no-break space, before units and the per-cent sign.
const NARROW_SPACE: f64 = 200.0;

/// Texts up to this many bytes are remembered; longer ones are not words.
const WORD_BYTES: usize = 48;

/// A shard forgets everything at this many words: far above a unit's vocabulary.
const WORDS_PER_SHARD: usize = 1024;

/// The same for words with figures, which differ from version to version: few, or
/// memory would grow with the number of versions.
const FIGURES_PER_SHARD: usize = 128;

const SHARDS: usize = 8;

const ALL: [Face; 5] = [Face::Regular, Face::Italic, Face::Semibold, Face::Bold, Face::Fallback];

/// Glyphs of one face, to be set at `scale` times the size asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    pub face: Face,
    /// 1, or 0.88 in the fallback face. A glyph's advance is in thousandths of
    /// an em at the size so scaled.
    pub scale: f64,
    pub glyphs: Vec<Glyph>,
    /// In thousandths of an em of the size asked for, `scale` included.
    pub width: f64,
}

/// A text as glyphs: one run, or several where the fallback face steps in.
#[derive(Debug, Clone, PartialEq)]
pub struct Shaped {
    pub runs: Vec<Run>,
    /// In thousandths of an em of the size asked for.
    pub width: f64,
}

/// A face's vertical measures, in thousandths of an em; `descent` is negative.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Metrics {
    pub ascent: f64,
    pub descent: f64,
    pub cap_height: f64,
    pub x_height: f64,
    /// Left, foot, right, top of the box that holds every glyph.
    pub bounds: [f64; 4],
}

/// One face, ready to shape.
struct Loaded {
    bytes: &'static [u8],
    parsed: ttf_parser::Face<'static>,
    font: Font,
    plan: ShapePlan,
    /// Thousandths of an em in one font unit.
    unit: f64,
    metrics: Metrics,
}

/// All faces with their memory of words. Shared between threads.
pub struct Faces {
    loaded: [Loaded; 5],
    words: [Mutex<Words>; SHARDS],
    figures: [Mutex<Words>; SHARDS],
    hasher: RandomState,
}

/// By face, so that a word can be looked up as it is, without a key of its own.
type Words = [HashMap<Box<str>, Arc<Shaped>>; 5];

impl Faces {
    /// The faces in the binary, read once.
    pub fn embedded() -> Arc<Faces> {
        static EMBEDDED: LazyLock<Arc<Faces>> = LazyLock::new(|| {
            Arc::new(Faces {
                loaded: ALL.map(|face| {
                    Loaded::read(embedded_bytes(face)).expect("the embedded faces are sound")
                }),
                words: Default::default(),
                figures: Default::default(),
                hasher: RandomState::new(),
            })
        });
        EMBEDDED.clone()
    }

    /// The file of a face.
    pub fn bytes(&self, face: Face) -> &'static [u8] {
        self.of(face).bytes
    }

    /// The bare advance of every glyph by its id, in whole thousandths of an em,
    /// as a file that embeds the face states them.
    pub fn advances(&self, face: Face) -> Vec<u16> {
        let loaded = self.of(face);
        (0..loaded.parsed.number_of_glyphs())
            .map(|id| loaded.parsed.glyph_hor_advance(ttf_parser::GlyphId(id)).unwrap_or(0))
            .map(|advance| (loaded.unit * f64::from(advance)).round() as u16)
            .collect()
    }

    pub fn metrics(&self, face: Face) -> Metrics {
        self.of(face).metrics
    }

    /// Whether a character can be drawn, in the face asked for or the fallback.
    pub fn covers(&self, face: Face, character: char) -> bool {
        let drawn = drawn_as(character);
        is_unseen(character) || self.of(face).has(drawn) || self.of(Face::Fallback).has(drawn)
    }

    /// The characters of a text that would come out as an empty box, each once.
    pub fn missing(&self, face: Face, text: &str) -> Vec<char> {
        let mut found: Vec<char> =
            composed(text).chars().filter(|c| !self.covers(face, *c)).collect();
        found.sort_unstable();
        found.dedup();
        found
    }

    /// The glyphs of a text, spaces included. No-break spaces are drawn as spaces
    /// and read back as spaces, so that "12 g" can be searched for.
    pub fn shape(&self, face: Face, text: &str) -> Arc<Shaped> {
        if text.len() > WORD_BYTES {
            return Arc::new(self.shape_anew(face, text));
        }
        let mut hasher = self.hasher.build_hasher();
        hasher.write(text.as_bytes());
        let (shards, limit) = if text.bytes().any(|b| b.is_ascii_digit()) {
            (&self.figures, FIGURES_PER_SHARD)
        } else {
            (&self.words, WORDS_PER_SHARD)
        };
        let shard = &shards[hasher.finish() as usize % SHARDS];
        // A panic elsewhere cannot leave a map half written: the lock holds no
        // invariant beyond the map's own.
        let known = |words: &Words| words[face as usize].get(text).cloned();
        if let Some(known) = known(&shard.lock().unwrap_or_else(PoisonError::into_inner)) {
            return known;
        }
        let shaped = Arc::new(self.shape_anew(face, text));
        let mut words = shard.lock().unwrap_or_else(PoisonError::into_inner);
        if words.iter().map(HashMap::len).sum::<usize>() >= limit {
            words.iter_mut().for_each(HashMap::clear);
        }
        words[face as usize].insert(text.into(), shaped.clone());
        shaped
    }

    /// How far glyphs reach above the baseline and (negative) below it, in
    /// thousandths of an em; zero and zero for what leaves no mark.
    pub fn extent(&self, face: Face, glyphs: &[Glyph]) -> (f64, f64) {
        let loaded = self.of(face);
        let boxes = glyphs
            .iter()
            .filter_map(|glyph| loaded.parsed.glyph_bounding_box(ttf_parser::GlyphId(glyph.id)));
        boxes.fold((0.0, 0.0), |(top, foot): (f64, f64), bounds| {
            let (high, low) = (f64::from(bounds.y_max), f64::from(bounds.y_min));
            (top.max(loaded.unit * high), foot.min(loaded.unit * low))
        })
    }

    /// The width of a text at a size, in the size's own unit.
    pub fn width(&self, face: Face, size: f64, text: &str) -> f64 {
        self.shape(face, text).width * size / 1000.0
    }

    fn shape_anew(&self, face: Face, text: &str) -> Shaped {
        let characters: Vec<char> = composed(text).chars().filter(|c| !is_unseen(*c)).collect();
        let mut runs: Vec<Run> = Vec::new();
        let mut start = 0;
        while start < characters.len() {
            let chosen = self.choose(face, characters[start]);
            let mut end = start + 1;
            while end < characters.len() && self.choose(face, characters[end]) == chosen {
                end += 1;
            }
            let scale = if chosen == face { 1.0 } else { FALLBACK_SCALE };
            let glyphs = self.of(chosen).shape(&characters[start..end]);
            let width = scale * glyphs.iter().map(|g| g.advance).sum::<f64>();
            runs.push(Run { face: chosen, scale, glyphs, width });
            start = end;
        }
        let width = runs.iter().map(|run| run.width).sum();
        Shaped { runs, width }
    }

    /// The face that draws a character: the one asked for, unless only the
    /// fallback has it.
    fn choose(&self, face: Face, character: char) -> Face {
        let drawn = drawn_as(character);
        let lacks = !self.of(face).has(drawn);
        if lacks && self.of(Face::Fallback).has(drawn) { Face::Fallback } else { face }
    }

    fn of(&self, face: Face) -> &Loaded {
        &self.loaded[face as usize]
    }
}

impl Loaded {
    fn read(bytes: &'static [u8]) -> Option<Loaded> {
        let parsed = ttf_parser::Face::parse(bytes, 0).ok()?;
        let font = Font::new(Blob::from(bytes), 0)?;
        let plan =
            ShapePlan::new(&font, Direction::LeftToRight, Some(Script::LATIN), None, &features());
        let unit = 1000.0 / f64::from(parsed.units_per_em());
        let ascent = unit * f64::from(parsed.ascender());
        let bounds = parsed.global_bounding_box();
        let metrics = Metrics {
            bounds: [bounds.x_min, bounds.y_min, bounds.x_max, bounds.y_max]
                .map(|v| unit * f64::from(v)),
            ascent,
            descent: unit * f64::from(parsed.descender()),
            cap_height: parsed.capital_height().map_or(0.7 * ascent, |h| unit * f64::from(h)),
            x_height: parsed.x_height().map_or(0.5 * ascent, |h| unit * f64::from(h)),
        };
        Some(Loaded { bytes, parsed, font, plan, unit, metrics })
    }

    fn has(&self, character: char) -> bool {
        self.parsed.glyph_index(character).is_some()
    }

    fn shape(&self, characters: &[char]) -> Vec<Glyph> {
        let mut buffer = Buffer::new();
        for (at, character) in characters.iter().enumerate() {
            buffer.push(u32::from(drawn_as(*character)), at as u32);
        }
        buffer.set_direction(Direction::LeftToRight);
        buffer.set_script(Some(Script::LATIN));
        buffer.set_cluster_level(ClusterLevel::MonotoneCharacters);
        buffer.set_flags(
            BufferFlags::REMOVE_DEFAULT_IGNORABLES | BufferFlags::DO_NOT_INSERT_DOTTED_CIRCLE,
        );
        let shaper = ShaperFont::new(&self.font);
        let features = features();
        let options = ShapeOptions::new().plan(Some(&self.plan)).features(&features);
        if harfrust::shape(&shaper, &mut buffer, options).is_err() {
            // Only a plan for another direction or script could fail, and ours is fixed.
            return Vec::new();
        }
        let infos = buffer.glyph_infos();
        let mut glyphs: Vec<Glyph> = Vec::with_capacity(infos.len());
        for (index, (info, position)) in infos.iter().zip(buffer.glyph_positions()).enumerate() {
            let first = info.cluster as usize;
            // A character drawn as several glyphs is said by the first of them.
            let said = index > 0 && infos[index - 1].cluster == info.cluster;
            let last = infos[index..]
                .iter()
                .map(|other| other.cluster as usize)
                .find(|cluster| *cluster > first)
                .unwrap_or(characters.len());
            let stood_for = if said { None } else { characters.get(first..last) };
            let text: String = stood_for.unwrap_or_default().iter().map(|c| drawn_as(*c)).collect();
            let shift = self.unit * f64::from(position.x_offset);
            if let Some(before) = glyphs.last_mut() {
                before.advance += shift;
            }
            let advance = match characters.get(first) {
                Some('\u{202F}') => NARROW_SPACE,
                _ => self.unit * f64::from(position.x_advance),
            };
            let back = if glyphs.is_empty() { 0.0 } else { shift };
            let text = Said::from(text.as_str());
            glyphs.push(Glyph { id: info.glyph_id as u16, advance: advance - back, text });
        }
        glyphs
    }
}

/// Letters and their accents as single characters where Unicode has them.
fn composed(text: &str) -> Cow<'_, str> {
    if is_nfc(text) { Cow::Borrowed(text) } else { Cow::Owned(text.nfc().collect()) }
}

/// The character whose glyph stands for another: all spaces that only say where
/// a line may not break, and a hyphen that does the same.
fn drawn_as(character: char) -> char {
    match character {
        '\u{A0}' | '\u{202F}' | '\u{2007}' | '\t' | '\n' | '\r' => ' ',
        '\u{2010}' | '\u{2011}' => '-',
        other => other,
    }
}

/// Characters that steer layout and leave no mark: soft hyphens, joiners, marks of
/// direction, variation selectors.
fn is_unseen(character: char) -> bool {
    character.is_control()
        || matches!(
            character,
            '\u{AD}'
                | '\u{34F}'
                | '\u{61C}'
                | '\u{200B}'..='\u{200F}'
                | '\u{202A}'..='\u{202E}'
                | '\u{2060}'..='\u{206F}'
                | '\u{FE00}'..='\u{FE0F}'
                | '\u{FEFF}'
        )
}

/// Kerning on; everything off that joins letters or swaps a glyph for its
/// neighbours. A character then has the same glyph wherever it stands, and a face
/// can be cut down by characters.
fn features() -> [Feature; 8] {
    [
        (b"kern", 1),
        (b"liga", 0),
        (b"clig", 0),
        (b"dlig", 0),
        (b"rlig", 0),
        (b"calt", 0),
        (b"ccmp", 0),
        (b"locl", 0),
    ]
    .map(|(tag, value)| Feature::new(Tag::new(tag), value, ..))
}

fn embedded_bytes(face: Face) -> &'static [u8] {
    match face {
        Face::Regular => include_bytes!("../../templates/fonts/SourceSans3-Regular.ttf"),
        Face::Italic => include_bytes!("../../templates/fonts/SourceSans3-It.ttf"),
        Face::Semibold => include_bytes!("../../templates/fonts/SourceSans3-Semibold.ttf"),
        Face::Bold => include_bytes!("../../templates/fonts/SourceSans3-Bold.ttf"),
        Face::Fallback => dejavu::sans::regular(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text_of(shaped: &Shaped) -> String {
        shaped.runs.iter().flat_map(|r| &r.glyphs).map(|g| g.text.as_str()).collect()
    }

    #[test]
    fn every_sign_of_the_trade_prints() {
        let faces = Faces::embedded();
        for face in ALL {
            for sign in "−×÷±°·…₀₁₂₃₄₅₆₇₈₉⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺→⇌←≈≤≥≠∝√µμΔ½–—‘’“”•●○✓\u{A0}\u{202F}".chars()
            {
                assert!(faces.covers(face, sign), "{face:?} lacks {sign:?}");
            }
        }
        assert_eq!(faces.missing(Face::Regular, "salt \u{E123} and \u{E123}"), ['\u{E123}']);
    }

    #[test]
    fn no_glyph_stands_for_two_characters() {
        let faces = Faces::embedded();
        let text = "filter fluid affine office ffi fj tt 1/2 -> -- ...";
        for face in ALL {
            let shaped = faces.shape(face, text);
            assert_eq!(text_of(&shaped), text);
            for glyph in shaped.runs.iter().flat_map(|r| &r.glyphs) {
                assert_eq!(glyph.text.chars().count(), 1, "{face:?}: {glyph:?}");
            }
        }
    }

    #[test]
    fn figures_are_tabular_and_pairs_are_kerned() {
        // Advance of a figure in Source Sans 3: 497 of 1000 (its hmtx table).
        let faces = Faces::embedded();
        for figure in "0123456789".chars() {
            assert_eq!(faces.shape(Face::Regular, &figure.to_string()).width, 497.0);
        }
        let pair = faces.shape(Face::Regular, "To").width;
        let apart = faces.shape(Face::Regular, "T").width + faces.shape(Face::Regular, "o").width;
        assert!(pair < apart, "{pair} against {apart}");
    }

    #[test]
    fn a_missing_sign_comes_from_the_fallback_at_its_own_scale() {
        let faces = Faces::embedded();
        let shaped = faces.shape(Face::Bold, "A ⇌ B");
        let used: Vec<(Face, f64)> = shaped.runs.iter().map(|r| (r.face, r.scale)).collect();
        assert_eq!(used, [(Face::Bold, 1.0), (Face::Fallback, FALLBACK_SCALE), (Face::Bold, 1.0)]);
        let sum: f64 = shaped.runs.iter().map(|r| r.width).sum();
        assert!((sum - shaped.width).abs() < 1e-9);
    }

    #[test]
    fn fixed_spaces_read_back_as_spaces() {
        let faces = Faces::embedded();
        let narrow = faces.shape(Face::Regular, "5\u{202F}%");
        let fixed = faces.shape(Face::Regular, "5\u{A0}%");
        let plain = faces.shape(Face::Regular, "5 %");
        assert_eq!(text_of(&narrow), "5 %");
        assert_eq!(fixed, plain);
        assert_eq!(narrow.runs[0].glyphs[1].advance, NARROW_SPACE);
    }

    #[test]
    fn an_accent_typed_apart_is_one_letter() {
        let faces = Faces::embedded();
        assert_eq!(faces.shape(Face::Regular, "e\u{301}"), faces.shape(Face::Regular, "é"));
    }

    #[test]
    fn measures_are_those_of_the_page_design() {
        let regular = Faces::embedded().metrics(Face::Regular);
        assert_eq!((regular.cap_height, regular.x_height), (660.0, 486.0));
    }

    #[test]
    fn the_files_are_those_the_readme_names() {
        use sha2::{Digest, Sha256};
        let readme = include_str!("../../templates/fonts/README.md");
        for face in [Face::Regular, Face::Italic, Face::Semibold, Face::Bold] {
            let sum: String =
                Sha256::digest(embedded_bytes(face)).iter().map(|b| format!("{b:02x}")).collect();
            assert!(readme.contains(&sum), "{face:?} is {sum}");
        }
    }
}
