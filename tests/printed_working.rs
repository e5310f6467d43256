//! Every worked answer of the demonstration and of every record, read as a learner
//! reads it: each line comes to what the next one says, each answer is the key's, and
//! nothing is used before it is given or found.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

use printed::{Letters, Names, Range, unit_size, value};
use stillroom::balance::{Basis, Step};
use stillroom::diag::{Diagnostics, SourceFile};
use stillroom::question::{Answer, Solution, WorkedStep};
use stillroom::reading;
use stillroom::reading::model::{self, Checked, Model, Source};

mod printed;
mod units;

#[test]
fn the_evaluator_does_printed_arithmetic() {
    let letters = Letters::from([('x', 2.0)]);
    let names = Names::from([("mass of ice".to_owned(), 4.0)]);
    for (line, comes_to) in [
        ("400\u{202f}kg × 0.050", 20.0),
        ("12\u{202f}500\u{202f}g ÷ 0.25", 50.0),
        ("1 \u{2212} 20\u{202f}% × (1 \u{2212} 0.5)", 0.9),
        ("36\u{202f}g/100\u{202f}g × 2\u{202f}t", 720.0),
        ("(100 \u{2212} 0.5x)\u{202f}kg", 99.0),
        ("3.5\u{202f}×\u{202f}10⁻³\u{202f}kg/L", 3.5),
        ("mass of ice ÷ 2 + \u{2212}1", 1.0),
        ("x²", 4.0),
        ("3x² + x", 14.0),
    ] {
        let found = value(line, &letters, &names).unwrap_or_else(|| panic!("{line}"));
        assert!(found.meets(Range::of(comes_to, comes_to)), "{line}: {found:?}");
        assert!(found.high - found.low <= 3e-4 * comes_to.abs(), "{line}: {found:?}");
    }
    for line in ["400 kg", "mass of fire", "2 +", "3\u{202f}ells", "(1"] {
        assert!(value(line, &letters, &names).is_none(), "{line}");
    }
    let cut = value("2.394…\u{202f}t", &letters, &names).unwrap();
    assert!((cut.low - 2394.0).abs() < 1e-9 && (cut.high - 2395.0).abs() < 1e-9);
}

fn model_of(path: &Path) -> Option<Model> {
    let mut found = Diagnostics::new();
    let file = SourceFile::new("unit.md", std::fs::read_to_string(path).unwrap());
    let parsed = reading::parse(&file, &mut found)?;
    Some(model::check(&Arc::new(parsed), &mut found))
}

/// Choices spread over all that may be drawn.
fn choices(checked: &Checked) -> Vec<Vec<usize>> {
    let axes = checked.axes();
    (0..if axes.is_empty() { 1 } else { 16 })
        .map(|n| axes.iter().enumerate().map(|(i, size)| (n * (11 + i) + n * n) % size).collect())
        .collect()
}

#[test]
fn every_printed_step_comes_to_what_it_says() {
    let mut wrong = Vec::new();
    let (mut steps, mut lines) = (0, 0);
    for path in units::files() {
        let Some(model) = model_of(&path) else { continue };
        let all = model.questions.iter().chain(model.examples.iter().map(|(_, checked)| checked));
        for checked in all {
            for choice in choices(checked) {
                let Ok(solution) = Solution::of(checked, &choice) else { continue };
                let mut reader = Learner::of(&solution);
                let answers = solution.answers();
                reader.read(&solution.working(&answers), &answers);
                steps += reader.steps;
                lines += reader.lines;
                let file = path.file_name().unwrap().to_string_lossy();
                let id = &checked.question.id.value;
                wrong.extend(reader.wrong.into_iter().map(|w| format!("{file} {id}: {w}")));
            }
        }
    }
    wrong.sort();
    wrong.dedup();
    assert!(wrong.is_empty(), "{} wrong\n{}", wrong.len(), wrong.join("\n"));
    assert!(steps > 1000 && lines > 2 * steps, "only {lines} lines of {steps} steps");
}

/// Who reads a worked answer from top to bottom.
struct Learner {
    /// What every quantity is, by the name it goes by in the working.
    values: Names,
    /// Names that stand for more than one quantity, so that their value cannot be looked up.
    shared: BTreeSet<String>,
    /// Names that are given or found by now.
    known: BTreeSet<String>,
    letters: Letters,
    steps: usize,
    lines: usize,
    wrong: Vec<String>,
}

impl Learner {
    fn of(solution: &Solution<'_>) -> Learner {
        let engine = &solution.checked.engine;
        let mut values = Names::new();
        let mut shared = BTreeSet::new();
        let mut slots: Vec<f64> =
            (0..engine.system.nodes.len()).map(|slot| solution.value(slot)).collect();
        for step in &engine.plan.steps {
            // What follows from a basis has no other value than that.
            if let Step::Basis(basis) = step {
                let mut taken = slots.clone();
                basis.fill(&engine.system, &mut taken, Basis::AMOUNT, &|_, value| value);
                slots =
                    slots.iter().zip(taken).map(|(v, t)| if v.is_nan() { t } else { *v }).collect();
            }
        }
        for (slot, value) in slots.into_iter().enumerate() {
            let name = solution.name_of(slot);
            if values.insert(name.clone(), value).is_some_and(|other| other != value) {
                shared.insert(name);
            }
        }
        // Read from a table that the step itself names.
        shared.insert("solubility".to_owned());
        let derived = solution
            .checked
            .values
            .iter()
            .filter(|value| matches!(value.source, Source::Derived { .. }));
        let derived: BTreeSet<String> = derived.map(|value| value.name.replace('_', " ")).collect();
        let mut known: BTreeSet<String> =
            engine.known().iter().map(|slot| solution.name_of(*slot)).collect();
        known.retain(|name| !derived.contains(name));
        let text = &solution.checked.question;
        let texts = std::iter::once(&text.stem).chain(text.parts.iter().map(|part| &part.text));
        for blank in texts.flat_map(|text| &text.blanks) {
            known.extend(blank.formula.as_name().map(|path| path.join(" ").replace('_', " ")));
        }
        known.insert("solubility".to_owned());
        let (letters, wrong) = (Letters::new(), Vec::new());
        Learner { values, shared, known, letters, steps: 0, lines: 0, wrong }
    }

    fn read(&mut self, worked: &[WorkedStep], answers: &[Answer]) {
        let mut answers = answers.iter();
        for step in worked {
            self.steps += 1;
            self.step(step);
            if let Some(printed) = &step.answer {
                match answers.next() {
                    Some(answer) => self.answer(step, printed, answer),
                    None => self.fault(step, "an answer too many"),
                }
            }
            // "With x known: ...", "With x and y known: ..."
            if let Some((letters, found)) = step.says.split_once(" known: ")
                && letters.starts_with("With ")
            {
                // A further sentence may follow.
                let found = found.split_once(". ").map_or(found, |(found, _)| found);
                self.found_with_letters(step, found.trim_end_matches('.'));
            }
        }
        if answers.next().is_some() {
            self.wrong.push("an answer is not in the working".to_owned());
        }
    }

    fn fault(&mut self, step: &WorkedStep, what: &str) {
        self.wrong.push(format!("{what}: {} = {}", step.name, step.chain.join(" = ")));
    }

    fn step(&mut self, step: &WorkedStep) {
        if let [line] = step.chain.as_slice()
            && let Some(letter) = line.chars().next().filter(|c| matches!(c, 'x' | 'y'))
        {
            // A letter is what it turns out to be, in its unit; x opens a new let.
            if letter == 'x' {
                self.letters.clear();
            }
            let size = unit_size_of(&line[1..]);
            let exact = self.values.get(&step.name).copied().unwrap_or(f64::NAN);
            self.letters.insert(letter, exact / size);
            self.known.insert(step.name.clone());
            return;
        }
        // An equation that tells a quantity, solved with the rest.
        if let Some((_, told)) = step.says.split_once("and tells the ") {
            self.known.insert(told.trim_end_matches('.').to_owned());
        }
        let nothing = Names::new();
        let mut numbers: Vec<(String, Range)> = Vec::new();
        // Where a loop closes, numbers stand on both sides.
        let sides = std::iter::once(&step.name).chain(&step.chain);
        for (index, line) in sides.enumerate() {
            if let Some(equation) = line.strip_prefix("so ") {
                self.equation(step, equation);
                continue;
            }
            match value(line, &self.letters, &nothing) {
                Some(range) => numbers.push((line.clone(), range)),
                None if index == 0 => {}
                None if index == 1 => self.symbols(step, line),
                // A quantity that is no straight line in x goes by its name.
                None => match value(line, &self.letters, &self.values) {
                    Some(range) => numbers.push((line.clone(), range)),
                    None => self.fault(step, &format!("`{line}` cannot be read")),
                },
            }
        }
        if !self.shared.contains(&step.name)
            && let Some(exact) = self.values.get(&step.name)
        {
            numbers.push(("the solution".to_owned(), Range::of(*exact, *exact)));
        }
        if let Some(answer) = &step.answer
            && value(answer, &self.letters, &nothing).is_none()
        {
            self.fault(step, &format!("the answer `{answer}` cannot be read"));
        }
        for pair in numbers.windows(2) {
            self.lines += 1;
            if !pair[0].1.meets(pair[1].1) {
                self.fault(step, &format!("`{}` is not `{}`", pair[0].0, pair[1].0));
            }
        }
        self.known.insert(step.name.clone());
    }

    /// A relation in words: all names known, and true of the solution.
    fn symbols(&mut self, step: &WorkedStep, line: &str) {
        self.lines += 1;
        // "from a × b = c" where a relation is solved for what stands within it.
        let (line, within) = match line.strip_prefix("from ").and_then(|l| l.split_once(" = ")) {
            Some((left, right)) => (right, Some(left)),
            None => (line, None),
        };
        let mut names = names_in(line);
        names.extend(within.into_iter().flat_map(names_in).filter(|name| *name != step.name));
        let is_letter = |name: &str| self.letters.keys().any(|letter| name == letter.to_string());
        names.retain(|name| !is_letter(name));
        for name in &names {
            if !self.known.contains(name) {
                self.fault(step, &format!("`{name}` is neither given nor found"));
            }
        }
        if names.iter().chain([&step.name]).any(|name| self.shared.contains(name)) {
            return;
        }
        let side = |line| value(line, &self.letters, &self.values);
        let Some(comes_to) = side(line) else {
            self.fault(step, &format!("`{line}` cannot be read"));
            return;
        };
        if let Some(within) = within {
            if !side(within).is_some_and(|left| left.meets(comes_to)) {
                self.fault(step, &format!("`{within} = {line}` does not hold"));
            }
            return;
        }
        // An asked formula may go by a name of its own.
        if let Some(exact) = self.values.get(&step.name)
            && !comes_to.meets(Range::of(*exact, *exact))
        {
            self.fault(step, &format!("`{line}` comes to {comes_to:?}, not {exact}"));
        }
    }

    fn equation(&mut self, step: &WorkedStep, equation: &str) {
        self.lines += 1;
        let sides: Option<Vec<Range>> =
            equation.split(" = ").map(|side| value(side, &self.letters, &Names::new())).collect();
        match sides.as_deref() {
            Some([left, right]) if left.meets(*right) => {}
            _ => self.fault(step, &format!("`{equation}` does not hold: {sides:?}")),
        }
    }

    fn found_with_letters(&mut self, step: &WorkedStep, found: &str) {
        for pair in found.split("; ") {
            self.lines += 1;
            let held = pair.split_once(" = ").and_then(|(name, line)| {
                let exact = self.values.get(name)?;
                let printed = value(line, &Letters::new(), &Names::new())?;
                Some(printed.meets(Range::of(*exact, *exact)))
            });
            if held != Some(true) {
                self.fault(step, &format!("`{pair}` does not hold"));
            }
        }
    }

    /// The last step ends in the key's answer, rounded from the line before.
    fn answer(&mut self, step: &WorkedStep, printed: &str, answer: &Answer) {
        self.lines += 1;
        let unit = answer.unit.print();
        let digits = printed.strip_suffix(unit).unwrap_or(printed).trim_end_matches('\u{202f}');
        if digits != answer.printed {
            self.fault(step, &format!("ends in {printed}, the key says {}", answer.printed));
        }
        let half = 0.5 * 10f64.powi(answer.rounded.last_place) * (1.0 + 1e-9);
        let end = |value: f64| answer.unit.to_si(value);
        let near = Range::of(end(answer.rounded.value - half), end(answer.rounded.value + half));
        if let Some(last) = step.chain.last().filter(|line| !line.starts_with("so "))
            && let Some(before) = value(last, &self.letters, &Names::new())
            && !before.meets(near)
        {
            self.fault(step, &format!("`{last}` does not round to {printed}"));
        }
        for given in [answer.unit.from_si(answer.value), answer.rounded.value] {
            if !(answer.lowest..=answer.highest).contains(&given) {
                self.fault(step, &format!("{given} is not accepted: {:?}", answer.accepted()));
            }
        }
        if !near.meets(Range::of(answer.value, answer.value)) {
            self.fault(step, &format!("{} does not round to {printed}", answer.value));
        }
    }
}

fn unit_size_of(behind: &str) -> f64 {
    behind.strip_prefix('\u{202f}').map_or(1.0, |unit| unit_size(unit).unwrap_or(f64::NAN))
}

/// The words between the signs of a relation, numbers left out.
fn names_in(line: &str) -> Vec<String> {
    let mut line = line.replace("ln(", "(").replace('^', "\n");
    for sign in [" + ", " \u{2212} ", " × ", " ÷ ", "(", ")", "²", "√", "\u{2212}"] {
        line = line.replace(sign, "\n");
    }
    let words = line.lines().map(str::trim).filter(|word| !word.is_empty());
    words
        .filter(|word| !word.starts_with(|c: char| c.is_ascii_digit()))
        .map(str::to_owned)
        .collect()
}
