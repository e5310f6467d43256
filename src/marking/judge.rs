//! One learner's answers judged by re-running the plan of their own version.
//!
//! Takes a version with its answers and what the learner gave; gives for each answer line
//! what it is, the marks and the reason. In this order: within the accepted range; right
//! from the learner's own earlier answers, if what follows can be; right but for the unit;
//! a named mistake, from the question's numbers or from the learner's own; right but
//! rounded too far; the decimal point misplaced; wrong. Never looks at other learners.

use super::columns::Column;
use super::responses::{Entry, GivenNumber, Response};
use super::verbal::{as_printed, worth};
use crate::quantity::{print_number, round_figures};
use crate::question::{Answer, Earns, Mark, MarkOfStep, Slip, Solution, Turn, meant, standing};

/// A version ready to be marked by.
#[derive(Debug)]
pub struct Version<'a> {
    pub solved: Vec<(Solution<'a>, Vec<Answer>)>,
    /// By question and answer: marks, the earlier answers that it rests on, its mistakes.
    marks: Vec<Vec<Vec<MarkOfStep>>>,
    rests: Vec<Vec<Vec<usize>>>,
    slips: Vec<Vec<Vec<Slip>>>,
}

/// What an answer turned out to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    Right,
    /// Right from answers of the learner's own.
    FollowedThrough,
    /// The number is right, its unit is not.
    Unit,
    /// Right, but rounded too far.
    Figures,
    /// A named mistake.
    Named,
    /// The figures are right, the decimal point is not.
    Point,
    Wrong,
    Blank,
    /// Marks given by a person.
    Given,
    /// In words, and in part right: the marks are those that a person may correct.
    Words,
}

/// An answer line judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    pub verdict: Verdict,
    pub marks: u32,
    /// Each mark of the line, whether it was earned, and whether by following through.
    pub codes: Vec<(Mark, bool)>,
    /// Whether the learner's own earlier answers were followed.
    pub through: bool,
    /// What was written.
    pub wrote: String,
    /// What was expected from the learner's own numbers, with its unit; empty where the
    /// answer stands as it is.
    pub expected: String,
    /// The mistake's name, or those between which it cannot be told.
    pub mistake: Option<String>,
    /// The same with what each shows and how it is put right.
    pub turns: Vec<Turn>,
    /// Why so many marks, in a sentence.
    pub reason: String,
    /// Whether a person should decide; the marks are then those suggested.
    pub doubtful: bool,
}

/// Half a unit of the last figure, and a little for the noise of rounding twice.
const HALF: f64 = 0.55;
/// Figures that are always enough where none are asked for (common practice, no source).
const ENOUGH: u32 = 3;

impl<'a> Version<'a> {
    pub fn new(solved: Vec<(Solution<'a>, Vec<Answer>)>) -> Version<'a> {
        let of = |question: &(Solution<'a>, Vec<Answer>)| question.0.steps_of_marks(&question.1);
        let slips = |(solution, answers): &(Solution<'a>, Vec<Answer>)| {
            (0..answers.len()).map(|number| slips_of(solution, answers, number)).collect()
        };
        Version {
            marks: solved.iter().map(of).collect(),
            rests: solved.iter().map(|(solution, _)| solution.rests_on()).collect(),
            slips: solved.iter().map(slips).collect(),
            solved,
        }
    }

    /// Judges a learner's entries, which stand in the order of the columns.
    pub fn judge(&self, columns: &[Column], entries: &[Entry]) -> Vec<Judged> {
        let mut once = Once::default();
        let mut judged = Vec::with_capacity(columns.len());
        let mut question = usize::MAX;
        let mut own: Vec<(usize, f64)> = Vec::new();
        for (column, entry) in columns.iter().zip(entries) {
            if column.question != question {
                question = column.question;
                own.clear();
            }
            let Some(answer) = column.answer else {
                judged.push(self.in_words(column, entry));
                continue;
            };
            let line = Line { version: self, column, answer, own: &own };
            let (one, value) = line.judge(entry, &mut once);
            own.extend(value.map(|value| (answer, value)));
            judged.push(one);
        }
        judged
    }
}

impl Judged {
    /// Gives the marks that a person decided on.
    pub fn decide(&mut self, marks: u32) {
        let most: u32 = self.codes.iter().map(|(mark, _)| mark.count).sum();
        let code = |count: u32, earned: bool| (Mark { earns: Earns::Reading, count }, earned);
        let codes = [(marks.min(most), true), (most - marks.min(most), false)];
        self.codes = codes.into_iter().filter(|(n, _)| *n > 0).map(|(n, e)| code(n, e)).collect();
        self.verdict = Verdict::Given;
        self.marks = marks.min(most);
        self.reason = "decided by a person".to_owned();
        self.doubtful = false;
    }
}

impl Version<'_> {
    /// Judges what is no number on a line.
    fn in_words(&self, column: &Column, entry: &Entry) -> Judged {
        let (solution, answers) = &self.solved[column.question];
        let Some(response) = solution.response(column.part) else {
            return words(column, Verdict::Blank, 0, "left out".to_owned());
        };
        let key = match answers.iter().find(|answer| answer.part == column.part) {
            Some(answer) => format!("{} ({})", response.key, with_unit(&answer.printed, answer)),
            None if response.key.is_empty() => {
                most_of(response.points.iter().map(as_printed).collect())
            }
            None => response.key.clone(),
        };
        match entry {
            Entry::Blank => {
                Judged { expected: key, ..words(column, Verdict::Blank, 0, "left out".to_owned()) }
            }
            Entry::Marks(marks) => {
                words(column, Verdict::Given, *marks, "marked by a person".to_owned())
            }
            Entry::Answer(Response { text, seen, .. }) => {
                let worth = worth(response, column.most, text);
                let (verdict, marks) = match (seen, worth.marks) {
                    (Some(marks), _) => (Verdict::Given, *marks),
                    (None, marks) if marks == column.most => (Verdict::Right, marks),
                    (None, _) if worth.mistake.is_some() => (Verdict::Named, 0),
                    (None, 0) if !worth.doubtful => (Verdict::Wrong, 0),
                    (None, marks) => (Verdict::Words, marks),
                };
                let expected = if worth.missing.is_empty() { key } else { most_of(worth.missing) };
                Judged {
                    wrote: text.clone(),
                    expected,
                    mistake: worth.mistake,
                    doubtful: worth.doubtful && seen.is_none(),
                    ..words(column, verdict, marks, worth.reason)
                }
            }
        }
    }
}

/// The first points of an answer in prose, as many as a note holds.
fn most_of(points: Vec<String>) -> String {
    const MOST: usize = 2;
    points.into_iter().take(MOST).collect::<Vec<_>>().join("; ")
}

fn words(column: &Column, verdict: Verdict, marks: u32, reason: String) -> Judged {
    let mark = |count: u32, earned: bool| (Mark { earns: Earns::Reading, count }, earned);
    let codes = [(marks, true), (column.most - marks.min(column.most), false)];
    Judged {
        verdict,
        marks,
        codes: codes.into_iter().filter(|(count, _)| *count > 0).map(|(n, e)| mark(n, e)).collect(),
        through: false,
        wrote: String::new(),
        expected: String::new(),
        mistake: None,
        turns: Vec::new(),
        reason,
        doubtful: false,
    }
}

/// The named mistakes of a part are those of its first line.
fn slips_of(solution: &Solution<'_>, answers: &[Answer], number: usize) -> Vec<Slip> {
    let answer = &answers[number];
    let first = answers.iter().position(|a| a.part == answer.part) == Some(number);
    if first { solution.slips(answer.part, answer) } else { Vec::new() }
}

/// What costs a mark once in a paper.
#[derive(Debug, Default)]
struct Once {
    unit: bool,
    figures: bool,
}

/// An answer line to be judged, with the learner's own earlier answers of the question
/// that are not as the key prints them.
struct Line<'v, 'a> {
    version: &'v Version<'a>,
    column: &'v Column,
    /// Which answer of the question.
    answer: usize,
    own: &'v [(usize, f64)],
}

/// The learner's number in the unit of the line, and whether its own unit stands for
/// another quantity.
struct Read {
    value: f64,
    /// As typed, where the unit behind it would make another number of it.
    bare: f64,
    figures: Option<u32>,
    last_place: i32,
    strange_unit: bool,
}

impl Line<'_, '_> {
    fn question(&self) -> &(Solution<'_>, Vec<Answer>) {
        &self.version.solved[self.column.question]
    }

    /// The marks of the line, each with the slot that its step finds.
    fn steps(&self) -> &[MarkOfStep] {
        &self.version.marks[self.column.question][self.answer]
    }

    fn marks(&self) -> impl Iterator<Item = Mark> {
        self.steps().iter().map(|(mark, _)| *mark)
    }

    /// The judgement, and the learner's value in base units if later answers may rest
    /// on it.
    fn judge(&self, entry: &Entry, once: &mut Once) -> (Judged, Option<f64>) {
        let answer = &self.question().1[self.answer];
        let key = with_unit(&answer.printed, answer);
        match entry {
            Entry::Blank => {
                let mut judged = self.judged(Verdict::Blank, &|_| false, "left out".to_owned());
                judged.expected = key;
                (judged, None)
            }
            Entry::Marks(marks) => (self.given(*marks, String::new(), String::new()), None),
            Entry::Answer(Response { text, number: None, seen }) => {
                let mut judged =
                    self.judged(Verdict::Wrong, &|_| false, "no number can be read".to_owned());
                judged.expected = key;
                judged.wrote.clone_from(text);
                (self.seen(judged, *seen), None)
            }
            Entry::Answer(Response { text, number: Some(number), seen }) => {
                let read = read(number, answer);
                let mut judged = self.number(&read, answer, once);
                judged.wrote.clone_from(text);
                let value = answer.unit.to_si(if judged.verdict == Verdict::Unit {
                    read.bare
                } else {
                    read.value
                });
                let differs = !agrees(answer.unit.from_si(value), answer.rounded.value);
                (self.seen(judged, *seen), differs.then_some(value))
            }
        }
    }

    /// With the marks that a person gave who saw the working.
    fn seen(&self, judged: Judged, seen: Option<u32>) -> Judged {
        let Some(marks) = seen else { return judged };
        let mut given = self.given(marks, judged.wrote, judged.expected);
        given.mistake = judged.mistake;
        given.reason = match judged.reason.as_str() {
            "" => given.reason,
            reason => format!("{}; {reason}", given.reason),
        };
        given
    }

    fn given(&self, marks: u32, wrote: String, expected: String) -> Judged {
        let mut left = marks;
        let codes = self
            .marks()
            .map(|mark| {
                let earned = left >= mark.count;
                left -= if earned { mark.count } else { 0 };
                (mark, earned)
            })
            .collect();
        Judged {
            verdict: Verdict::Given,
            marks,
            codes,
            through: false,
            wrote,
            expected,
            mistake: None,
            turns: Vec::new(),
            reason: "marked by a person".to_owned(),
            doubtful: false,
        }
    }

    fn judged(&self, verdict: Verdict, earns: &dyn Fn(Earns) -> bool, reason: String) -> Judged {
        let codes: Vec<(Mark, bool)> = self.marks().map(|mark| (mark, earns(mark.earns))).collect();
        let marks = codes.iter().filter(|(_, earned)| *earned).map(|(mark, _)| mark.count).sum();
        Judged {
            verdict,
            marks,
            codes,
            through: false,
            wrote: String::new(),
            expected: String::new(),
            mistake: None,
            turns: Vec::new(),
            reason,
            doubtful: false,
        }
    }

    fn number(&self, read: &Read, answer: &Answer, once: &mut Once) -> Judged {
        let all = |_: Earns| true;
        let key = with_unit(&answer.printed, answer);
        if !read.strange_unit && within(read.value, answer) {
            let (low, high) = answer.accepted();
            let reason = if low == high {
                format!("right: {key}")
            } else {
                format!("right: within {low} to {}", with_unit(&high, answer))
            };
            return self.judged(Verdict::Right, &all, reason);
        }
        let ways = self.ways();
        if !read.strange_unit
            && let Some(way) = ways.iter().find(|way| within(read.value, &way.answer))
        {
            let expected = with_unit(&way.answer.printed, answer);
            let reason = format!("right from {}: {expected}", self.theirs(&way.from));
            let mut judged = self.judged(Verdict::FollowedThrough, &all, reason);
            judged.through = true;
            return judged;
        }
        // The key's own answer, or where there is one what follows from theirs.
        let nearest = ways.first();
        let expected = nearest.map_or(key, |way| with_unit(&way.answer.printed, answer));
        let from_theirs = nearest.is_some();
        let mut judged = self.not_right(read, answer, &ways, once);
        judged.through |= from_theirs && judged.verdict == Verdict::Figures;
        judged.expected = expected;
        judged
    }

    fn not_right(&self, read: &Read, answer: &Answer, ways: &[Way<'_>], once: &mut Once) -> Judged {
        let targets = || std::iter::once(answer).chain(ways.iter().map(|way| &way.answer));
        if targets().any(|target| within(read.bare, target)) {
            let reason = "the number is right, its unit is not".to_owned();
            return self.once(Verdict::Unit, reason, &mut once.unit);
        }
        let slips = &self.version.slips[self.column.question][self.answer];
        let found = slips_meant(read, answer, slips);
        if !found.is_empty() {
            return self.named(&found, false);
        }
        for way in ways {
            let slips = slips_of(&way.solution, &self.question().1, self.answer);
            let found = slips_meant(read, &way.answer, &slips);
            if !found.is_empty() {
                return self.named(&found, true);
            }
        }
        if targets().any(|target| is_rounded_too_far(read, target)) {
            let part = &self.question().0.checked.question.parts[self.column.part];
            let asked = part.sig_figs.is_some() || part.places.is_some();
            if !asked && read.figures.is_some_and(|figures| figures >= ENOUGH) {
                let reason = "right, to fewer figures than it is worth".to_owned();
                return self.judged(Verdict::Figures, &|_| true, reason);
            }
            let reason = "right, but rounded too far".to_owned();
            return self.once(Verdict::Figures, reason, &mut once.figures);
        }
        if targets().any(|target| is_point_misplaced(read, target)) {
            let method = |earns: Earns| earns == Earns::Method;
            let reason = "the figures are right, the decimal point is misplaced".to_owned();
            return self.judged(Verdict::Point, &method, reason);
        }
        self.judged(Verdict::Wrong, &|_| false, "no known way leads to this".to_owned())
    }

    fn named(&self, slips: &[&Slip], through: bool) -> Judged {
        let says: Vec<&str> = slips.iter().map(|slip| slip.says.as_str()).collect();
        let says = says.join(", or ");
        let mut judged = self.judged(Verdict::Named, &|_| false, says.clone());
        judged.mistake = Some(says);
        judged.turns = slips.iter().flat_map(|slip| slip.turns.clone()).collect();
        judged.through = through;
        self.keep_method(&mut judged);
        judged
    }

    /// Gives the marks that the mistake leaves; of several that are possible, those that
    /// each of them leaves.
    fn keep_method(&self, judged: &mut Judged) {
        let stand = standing(self.steps(), &judged.turns);
        for ((mark, earned), stands) in judged.codes.iter_mut().zip(stand) {
            *earned = stands;
            judged.marks += if stands { mark.count } else { 0 };
        }
        if judged.marks > 0 {
            judged.reason.push_str("; the method stands");
        }
    }

    /// All marks, less one where the fault is the first of its kind in the paper.
    fn once(&self, verdict: Verdict, reason: String, before: &mut bool) -> Judged {
        let again = std::mem::replace(before, true);
        let mut judged = self.judged(verdict, &|_| true, reason);
        if again {
            judged.reason.push_str("; penalised once already");
        } else if let Some((mark, earned)) = judged.codes.last_mut() {
            // Of a mark that counts for several only one is lost.
            *earned = mark.count > 1;
            judged.marks -= 1;
        }
        judged
    }

    /// What follows from the learner's own earlier answers: from all that count, and from
    /// each alone. Only where it can be, and where it is no easier: what comes to nothing
    /// asks for no step.
    fn ways(&self) -> Vec<Way<'_>> {
        let (solution, answers) = self.question();
        let rests = &self.version.rests[self.column.question][self.answer];
        let own: Vec<(usize, f64)> =
            self.own.iter().copied().filter(|(number, _)| rests.contains(number)).collect();
        let mut sets: Vec<Vec<(usize, f64)>> = Vec::new();
        if own.len() > 1 {
            sets.push(own.clone());
        }
        // The answer just before is the likeliest to have been used.
        sets.extend(own.iter().rev().map(|one| vec![*one]));
        sets.into_iter()
            .filter(|from| from.iter().all(|(_, value)| *value != 0.0))
            .filter_map(|from| {
                let solution = solution.going_on(&from);
                if !solution.can_be(self.answer) {
                    return None;
                }
                let answer = solution.answer(self.answer);
                let own = &answers[self.answer];
                let moved = !agrees(answer.unit.from_si(answer.value), own.unit.from_si(own.value));
                (answer.value != 0.0 && moved).then_some(Way { from, solution, answer })
            })
            .collect()
    }

    /// "their 324 in (b)".
    fn theirs(&self, from: &[(usize, f64)]) -> String {
        let (solution, answers) = self.question();
        let each: Vec<String> = from
            .iter()
            .map(|(number, value)| {
                let answer = &answers[*number];
                let shown =
                    round_figures(answer.unit.from_si(*value), answer.rounded.figures().max(3));
                let label = solution.checked.question.parts[answer.part].label.as_ref();
                let place = label.map_or_else(String::new, |l| format!(" in ({})", l.value));
                format!("{}{place}", with_unit(&print_number(&shown), answer))
            })
            .collect();
        format!("their {}", each.join(" and "))
    }
}

/// A way that a learner may have gone on.
struct Way<'a> {
    from: Vec<(usize, f64)>,
    solution: Solution<'a>,
    answer: Answer,
}

fn read(number: &GivenNumber, answer: &Answer) -> Read {
    let bare = number.value;
    let (mut value, mut strange_unit) = (bare, false);
    if let Some(unit) = &number.unit {
        if unit.converts_to(&answer.unit) {
            value = answer.unit.from_si(unit.to_si(bare));
        } else if unit.dimension() == answer.unit.dimension() && unit.offset() == 0.0 {
            // A percentage where a plain number is asked for, or the other way round.
            value = bare * unit.factor() / answer.unit.factor();
        } else {
            strange_unit = true;
        }
    }
    let moved = if bare == 0.0 { 1.0 } else { (value / bare).abs() };
    let shift = if moved > 0.0 { moved.log10().round() as i32 } else { 0 };
    Read {
        value,
        bare,
        figures: number.figures,
        last_place: number.last_place + shift,
        strange_unit,
    }
}

fn within(value: f64, answer: &Answer) -> bool {
    // A bound that is met but for the last bit is met.
    let slack = 1e-9 * answer.highest.abs().max(answer.lowest.abs());
    (answer.lowest - slack..=answer.highest + slack).contains(&value)
}

fn agrees(one: f64, other: f64) -> bool {
    (one - other).abs() <= 1e-9 * one.abs().max(other.abs())
}

/// The named mistakes that this may come from.
fn slips_meant<'s>(read: &Read, answer: &Answer, slips: &'s [Slip]) -> Vec<&'s Slip> {
    if read.strange_unit {
        return Vec::new();
    }
    let typed = HALF * 10f64.powi(read.last_place.min(answer.rounded.last_place + 1));
    let printed = HALF * 10f64.powi(answer.rounded.last_place);
    meant(slips, read.value, typed.max(printed))
}

/// The right value to fewer figures than the answer is worth, but to two at least.
fn is_rounded_too_far(read: &Read, answer: &Answer) -> bool {
    let Some(figures) = read.figures else { return false };
    let worth = answer.rounded.figures();
    if read.strange_unit || figures >= worth || (figures < 2 && worth > 2) {
        return false;
    }
    let shown = answer.unit.from_si(answer.value);
    agrees(round_figures(shown, figures).value, read.value)
}

/// The right figures a power of ten away.
fn is_point_misplaced(read: &Read, answer: &Answer) -> bool {
    let shown = answer.unit.from_si(answer.value);
    // Ten times a temperature means nothing.
    if read.strange_unit || shown == 0.0 || read.value == 0.0 || answer.unit.to_si(0.0) != 0.0 {
        return false;
    }
    if (read.value < 0.0) != (shown < 0.0) || read.figures.is_some_and(|figures| figures < 2) {
        return false;
    }
    let power = (read.value / shown).log10().round();
    power != 0.0 && power.abs() <= 6.0 && within(read.value / 10f64.powf(power), answer)
}

fn with_unit(printed: &str, answer: &Answer) -> String {
    match answer.unit.print() {
        "" => printed.to_owned(),
        unit => format!("{printed}\u{202f}{unit}"),
    }
}
