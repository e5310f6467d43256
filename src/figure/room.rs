//! Room for words: how wide a label is, how labels are kept apart, and the frame.
//!
//! Takes labels and drawings in millimetres; gives widths, places and drawings whose
//! frame begins at nought. Widths are those of the text face's semibold cut, which is
//! wider than the regular one, so that a label never takes more than was kept for it.

use super::drawing::{Anchor, Drawing, Label, Move, Weight};
use super::pen;

/// The size of a label's letters: 10 points.
pub(crate) const SIZE: f64 = 10.0 * POINT;
/// A point in millimetres.
pub(crate) const POINT: f64 = 25.4 / 72.0;
/// From the middle of a line of capitals and figures down to its baseline.
pub(crate) const MIDDLE: f64 = 0.33 * SIZE;
/// From baseline to baseline of labels that stand one above the other: 13 points.
pub(crate) const PITCH: f64 = 13.0 * POINT;
/// The same where a learner writes on lines.
pub(crate) const WRITING: f64 = 8.0;
/// How far a line to write on lies below the baseline of what stands on it.
pub(crate) const UNDER: f64 = 2.0 * POINT;
/// The line on which a learner writes a name.
pub(crate) const LINE: f64 = 40.0;
/// The line on which a learner writes a value.
pub(crate) const SHORT_LINE: f64 = 22.0;

/// Advances of the characters from space to tilde in thousandths of an em, as the
/// semibold cut of Source Sans 3 has them (its hmtx table).
const ADVANCES: [u16; 95] = [
    200, 315, 482, 513, 513, 841, 639, 275, 324, 324, 438, 513, 275, 322, 275, 344, 513, 513, 513,
    513, 513, 513, 513, 513, 513, 513, 275, 275, 513, 513, 513, 444, 875, 558, 597, 576, 625, 538,
    510, 628, 663, 282, 494, 597, 502, 745, 657, 674, 582, 674, 592, 545, 546, 655, 536, 800, 541,
    501, 540, 324, 344, 324, 513, 500, 549, 516, 563, 462, 564, 507, 317, 520, 558, 262, 263, 522,
    271, 843, 560, 549, 564, 564, 373, 431, 361, 556, 495, 748, 481, 495, 443, 324, 255, 324, 513,
];
/// Any other character: wider than all but a few.
const OTHER: f64 = 700.0;
/// How much wider the bold cut may be than the semibold.
const BOLD: f64 = 1.07;

/// How much room a text takes along its line.
pub(crate) fn width(text: &str, weight: Weight) -> f64 {
    let advance = |c: char| match c {
        '\u{2212}' => 513.0,
        '°' | '₀'..='₉' | '²' | '³' | '·' => 372.0,
        '\u{A0}' | '\u{202F}' => 200.0,
        _ => (c as usize)
            .checked_sub(32)
            .and_then(|index| ADVANCES.get(index))
            .map_or(OTHER, |advance| f64::from(*advance)),
    };
    let bold = if weight == Weight::Bold { BOLD } else { 1.0 };
    bold * SIZE / 1000.0 * text.chars().map(advance).sum::<f64>()
}

/// Words on as few lines as they need, each within a width where its words allow.
pub(crate) fn wrapped(text: &str, weight: Weight, widest: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ') {
        match lines.last_mut() {
            Some(line) if width(&format!("{line} {word}"), weight) <= widest => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// Left, top, right, bottom of a label: of its words, and of a line in their place
/// where it is asked for.
pub(crate) fn extent(label: &Label) -> [f64; 4] {
    let mut width = width(&label.text, label.weight);
    if label.asked {
        width = width.max(line_of(label));
    }
    let left = match label.anchor {
        Anchor::Start => label.x,
        Anchor::Middle => label.x - width / 2.0,
        Anchor::End => label.x - width,
    };
    [left, label.y - 0.76 * SIZE, left + width, label.y + 0.24 * SIZE]
}

/// Values are written on short lines, names on long ones.
fn line_of(label: &Label) -> f64 {
    let value = label.text.starts_with(|c: char| c.is_ascii_digit() || c == '\u{2212}');
    if value { SHORT_LINE } else { LINE }
}

/// Whether two boxes share any room.
pub(crate) fn overlap(a: [f64; 4], b: [f64; 4]) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

/// Places as near as can be to those wanted, in the same order, at least `pitch`
/// apart: a crowd spreads about its own middle. What is wanted must ascend.
pub(crate) fn spread(wanted: &[f64], pitch: f64) -> Vec<f64> {
    // Each crowd: how many, and the mean of where its first would stand.
    let mut crowds: Vec<(usize, f64)> = Vec::new();
    for &place in wanted {
        let mut crowd = (1, place);
        while let Some(&(count, first)) = crowds.last() {
            if first + count as f64 * pitch <= crowd.1 + 1e-9 {
                break;
            }
            crowds.pop();
            let (a, b) = (count as f64, crowd.0 as f64);
            crowd = (count + crowd.0, (a * first + b * (crowd.1 - a * pitch)) / (a + b));
        }
        crowds.push(crowd);
    }
    crowds
        .iter()
        .flat_map(|&(count, first)| (0..count).map(move |index| first + index as f64 * pitch))
        .collect()
}

/// The drawing moved and framed so that everything in it lies between nought and its
/// width and height, with room for the weight of the lines.
pub(crate) fn framed(mut drawing: Drawing) -> Drawing {
    const EDGE: f64 = 0.5;
    let mut frame = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
    let mut hold = |left: f64, top: f64, right: f64, bottom: f64| {
        frame = [frame[0].min(left), frame[1].min(top), frame[2].max(right), frame[3].max(bottom)];
    };
    for shape in &drawing.shapes {
        for (from, to) in pen::pieces(&shape.path) {
            hold(from.0.min(to.0), from.1.min(to.1), from.0.max(to.0), from.1.max(to.1));
        }
    }
    for label in &drawing.labels {
        let [left, top, right, bottom] = extent(label);
        hold(left, top, right, bottom);
    }
    if frame[0] > frame[2] {
        return drawing;
    }
    let (x, y) = (EDGE - frame[0], EDGE - frame[1]);
    for shape in &mut drawing.shapes {
        shape.path = pen::moved(&shape.path, |(px, py)| (px + x, py + y));
    }
    for label in &mut drawing.labels {
        if label.asked {
            label.line = line_of(label);
        }
        label.x += x;
        label.y += y;
    }
    drawing.whole = true;
    drawing.width = frame[2] - frame[0] + 2.0 * EDGE;
    drawing.height = frame[3] - frame[1] + 2.0 * EDGE;
    drawing
}

/// A line from a thing to its label, the last 10 points of it level: from the tip
/// to the place where words begin or end.
pub(crate) fn leader(tip: (f64, f64), end: (f64, f64)) -> Vec<Move> {
    let level = 10.0 * POINT;
    let toward = if end.0 >= tip.0 { -level } else { level };
    if (tip.1 - end.1).abs() < 1e-6 {
        return pen::lines(&[tip, end]);
    }
    pen::lines(&[tip, (end.0 + toward, end.1), end])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_crowd_spreads_about_its_middle() {
        assert_eq!(spread(&[1.0, 5.0, 9.0], 3.0), [1.0, 5.0, 9.0]);
        assert_eq!(spread(&[5.0, 5.0], 4.0), [3.0, 7.0]);
        // Two crowds that grow into one another are one.
        assert_eq!(spread(&[0.0, 0.0, 3.0, 3.0], 2.0), [-1.5, 0.5, 2.5, 4.5]);
        assert!(spread(&[], 2.0).is_empty());
    }

    #[test]
    fn long_words_are_broken_between_words_only() {
        assert_eq!(wrapped("salt", Weight::Regular, 1.0), ["salt"]);
        let lines = wrapped("spread on the water meadows", Weight::Regular, 30.0);
        assert_eq!(lines.join(" "), "spread on the water meadows");
        assert!(lines.len() > 1);
        assert!(lines.iter().all(|line| width(line, Weight::Regular) <= 30.0), "{lines:?}");
    }

    #[test]
    fn the_frame_holds_what_was_outside() {
        let drawn = framed(Drawing {
            labels: vec![Label { x: -10.0, y: -4.0, text: "salt".to_owned(), ..Label::default() }],
            ..Drawing::default()
        });
        let [left, top, right, bottom] = extent(&drawn.labels[0]);
        assert!(left >= 0.0 && top >= 0.0 && right <= drawn.width && bottom <= drawn.height);
    }
}
