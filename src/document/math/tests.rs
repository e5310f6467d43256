use proptest::prelude::*;

use super::*;

fn said_of(text: &str) -> String {
    read(text, false).unwrap_or_else(|fault| panic!("{text}: {fault:?}")).said()
}

#[test]
fn formulas_are_said_as_a_person_types_them() {
    for (typed, said) in [
        (r"\frac{a}{b}", "a/b"),
        ("x^2", "x^2"),
        (r"\frac{m}{V + 1} \times \text{mass}", "m/(V + 1) × mass"),
        ("x^2 + y_1 = -3", "x^2 + y_1 = −3"),
        (r"\sqrt{a + b}", "√(a + b)"),
        (r"\sqrt[3]{x}", "3√x"),
        (r"x_{ab}^{n+1}", "x_ab^(n + 1)"),
        ("(a + b)^2", "(a + b)^2"),
        (r"\left(\frac{a}{b}\right)^2", "(a/b)^2"),
        ("mass of salt = 5 kg", "mass of salt = 5 kg"),
        (r"\sum_{i=1}^{n} m_i", "∑_(i = 1)^n m_i"),
        (r"20 ^\circ C", "20°C"),
        ("[0, 1)", "[0, 1)"),
        (r"\ce{SO4^2-} \to x", "SO₄²⁻ → x"),
        (r"a &= b \\ &= c", "a = b; = c"),
        ("a <= b", "a ≤ b"),
        (r"\frac{m_a}{2b} c", "m_a/(2b) c"),
        ("10^{-3}", "10^−3"),
        ("f'(x)", "f′(x)"),
    ] {
        assert_eq!(said_of(typed), said, "{typed}");
    }
}

#[test]
fn letters_alone_are_quantities_and_words_are_not() {
    let math = read(r"m = 5 g + \mu x kg", false).expect("sound");
    let italic: Vec<(String, bool)> = math.lines[0]
        .left
        .iter()
        .chain(&math.lines[0].right)
        .filter_map(|node| match node {
            Node::Sign { text, italic, class: Class::Ordinary } => Some((text.clone(), *italic)),
            _ => None,
        })
        .collect();
    let of = |text: &str| italic.iter().find(|(t, _)| t == text).map(|(_, i)| *i);
    assert_eq!((of("m"), of("5"), of("g")), (Some(true), Some(false), Some(false)));
    assert_eq!((of("μ"), of("x"), of("kg")), (Some(true), Some(true), Some(false)));
}

#[test]
fn what_cannot_be_read_is_said_with_its_place() {
    for (typed, at, word) in [
        (r"\frac{a}{b", 8..9, "never closed"),
        (r"a \frak{b}", 2..7, "no command"),
        ("x^2^3", 3..5, "Two powers"),
        ("a}", 1..2, "closes nothing"),
        ("x^", 1..2, "missing"),
        (r"a \right)", 2..8, "no `\\left`"),
        (r"\begin{matrix}", 0..6, "no `matrix`"),
        (r"a\", 1..2, "says nothing"),
    ] {
        let fault = read(typed, false).expect_err(typed);
        assert!(fault.message.contains(word), "{typed}: {fault:?}");
        assert_eq!(fault.at, at, "{typed}: {fault:?}");
    }
    assert!(read(r"\frac a b", false).is_ok());
    assert!(read(r"\farc{a}{b}", false).expect_err("slip").next.contains(r"\frac"));
    assert!(read(&"{".repeat(5000), false).is_err());
    assert!(read(&r"\sqrt".repeat(5000), false).is_err());
}

/// Pieces of formulas in any order: most of what goes wrong is a piece that stands
/// where it should not.
fn jumble() -> impl Strategy<Value = String> {
    let pieces = prop::sample::select(vec![
        "{",
        "}",
        "^",
        "_",
        "\\frac",
        "\\sqrt",
        "[",
        "]",
        "(",
        ")",
        "\\left",
        "\\right",
        "x",
        "12",
        " ",
        "&",
        "\\\\",
        "\\text{a b}",
        "\\sum",
        "'",
        "kg",
        "\\bar",
        "|",
        ".",
        "=",
        "+",
        "-",
        "é",
        "\\ce{H2O}",
        "\\",
        "\u{301}",
        "𝑥",
        "\\begin{aligned}",
    ]);
    prop::collection::vec(pieces, 0..30).prop_map(|pieces| pieces.concat())
}

proptest! {
    #[test]
    fn nothing_typed_is_too_much(text in any::<String>(), jumbled in jumble()) {
        for text in [text, jumbled] {
            match read(&text, true) {
                Ok(math) => {
                    let _ = math.said();
                }
                Err(fault) => {
                    // The place can be shown: within the text, at whole characters.
                    prop_assert!(text.get(fault.at.clone()).is_some(), "{text:?} {fault:?}");
                }
            }
        }
    }
}
