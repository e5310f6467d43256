//! The faces cut down to the characters of a unit, ready to be embedded.
//!
//! Takes the characters a unit may print; gives, for each face, the bytes to
//! embed (deflated once, shared by all files of the run) and the code that a
//! content stream uses for each glyph. It depends on the characters alone, never
//! on which versions are printed: so a version's file is the same in every run.
//!
//! A code stands for a glyph *and* its text, not for a glyph alone: Greek mu and
//! the micro sign share an outline, and each must still be copied as itself.

use std::collections::BTreeSet;
use std::sync::Arc;

use lopdf::{Dictionary, Object, Stream, dictionary};
use printpdf::{
    Codepoint, FontId, FontMetrics, Mm, Op, ParsedFont, PdfDocument, PdfFont, PdfFontHandle,
    PdfFontMetricsStub, PdfPage, PdfSaveOptions, Pt, TextItem,
};
use sha2::{Digest, Sha256};
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

use super::{WritingError, deflate};
use crate::composing::faces::Faces;
use crate::composing::page::Face;

pub(super) const FACES: [Face; 5] =
    [Face::Regular, Face::Italic, Face::Semibold, Face::Bold, Face::Fallback];

/// Always embedded, whatever the unit's text: computed answers, working and
/// labels may need them in any version.
const STANDING: &str = concat!(
    " !\"#$%&'()*+,-./0123456789:;<=>?@ABCDEFGHIJKLMNOPQRSTUVWXYZ[\\]^_`",
    "abcdefghijklmnopqrstuvwxyz{|}~",
    "−×÷±·°…–—‘’“”•§⁄√≈≠≤≥≪≫∞∝→←⇌↑↓µμΔπ½¼¾",
    "₀₁₂₃₄₅₆₇₈₉⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺"
);

/// All faces of one run. Cheap to share, never changed.
pub struct Subset {
    faces: [Cut; 5],
}

/// One face: codes for content streams, objects for the file.
pub(super) struct Cut {
    /// By glyph id of the whole face: the texts it stands for, each with its code.
    codes: Vec<Vec<(String, u16)>>,
    /// By code, thousandths of an em; the same integers as the file's `/W`.
    widths: Vec<u16>,
    objects: Option<Embedded>,
}

/// The objects of an embedded face. References between them are filled in when
/// they get their numbers.
struct Embedded {
    font: Dictionary,
    to_unicode: Stream,
    descendant: Dictionary,
    descriptor: Dictionary,
    program: Stream,
    glyph_of_code: Stream,
}

impl Subset {
    /// Cuts all faces down to the given characters and the standing set. Text set
    /// in the fallback face by its own name, not because another face lacks a
    /// character, is not provided for.
    ///
    /// # Errors
    /// `Subset` if a face's file is damaged; cannot happen with the embedded ones.
    pub fn of(characters: &BTreeSet<char>, faces: &Faces) -> Result<Arc<Subset>, WritingError> {
        let wanted = with_compositions(characters);
        let mut cut = FACES.map(|face| Draft::new(face, faces));
        // What the fallback face must hold shows when the others lack it.
        for face in FACES.into_iter().filter(|face| *face != Face::Fallback) {
            for character in &wanted {
                let shaped = faces.shape(face, character.encode_utf8(&mut [0; 4]));
                for run in &shaped.runs {
                    for glyph in &run.glyphs {
                        cut[run.face as usize].add(glyph.id, &glyph.text);
                    }
                }
            }
        }
        // A space between two words of the fallback face is set in it, too.
        for glyph in faces.shape(Face::Fallback, " ").runs.iter().flat_map(|run| &run.glyphs) {
            cut[Face::Fallback as usize].add(glyph.id, &glyph.text);
        }
        let [a, b, c, d, e] = cut;
        Ok(Arc::new(Subset {
            faces: [
                a.finish(faces)?,
                b.finish(faces)?,
                c.finish(faces)?,
                d.finish(faces)?,
                e.finish(faces)?,
            ],
        }))
    }

    pub(super) fn of_face(&self, face: Face) -> &Cut {
        &self.faces[face as usize]
    }
}

impl Cut {
    /// The code of a glyph that stands for a text, and its width in the file.
    pub(super) fn code(&self, glyph: u16, text: &str) -> Option<(u16, u16)> {
        let code = self.codes.get(usize::from(glyph))?.iter().find(|(t, _)| t == text)?.1;
        Some((code, *self.widths.get(usize::from(code))?))
    }

    /// The face's objects, numbered from `first`, the font dictionary first.
    pub(super) fn objects(&self, first: u32) -> Vec<Object> {
        let Some(embedded) = &self.objects else { return Vec::new() };
        let reference = |offset: u32| Object::Reference((first + offset, 0));
        let mut font = embedded.font.clone();
        font.set("ToUnicode", reference(1));
        font.set("DescendantFonts", vec![reference(2)]);
        let mut descendant = embedded.descendant.clone();
        descendant.set("FontDescriptor", reference(3));
        descendant.set("CIDToGIDMap", reference(5));
        let mut descriptor = embedded.descriptor.clone();
        descriptor.set("FontFile2", reference(4));
        vec![
            font.into(),
            embedded.to_unicode.clone().into(),
            descendant.into(),
            descriptor.into(),
            embedded.program.clone().into(),
            embedded.glyph_of_code.clone().into(),
        ]
    }
}

/// The characters, the standing set and, where accents are typed apart from their
/// letters, every letter that the two may make.
fn with_compositions(characters: &BTreeSet<char>) -> BTreeSet<char> {
    let mut wanted: BTreeSet<char> = characters.iter().copied().chain(STANDING.chars()).collect();
    wanted.retain(|c| !c.is_control());
    if wanted.iter().any(|c| is_combining_mark(*c)) {
        let parts: BTreeSet<char> = wanted.iter().flat_map(|c| c.nfd()).collect();
        // Letters with accents as single characters end with Greek Extended.
        let made = ('\u{C0}'..'\u{2000}').filter(|c| c.nfd().all(|part| parts.contains(&part)));
        wanted.extend(made.filter(|c| c.nfd().count() > 1));
        wanted.extend(parts);
    }
    wanted
}

/// A face while glyphs are collected.
struct Draft {
    face: Face,
    cut: Cut,
    /// By code: the glyph in the whole face and its text.
    entries: Vec<Option<(u16, String)>>,
    advances: Vec<u16>,
}

impl Draft {
    fn new(face: Face, faces: &Faces) -> Draft {
        Draft {
            face,
            cut: Cut { codes: Vec::new(), widths: vec![0], objects: None },
            entries: vec![None],
            advances: faces.advances(face),
        }
    }

    fn add(&mut self, glyph: u16, text: &str) {
        let known = usize::from(glyph);
        if self.cut.codes.len() <= known {
            self.cut.codes.resize(known + 1, Vec::new());
        }
        if self.cut.codes[known].iter().any(|(t, _)| t == text) {
            return;
        }
        // Codes whose low byte would need a backslash in a literal string are
        // left out: shorter streams, and nothing to get wrong.
        while matches!(self.entries.len() & 0xFF, 0x0A | 0x0D | 0x28 | 0x29 | 0x5C) {
            self.entries.push(None);
            self.cut.widths.push(0);
        }
        let Ok(code) = u16::try_from(self.entries.len()) else { return };
        self.cut.codes[known].push((text.to_owned(), code));
        self.cut.widths.push(self.advances.get(known).copied().unwrap_or(0));
        self.entries.push(Some((glyph, text.to_owned())));
    }

    fn finish(mut self, faces: &Faces) -> Result<Cut, WritingError> {
        if self.entries.iter().all(Option::is_none) {
            return Ok(self.cut);
        }
        let mut remapper = subsetter::GlyphRemapper::new();
        let mut glyph_of_code = Vec::with_capacity(2 * self.entries.len());
        for entry in &self.entries {
            let glyph = entry.as_ref().map_or(0, |(glyph, _)| remapper.remap(*glyph));
            glyph_of_code.extend(glyph.to_be_bytes());
        }
        let program = subsetter::subset(faces.bytes(self.face), 0, &remapper)
            .map_err(|error| WritingError::Subset { face: self.face, reason: error.to_string() })?;
        let program = super::program::lean(&program).unwrap_or(program);
        self.cut.objects = Some(self.embed(faces, &program, &glyph_of_code)?);
        Ok(self.cut)
    }

    /// Has printpdf make the font's dictionaries, then corrects what it cannot
    /// know without its own layout engine: the map from codes to glyphs, the cap
    /// height, compressed streams.
    fn embed(
        &self,
        faces: &Faces,
        program: &[u8],
        glyph_of_code: &[u8],
    ) -> Result<Embedded, WritingError> {
        let face = self.face;
        let lacking = |what: &str| WritingError::Subset { face, reason: format!("no {what}") };
        let name = FontId(resource_name(face).to_owned());
        let mut document = PdfDocument::new("");
        let font = PdfFont::new(self.for_printpdf(faces, program));
        document.resources.fonts.map.insert(name.clone(), font);
        let glyphs = (0u16..)
            .zip(&self.entries)
            .filter_map(|(code, entry)| {
                let (_, text) = entry.as_ref()?;
                // Part of a letter that an earlier glyph says: without a text of its
                // own, readers would put a question mark. A space of no width says
                // nothing.
                let text = if text.is_empty() { "\u{200B}" } else { text };
                Some(Codepoint::with_cid(code, 0.0, text.to_owned()))
            })
            .collect();
        let ops = vec![
            Op::StartTextSection,
            Op::SetFont { font: PdfFontHandle::External(name), size: Pt(12.0) },
            Op::ShowText { items: vec![TextItem::GlyphIds(glyphs)] },
            Op::EndTextSection,
        ];
        document.pages.push(PdfPage::new(Mm(210.0), Mm(297.0), ops));
        let mut warnings = Vec::new();
        let made = document.to_lopdf_document(&PdfSaveOptions::default(), &mut warnings);
        if let Some(warning) = warnings.first() {
            return Err(WritingError::Refused(warning.msg.clone()));
        }

        let page = made.page_iter().next().ok_or_else(|| lacking("page"))?;
        let fonts = made.get_page_fonts(page).map_err(|_| lacking("fonts"))?;
        let font = (*fonts.values().next().ok_or_else(|| lacking("font"))?).clone();
        let to_unicode = follow(&made, &font, b"ToUnicode")
            .and_then(|o| o.as_stream().ok())
            .ok_or_else(|| lacking("ToUnicode"))?;
        let mut descendant = font
            .get(b"DescendantFonts")
            .and_then(Object::as_array)
            .ok()
            .and_then(|list| list.first()?.as_dict().ok())
            .ok_or_else(|| lacking("descendant font"))?
            .clone();
        let mut descriptor = follow(&made, &descendant, b"FontDescriptor")
            .and_then(|o| o.as_dict().ok())
            .ok_or_else(|| lacking("font descriptor"))?
            .clone();
        descriptor.set("CapHeight", faces.metrics(face).cap_height.round() as i64);
        // Codes without a glyph have no width either.
        descendant.set("DW", 0);
        Ok(Embedded {
            to_unicode: packed(&to_unicode.content, None)?,
            program: packed(program, Some(program.len()))?,
            glyph_of_code: packed(glyph_of_code, None)?,
            font,
            descendant,
            descriptor,
        })
    }

    /// The face as printpdf's own font type, with codes in place of glyph ids and
    /// widths already in thousandths of an em: what it writes as `/W` is then
    /// exactly what the pages were laid out with.
    fn for_printpdf(&self, faces: &Faces, program: &[u8]) -> ParsedFont {
        let sum = Sha256::digest(program);
        let tag: String = sum.iter().take(6).map(|b| char::from(b'A' + b % 26)).collect();
        let metrics = faces.metrics(self.face);
        let (ascent, descent) = (metrics.ascent.round() as i16, metrics.descent.round() as i16);
        let [x_min, y_min, x_max, y_max] = metrics.bounds.map(|v| v.round() as i16);
        let mut font = ParsedFont::with_glyph_data(
            program.to_vec(),
            0,
            Some(format!("{tag}+{}", base_name(self.face))),
            Default::default(),
            (0u16..).zip(self.cut.widths.iter().copied()).collect(),
            1000,
            FontMetrics { ascent, descent },
        );
        font.pdf_font_metrics = PdfFontMetricsStub {
            units_per_em: 1000,
            x_min,
            y_min,
            x_max,
            y_max,
            caret_slope_rise: 1000,
            caret_slope_run: if self.face == Face::Italic { 194 } else { 0 },
            us_weight_class: match self.face {
                Face::Semibold => 600,
                Face::Bold => 700,
                _ => 400,
            },
        };
        font
    }
}

/// The name by which content streams select a face.
pub(super) fn resource_name(face: Face) -> &'static str {
    match face {
        Face::Regular => "R",
        Face::Italic => "I",
        Face::Semibold => "S",
        Face::Bold => "B",
        Face::Fallback => "D",
    }
}

fn base_name(face: Face) -> &'static str {
    match face {
        Face::Regular => "SourceSans3-Regular",
        Face::Italic => "SourceSans3-It",
        Face::Semibold => "SourceSans3-Semibold",
        Face::Bold => "SourceSans3-Bold",
        Face::Fallback => "DejaVuSans",
    }
}

/// The object a dictionary's entry refers to.
fn follow<'a>(document: &'a lopdf::Document, from: &Dictionary, key: &[u8]) -> Option<&'a Object> {
    document.get_object(from.get(key).ok()?.as_reference().ok()?).ok()
}

fn packed(content: &[u8], length1: Option<usize>) -> Result<Stream, WritingError> {
    let mut dictionary = dictionary! { "Filter" => "FlateDecode" };
    if let Some(length) = length1 {
        dictionary.set("Length1", length as i64);
    }
    Ok(Stream::new(dictionary, deflate(content, 9)?))
}
