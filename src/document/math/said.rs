//! A formula as one line of plain text, for readers that see no layout.

use super::{Accent, Class, Node};

pub(super) fn row(nodes: &[Node]) -> String {
    let mut out = String::new();
    // Whether the last sign was a thing, after which a sign stands between two.
    let mut thing = false;
    for node in nodes {
        match node {
            Node::Sign { text, class, .. } => {
                let (text, is_thing) = match class {
                    Class::Relation => (format!(" {text} "), false),
                    Class::Binary if thing => (format!(" {text} "), false),
                    Class::Punctuation => (format!("{text} "), false),
                    Class::Binary | Class::Open => (text.clone(), false),
                    Class::Large => (text.clone(), false),
                    Class::Ordinary | Class::Close => (text.clone(), true),
                };
                push(&mut out, &text);
                thing = is_thing;
                continue;
            }
            Node::Space(width) => {
                if *width > 0 {
                    push(&mut out, " ");
                }
                continue;
            }
            Node::Group(inner) => push(&mut out, &row(inner)),
            Node::Fraction { over, under } => {
                let under = if under.len() > 1 { wrapped(under) } else { bracketed(under) };
                // A space keeps what is multiplied out of the lower part.
                let apart = if thing { " " } else { "" };
                push(&mut out, &format!("{apart}{}/{under} ", bracketed(over)));
            }
            Node::Root { degree, under } => {
                let sign = if degree.is_empty() { String::new() } else { row(degree) };
                push(&mut out, &format!("{sign}√{}", bracketed(under)));
            }
            Node::Scripts { base, below, above } => {
                push(&mut out, &row(base));
                for (sign, script) in [('_', below), ('^', above)] {
                    if !script.is_empty() {
                        if !matches!(script.as_slice(), [Node::Sign { text, .. }] if text == "′")
                        {
                            out.push(sign);
                        }
                        out.push_str(&scripted(script));
                    }
                }
                if matches!(base.as_slice(), [Node::Sign { class: Class::Large, .. }]) {
                    out.push(' ');
                }
            }
            Node::Fenced { open, inside, close } => {
                out.extend(open);
                out.push_str(row(inside).trim());
                out.extend(close);
            }
            Node::Accent { accent, under } => {
                let word = match accent {
                    Accent::Bar => "mean ",
                    Accent::Hat | Accent::Arrow | Accent::Dot => "",
                };
                push(&mut out, &format!("{word}{}", bracketed(under)));
            }
        }
        thing = true;
    }
    out.trim().to_owned()
}

/// No two spaces in a row, and none inside or before brackets and points.
fn push(out: &mut String, text: &str) {
    if text.starts_with([')', ']', ',', ';']) {
        out.truncate(out.trim_end().len());
    }
    let text = if out.ends_with(' ') { text.trim_start() } else { text };
    out.push_str(text);
}

/// In brackets unless it is one number, word or letter.
fn bracketed(nodes: &[Node]) -> String {
    let text = row(nodes);
    let simple = is_plain(&text) || matches!(nodes, [Node::Fenced { .. } | Node::Scripts { .. }]);
    if simple { text } else { format!("({text})") }
}

/// The same for what is raised or lowered, where a sign may lead.
fn scripted(nodes: &[Node]) -> String {
    let text = row(nodes);
    if is_plain(text.trim_start_matches(['−', '+'])) { text } else { format!("({text})") }
}

fn wrapped(nodes: &[Node]) -> String {
    format!("({})", row(nodes))
}

fn is_plain(text: &str) -> bool {
    text.chars().all(|c| c.is_alphanumeric() || matches!(c, '.' | '°' | '′'))
}
