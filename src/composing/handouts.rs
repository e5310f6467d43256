//! Slides made small: handouts of several to a sheet, and speaker's notes with the
//! slide above and what is said of it below.
//!
//! Takes a deck; gives pages of the profile's paper. Slides are scaled, never laid
//! out anew, so that a sheet shows what the screen shows.

use super::composer::Composer;
use super::deck::{Deck, Slide};
use super::faces::Faces;
use super::furniture::Drawing;
use super::lines::{self, Type};
use super::page::{Composed, Element, Face, Ink, Mark, Page, Role, Segment, Tagged};
use super::profile::{Measures, Profile};
use super::slab::{Slab, level, move_by};
use super::slides::{HEIGHT, WIDTH};
use crate::document::{Block, Document, Run, Sheet, plain};

/// How many slides a handout may have on a sheet.
pub const UPS: [u32; 5] = [1, 2, 3, 4, 6];

/// Widths and gaps in mm.
const WIDE: f64 = 174.0;
const SMALL: f64 = 84.0;
const BETWEEN: f64 = 6.0;
const BELOW: f64 = 12.0;
/// Where lines for notes begin, and their pitch in points.
const LINES_AT: f64 = 90.0;
const PITCH: f64 = 24.0;
const BESIDE: usize = 8;

/// No rule is thinner.
const THINNEST: f64 = 0.35;

/// Words read aloud in a minute (common practice, no source).
const WORDS_A_MINUTE: f64 = 130.0;

/// Where a slide stands on a sheet, and lines to write on: left, right, first, count.
struct Place {
    x: f64,
    y: f64,
    width: f64,
    lines: Option<(f64, f64, f64, usize)>,
}

impl Deck {
    /// Learners' sheets with so many slides on each; none for a number that has no
    /// arrangement. Slides that are not for learners are left out.
    pub fn handout(&self, up: u32, profile: &Profile, faces: &Faces) -> Option<Composed> {
        if !UPS.contains(&up) {
            return None;
        }
        let small = Profile { large_print: false, ..profile.on_sheets() };
        let m = Measures::of(&small);
        let shown: Vec<&Slide> = self.slides.iter().filter(|slide| slide.learners).collect();
        let places = places(up, &m);
        let sheets: Vec<&[&Slide]> = shown.chunks(places.len()).collect();
        let mut outline: Vec<(usize, String, usize, f64)> = Vec::new();
        for (index, slides) in sheets.iter().enumerate() {
            for (slide, place) in slides.iter().zip(&places) {
                if outline.last().is_none_or(|(_, title, ..)| *title != slide.title) {
                    outline.push((0, slide.title.clone(), index, place.y));
                }
            }
        }
        let pages = sheets.iter().enumerate().map(|(index, slides)| {
            let (mut marks, mut tags) = (Vec::new(), Vec::new());
            for (slide, place) in slides.iter().zip(&places) {
                let at = marks.len();
                let own = slide.page.tags.iter();
                tags.extend(own.map(|t| Tagged { from: at + t.from, to: at + t.to, ..*t }));
                show(slide, place, faces, &mut marks);
            }
            self.furniture((index + 1, sheets.len()), &m, faces, &mut marks);
            let left = m.left(index);
            marks.iter_mut().for_each(|mark| move_by(mark, left, 0.0));
            Page { width: m.page_width, height: m.page_height, marks, tags }
        });
        Some(Composed {
            elements: self.elements.clone(),
            title: format!("{}: handout", self.title),
            language: self.language.clone(),
            pages: pages.collect(),
            outline,
        })
    }

    /// Header and footer of a handout.
    fn furniture(&self, of: (usize, usize), m: &Measures, faces: &Faces, to: &mut Vec<Mark>) {
        let look = Type { face: Face::Regular, size: 9.0, leading: 12.0, ink: Ink::Black };
        let words = [Run { text: self.left.clone(), ..Run::default() }];
        for line in lines::set(&words, look, m.block, faces).into_iter().take(1) {
            line.draw(0.0, m.mm(15.5), look, faces, to);
        }
        let line = lines::label(&format!("Page {} of {}", of.0, of.1), look, faces);
        let x = (m.block - line.width) / 2.0;
        line.draw(x, m.page_height - m.mm(14.0), look, faces, to);
    }

    /// The speaker's pages: each head's slides, how long its notes take to read aloud,
    /// and the notes. Slides without notes stand together.
    pub fn notes(&self, profile: &Profile, faces: &Faces) -> Composed {
        let sheet = Sheet {
            title: format!("{}: speaker's notes", self.title),
            language: self.language.clone(),
            left: self.left.clone(),
            right: "Speaker's notes".to_owned(),
            ..Sheet::default()
        };
        let document = Document { sheet, ..Document::default() };
        let mut composer = Composer::empty(&document, Measures::of(profile), faces);
        let all: usize = self.notes.iter().map(|notes| words_in(notes)).sum();
        let whole = format!("All notes together take {} to read aloud.", time(all));
        let mut bare: Vec<&Slide> = Vec::new();
        for (head, notes) in self.notes.iter().enumerate() {
            let own: Vec<&Slide> = self.slides.iter().filter(|slide| slide.head == head).collect();
            if notes.is_empty() {
                bare.extend(own);
                continue;
            }
            composer.images(&std::mem::take(&mut bare));
            composer.images(&own);
            let words = words_in(notes);
            if words > 0 {
                composer.line(&format!("To read aloud: {}", time(words)));
            }
            composer.blocks(notes);
            composer.flush_hanging();
        }
        composer.images(&bare);
        composer.line(&whole);
        let pages = composer.break_pages();
        composer.draw(&pages, Drawing { teacher: false, first_count: false, again: false })
    }
}

impl Composer<'_> {
    /// A page opens with these slides: one large, or two beside each other.
    fn images(&mut self, slides: &[&Slide]) {
        let (Some(first), Some(last)) = (slides.first(), slides.last()) else { return };
        if !self.slabs.is_empty() {
            let to = last.number;
            let counts = match first.number {
                from if from == to => format!("Slide {from}, page"),
                from => format!("Slides {from} to {to}, page"),
            };
            self.pages(&counts);
        }
        let m = self.measures;
        let gap = m.mm(BETWEEN);
        let (across, width) = match slides.len() {
            1 => (1, m.mm(120.0)),
            _ => (2, (m.text - gap) / 2.0),
        };
        for row in slides.chunks(across) {
            let mut slab = Slab::default();
            for (i, slide) in row.iter().enumerate() {
                let x = i as f64 * (width + gap);
                let place = Place { x, y: 0.0, width, lines: None };
                show(slide, &place, self.faces, &mut slab.marks);
            }
            slab.height = m.whole(width * HEIGHT / WIDTH + 12.0);
            slab.after = self.u(3.0);
            slab.heading = row.first().map(|slide| (0, slide.title.clone()));
            slab.element = Some(self.elements.len());
            let mut figure = Element::new(Role::Figure, None, "");
            let said = row.iter().map(|slide| format!("Slide {}: {}", slide.number, slide.title));
            figure.shows = said.collect::<Vec<_>>().join("; ");
            self.elements.push(figure);
            self.push(slab);
        }
    }

    fn line(&mut self, words: &str) {
        let runs = [Run { text: words.to_owned(), ..Run::default() }];
        self.text(&runs, self.small(), self.u(1.0));
    }
}

/// The places of a sheet's slides, from the block's left.
fn places(up: u32, m: &Measures) -> Vec<Place> {
    let (wide, small) = (m.mm(WIDE), m.mm(SMALL));
    let (tall, short) = (wide * HEIGHT / WIDTH, small * HEIGHT / WIDTH);
    match up {
        1 => {
            let first = m.top + tall + 1.5 * PITCH;
            let count = ((m.height + m.top - first) / PITCH).floor().max(0.0) as usize;
            vec![Place { x: 0.0, y: m.top, width: wide, lines: Some((0.0, wide, first, count)) }]
        }
        2 => (0..2)
            .map(|i| f64::from(i) * (tall + m.mm(BELOW)))
            .map(|y| Place { x: 0.0, y: m.top + y, width: wide, lines: None })
            .collect(),
        3 => {
            let pitch = m.mm(80.0).min(m.height / 3.0);
            (0..3)
                .map(|i| m.top + f64::from(i) * pitch)
                .map(|y| Place {
                    x: 0.0,
                    y,
                    width: small,
                    lines: Some((m.mm(LINES_AT), wide, y + PITCH, BESIDE)),
                })
                .collect()
        }
        _ => (0..up)
            .map(|i| (f64::from(i % 2), f64::from(i / 2)))
            .map(|(column, row)| Place {
                x: column * (small + m.mm(BETWEEN)),
                y: m.top + row * (short + m.mm(BELOW)),
                width: small,
                lines: None,
            })
            .collect(),
    }
}

/// A slide in its frame with its number under it.
fn show(slide: &Slide, place: &Place, faces: &Faces, to: &mut Vec<Mark>) {
    let scale = place.width / WIDTH;
    for mark in &slide.page.marks {
        let mut mark = mark.clone();
        resize(&mut mark, scale);
        move_by(&mut mark, place.x, place.y);
        to.push(mark);
    }
    let height = HEIGHT * scale;
    to.push(Mark::Box {
        x: place.x,
        y: place.y,
        width: place.width,
        height,
        weight: Some(0.5),
        ink: Ink::Black,
    });
    let look = Type { face: Face::Regular, size: 8.0, leading: 10.0, ink: Ink::Black };
    let line = lines::label(&format!("Slide {}", slide.number), look, faces);
    line.draw(place.x, place.y + height + 9.0, look, faces, to);
    if let Some((left, right, first, count)) = place.lines {
        for i in 0..count {
            to.push(level(left, right, first + i as f64 * PITCH, 0.5));
        }
    }
}

fn bend(segments: &mut [Segment], point: &dyn Fn(&mut (f64, f64))) {
    for segment in segments {
        match segment {
            Segment::Move(x, y) | Segment::Line(x, y) => {
                let mut to = (*x, *y);
                point(&mut to);
                (*x, *y) = to;
            }
            Segment::Curve(a, b, c) => [a, b, c].into_iter().for_each(point),
            Segment::Close => {}
        }
    }
}

fn resize(mark: &mut Mark, scale: f64) {
    let thin = |weight: &mut f64| *weight = (*weight * scale).max(THINNEST);
    let point = |point: &mut (f64, f64)| *point = (point.0 * scale, point.1 * scale);
    let dashed = |dash: &mut Option<(f64, f64)>| {
        *dash = dash.map(|(on, off)| (on * scale, off * scale));
    };
    match mark {
        Mark::Said { marks, .. } => marks.iter_mut().for_each(|mark| resize(mark, scale)),
        Mark::Text { size, x, baseline, .. } => {
            *size *= scale;
            *x *= scale;
            *baseline *= scale;
        }
        Mark::Rule { from, to, weight, dash, .. } => {
            point(from);
            point(to);
            thin(weight);
            dashed(dash);
        }
        Mark::Box { x, y, width, height, weight, .. } => {
            *x *= scale;
            *y *= scale;
            *width *= scale;
            *height *= scale;
            weight.as_mut().map(thin);
        }
        Mark::Pixels { x, y, width, height, .. } => {
            [x, y, width, height].into_iter().for_each(|length| *length *= scale);
        }
        Mark::Holed { segments, .. } => bend(segments, &point),
        Mark::Path { segments, weight, dash, .. } => {
            bend(segments, &point);
            weight.as_mut().map(thin);
            dashed(dash);
        }
    }
}

/// "about 40 s", "about 2 min".
fn time(words: usize) -> String {
    let seconds = words as f64 * 60.0 / WORDS_A_MINUTE;
    if seconds < 55.0 {
        format!("about {:.0}\u{202f}s", (seconds / 10.0).ceil().max(1.0) * 10.0)
    } else {
        format!("about {:.0}\u{202f}min", (seconds / 60.0).round().max(1.0))
    }
}

fn words_in(blocks: &[Block]) -> usize {
    let count = |text: String| text.split_whitespace().count();
    blocks
        .iter()
        .map(|block| match block {
            Block::Heading { text, .. } | Block::Paragraph(text) => count(plain(text)),
            Block::List { items, .. } => items.iter().map(|item| words_in(&item.blocks)).sum(),
            Block::Note(inner) | Block::Caution(inner) | Block::Quote(inner) => words_in(inner),
            _ => 0,
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_is_said_in_tens_of_seconds_or_whole_minutes() {
        let said: Vec<String> = [1, 80, 130, 400].map(time).to_vec();
        let narrow = |text: &str| text.replace(' ', "\u{202f}").replacen('\u{202f}', " ", 1);
        let wanted = ["about 10 s", "about 40 s", "about 1 min", "about 3 min"].map(narrow);
        assert_eq!(said, wanted);
    }
}
