//! Where mathematics stands in a text.

use std::ops::Range;

use pulldown_cmark::{Event, Parser, Tag};

use super::super::escape::options;
use super::{MathFault, read};

/// Every formula of a Markdown text that cannot be read, its place in the text.
/// What stands in `{{ }}` counts as a number there.
pub fn unread(markdown: &str) -> Vec<MathFault> {
    if !markdown.contains('$') {
        return Vec::new();
    }
    let mut faults = Vec::new();
    // Code and mathematics, in which a dollar sign opens nothing.
    let mut taken: Vec<Range<usize>> = Vec::new();
    for (event, range) in Parser::new_ext(markdown, options()).into_offset_iter() {
        let (typed, display) = match event {
            Event::InlineMath(typed) => (typed, false),
            Event::DisplayMath(typed) => (typed, true),
            Event::Code(_) | Event::Start(Tag::CodeBlock(_)) => {
                taken.push(range);
                continue;
            }
            _ => continue,
        };
        taken.push(range.clone());
        let Err(mut fault) = read(&without_blanks(&typed), display) else { continue };
        let signs = if display { 2 } else { 1 };
        let inside = range.start + signs..range.end.saturating_sub(signs).max(range.start + signs);
        // In a quote or a list the typed text lacks the marks of its lines.
        fault.at = if markdown.get(inside.clone()) == Some(&*typed) {
            inside.start + fault.at.start..inside.start + fault.at.end
        } else {
            range
        };
        faults.push(fault);
    }
    faults.extend(unbalanced(markdown, &taken));
    faults.sort_by_key(|fault| fault.at.start);
    faults
}

/// What stands between two dollar signs and is no mathematics to Markdown, because
/// its braces do not match.
fn unbalanced(markdown: &str, taken: &[Range<usize>]) -> Vec<MathFault> {
    let signs: Vec<usize> = markdown
        .match_indices('$')
        .map(|(at, _)| at)
        .filter(|at| !taken.iter().any(|range| range.contains(at)))
        .filter(|at| !markdown[..*at].ends_with('\\'))
        .collect();
    let mut faults = Vec::new();
    let mut signs = signs.into_iter().peekable();
    while let Some(open) = signs.next() {
        let Some(&close) = signs.peek() else { break };
        let typed = &markdown[open + 1..close];
        let braced = typed.contains(['{', '}']) && !typed.contains("\n\n");
        let spaced = typed.starts_with(char::is_whitespace) || typed.ends_with(char::is_whitespace);
        if !braced || spaced {
            continue;
        }
        if let Err(mut fault) = read(&without_blanks(typed), false) {
            fault.at = open + 1 + fault.at.start..open + 1 + fault.at.end;
            faults.push(fault);
            signs.next();
        }
    }
    faults
}

/// Blanks as digits, every other character at its place.
fn without_blanks(typed: &str) -> String {
    let mut out = String::with_capacity(typed.len());
    let mut rest = typed;
    while let Some((before, blank)) = cut(rest) {
        out.push_str(&rest[..before]);
        out.extend(std::iter::repeat_n('0', blank.len()));
        rest = &rest[blank.end..];
    }
    out.push_str(rest);
    out
}

/// Where the next blank opens, and its range.
fn cut(text: &str) -> Option<(usize, Range<usize>)> {
    let open = text.find("{{")?;
    let close = open + text[open..].find("}}")? + 2;
    Some((open, open..close))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn faults_are_placed_in_the_text() {
        let text = "é $x^2$ and $\\frac{ {{ brine }} }{2}$ but $a^{2$\n\n> $$b\n> \\nope$$";
        let places: Vec<&str> = unread(text).into_iter().map(|fault| &text[fault.at]).collect();
        assert_eq!(places, ["{", "$$b\n> \\nope$$"]);
        assert!(unread("no `$x^$` and no 5 $ or 6 $").is_empty());
    }
}
