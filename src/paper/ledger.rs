//! The ledger: which paper took which question, kept beside the papers as a table
//! that a spreadsheet opens.

use std::collections::BTreeSet;

/// A line of the ledger.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Taken {
    pub paper: String,
    /// "quarnholm-salt/two-pans".
    pub question: String,
}

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Ledger {
    lines: BTreeSet<Taken>,
}

const HEAD: &str = "paper,question";

impl Ledger {
    /// Reads a ledger.
    ///
    /// # Errors
    /// The number of the first line (from 1) that is no line of a ledger.
    pub fn read(text: &str) -> Result<Ledger, usize> {
        let mut lines = BTreeSet::new();
        for (number, line) in (1..).zip(text.lines()) {
            let line = line.trim().trim_start_matches('\u{feff}');
            if line.is_empty() || number == 1 && line.replace('"', "") == HEAD {
                continue;
            }
            let cells: Vec<&str> = line.split(',').map(|c| c.trim().trim_matches('"')).collect();
            let [paper, question] = cells[..] else { return Err(number) };
            if paper.is_empty() || !question.contains('/') {
                return Err(number);
            }
            lines.insert(Taken { paper: paper.to_owned(), question: question.to_owned() });
        }
        Ok(Ledger { lines })
    }

    /// How many papers other than this one took a question.
    pub fn earlier(&self, paper: &str, question: &str) -> u32 {
        let others = self.lines.iter().filter(|line| line.paper != paper);
        u32::try_from(others.filter(|line| line.question == question).count()).unwrap_or(u32::MAX)
    }

    /// Puts a paper's questions in place of those that it had.
    pub fn enter(&mut self, paper: &str, questions: impl Iterator<Item = String>) {
        self.lines.retain(|line| line.paper != paper);
        self.lines.extend(questions.map(|question| Taken { paper: paper.to_owned(), question }));
    }

    /// As the file holds it.
    pub fn written(&self) -> String {
        let mut text = format!("{HEAD}\n");
        for line in &self.lines {
            text.push_str(&format!("{},{}\n", line.paper, line.question));
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_paper_does_not_count_as_its_own_forerunner() {
        let text = "paper,question\r\nmock,a/one\nmock,a/two\n\nterm-one,a/one\n";
        let mut ledger = Ledger::read(text).expect("it is a ledger");
        assert_eq!(ledger.earlier("term-one", "a/one"), 1);
        assert_eq!(ledger.earlier("term-two", "a/one"), 2);
        ledger.enter("mock", ["a/three".to_owned()].into_iter());
        assert_eq!(ledger.written(), "paper,question\nmock,a/three\nterm-one,a/one\n");
        assert_eq!(Ledger::read(&ledger.written()), Ok(ledger));
        assert_eq!(Ledger::read("paper,question\nmock\n"), Err(2));
    }
}
