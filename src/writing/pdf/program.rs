//! A TrueType program without what paper never needs.
//!
//! Takes a subset face; gives it without instructions for screens of few pixels
//! and without glyph names: two fifths smaller, and a worksheet carries four of
//! them. Outlines, widths and the licence's words are untouched. Gives nothing
//! rather than something doubtful if a table is not as expected.

use ttf_parser::{RawFace, Tag};

/// Tables that only instructions use.
const DROPPED: [&[u8; 4]; 3] = [b"cvt ", b"fpgm", b"prep"];

/// A composite glyph's component flags (OpenType 1.9, "glyf").
const WORD_ARGUMENTS: u16 = 0x0001;
const ONE_SCALE: u16 = 0x0008;
const MORE_COMPONENTS: u16 = 0x0020;
const TWO_SCALES: u16 = 0x0040;
const MATRIX: u16 = 0x0080;
const INSTRUCTIONS: u16 = 0x0100;

/// The program without instructions and glyph names.
pub(super) fn lean(program: &[u8]) -> Option<Vec<u8>> {
    let face = RawFace::parse(program, 0).ok()?;
    let table = |tag: &[u8; 4]| face.table(Tag::from_bytes(tag));
    let long_offsets = read(table(b"head")?, 50)? == 1;
    let (glyphs, locations) = bare_glyphs(table(b"glyf")?, table(b"loca")?, long_offsets)?;

    let mut tables: Vec<([u8; 4], Vec<u8>)> = Vec::new();
    for record in face.table_records {
        let tag = record.tag.to_bytes();
        let kept = table(&tag)?;
        let bytes = match &tag {
            b"glyf" => glyphs.clone(),
            b"loca" => locations.clone(),
            b"head" => with_zeros(kept, 8..12)?,
            // What instructions may use at most: nothing, in one zone.
            b"maxp" => {
                let mut maxp = with_zeros(kept, 14..28)?;
                maxp[15] = 1;
                maxp
            }
            // Version 3: no names follow.
            b"post" => {
                let mut post = kept.get(..32)?.to_vec();
                post[..4].copy_from_slice(&[0, 3, 0, 0]);
                post
            }
            _ if DROPPED.contains(&&tag) => continue,
            _ => kept.to_vec(),
        };
        tables.push((tag, bytes));
    }
    tables.sort();
    assembled(&tables)
}

/// The `glyf` and `loca` tables of the same outlines.
fn bare_glyphs(glyphs: &[u8], locations: &[u8], long_offsets: bool) -> Option<(Vec<u8>, Vec<u8>)> {
    let offsets: Vec<usize> = if long_offsets {
        let whole = |b: &[u8]| u32::from_be_bytes([b[0], b[1], b[2], b[3]]) as usize;
        locations.chunks_exact(4).map(whole).collect()
    } else {
        let half = |b: &[u8]| 2 * usize::from(u16::from_be_bytes([b[0], b[1]]));
        locations.chunks_exact(2).map(half).collect()
    };
    let (mut bare, mut moved) = (Vec::new(), Vec::new());
    for pair in offsets.windows(2) {
        moved.push(bare.len());
        bare_glyph(glyphs.get(pair[0]..pair[1])?, &mut bare)?;
        bare.resize(bare.len().next_multiple_of(4), 0);
    }
    moved.push(bare.len());
    let mut locations = Vec::with_capacity(locations.len());
    for offset in moved {
        if long_offsets {
            locations.extend(u32::try_from(offset).ok()?.to_be_bytes());
        } else {
            locations.extend(u16::try_from(offset / 2).ok()?.to_be_bytes());
        }
    }
    Some((bare, locations))
}

fn bare_glyph(glyph: &[u8], into: &mut Vec<u8>) -> Option<()> {
    if glyph.is_empty() {
        return Some(());
    }
    let contours = read(glyph, 0)? as i16;
    if let Ok(contours) = usize::try_from(contours) {
        // Head, the last point of each contour, then the instructions' length.
        let at = 10 + 2 * contours;
        let length = usize::from(read(glyph, at)?);
        into.extend(glyph.get(..at)?);
        into.extend([0, 0]);
        into.extend(glyph.get(at + 2 + length..)?);
        return Some(());
    }
    into.extend(glyph.get(..10)?);
    let mut at = 10;
    loop {
        let flags = read(glyph, at)?;
        let arguments = if flags & WORD_ARGUMENTS != 0 { 4 } else { 2 };
        let scale = match flags {
            _ if flags & ONE_SCALE != 0 => 2,
            _ if flags & TWO_SCALES != 0 => 4,
            _ if flags & MATRIX != 0 => 8,
            _ => 0,
        };
        let end = at + 4 + arguments + scale;
        into.extend((flags & !INSTRUCTIONS).to_be_bytes());
        into.extend(glyph.get(at + 2..end)?);
        at = end;
        if flags & MORE_COMPONENTS == 0 {
            return Some(());
        }
    }
}

/// An sfnt file of the tables, which are in the order of their tags.
fn assembled(tables: &[([u8; 4], Vec<u8>)]) -> Option<Vec<u8>> {
    let count = u16::try_from(tables.len()).ok()?;
    let power = count.checked_ilog2()?;
    let range = 16 << power;
    let mut file = vec![0, 1, 0, 0];
    for value in [count, range, power as u16, 16 * count - range] {
        file.extend(value.to_be_bytes());
    }
    let mut offset = file.len() + 16 * tables.len();
    let mut head = None;
    for (tag, bytes) in tables {
        if tag == b"head" {
            head = Some(offset);
        }
        file.extend(tag);
        file.extend(sum(bytes).to_be_bytes());
        file.extend(u32::try_from(offset).ok()?.to_be_bytes());
        file.extend(u32::try_from(bytes.len()).ok()?.to_be_bytes());
        offset += bytes.len().next_multiple_of(4);
    }
    for (_, bytes) in tables {
        file.extend(bytes);
        file.resize(file.len().next_multiple_of(4), 0);
    }
    // The constant is the format's own (OpenType 1.9, "head").
    let adjustment = 0xB1B0_AFBA_u32.wrapping_sub(sum(&file));
    let at = head? + 8;
    file.get_mut(at..at + 4)?.copy_from_slice(&adjustment.to_be_bytes());
    Some(file)
}

fn sum(bytes: &[u8]) -> u32 {
    bytes.chunks(4).fold(0, |sum: u32, chunk| {
        let mut word = [0; 4];
        word[..chunk.len()].copy_from_slice(chunk);
        sum.wrapping_add(u32::from_be_bytes(word))
    })
}

fn read(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_be_bytes([*bytes.get(at)?, *bytes.get(at + 1)?]))
}

fn with_zeros(bytes: &[u8], range: std::ops::Range<usize>) -> Option<Vec<u8>> {
    let mut copy = bytes.to_vec();
    copy.get_mut(range)?.fill(0);
    Some(copy)
}

#[cfg(test)]
mod tests {
    use super::*;
    use ttf_parser::{Face, GlyphId, OutlineBuilder};

    /// An outline as the list of its commands.
    #[derive(Default, PartialEq, Debug)]
    struct Drawn(Vec<[i32; 5]>);

    impl OutlineBuilder for Drawn {
        fn move_to(&mut self, x: f32, y: f32) {
            self.0.push([0, x as i32, y as i32, 0, 0]);
        }
        fn line_to(&mut self, x: f32, y: f32) {
            self.0.push([1, x as i32, y as i32, 0, 0]);
        }
        fn quad_to(&mut self, a: f32, b: f32, x: f32, y: f32) {
            self.0.push([2, a as i32, b as i32, x as i32, y as i32]);
        }
        fn curve_to(&mut self, _: f32, _: f32, a: f32, b: f32, x: f32, y: f32) {
            self.0.push([3, (a + x) as i32, (b + y) as i32, 0, 0]);
        }
        fn close(&mut self) {
            self.0.push([4; 5]);
        }
    }

    #[test]
    fn outlines_and_widths_stay_and_the_file_is_smaller() {
        let faces = crate::composing::faces::Faces::embedded();
        for face in super::super::subset::FACES {
            // The whole face, cmap and all: every outline is compared.
            let whole = faces.bytes(face);
            let lean = lean(whole).unwrap();
            assert!(lean.len() < whole.len());
            let (before, after) = (Face::parse(whole, 0).unwrap(), Face::parse(&lean, 0).unwrap());
            assert_eq!(before.number_of_glyphs(), after.number_of_glyphs());
            for id in (0..before.number_of_glyphs()).map(GlyphId) {
                assert_eq!(before.glyph_hor_advance(id), after.glyph_hor_advance(id));
                let (mut one, mut other) = (Drawn::default(), Drawn::default());
                assert_eq!(before.outline_glyph(id, &mut one), after.outline_glyph(id, &mut other));
                assert_eq!(one, other, "{face:?} {id:?}");
            }
        }
    }

    #[test]
    fn sums_are_those_the_format_asks_for() {
        let whole =
            crate::composing::faces::Faces::embedded().bytes(crate::composing::page::Face::Regular);
        let lean = lean(whole).unwrap();
        assert_eq!(sum(&lean), 0xB1B0_AFBA);
    }

    #[test]
    fn a_damaged_program_gives_nothing() {
        let whole =
            crate::composing::faces::Faces::embedded().bytes(crate::composing::page::Face::Italic);
        assert_eq!(lean(&whole[..200]), None);
        assert_eq!(lean(b"not a font"), None);
        for cut in (300..whole.len()).step_by(9973) {
            let _ = lean(&whole[..cut]);
        }
    }
}
