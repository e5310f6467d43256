//! A composed document as compressed content streams.
//!
//! Takes composed pages and the run's subset; gives what a file needs of each
//! page. Holds no state between documents, so workers ink in parallel while one
//! writer strings the results together.

use std::sync::Arc;

use printpdf::{
    Color, DictItem, FontId, Greyscale, Line, LineCapStyle, LineDashPattern, LineJoinStyle,
    LinePoint, Mm, Op, PaintMode, PdfDocument, PdfFontHandle, PdfPage, PdfSaveOptions, Point,
    Polygon, PolygonRing, Pt, Rect, Rgb, TextMatrix, WindingOrder,
};

use super::structure::name_of;
use super::subset::resource_name;
use super::{Subset, WritingError, deflate};
use crate::composing::page::{Composed, Element, Face, Glyph, Ink, Mark, Page, Segment};
use crate::picture::Raster;

/// Pages handed to printpdf at a time: its operations take some 100 times the
/// room of the compressed stream they become.
const CHUNK: usize = 16;

/// A document whose pages are ready to be written: a few kilobytes a page.
pub struct Inked {
    pub(super) pages: Vec<InkedPage>,
    /// Depth from 0, words, page index, height above the page's foot.
    pub(super) outline: Vec<(usize, String, usize, f32)>,
    /// By face: whether any page uses it.
    pub(super) used: [bool; 5],
    pub(super) elements: Vec<Element>,
    /// The pictures of pixels that pages show, each once.
    pub(super) images: Vec<Arc<Raster>>,
}

pub(super) struct InkedPage {
    pub(super) width: f32,
    pub(super) height: f32,
    /// The content stream, deflated.
    pub(super) content: Vec<u8>,
    /// The element of each marked sequence, by its number on the page.
    pub(super) marked: Vec<usize>,
}

impl Inked {
    pub fn page_count(&self) -> usize {
        self.pages.len()
    }
}

/// Turns every page into a compressed content stream.
///
/// # Errors
/// `Glyph` if a glyph is not in the subset, `Measure` if a length is not a number.
pub fn ink(composed: &Composed, subset: &Subset) -> Result<Inked, WritingError> {
    let mut inked = Inked {
        pages: Vec::with_capacity(composed.pages.len()),
        outline: Vec::with_capacity(composed.outline.len()),
        used: [false; 5],
        elements: composed.elements.clone(),
        images: Vec::new(),
    };
    for (depth, words, page, y) in &composed.outline {
        let height = composed.pages.get(*page).map_or(0.0, |page| page.height);
        inked.outline.push((*depth, words.clone(), *page, rounded(height - y)));
    }
    for (chunk_index, chunk) in composed.pages.chunks(CHUNK).enumerate() {
        let mut document = PdfDocument::new("");
        for (index, page) in chunk.iter().enumerate() {
            let mut pen = Pen::new(page, subset);
            pen.page(page, &composed.elements)?;
            if !pen.sound {
                return Err(WritingError::Measure { page: chunk_index * CHUNK + index + 1 });
            }
            for (all, one) in inked.used.iter_mut().zip(pen.used) {
                *all |= one;
            }
            for image in pen.images.drain(..) {
                if !inked.images.iter().any(|known| known.name == image.name) {
                    inked.images.push(image);
                }
            }
            document.pages.push(PdfPage::new(Mm(0.0), Mm(0.0), pen.finish()));
        }
        // Not `secure`: that would drop the text operators, which arrive encoded.
        let options = PdfSaveOptions { secure: false, ..Default::default() };
        let mut warnings = Vec::new();
        let made = document.to_lopdf_document(&options, &mut warnings);
        if let Some(warning) = warnings.first() {
            return Err(WritingError::Refused(warning.msg.clone()));
        }
        for (page, id) in chunk.iter().zip(made.page_iter()) {
            let stream = made
                .get_page_contents(id)
                .first()
                .and_then(|id| made.get_object(*id).ok())
                .and_then(|object| object.as_stream().ok())
                .ok_or_else(|| WritingError::Refused("a page came out without content".into()))?;
            inked.pages.push(InkedPage {
                width: rounded(page.width),
                height: rounded(page.height),
                content: deflate(&stream.content, 6)?,
                marked: page.tags.iter().map(|tag| tag.element).collect(),
            });
        }
    }
    Ok(inked)
}

/// Collects a page's operations, and remembers what is set so as to say it once.
struct Pen<'a> {
    ops: Vec<Op>,
    subset: &'a Subset,
    height: f64,
    sound: bool,
    used: [bool; 5],
    images: Vec<Arc<Raster>>,
    in_text: bool,
    font: Option<(Face, f32)>,
    fill: Ink,
    stroke: Ink,
    weight: f32,
    dash: Option<(f64, f64)>,
    rounded_joins: bool,
    rounded_caps: bool,
}

impl<'a> Pen<'a> {
    fn new(page: &Page, subset: &'a Subset) -> Pen<'a> {
        Pen {
            ops: Vec::with_capacity(4 * page.marks.len()),
            subset,
            height: page.height,
            sound: page.width.is_finite() && page.height.is_finite(),
            used: [false; 5],
            images: Vec::new(),
            in_text: false,
            font: None,
            // What a page begins with in PDF: black ink, weight 1, no dash.
            fill: Ink::Black,
            stroke: Ink::Black,
            weight: 1.0,
            dash: None,
            rounded_joins: false,
            rounded_caps: false,
        }
    }

    /// All marks, each in a sequence that says what it belongs to.
    fn page(&mut self, page: &Page, elements: &[Element]) -> Result<(), WritingError> {
        if page.tags.is_empty() {
            return self.marks(&page.marks);
        }
        let mut at = 0;
        for (number, tag) in page.tags.iter().enumerate() {
            self.furniture(page.marks.get(at..tag.from).unwrap_or_default())?;
            let role = elements.get(tag.element).map_or("P", |element| name_of(element.role));
            let number = DictItem::Int(i64::try_from(number).unwrap_or(i64::MAX));
            let map = [("MCID".to_owned(), number)].into_iter().collect();
            self.leave_text();
            let (tag_name, properties) = (role.to_owned(), DictItem::Dict { map });
            self.ops.push(Op::BeginMarkedContentWithProperties { tag: tag_name, properties });
            self.marks(page.marks.get(tag.from..tag.to).unwrap_or_default())?;
            self.leave_text();
            self.ops.push(Op::EndMarkedContent);
            at = tag.to;
        }
        self.furniture(page.marks.get(at..).unwrap_or_default())
    }

    /// What a reading machine passes over.
    fn furniture(&mut self, marks: &[Mark]) -> Result<(), WritingError> {
        if marks.is_empty() {
            return Ok(());
        }
        self.leave_text();
        self.ops.push(Op::BeginMarkedContent { tag: "Artifact".to_owned() });
        self.marks(marks)?;
        self.leave_text();
        self.ops.push(Op::EndMarkedContent);
        Ok(())
    }

    fn marks(&mut self, marks: &[Mark]) -> Result<(), WritingError> {
        marks.iter().try_for_each(|mark| self.draw(mark))
    }

    fn finish(mut self) -> Vec<Op> {
        self.leave_text();
        self.ops
    }

    fn draw(&mut self, mark: &Mark) -> Result<(), WritingError> {
        match mark {
            Mark::Text { face, size, x, baseline, ink, glyphs } => {
                return self.text(*face, *size, (*x, *baseline), *ink, glyphs);
            }
            Mark::Rule { from, to, weight, ink, dash } => {
                self.begin_stroke(*weight, *ink, *dash, false);
                let points = vec![self.corner(*from), self.corner(*to)];
                self.ops.push(Op::DrawLine { line: Line { points, is_closed: false } });
            }
            Mark::Box { x, y, width, height, weight, ink } => {
                match weight {
                    Some(weight) => self.begin_stroke(*weight, *ink, None, false),
                    None => self.begin_fill(*ink),
                }
                let foot = self.point((*x, *y + *height));
                let rectangle = Rect {
                    x: foot.x,
                    y: foot.y,
                    width: self.length(*width),
                    height: self.length(*height),
                    mode: Some(if weight.is_some() { PaintMode::Stroke } else { PaintMode::Fill }),
                    winding_order: None,
                };
                self.ops.push(Op::DrawRectangle { rectangle });
            }
            Mark::Path { segments, weight, ink, dash } => match weight {
                Some(weight) => {
                    self.begin_stroke(*weight, *ink, *dash, true);
                    for line in self.subpaths(segments) {
                        self.ops.push(Op::DrawLine { line });
                    }
                }
                None => {
                    self.begin_fill(*ink);
                    self.polygon(segments, WindingOrder::NonZero);
                }
            },
            Mark::Holed { segments, ink } => {
                self.begin_fill(*ink);
                self.polygon(segments, WindingOrder::EvenOdd);
            }
            Mark::Pixels { x, y, width, height, raster } => {
                self.leave_text();
                let (foot, width, height) =
                    (self.point((*x, *y + *height)), self.length(*width), self.length(*height));
                let real = |value: f32| DictItem::Real(value);
                let matrix = [width.0, 0.0, 0.0, height.0, foot.x.0, foot.y.0].map(real).to_vec();
                let name = DictItem::Name(image_name(raster).into_bytes());
                for (key, value) in
                    [("q", Vec::new()), ("cm", matrix), ("Do", vec![name]), ("Q", Vec::new())]
                {
                    self.ops.push(Op::Unknown { key: key.into(), value });
                }
                if !self.images.iter().any(|known| known.name == raster.name) {
                    self.images.push(Arc::clone(raster));
                }
            }
            Mark::Said { text, marks } => {
                // Readers take the text in place of the glyphs in between.
                self.leave_text();
                self.ops.push(marked(text));
                for mark in marks {
                    self.draw(mark)?;
                }
                self.leave_text();
                self.ops.push(Op::Unknown { key: "EMC".into(), value: Vec::new() });
            }
        }
        Ok(())
    }

    /// One run of glyphs. The strings are encoded here and handed on as they are:
    /// printpdf's own text items would look every glyph up again, character by
    /// character, and write four hexadecimal digits for each.
    fn text(
        &mut self,
        face: Face,
        size: f64,
        at: (f64, f64),
        ink: Ink,
        glyphs: &[Glyph],
    ) -> Result<(), WritingError> {
        if glyphs.is_empty() {
            return Ok(());
        }
        self.fill_with(ink);
        if !self.in_text {
            self.ops.push(Op::StartTextSection);
            self.in_text = true;
        }
        let size = self.length(size).0;
        if self.font != Some((face, size)) {
            self.font = Some((face, size));
            self.used[face as usize] = true;
            let font = PdfFontHandle::External(FontId(resource_name(face).to_owned()));
            self.ops.push(Op::SetFont { font, size: Pt(size) });
        }
        let at = self.point(at);
        self.ops.push(Op::SetTextMatrix { matrix: TextMatrix::Translate(at.x, at.y) });

        let cut = self.subset.of_face(face);
        let string =
            |bytes: &mut Vec<u8>| DictItem::String { data: std::mem::take(bytes), literal: true };
        let mut items = Vec::new();
        let mut bytes = Vec::with_capacity(2 * glyphs.len());
        // Where the pen should be and where a reader's pen is, after the glyphs so
        // far; a kern closes the gap once it is worth a thousandth of an em.
        let (mut meant, mut drawn) = (0.0, 0.0);
        for glyph in glyphs {
            let gap = f64::round(meant - drawn);
            if gap != 0.0 {
                if !bytes.is_empty() {
                    items.push(string(&mut bytes));
                }
                items.push(DictItem::Int(-(gap as i64)));
                drawn += gap;
            }
            let (code, width) = cut
                .code(glyph.id, &glyph.text)
                .ok_or_else(|| WritingError::Glyph { face, text: glyph.text.to_string() })?;
            bytes.extend(code.to_be_bytes());
            meant += glyph.advance;
            drawn += f64::from(width);
        }
        self.sound &= meant.is_finite();
        items.push(string(&mut bytes));
        self.ops.push(match items.len() {
            1 => Op::Unknown { key: "Tj".into(), value: items },
            _ => Op::Unknown { key: "TJ".into(), value: vec![DictItem::Array(items)] },
        });
        Ok(())
    }

    fn leave_text(&mut self) {
        if self.in_text {
            self.ops.push(Op::EndTextSection);
            self.in_text = false;
        }
    }

    fn begin_fill(&mut self, ink: Ink) {
        self.leave_text();
        self.fill_with(ink);
    }

    fn fill_with(&mut self, ink: Ink) {
        if self.fill != ink {
            self.fill = ink;
            self.ops.push(Op::SetFillColor { col: colour(ink) });
        }
    }

    /// Rules and boxes have square corners, drawn paths round ones. A dash of no
    /// length is a dot, which only a round cap shows.
    fn begin_stroke(&mut self, weight: f64, ink: Ink, dash: Option<(f64, f64)>, path: bool) {
        self.leave_text();
        if self.stroke != ink {
            self.stroke = ink;
            self.ops.push(Op::SetOutlineColor { col: colour(ink) });
        }
        let weight = self.length(weight);
        if self.weight != weight.0 {
            self.weight = weight.0;
            self.ops.push(Op::SetOutlineThickness { pt: weight });
        }
        if self.dash != dash {
            self.dash = dash;
            let pattern = match dash {
                Some((on, off)) => vec![self.length(on).0, self.length(off).0],
                None => Vec::new(),
            };
            self.ops.push(Op::SetLineDashPattern { dash: LineDashPattern::new(0.0, &pattern) });
        }
        let rounded_caps = matches!(dash, Some((on, _)) if on <= 0.0);
        if self.rounded_caps != rounded_caps {
            self.rounded_caps = rounded_caps;
            let cap = if rounded_caps { LineCapStyle::Round } else { LineCapStyle::Butt };
            self.ops.push(Op::SetLineCapStyle { cap });
        }
        if self.rounded_joins != path {
            self.rounded_joins = path;
            let join = if path { LineJoinStyle::Round } else { LineJoinStyle::Miter };
            self.ops.push(Op::SetLineJoinStyle { join });
        }
    }

    fn polygon(&mut self, segments: &[Segment], winding_order: WindingOrder) {
        let rings: Vec<PolygonRing> = self
            .subpaths(segments)
            .into_iter()
            .map(|line| PolygonRing { points: line.points })
            .collect();
        if !rings.is_empty() {
            let polygon = Polygon { rings, mode: PaintMode::Fill, winding_order };
            self.ops.push(Op::DrawPolygon { polygon });
        }
    }

    /// The parts of a path between one move and the next.
    fn subpaths(&mut self, segments: &[Segment]) -> Vec<Line> {
        let mut lines: Vec<Line> = Vec::new();
        let mut start = None;
        let mut open = false;
        for segment in segments {
            match *segment {
                Segment::Move(x, y) => {
                    start = Some(self.corner((x, y)));
                    open = false;
                }
                Segment::Close => {
                    if let (true, Some(line)) = (open, lines.last_mut()) {
                        line.is_closed = true;
                    }
                    open = false;
                }
                Segment::Line(..) | Segment::Curve(..) => {
                    if !open {
                        // After a close the pen stands where the part began.
                        let points = start.iter().cloned().collect();
                        lines.push(Line { points, is_closed: false });
                        open = true;
                    }
                    let points = match *segment {
                        Segment::Curve(a, b, end) => {
                            let [mut a, mut b] = [self.corner(a), self.corner(b)];
                            (a.bezier, b.bezier) = (true, true);
                            vec![a, b, self.corner(end)]
                        }
                        Segment::Line(x, y) => vec![self.corner((x, y))],
                        Segment::Move(..) | Segment::Close => Vec::new(),
                    };
                    if let Some(line) = lines.last_mut() {
                        line.points.extend(points);
                    }
                }
            }
        }
        lines
    }

    fn corner(&mut self, at: (f64, f64)) -> LinePoint {
        LinePoint { p: self.point(at), bezier: false }
    }

    /// From the top left, y down, to PDF's bottom left, y up.
    fn point(&mut self, (x, y): (f64, f64)) -> Point {
        Point { x: self.length(x), y: self.length(self.height - y) }
    }

    fn length(&mut self, value: f64) -> Pt {
        self.sound &= value.is_finite();
        Pt(rounded(value))
    }
}

/// The name of a picture among the resources of a file's pages.
pub(super) fn image_name(raster: &Raster) -> String {
    format!("I{}", raster.name)
}

/// To a hundredth of a point (0.004 mm): short numbers, and no trace of how a sum
/// was taken. Adding zero turns -0 into 0.
fn rounded(value: f64) -> f32 {
    ((value * 100.0).round() / 100.0 + 0.0) as f32
}

/// Opens a stretch of content that stands for a text.
fn marked(text: &str) -> Op {
    let mut data = vec![0xFE, 0xFF];
    data.extend(text.encode_utf16().flat_map(u16::to_be_bytes));
    let map = [("ActualText".to_owned(), DictItem::String { data, literal: false })].into();
    let span = DictItem::Name(b"Span".to_vec());
    Op::Unknown { key: "BDC".into(), value: vec![span, DictItem::Dict { map }] }
}

/// The inks of the page design: black as K only, never as a mix.
fn colour(ink: Ink) -> Color {
    let grey = |percent| Color::Greyscale(Greyscale { percent, icc_profile: None });
    let rgb = |red: u8, green: u8, blue: u8| {
        let part = |v: u8| ((f64::from(v) / 255.0 * 1000.0).round() / 1000.0) as f32;
        Color::Rgb(Rgb { r: part(red), g: part(green), b: part(blue), icc_profile: None })
    };
    match ink {
        Ink::Black => grey(0.0),
        Ink::Grey => grey(0.3),
        Ink::White => grey(1.0),
        Ink::Water => rgb(0x0B, 0x4A, 0x6F),
        Ink::Kiln => rgb(0x8A, 0x2A, 0x14),
        Ink::Colour(r, g, b) if r == g && g == b => grey(f32::from(r) / 255.0),
        Ink::Colour(r, g, b) => rgb(r, g, b),
    }
}
