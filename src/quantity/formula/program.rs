//! A formula as straight-line code over numbered slots, run once a version.
//!
//! Takes a tree and the slot of each name, gives a `Program` that allocates
//! nothing when run. Gives the same values as `evaluate`, NaN where that gives none.

use super::evaluate::{Scale, Shown, apply, call};
use super::{Comparison, Formula, Function, Node, NodeKind, Operator, Relation, words};

/// Values that may wait at once; the parser's bound on nesting keeps below it.
const STACK: usize = 128;
/// Enough for most formulas; a small stack is sooner cleared.
const SMALL: usize = 8;

/// The slot of a name.
pub type Slots<'a> = &'a dyn Fn(&[&str]) -> Option<usize>;

#[derive(Debug, Clone, Copy, PartialEq)]
enum Step {
    Push(f64),
    Load(usize),
    Negate,
    Apply(Operator),
    Call(Function, Scale),
}

/// A compiled formula.
#[derive(Debug, Clone, PartialEq)]
pub struct Program {
    steps: Vec<Step>,
    /// The most values that wait at once.
    deepest: usize,
}

/// A compiled comparison.
#[derive(Debug, Clone, PartialEq)]
pub struct Test {
    left: Program,
    op: Relation,
    right: Program,
}

impl Formula {
    /// Straight-line code, with `sf` counting figures in base units; none if a
    /// name has no slot.
    pub fn compile(&self, slot: Slots) -> Option<Program> {
        self.compile_shown(slot, &|_| None)
    }

    /// Straight-line code, with `sf` counting figures in the units that are shown.
    pub fn compile_shown(&self, slot: Slots, shown: Shown) -> Option<Program> {
        let mut steps = Vec::new();
        emit(&self.root, slot, shown, &mut steps)?;
        let mut waiting = 0usize;
        let mut deepest = 0;
        for step in &steps {
            match step {
                Step::Push(_) | Step::Load(_) => waiting += 1,
                Step::Apply(_) => waiting -= 1,
                Step::Negate | Step::Call(..) => {}
            }
            deepest = deepest.max(waiting);
            if waiting > STACK {
                return None;
            }
        }
        Some(Program { steps, deepest })
    }
}

impl Comparison {
    /// Straight-line code for both sides; none if a name has no slot.
    pub fn compile(&self, slot: Slots, shown: Shown) -> Option<Test> {
        Some(Test {
            left: self.left.compile_shown(slot, shown)?,
            op: self.op,
            right: self.right.compile_shown(slot, shown)?,
        })
    }
}

fn emit(node: &Node, slot: Slots, shown: Shown, steps: &mut Vec<Step>) -> Option<()> {
    match &node.kind {
        NodeKind::Number(typed) => steps.push(Step::Push(typed.si())),
        NodeKind::Name(path) => steps.push(Step::Load(slot(&words(path))?)),
        NodeKind::Negate(inner) => {
            emit(inner, slot, shown, steps)?;
            steps.push(Step::Negate);
        }
        NodeKind::Binary { op, left, right } => {
            emit(left, slot, shown, steps)?;
            emit(right, slot, shown, steps)?;
            steps.push(Step::Apply(*op));
        }
        NodeKind::Call { function, argument } => {
            emit(argument, slot, shown, steps)?;
            steps.push(Step::Call(*function, Scale::of(argument, shown)));
        }
    }
    Some(())
}

impl Program {
    /// The program that gives a slot's value.
    pub fn load(slot: usize) -> Program {
        Program { steps: vec![Step::Load(slot)], deepest: 1 }
    }

    /// The slot, if the program does nothing but give one's value.
    pub fn as_slot(&self) -> Option<usize> {
        match self.steps.as_slice() {
            [Step::Load(slot)] => Some(*slot),
            _ => None,
        }
    }

    /// The value in base units; NaN where there is none (a slot past the end, a
    /// division by zero, a logarithm of nothing).
    pub fn run(&self, slots: &[f64]) -> f64 {
        if self.deepest <= SMALL {
            self.run_on::<SMALL>(slots)
        } else {
            self.run_on::<STACK>(slots)
        }
    }

    fn run_on<const ROOM: usize>(&self, slots: &[f64]) -> f64 {
        let mut stack = [0.0; ROOM];
        let mut top = 0;
        for step in &self.steps {
            match *step {
                Step::Push(value) => {
                    stack[top] = value;
                    top += 1;
                }
                Step::Load(slot) => {
                    stack[top] = slots.get(slot).copied().unwrap_or(f64::NAN);
                    top += 1;
                }
                Step::Negate => stack[top - 1] = -stack[top - 1],
                Step::Apply(op) => {
                    top -= 1;
                    stack[top - 1] = apply(op, stack[top - 1], stack[top]);
                }
                Step::Call(function, scale) => {
                    stack[top - 1] = call(function, stack[top - 1], scale);
                }
            }
        }
        if stack[0].is_finite() { stack[0] } else { f64::NAN }
    }

    /// The slots it reads, each once, in ascending order.
    pub fn reads(&self) -> Vec<usize> {
        let mut slots: Vec<usize> = self
            .steps
            .iter()
            .filter_map(|step| match step {
                Step::Load(slot) => Some(*slot),
                _ => None,
            })
            .collect();
        slots.sort_unstable();
        slots.dedup();
        slots
    }
}

impl Test {
    /// Does the comparison hold? A side without a value fails it.
    pub fn holds(&self, slots: &[f64]) -> bool {
        let (left, right) = (self.left.run(slots), self.right.run(slots));
        left.is_finite() && right.is_finite() && self.op.holds(left, right)
    }
}
