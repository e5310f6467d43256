//! Tokens to a tree, by precedence (Pratt's way).
//!
//! From loosest to tightest: `+ -`, `* /`, a minus before a term, `^` (which
//! groups from the right). Takes text, gives the tree or the first fault, in a
//! teacher's words. Multiplication is always written; nothing is guessed.

use super::lexer::{Placed, Token, tokens};
use super::{FormulaError, Function, Node, NodeKind, Operator, Relation};
use crate::diag::{Span, nearest};
use crate::quantity::{Number, Typed, Unit};

/// Nesting past this is refused, which bounds every walk over the tree.
const DEEPEST: usize = 60;

const TERM: u8 = 1;
const FACTOR: u8 = 3;
const SIGN: u8 = 5;
const POWER: u8 = 7;

pub(super) fn formula(text: &str, place: &dyn Fn(usize) -> usize) -> Result<Node, FormulaError> {
    let mut parser = Parser { tokens: tokens(text, place)?, at: 0, depth: 0 };
    let node = parser.expression(0)?;
    parser.end(false)?;
    Ok(node)
}

pub(super) fn comparison(
    text: &str,
    place: &dyn Fn(usize) -> usize,
) -> Result<(Node, Relation, Node), FormulaError> {
    let mut parser = Parser { tokens: tokens(text, place)?, at: 0, depth: 0 };
    let left = parser.expression(0)?;
    let sign = parser.peek().clone();
    let Token::Compare(relation) = sign.token else {
        parser.end(true)?;
        return Err(FormulaError {
            span: left.span,
            message: "this line compares nothing".to_owned(),
            found: "a formula".to_owned(),
            expected: "one of < <= > >= = != between two formulas".to_owned(),
            next: "add what it must be compared with, such as `> 10 kg`".to_owned(),
        });
    };
    parser.at += 1;
    let right = parser.expression(0)?;
    if let Token::Compare(_) = parser.peek().token {
        let second = parser.peek().clone();
        return Err(FormulaError {
            span: second.span,
            message: "two comparisons stand in one line".to_owned(),
            found: format!("a second `{}`", second.text),
            expected: "one comparison".to_owned(),
            next: "write each comparison on a line of its own".to_owned(),
        });
    }
    parser.end(false)?;
    Ok((left, relation, right))
}

struct Parser {
    /// Never empty: the last is `End`.
    tokens: Vec<Placed>,
    at: usize,
    depth: usize,
}

impl Parser {
    fn peek(&self) -> &Placed {
        &self.tokens[self.at.min(self.tokens.len() - 1)]
    }

    fn take(&mut self) -> Placed {
        let token = self.peek().clone();
        self.at += 1;
        token
    }

    fn expression(&mut self, floor: u8) -> Result<Node, FormulaError> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(FormulaError {
                span: self.peek().span,
                message: "this formula has too many brackets inside brackets".to_owned(),
                found: format!("more than {DEEPEST} levels"),
                expected: "a formula a learner could follow".to_owned(),
                next: "split it into derived values".to_owned(),
            });
        }
        let mut left = self.operand()?;
        loop {
            let (op, binds, right_floor) = match &self.peek().token {
                Token::Plus => (Operator::Add, TERM, TERM + 1),
                Token::Minus => (Operator::Subtract, TERM, TERM + 1),
                Token::Times => (Operator::Multiply, FACTOR, FACTOR + 1),
                Token::Over => (Operator::Divide, FACTOR, FACTOR + 1),
                // A power may carry its own minus: 2 ^ -1.
                Token::Power => (Operator::Power, POWER, SIGN),
                Token::Raised(number) => {
                    if POWER < floor {
                        break;
                    }
                    let typed = Typed { number: number.clone(), unit: Unit::none() };
                    let raised = self.take();
                    let right = Node { span: raised.span, kind: NodeKind::Number(typed) };
                    left = binary(Operator::Power, left, right);
                    continue;
                }
                _ => break,
            };
            if binds < floor {
                break;
            }
            self.at += 1;
            let right = self.expression(right_floor)?;
            left = binary(op, left, right);
        }
        self.depth -= 1;
        Ok(left)
    }

    /// A number, a name, a call, a bracket, or one of them behind a minus.
    fn operand(&mut self) -> Result<Node, FormulaError> {
        let first = self.take();
        let node = match first.token {
            Token::Number(typed) => Node { span: first.span, kind: NodeKind::Number(typed) },
            Token::Name(path) => {
                if self.peek().token == Token::Open {
                    return self.call(&path, first.span, &first.text);
                }
                Node { span: first.span, kind: NodeKind::Name(path) }
            }
            Token::Root => {
                let argument = self.expression(POWER + 1)?;
                let span = first.span.to(argument.span);
                let function = Function::Sqrt;
                Node { span, kind: NodeKind::Call { function, argument: Box::new(argument) } }
            }
            Token::Minus => {
                let inner = self.expression(SIGN)?;
                negate(inner, first.span)
            }
            Token::Plus => self.expression(SIGN)?,
            Token::Open => self.bracket(first.span)?,
            _ => return Err(self.missing_operand(&first)),
        };
        Ok(node)
    }

    fn bracket(&mut self, open: Span) -> Result<Node, FormulaError> {
        let mut inner = self.expression(0)?;
        let close = self.peek().clone();
        if close.token != Token::Close {
            if let Some(fault) = self.unexpected(&close) {
                return Err(fault);
            }
            return Err(FormulaError {
                span: open,
                message: "this bracket is never closed".to_owned(),
                found: "`(` without its `)`".to_owned(),
                expected: "`)`".to_owned(),
                next: "close the bracket where it should end".to_owned(),
            });
        }
        self.at += 1;
        inner.span = open.to(close.span);
        Ok(inner)
    }

    fn call(
        &mut self,
        path: &[(String, Span)],
        span: Span,
        text: &str,
    ) -> Result<Node, FormulaError> {
        let known = |name: &str| Function::ALL.into_iter().find(|f| f.name() == name);
        let function = match path {
            [(name, _)] => known(name),
            _ => None,
        };
        let Some(function) = function else {
            let near = nearest(text, Function::ALL.iter().map(|f| f.name()));
            let habit = match text {
                "log" => Some("ln"),
                "root" => Some("sqrt"),
                _ => near,
            };
            return Err(FormulaError {
                span,
                message: format!("`{text}` is not a function"),
                found: format!("`{text}(`"),
                expected: "sqrt, ln, exp or sf before a bracket, or a sign".to_owned(),
                next: habit.map_or_else(
                    || format!("write `{text} * (` to multiply"),
                    |name| format!("write `{name}(`"),
                ),
            });
        };
        let open = self.take();
        let argument = self.bracket(open.span)?;
        let span = span.to(argument.span);
        Ok(Node { span, kind: NodeKind::Call { function, argument: Box::new(argument) } })
    }

    /// Where an operand should stand but something else does.
    fn missing_operand(&self, found: &Placed) -> FormulaError {
        let expected = "a number, a name or a bracket".to_owned();
        if found.token == Token::End {
            let empty = self.tokens.len() == 1;
            let message =
                if empty { "a formula is missing" } else { "the formula stops too early" };
            let before = self.tokens.len().checked_sub(2).map(|i| &self.tokens[i]);
            return FormulaError {
                span: before.map_or(found.span, |b| b.span),
                message: message.to_owned(),
                found: before
                    .map_or("nothing".to_owned(), |b| format!("nothing after `{}`", b.text)),
                expected,
                next: if empty {
                    "write the formula".to_owned()
                } else {
                    "finish the formula, or take the last sign out".to_owned()
                },
            };
        }
        let next = match found.token {
            Token::Close => "put something in the brackets, or take one bracket out",
            Token::Compare(_) => "write a formula on both sides of the sign",
            _ => "take one of the two signs out, or write what stands between them",
        };
        FormulaError {
            span: found.span,
            message: format!("something is missing before `{}`", found.text),
            found: format!("`{}`", found.text),
            expected,
            next: next.to_owned(),
        }
    }

    /// What stands behind a whole operand but is no sign.
    fn unexpected(&self, found: &Placed) -> Option<FormulaError> {
        let (message, next) = match &found.token {
            Token::Number(_) | Token::Name(_) | Token::Open | Token::Root => {
                let before = self.at.checked_sub(1).map(|i| &self.tokens[i]);
                let is_name = |token: &Token| matches!(token, Token::Name(_));
                let is_unit = is_name(&found.token) && Unit::parse(&found.text).is_ok();
                let text = before.map_or("", |placed| placed.text.as_str());
                let after = if found.token == Token::Open { "(" } else { found.text.as_str() };
                let next = if is_unit && before.is_some_and(|placed| is_name(&placed.token)) {
                    format!("leave `{after}` out: `{text}` brings its own unit")
                } else {
                    format!("write `{text} * {after}` to multiply")
                };
                (format!("a sign is missing before `{}`", found.text), next)
            }
            _ => return None,
        };
        Some(FormulaError {
            span: found.span,
            message,
            found: format!("`{}`", found.text),
            expected: "one of + - * / ^".to_owned(),
            next,
        })
    }

    /// The text must end here (or, before a comparison, show its sign).
    fn end(&self, compares: bool) -> Result<(), FormulaError> {
        let found = self.peek();
        if found.token == Token::End {
            return Ok(());
        }
        if let Some(fault) = self.unexpected(found) {
            return Err(fault);
        }
        let (message, next) = match found.token {
            Token::Close => {
                ("this bracket was never opened", "take the bracket out, or open one before it")
            }
            Token::Compare(_) if !compares => (
                "a formula compares nothing",
                "leave only one side; comparisons belong under `require` or `relations`",
            ),
            _ => ("the formula should end here", "take out what follows"),
        };
        Err(FormulaError {
            span: found.span,
            message: message.to_owned(),
            found: format!("`{}`", found.text),
            expected: "a sign or the end of the formula".to_owned(),
            next: next.to_owned(),
        })
    }
}

/// A minus before a number belongs to the number: `-5 degC` is a reading.
fn negate(inner: Node, sign: Span) -> Node {
    let span = sign.to(inner.span);
    if let NodeKind::Number(typed) = &inner.kind {
        let text = match typed.number.text.strip_prefix('-') {
            Some(positive) => positive.to_owned(),
            None => format!("-{}", typed.number.text),
        };
        let number = Number { text, value: -typed.number.value, ..typed.number.clone() };
        let kind = NodeKind::Number(Typed { number, unit: typed.unit.clone() });
        return Node { span, kind };
    }
    Node { span, kind: NodeKind::Negate(Box::new(inner)) }
}

fn binary(op: Operator, left: Node, right: Node) -> Node {
    let span = left.span.to(right.span);
    if op == Operator::Divide
        && let (Some(above), Some(below)) = (whole(&left), whole(&right))
        && let Ok(number) = Number::parse(&format!("{above}/{below}"))
    {
        return Node { span, kind: NodeKind::Number(Typed { number, unit: Unit::none() }) };
    }
    Node { span, kind: NodeKind::Binary { op, left: Box::new(left), right: Box::new(right) } }
}

/// The digits of a whole number without unit.
fn whole(node: &Node) -> Option<&str> {
    match &node.kind {
        NodeKind::Number(typed) if typed.unit.is_none() && typed.number.is_whole() => {
            Some(&typed.number.text)
        }
        _ => None,
    }
}
