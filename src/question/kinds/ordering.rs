//! Lines to be put in order, and the marks of an order that is right in part.

use crate::version::Stream;

use super::{Asked, Form, Point, Response, point};

/// Marks of an order where the author gives none: fewer than this many lines earn
/// two, others three.
const LONG: usize = 5;

/// How many lines must directly follow the line before them, in an order of `lines`
/// lines, to earn mark number `mark` of `marks`.
pub fn needed_for(mark: u32, marks: u32, lines: usize) -> usize {
    let follow = lines.saturating_sub(1);
    (mark as usize * follow).div_ceil(marks.max(1) as usize)
}

/// The marks that an order earns. `places` are those that a learner gives to the lines
/// in their right order: 1, 2, 3 is all right.
pub fn marks_of_order(places: &[usize], marks: u32) -> u32 {
    let right = places.windows(2).filter(|pair| pair[1] == pair[0] + 1).count();
    (1..=marks).filter(|mark| needed_for(*mark, marks, places.len()) <= right).count() as u32
}

impl Asked<'_, '_> {
    pub(super) fn ordering(&self, lines: &[String], stream: &mut Stream) -> Response {
        let mut order: Vec<usize> = (0..lines.len()).collect();
        let in_order = |order: &[usize]| order.is_sorted() || order.iter().rev().is_sorted();
        stream.shuffle(&mut order);
        while in_order(&order) {
            stream.shuffle(&mut order);
        }
        let usual = if lines.len() < LONG { 2 } else { 3 };
        let marks = self.wanted().unwrap_or(usual);
        let places: Vec<String> = order.iter().map(|n| (n + 1).to_string()).collect();
        let key = places.join(" ");
        let follow = lines.len() - 1;
        let points: Vec<Point> = (1..=marks)
            .map(|mark| match needed_for(mark, marks, lines.len()) {
                needed if needed == follow => point(format!("all in order: **{key}**")),
                1 => point("one line directly behind the line that it follows"),
                needed => {
                    point(format!("{needed} lines directly behind the line that each follows"))
                }
            })
            .collect();
        let shown = order.iter().map(|n| (lines[*n].clone(), n + 1)).collect();
        let mut response = self.made(Form::Sequence { lines: shown }, key, points);
        if marks > 1 {
            let rule = "partly right: what counts is which line stands directly behind which, \
                        not its number";
            response.guidance.push(rule.to_owned());
        }
        response
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_order_that_is_right_in_part_earns_a_part() {
        // Four lines, three of which follow another; worked by hand.
        assert_eq!(marks_of_order(&[1, 2, 3, 4], 2), 2);
        assert_eq!(marks_of_order(&[4, 1, 2, 3], 2), 1);
        assert_eq!(marks_of_order(&[1, 2, 4, 3], 2), 0);
        assert_eq!(marks_of_order(&[2, 1, 4, 3], 2), 0);
        assert_eq!(marks_of_order(&[3, 4, 5, 1, 2], 3), 2);
        assert_eq!(marks_of_order(&[5, 4, 3, 2, 1], 3), 0);
    }
}
