//! The signs of mathematics by their commands, and what each is to its neighbours.

use super::Class::{self, Binary, Large, Ordinary, Relation};

/// Commands that stand for one sign.
const COMMANDS: &[(&str, char, Class)] = &[
    ("times", '×', Binary),
    ("div", '÷', Binary),
    ("cdot", '·', Binary),
    ("ast", '∗', Binary),
    ("pm", '±', Binary),
    ("mp", '∓', Binary),
    ("le", '≤', Relation),
    ("leq", '≤', Relation),
    ("ge", '≥', Relation),
    ("geq", '≥', Relation),
    ("lt", '<', Relation),
    ("gt", '>', Relation),
    ("ll", '≪', Relation),
    ("gg", '≫', Relation),
    ("ne", '≠', Relation),
    ("neq", '≠', Relation),
    ("approx", '≈', Relation),
    ("sim", '∼', Relation),
    ("equiv", '≡', Relation),
    ("propto", '∝', Relation),
    ("to", '→', Relation),
    ("rightarrow", '→', Relation),
    ("leftarrow", '←', Relation),
    ("Rightarrow", '⇒', Relation),
    ("implies", '⇒', Relation),
    ("leftrightarrow", '↔', Relation),
    ("rightleftharpoons", '⇌', Relation),
    ("in", '∈', Relation),
    ("uparrow", '↑', Ordinary),
    ("downarrow", '↓', Ordinary),
    ("degree", '°', Ordinary),
    ("circ", '°', Ordinary),
    ("prime", '′', Ordinary),
    ("infty", '∞', Ordinary),
    ("partial", '∂', Ordinary),
    ("ldots", '…', Ordinary),
    ("dots", '…', Ordinary),
    ("cdots", '…', Ordinary),
    ("sum", '∑', Large),
    ("prod", '∏', Large),
    ("int", '∫', Large),
    ("Gamma", 'Γ', Ordinary),
    ("Delta", 'Δ', Ordinary),
    ("Theta", 'Θ', Ordinary),
    ("Lambda", 'Λ', Ordinary),
    ("Pi", 'Π', Ordinary),
    ("Sigma", 'Σ', Ordinary),
    ("Phi", 'Φ', Ordinary),
    ("Psi", 'Ψ', Ordinary),
    ("Omega", 'Ω', Ordinary),
    ("alpha", 'α', Ordinary),
    ("beta", 'β', Ordinary),
    ("gamma", 'γ', Ordinary),
    ("delta", 'δ', Ordinary),
    ("epsilon", 'ε', Ordinary),
    ("varepsilon", 'ε', Ordinary),
    ("zeta", 'ζ', Ordinary),
    ("eta", 'η', Ordinary),
    ("theta", 'θ', Ordinary),
    ("kappa", 'κ', Ordinary),
    ("lambda", 'λ', Ordinary),
    ("mu", 'μ', Ordinary),
    ("nu", 'ν', Ordinary),
    ("xi", 'ξ', Ordinary),
    ("pi", 'π', Ordinary),
    ("rho", 'ρ', Ordinary),
    ("sigma", 'σ', Ordinary),
    ("tau", 'τ', Ordinary),
    ("phi", 'φ', Ordinary),
    ("varphi", 'φ', Ordinary),
    ("chi", 'χ', Ordinary),
    ("psi", 'ψ', Ordinary),
    ("omega", 'ω', Ordinary),
];

/// Functions whose names are words, with or without a backslash.
const FUNCTIONS: &[&str] = &["ln", "log", "exp", "sin", "cos", "tan", "max", "min", "lim"];

/// Commands with arguments, or that only shape what follows.
pub(super) const SHAPES: &[&str] = &[
    "frac",
    "dfrac",
    "tfrac",
    "sqrt",
    "text",
    "mathrm",
    "mathbf",
    "mathit",
    "textbf",
    "operatorname",
    "ce",
    "left",
    "right",
    "overline",
    "bar",
    "hat",
    "vec",
    "dot",
    "quad",
    "qquad",
    "begin",
    "end",
    "displaystyle",
    "textstyle",
    "limits",
    "big",
    "Big",
];

pub(super) fn command(name: &str) -> Option<(char, Class)> {
    COMMANDS.iter().find(|(known, ..)| *known == name).map(|(_, sign, class)| (*sign, *class))
}

pub(super) fn is_function(name: &str) -> bool {
    FUNCTIONS.contains(&name)
}

/// Every command, for a message about one that is none.
pub(super) fn names() -> impl Iterator<Item = &'static str> {
    let commands = COMMANDS.iter().map(|(name, ..)| *name);
    commands.chain(FUNCTIONS.iter().copied()).chain(SHAPES.iter().copied())
}

/// The signs of all commands that a text may have in it.
pub(in crate::document) fn signs(text: &str) -> impl Iterator<Item = char> {
    let backslash = text.contains('\\');
    let typed = move |(name, sign, _): &(&str, char, Class)| {
        let typed = backslash && text.contains(name);
        typed.then_some(*sign)
    };
    COMMANDS.iter().filter_map(typed)
}

/// What a typed sign is; letters, digits and brackets are not asked for here.
pub(super) fn class(sign: char) -> Class {
    match sign {
        ',' | ';' => Class::Punctuation,
        '+' => Binary,
        '=' | '<' | '>' => Relation,
        _ => COMMANDS
            .iter()
            .find(|(_, known, _)| *known == sign)
            .map_or(if sign == '−' { Binary } else { Ordinary }, |(_, _, class)| *class),
    }
}
