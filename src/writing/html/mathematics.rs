//! Formulas as MathML, which browsers set and reading machines say.

use super::runs::text;
use crate::document::math::{Accent, Class, Math, Node};

/// A formula; one on a line of its own as a block.
pub(super) fn formula(math: &Math) -> String {
    let display = if math.display { " display=\"block\"" } else { "" };
    let inside = match math.lines.as_slice() {
        [line] => row(&line.left) + &row(&line.right),
        lines => {
            let lines: String = lines
                .iter()
                .map(|line| {
                    let (left, right) = (row(&line.left), row(&line.right));
                    format!("<mtr><mtd>{left}</mtd><mtd>{right}</mtd></mtr>")
                })
                .collect();
            format!("<mtable>{lines}</mtable>")
        }
    };
    format!("<math{display}>{inside}</math>")
}

fn row(nodes: &[Node]) -> String {
    nodes.iter().map(node).collect()
}

/// A row that counts as one thing.
fn one(nodes: &[Node]) -> String {
    match nodes {
        [single] => node(single),
        several => format!("<mrow>{}</mrow>", row(several)),
    }
}

fn node(node: &Node) -> String {
    match node {
        Node::Sign { text: sign, class, italic } => sign_of(sign, *class, *italic),
        Node::Space(width) => {
            format!("<mspace width=\"{:.3}em\"></mspace>", f64::from(*width) / 1000.0)
        }
        Node::Group(inner) => one(inner),
        Node::Fraction { over, under } => format!("<mfrac>{}{}</mfrac>", one(over), one(under)),
        Node::Root { degree, under } if degree.is_empty() => {
            format!("<msqrt>{}</msqrt>", row(under))
        }
        Node::Root { degree, under } => format!("<mroot>{}{}</mroot>", one(under), one(degree)),
        Node::Scripts { base, below, above } => {
            let large = matches!(base.as_slice(), [Node::Sign { class: Class::Large, .. }]);
            let (both, lower, upper) =
                if large { ("munderover", "munder", "mover") } else { ("msubsup", "msub", "msup") };
            match (below.is_empty(), above.is_empty()) {
                (false, false) => {
                    format!("<{both}>{}{}{}</{both}>", one(base), one(below), one(above))
                }
                (false, true) => format!("<{lower}>{}{}</{lower}>", one(base), one(below)),
                (true, false) => format!("<{upper}>{}{}</{upper}>", one(base), one(above)),
                (true, true) => one(base),
            }
        }
        Node::Fenced { open, inside, close } => {
            let bracket = |sign: &Option<char>| {
                sign.map_or_else(String::new, |sign| {
                    format!("<mo stretchy=\"true\">{}</mo>", text(&sign.to_string()))
                })
            };
            format!("<mrow>{}{}{}</mrow>", bracket(open), row(inside), bracket(close))
        }
        Node::Accent { accent, under } => {
            let sign = match accent {
                Accent::Bar => "¯",
                Accent::Hat => "^",
                Accent::Arrow => "→",
                Accent::Dot => "˙",
            };
            format!("<mover accent=\"true\">{}<mo>{sign}</mo></mover>", one(under))
        }
    }
}

/// A number, a quantity's letter, a word or a sign.
fn sign_of(sign: &str, class: Class, italic: bool) -> String {
    let said = text(sign);
    if class != Class::Ordinary && !sign.chars().all(char::is_alphabetic) {
        return format!("<mo>{said}</mo>");
    }
    if sign.starts_with(|c: char| c.is_ascii_digit()) {
        return format!("<mn>{said}</mn>");
    }
    // One letter leans unless it is told not to; several stand upright by themselves.
    let upright = !italic && sign.chars().count() == 1 && sign.chars().all(char::is_alphabetic);
    let variant = if upright { " mathvariant=\"normal\"" } else { "" };
    format!("<mi{variant}>{said}</mi>")
}
