//! The marks of each worked step: for the method, for the value it leads to, or for
//! a value read straight from what is given.
//!
//! Takes the working of a question; gives each step its marks, so that those of a
//! part's steps always add up to the part's. Never looks at numbers: every version
//! of a question earns the same marks in the same places.

use std::collections::VecDeque;

use crate::balance::{Shape, Slot, Step, is_equality};

use super::steps::{Origin, Walk};
use super::{Answer, Solution, WorkedStep};

/// What a mark is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Earns {
    /// B: a value read straight from data, or taken over as it stands.
    Reading,
    /// M: the relation set up.
    Method,
    /// A: the value that the method leads to.
    Accuracy,
}

/// So many marks of a kind: `M1`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mark {
    pub earns: Earns,
    pub count: u32,
}

impl std::fmt::Display for Mark {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let letter = match self.earns {
            Earns::Reading => 'B',
            Earns::Method => 'M',
            Earns::Accuracy => 'A',
        };
        write!(f, "{letter}{}", self.count)
    }
}

/// A step and what it earns, in the order in which a mark scheme writes it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MarkedStep {
    pub step: WorkedStep,
    pub marks: Vec<Mark>,
}

/// A mark, and the slot that its step finds, if it is one.
pub type MarkOfStep = (Mark, Option<Slot>);

/// Most marks of a part where the author gives none, unless it asks for more answers.
const MOST: u32 = 4;

/// A mark that a step can earn: the step's number and what for.
type Claim = (usize, Earns);

impl Solution<'_> {
    /// The working with its marks.
    pub fn marked_working(&self, answers: &[Answer]) -> Vec<MarkedStep> {
        let walk = self.walk(answers);
        let mut marks: Vec<Vec<Mark>> = vec![Vec::new(); walk.steps.len()];
        for (number, part) in self.checked.question.parts.iter().enumerate() {
            let claims = Claims::of(self, &walk, number);
            let wanted = part.marks.as_ref().map(|marks| marks.value);
            for ((step, earns), count) in claims.dealt(wanted) {
                marks[step].push(Mark { earns, count });
            }
        }
        let marked = |(step, mut marks): (WorkedStep, Vec<Mark>)| {
            marks.sort_by_key(|mark| mark.earns);
            MarkedStep { step, marks }
        };
        walk.steps.into_iter().zip(marks).map(marked).collect()
    }

    /// The marks of each answer line, in the order asked: those of the steps that lead to
    /// it from the line before.
    pub fn marks_of_answers(&self, answers: &[Answer]) -> Vec<Vec<Mark>> {
        let steps = self.steps_of_marks(answers);
        steps.into_iter().map(|line| line.into_iter().map(|(mark, _)| mark).collect()).collect()
    }

    /// The same, each with the slot that its step finds, if it is one.
    pub fn steps_of_marks(&self, answers: &[Answer]) -> Vec<Vec<MarkOfStep>> {
        let mut marks: Vec<Vec<MarkOfStep>> = vec![Vec::new(); answers.len()];
        let worked = self.marked_working(answers);
        for part in 0..self.checked.question.parts.len() {
            let mut lines = (0..answers.len()).filter(|n| answers[*n].part == part).peekable();
            let Some(mut line) = lines.next() else { continue };
            let steps = worked.iter().filter(|step| step.step.part == part);
            for step in steps {
                marks[line].extend(step.marks.iter().map(|mark| (*mark, step.step.finds)));
                if step.step.answer.is_some() {
                    line = lines.next().unwrap_or(line);
                }
            }
        }
        marks
    }
}

/// The marks that the steps of one part can earn, each list in the order of the steps.
#[derive(Debug, Default)]
struct Claims {
    /// The values of answers.
    answers: Vec<Claim>,
    /// One for each step before them that finds something new.
    before: Vec<Claim>,
    /// Answers that no step of their part leads to: they stand there already.
    standing: Vec<Claim>,
    /// The method of a step whose value is marked already.
    methods: Vec<Claim>,
    /// The value of a step whose method is marked already.
    values: Vec<Claim>,
    /// Seeing that two quantities are the same.
    equal: Vec<Claim>,
    /// Steps in terms of x.
    inner: Vec<Claim>,
    /// Of those before, what was found last (by a let: each unknown), while it may yet
    /// turn out to be an answer under another name.
    latest: VecDeque<Claim>,
}

impl Claims {
    fn of(solution: &Solution<'_>, walk: &Walk, part: usize) -> Claims {
        let mut claims = Claims::default();
        let relations = &solution.checked.engine.system.relations;
        let own = (0..walk.steps.len()).filter(|step| walk.steps[*step].part == part);
        for step in own {
            let is_answer = walk.steps[step].answer.is_some();
            match walk.origins[step] {
                Origin::Find(relation) if is_equality(&relations[relation].shape) => {
                    if is_answer {
                        claims.answer_of_before(step);
                    } else {
                        claims.equal.push((step, Earns::Method));
                    }
                }
                Origin::Derived | Origin::Find(_) | Origin::Basis if is_answer => {
                    claims.answers.push((step, Earns::Accuracy));
                    claims.methods.push((step, Earns::Method));
                    claims.latest.clear();
                }
                Origin::Find(relation) => {
                    // A step that opens with a table is marked for the reading.
                    let earns = match relations[relation].shape {
                        Shape::Saturation { .. } | Shape::OfSolubility { .. } => Earns::Reading,
                        _ => Earns::Method,
                    };
                    claims.find((step, earns));
                    claims.values.push((step, Earns::Accuracy));
                }
                Origin::Derived => {
                    claims.find((step, Earns::Method));
                    claims.values.push((step, Earns::Accuracy));
                }
                Origin::Let(number) => {
                    let unknowns = match &solution.checked.engine.plan.steps[number] {
                        Step::Let(letting) => letting.unknowns.len(),
                        Step::Find(_) | Step::Basis(_) => 1,
                    };
                    claims.step_of_let(walk, number, unknowns, step);
                    if is_answer {
                        claims.answer_of_before(step);
                    }
                }
                Origin::Basis => claims.inner.push((step, Earns::Method)),
                Origin::Known => claims.answer_of_before(step),
            }
        }
        claims
    }

    fn find(&mut self, claim: Claim) {
        self.before.push(claim);
        self.latest = VecDeque::from([claim]);
    }

    /// A let is marked for its opening and, for each unknown, for a relation that
    /// closes it and for the unknown's value.
    fn step_of_let(&mut self, walk: &Walk, number: usize, unknowns: usize, step: usize) {
        let mut all = (0..walk.steps.len()).filter(|s| walk.origins[*s] == Origin::Let(number));
        let opens = all.next();
        // What closes and settles it finds no quantity of the process.
        let closing: Vec<usize> = all.filter(|s| walk.steps[*s].finds.is_none()).collect();
        let place = closing.iter().position(|closes| *closes == step);
        if opens == Some(step) || place.is_some_and(|place| place < unknowns) {
            self.before.push((step, Earns::Method));
            self.latest.clear();
        } else if closing.first().is_none_or(|closes| step < *closes) {
            self.inner.push((step, Earns::Method));
        }
        if place.is_some_and(|place| place + unknowns >= closing.len()) {
            self.before.push((step, Earns::Accuracy));
            self.latest.push_back((step, Earns::Accuracy));
        }
    }

    /// An answer that an earlier step has found: the mark for the value stands with it,
    /// not there.
    fn answer_of_before(&mut self, step: usize) {
        let Some(found) = self.latest.pop_front() else {
            self.standing.push((step, Earns::Reading));
            return;
        };
        self.before.retain(|claim| *claim != found);
        self.values.retain(|(step, _)| *step != found.0);
        self.answers.push((step, Earns::Accuracy));
        if found.1 != Earns::Accuracy {
            self.methods.push(found);
        }
    }

    /// So many marks on the claims; where the author says none, one for each answer and
    /// for each step before that finds something new. What is more than all claims goes round again, methods first.
    fn dealt(self, wanted: Option<u32>) -> Vec<(Claim, u32)> {
        let counted = |claims: usize| u32::try_from(claims).unwrap_or(MOST);
        let answers = self.answers.len() + self.standing.len();
        let most = counted(answers).max(MOST);
        let natural = counted(answers + self.before.len());
        let wanted = wanted.unwrap_or_else(|| natural.clamp(1, most));
        let (values_before, methods_before): (Vec<Claim>, Vec<Claim>) =
            self.before.into_iter().partition(|(_, earns)| *earns == Earns::Accuracy);
        let lists = [
            self.answers,
            self.standing,
            methods_before,
            values_before,
            self.methods,
            self.values,
            self.equal,
            self.inner,
        ];
        // Answers first, and in each list the last step first.
        let all = lists.into_iter().flat_map(|list| list.into_iter().rev());
        let mut dealt: Vec<(Claim, u32)> = all.zip((1..=wanted).map(|_| 1)).collect();
        let Some(count) = u32::try_from(dealt.len()).ok().filter(|count| *count > 0) else {
            return dealt;
        };
        let (each, mut rest) = ((wanted - count) / count, (wanted - count) % count);
        for is_method in [true, false] {
            for ((_, earns), marks) in &mut dealt {
                if (*earns != Earns::Accuracy) == is_method {
                    *marks += each + u32::from(rest > 0);
                    rest = rest.saturating_sub(1);
                }
            }
        }
        dealt
    }
}
