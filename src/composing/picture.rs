//! Pictures on pages: at their natural size, smaller where a line or a page is too
//! small for them, the caption below.
//!
//! Takes pixels or shapes; gives marks. One that is not at hand is shown by its words.

use std::sync::Arc;

use super::composer::Composer;
use super::figure::Sizes;
use super::lines::Type;
use super::page::{Ink, Mark, Segment};
use super::slab::{NEVER, Slab};
use super::slides;
use crate::document::Run;
use crate::picture::{Content, Painted, Picture, Step};

/// What a page keeps beside a picture for its caption and the lines before it, in
/// units.
const KEPT: f64 = 24.0;

impl Composer<'_> {
    pub(super) fn picture(&mut self, words: &[Run], caption: &[Run], picture: Option<&Picture>) {
        let look = Type { face: self.measures.caption_face(), ..self.small() };
        let Some(picture) = picture else {
            self.text(words, look, self.u(2.0));
            if let Some(last) = self.slabs.last_mut() {
                last.after = last.after.max(2.0 * self.measures.u);
            }
            return;
        };
        self.flush_hanging();
        if self.leads {
            self.keep_with_next();
        }
        let m = self.measures;
        let height = if m.figures == Sizes::SLIDE { slides::ROOM } else { m.height - KEPT * m.u };
        let (width, left) = (self.measure(), self.indent);
        let most = m.figures.most;
        let scale = most.min(width / picture.width.max(1.0)).min(height / picture.height.max(1.0));
        let mut slab = Slab {
            height: m.whole(picture.height * scale),
            before: self.u(2.0),
            after: self.u(if caption.is_empty() { 3.0 } else { 2.0 }),
            ..Slab::default()
        };
        draw(picture, left, scale, &mut slab.marks);
        if caption.is_empty() {
            self.push(slab);
        } else {
            slab.glue = NEVER;
            self.push(slab);
            self.text(caption, look, self.u(2.0));
        }
        let facing = self.leads;
        let (after, cost) = (self.u(3.0), if self.leads { 400.0 } else { 0.0 });
        if let Some(last) = self.slabs.last_mut() {
            last.after = after;
            last.glue = cost;
            last.facing = facing;
        }
    }
}

/// Puts a picture so far from the left, its upper edge at that of its slab.
pub(super) fn draw(picture: &Picture, left: f64, scale: f64, marks: &mut Vec<Mark>) {
    match &picture.content {
        Content::Raster(raster) => marks.push(Mark::Pixels {
            x: left,
            y: 0.0,
            width: picture.width * scale,
            height: picture.height * scale,
            raster: Arc::clone(raster),
        }),
        Content::Shapes(shapes) => {
            marks.extend(shapes.iter().map(|shape| painted(shape, left, scale)));
        }
    }
}

fn painted(shape: &Painted, left: f64, scale: f64) -> Mark {
    let at = |(x, y): (f64, f64)| (left + x * scale, y * scale);
    let segments = shape
        .path
        .iter()
        .map(|step| match *step {
            Step::Move(x, y) => {
                let (x, y) = at((x, y));
                Segment::Move(x, y)
            }
            Step::Line(x, y) => {
                let (x, y) = at((x, y));
                Segment::Line(x, y)
            }
            Step::Curve(a, b, end) => Segment::Curve(at(a), at(b), at(end)),
            Step::Close => Segment::Close,
        })
        .collect();
    let [red, green, blue] = shape.colour;
    let ink = Ink::Colour(red, green, blue);
    match shape.stroke {
        None if shape.even_odd => Mark::Holed { segments, ink },
        None => Mark::Path { segments, weight: None, ink, dash: None },
        Some((weight, dash)) => Mark::Path {
            segments,
            weight: Some(weight * scale),
            ink,
            dash: dash.map(|(on, off)| (on * scale, off * scale)),
        },
    }
}
