//! Two lists to be matched, the right one lettered in the order of this version.

use crate::version::Stream;

use super::{Asked, Form, Response, letter, point};

impl Asked<'_, '_> {
    pub(super) fn matching(
        &self,
        left: &[(String, usize)],
        right: &[String],
        stream: &mut Stream,
    ) -> Response {
        let mut order: Vec<usize> = (0..right.len()).collect();
        let is_known = |order: &[usize]| order.iter().enumerate().all(|(n, place)| n == *place);
        stream.shuffle(&mut order);
        // A list in the order of the other would need no reading.
        while is_known(&order) && order.len() > 1 {
            stream.shuffle(&mut order);
        }
        let letter_of =
            |place: usize| letter(order.iter().position(|n| *n == place).unwrap_or(right.len()));
        let left: Vec<(String, String)> =
            left.iter().map(|(text, place)| (text.clone(), letter_of(*place))).collect();
        let right: Vec<(String, String)> =
            order.iter().enumerate().map(|(n, at)| (letter(n), right[*at].clone())).collect();
        let partner = |wanted: &str| {
            right.iter().find(|(own, _)| own == wanted).map_or("", |(_, text)| text.as_str())
        };
        let points = left
            .iter()
            .map(|(text, own)| point(format!("{text}: **{own}** {}", partner(own))))
            .collect();
        let key: Vec<&str> = left.iter().map(|(_, own)| own.as_str()).collect();
        let key = key.join(" ");
        self.made(Form::Pairs { left, right }, key, points)
    }
}
