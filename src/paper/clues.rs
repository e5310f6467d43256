//! Questions that answer each other: what one asks for stands in the text of the
//! other.
//!
//! A number of one digit stands in many texts and gives nothing away.

/// What a question says in one version, and what it asks for.
#[derive(Debug, Clone, Default)]
pub struct Said {
    pub text: String,
    /// "412 kg".
    pub answers: Vec<String>,
}

/// Whether in some version the text of one holds an answer of the other. Both have
/// the same versions in the same order.
pub(super) fn apart(one: &[Said], other: &[Said]) -> bool {
    one.iter().zip(other).any(|(one, other)| gives(one, other) || gives(other, one))
}

fn gives(teller: &Said, asker: &Said) -> bool {
    asker.answers.iter().filter(|answer| tells(answer)).any(|answer| holds(&teller.text, answer))
}

/// Whether an answer has digits enough to be known again.
fn tells(answer: &str) -> bool {
    answer.bytes().filter(u8::is_ascii_digit).skip_while(|d| *d == b'0').count() >= 2
}

/// Whether the words stand there, not as part of a longer number or word.
fn holds(text: &str, words: &str) -> bool {
    text.match_indices(words).any(|(at, _)| {
        let before = text[..at].chars().next_back();
        let after = text[at + words.len()..].chars().next();
        let joins = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
        !joins(before) && !before.is_some_and(|c| matches!(c, '.' | ',')) && !joins(after)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(text: &str, answers: &[&str]) -> Vec<Said> {
        let answers = answers.iter().map(|&answer| answer.to_owned()).collect();
        vec![Said { text: text.to_owned(), answers }]
    }

    #[test]
    fn an_answer_that_stands_in_another_text_is_a_clue() {
        let cases = [
            ("It gives 412\u{202f}kg of slurry.", "412\u{202f}kg", true),
            ("It gives 1412\u{202f}kg of slurry.", "412\u{202f}kg", false),
            ("It gives 3.412\u{202f}kg of slurry.", "412\u{202f}kg", false),
            ("It gives 412\u{202f}kgs.", "412\u{202f}kg", false),
            ("It takes 5\u{202f}h.", "5\u{202f}h", false),
            ("It holds 0.05\u{202f}kg.", "0.05\u{202f}kg", false),
        ];
        for (text, answer, clue) in cases {
            assert_eq!(apart(&said(text, &[]), &said("Work it out.", &[answer])), clue, "{text}");
            assert_eq!(apart(&said("Work it out.", &[answer]), &said(text, &[])), clue, "{text}");
        }
    }
}
