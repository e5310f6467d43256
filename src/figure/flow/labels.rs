//! Room for words: beside the streams they name, never over a line or other words.
//!
//! Takes what is taken already; gives places. Where no place is left near a stream
//! the caller puts a number on it.

use super::symbols::Side;
use super::{Area, Stream, Unit};
use crate::figure::{Anchor, DROP, Frame, Label, RISE, Weight};

/// The line that stands for a name to be written, in mm.
pub(super) const BLANK: f64 = 22.0;

/// The clear height between words and the line under them.
const OVER_LINE: f64 = 1.2;
/// From a head or the side of a line to its words.
const AFTER_HEAD: f64 = 2.1;
/// From one baseline to the next, as a share of the size.
const LEADING: f64 = 1.12;

/// Between words and anything else.
const FROM_WORDS: f64 = 0.7;
const BESIDE_WORDS: f64 = 1.2;
const FROM_LINES: f64 = 0.45;
const FROM_SYMBOLS: f64 = 0.7;

/// The most lines that words beside a stream are broken into.
const MOST_LINES: usize = 3;

/// Words in lines, measured.
#[derive(Debug, Clone, Default)]
pub(super) struct Words {
    lines: Vec<Line>,
    em: f64,
}

#[derive(Debug, Clone)]
struct Line {
    text: String,
    weight: Weight,
    asked: bool,
    width: f64,
}

/// Words in their place.
#[derive(Debug, Clone)]
pub(super) struct Put {
    pub(super) area: Area,
    pub(super) labels: Vec<Label>,
}

impl Words {
    fn new(frame: &Frame<'_>) -> Words {
        Words { lines: Vec::new(), em: frame.em }
    }

    fn add(&mut self, text: &str, weight: Weight, lines: usize, frame: &Frame<'_>) {
        for text in wrapped(text, weight, lines, frame) {
            let width = (frame.measure)(&text, weight);
            self.lines.push(Line { text, weight, asked: false, width });
        }
    }

    fn width(&self) -> f64 {
        self.lines.iter().map(|line| line.width).fold(0.0, f64::max)
    }

    fn height(&self) -> f64 {
        let gaps = self.lines.len().saturating_sub(1) as f64;
        self.em * (RISE + DROP + LEADING * gaps)
    }

    /// The words with their top left corner at a place; each line begins there,
    /// is centred or ends at the right.
    fn put(&self, left: f64, top: f64, anchor: Anchor) -> Put {
        let width = self.width();
        let x = match anchor {
            Anchor::Start => left,
            Anchor::Middle => left + width / 2.0,
            Anchor::End => left + width,
        };
        let labels = self
            .lines
            .iter()
            .enumerate()
            .map(|(i, line)| Label {
                x,
                y: top + self.em * (RISE + LEADING * i as f64),
                text: line.text.clone(),
                anchor,
                weight: line.weight,
                asked: line.asked,
                line: BLANK,
                gap: false,
            })
            .collect();
        Put { area: Area { left, top, right: left + width, foot: top + self.height() }, labels }
    }
}

/// The name of a stream in so many lines; one line where it is to be written.
fn name(stream: &Stream, lines: usize, frame: &Frame<'_>) -> Words {
    let mut words = Words::new(frame);
    if stream.asked {
        let width = BLANK.max((frame.measure)(&stream.name, Weight::Semibold));
        let text = stream.name.clone();
        words.lines.push(Line { text, weight: Weight::Semibold, asked: true, width });
    } else {
        words.add(&stream.name, Weight::Semibold, lines, frame);
    }
    words
}

fn value(stream: &Stream, lines: usize, frame: &Frame<'_>) -> Words {
    let mut words = Words::new(frame);
    if let Some(value) = &stream.value {
        words.add(value, Weight::Regular, lines, frame);
    }
    words
}

/// All that is said of a stream, one under another, about so wide.
fn all_of(stream: &Stream, width: f64, frame: &Frame<'_>) -> Words {
    let lines_for = |text: &str, weight| {
        (1..6).find(|n| narrowest(text, weight, *n, frame) <= width).unwrap_or(6)
    };
    let mut words = name(stream, lines_for(&stream.name, Weight::Semibold), frame);
    for text in [&stream.value, &stream.purpose].into_iter().flatten() {
        words.add(text, Weight::Regular, lines_for(text, Weight::Regular), frame);
    }
    words
}

/// A text in at most so many lines, as even as can be.
fn wrapped(text: &str, weight: Weight, lines: usize, frame: &Frame<'_>) -> Vec<String> {
    let words: Vec<&str> = text.split(' ').filter(|word| !word.is_empty()).collect();
    let limit = narrowest(text, weight, lines, frame);
    let mut out: Vec<String> = Vec::new();
    for word in words {
        match out.last_mut() {
            Some(line) if (frame.measure)(&format!("{line} {word}"), weight) <= limit + 1e-9 => {
                line.push(' ');
                line.push_str(word);
            }
            _ => out.push(word.to_owned()),
        }
    }
    out
}

/// The least width that holds a text in so many lines.
pub(super) fn narrowest(text: &str, weight: Weight, lines: usize, frame: &Frame<'_>) -> f64 {
    let words: Vec<&str> = text.split(' ').filter(|word| !word.is_empty()).collect();
    let width = |from: usize, to: usize| (frame.measure)(&words[from..to].join(" "), weight);
    // best[k]: the least width of the first k words in the lines so far.
    let mut best: Vec<f64> = (0..=words.len()).map(|k| width(0, k)).collect();
    for _ in 1..lines.max(1) {
        best = (0..=words.len())
            .map(|k| {
                (0..k).map(|from| f64::max(best[from], width(from, k))).fold(best[k], f64::min)
            })
            .collect();
    }
    best.last().copied().unwrap_or(0.0)
}

/// What stands on the diagram so far.
#[derive(Debug, Clone, Default)]
pub(super) struct Room {
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) symbols: Vec<Area>,
    pub(super) words: Vec<Area>,
    pub(super) lines: Vec<Area>,
}

impl Room {
    fn fits(&self, area: &Area) -> bool {
        let inside = area.left >= -1e-6
            && area.right <= self.width + 1e-6
            && area.top >= 0.0
            && area.foot <= self.height;
        inside
            && !self.symbols.iter().any(|other| area.meets(other, FROM_SYMBOLS))
            && !self.words.iter().any(|other| area.meets(&wider(other), FROM_WORDS))
            && !self.lines.iter().any(|other| area.meets(other, FROM_LINES))
    }

    pub(super) fn take(&mut self, put: &Put) {
        self.words.push(put.area);
    }
}

/// Words side by side want more between them than words one over another.
fn wider(area: &Area) -> Area {
    Area { left: area.left - BESIDE_WORDS, right: area.right + BESIDE_WORDS, ..*area }
}

/// The name of a step: below its symbol, or to the right where a stream leaves at
/// the foot, or above.
pub(super) fn of_unit(
    unit: &Unit,
    area: &Area,
    foot_taken: Option<f64>,
    room: &Room,
    frame: &Frame<'_>,
) -> Option<Put> {
    let middle = (area.left + area.right) / 2.0;
    for lines in 1..=MOST_LINES {
        let mut words = Words::new(frame);
        words.add(&unit.name, Weight::Regular, lines, frame);
        if let Some(stages) = &unit.stages {
            words.add(stages, Weight::Regular, 1, frame);
        }
        let top = area.foot + 1.0;
        let over = area.top - 1.0 - words.height();
        let centred = middle - words.width() / 2.0;
        let below = match foot_taken {
            None => words.put(centred, top, Anchor::Middle),
            Some(x) => words.put(x + 1.4, top, Anchor::Start),
        };
        let above = words.put(centred, over, Anchor::Middle);
        let beside = words.put(area.left - 1.4 - words.width(), top, Anchor::End);
        for put in [below, beside, above] {
            if room.fits(&put.area) {
                return Some(put);
            }
        }
    }
    None
}

/// Words at the end of a stream in the open. `straight` is the length of its last
/// run, `inwards` whether the stream comes in here.
pub(super) fn at_end(
    stream: &Stream,
    (at, side, straight): ((f64, f64), Side, f64),
    inwards: bool,
    room: &Room,
    frame: &Frame<'_>,
) -> Option<Put> {
    for width in [32.0, 24.0, 40.0] {
        let words = all_of(stream, width, frame);
        let (w, h) = (words.width(), words.height());
        let put = match side {
            Side::Up => words.put(at.0 - w / 2.0, at.1 - OVER_LINE - h, Anchor::Middle),
            Side::Down => words.put(at.0 - w / 2.0, at.1 + OVER_LINE, Anchor::Middle),
            Side::Right => words.put(at.0 + AFTER_HEAD, at.1 - h / 2.0, Anchor::Start),
            Side::Left => words.put(at.0 - AFTER_HEAD - w, at.1 - h / 2.0, Anchor::End),
        };
        // A stream from the side carries its words on its back.
        let over = match side {
            Side::Left | Side::Right if inwards || straight >= w + 3.5 => {
                let left = if side == Side::Left { at.0 } else { at.0 - straight.max(w) };
                carried(stream, (left, at.1, straight), room, frame)
            }
            _ => None,
        };
        if over.is_some() {
            return over;
        }
        let beside = !(inwards && matches!(side, Side::Left | Side::Right));
        if beside && room.fits(&put.area) {
            return Some(put);
        }
    }
    None
}

/// Words over a level run that begins at `left`: the name above, the rest below.
fn carried(
    stream: &Stream,
    (left, y, run): (f64, f64, f64),
    room: &Room,
    frame: &Frame<'_>,
) -> Option<Put> {
    (1..=MOST_LINES).find_map(|lines| {
        let name = name(stream, lines, frame);
        let mut rest = value(stream, lines, frame);
        if let Some(purpose) = &stream.purpose {
            rest.add(purpose, Weight::Regular, lines, frame);
        }
        if name.width().max(rest.width()) > run - 0.6 {
            return None;
        }
        around(&name, &rest, left, y)
            .filter(|put| put.1.iter().all(|area| room.fits(area)))
            .map(|(labels, areas)| Put { area: hull(&areas), labels })
    })
}

/// A name above a level line and the rest below it.
fn around(name: &Words, rest: &Words, left: f64, y: f64) -> Option<(Vec<Label>, Vec<Area>)> {
    let above = name.put(left, y - OVER_LINE - name.height(), Anchor::Start);
    let mut labels = above.labels;
    let mut areas = vec![above.area];
    if !rest.lines.is_empty() {
        let below = rest.put(left, y + OVER_LINE, Anchor::Start);
        labels.extend(below.labels);
        areas.push(below.area);
    }
    Some((labels, areas))
}

fn hull(areas: &[Area]) -> Area {
    let mut whole = areas[0];
    for area in areas {
        whole.left = whole.left.min(area.left);
        whole.top = whole.top.min(area.top);
        whole.right = whole.right.max(area.right);
        whole.foot = whole.foot.max(area.foot);
    }
    whole
}

/// Words along a stream between two symbols.
pub(super) fn along(
    stream: &Stream,
    points: &[(f64, f64)],
    room: &Room,
    frame: &Frame<'_>,
) -> Option<(Vec<Label>, Vec<Area>)> {
    let runs: Vec<((f64, f64), (f64, f64))> = points.windows(2).map(|p| (p[0], p[1])).collect();
    let level = |run: &&((f64, f64), (f64, f64))| run.0.1 == run.1.1;
    let length =
        |run: &((f64, f64), (f64, f64))| (run.0.0 - run.1.0).abs() + (run.0.1 - run.1.1).abs();
    for lines in 1..=MOST_LINES {
        let name = name(stream, lines, frame);
        let rest = value(stream, lines, frame);
        let mut both = name.clone();
        both.lines.extend(rest.lines.iter().cloned());
        for run in runs.iter().filter(level) {
            let (left, y) = (run.0.0.min(run.1.0), run.0.1);
            let free = |words: f64| length(run) - words;
            let fits = |found: &(Vec<Label>, Vec<Area>)| found.1.iter().all(|a| room.fits(a));
            let need = name.width().max(rest.width());
            for x in starts(left, free(need)) {
                let found = around(&name, &rest, x, y).filter(&fits);
                if found.is_some() {
                    return found;
                }
            }
            for x in starts(left, free(both.width())) {
                for top in [y - OVER_LINE - both.height(), y + OVER_LINE] {
                    let put = both.put(x, top, Anchor::Start);
                    if room.fits(&put.area) {
                        return Some((put.labels, vec![put.area]));
                    }
                }
            }
        }
        for run in runs.iter().filter(|run| !level(run)) {
            let x = run.0.0;
            let (top, foot) = (run.0.1.min(run.1.1), run.0.1.max(run.1.1));
            let put_at = |y: f64| {
                let put = both.put(x + 1.5, y, Anchor::Start);
                room.fits(&put.area).then_some((put.labels, vec![put.area]))
            };
            let found = starts(top, foot - top - both.height()).find_map(put_at);
            if found.is_some() {
                return found;
            }
        }
    }
    None
}

/// Words in a gap of a level run, where all of them stand on one line.
pub(super) fn in_gap(
    stream: &Stream,
    points: &[(f64, f64)],
    room: &Room,
    frame: &Frame<'_>,
) -> Option<(Vec<Label>, Vec<Area>)> {
    let words = name(stream, 1, frame);
    let rest = value(stream, 1, frame);
    let width = words.width();
    let mut runs: Vec<((f64, f64), (f64, f64))> =
        points.windows(2).map(|p| (p[0], p[1])).filter(|(a, b)| a.1 == b.1).collect();
    runs.sort_by(|a, b| (b.0.0 - b.1.0).abs().total_cmp(&(a.0.0 - a.1.0).abs()));
    for (a, b) in runs {
        let (left, length) = (a.0.min(b.0), (a.0 - b.0).abs());
        if length < width + 8.0 {
            continue;
        }
        let middle = left + (length - width) / 2.0;
        let spread = (length - width - 8.0) / 2.0;
        for step in 0..12 {
            let side = if step % 2 == 0 { 1.0 } else { -1.0 };
            let x = middle + side * spread * f64::from((step + 1) / 2) / 6.0;
            // The eye's middle of the letters lies on the line.
            let top = a.1 - words.em * (RISE - 0.25);
            let mut put = words.put(x, top, Anchor::Start);
            // Its own line is cut there, so only others count.
            let own = Area::of_line(a, b);
            let others: Vec<Area> =
                room.lines.iter().filter(|line| **line != own).copied().collect();
            let free = Room { lines: others, ..room.clone() };
            let below = rest.put(x, put.area.foot + 0.4, Anchor::Start);
            if free.fits(&put.area) && (rest.lines.is_empty() || room.fits(&below.area)) {
                let mut areas = vec![put.area];
                if !rest.lines.is_empty() {
                    put.labels.extend(below.labels);
                    areas.push(below.area);
                }
                return Some((put.labels, areas));
            }
        }
    }
    None
}

/// Places along a run, from its start on; one place in its middle where it is short.
fn starts(from: f64, free: f64) -> impl Iterator<Item = f64> {
    let steps = if free <= 0.0 { 0 } else { (free / 1.5) as usize };
    let first = if free < 0.0 { from + free / 2.0 } else { from };
    (0..=steps).map(move |i| first + 1.5 * i as f64)
}
