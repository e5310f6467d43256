//! A text with gaps, and a bank of words in the order of the alphabet.

use super::{Asked, Form, Response, point};

/// A word may be spelt as it sounds, unless that is another term (common practice, no
/// source).
const SPELLING: &str = "accept a spelling that sounds right and is no other term";

impl Asked<'_, '_> {
    pub(super) fn fill(&self, words: &[String], bank: Option<&[String]>) -> Response {
        let mut bank = bank.map(<[String]>::to_vec).unwrap_or_default();
        bank.sort_by_key(|word| word.to_lowercase());
        let points = words.iter().map(|word| point(format!("**{word}**"))).collect();
        let form = Form::Gaps { words: words.to_vec(), bank };
        let mut response = self.made(form, words.join(", "), points);
        response.guidance.push(SPELLING.to_owned());
        response
    }
}
