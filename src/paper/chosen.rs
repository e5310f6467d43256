//! The chosen list as a file, and what a new choice would change in it.

use crate::reading::paper::Chosen;

use super::clues::Said;
use super::mark::mark_of;

/// A line of a chosen list that is made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    pub id: String,
    pub marks: u32,
    pub hash: String,
    pub section: Option<usize>,
}

/// A mark of what a question asks and answers in all versions of a paper.
pub fn hash_of(marks: u32, said: &[Said]) -> String {
    let mut texts = vec![marks.to_string()];
    for version in said {
        texts.push(version.text.clone());
        texts.push(version.answers.len().to_string());
        texts.extend(version.answers.iter().cloned());
    }
    mark_of(texts.iter().map(String::as_str))
}

/// The list as its file holds it.
pub fn written(paper: &str, seed: u64, lines: &[Line]) -> String {
    let mut text = format!(
        "# Chosen by `stillroom set`. Printing takes these questions until they are chosen anew\n\
         # with `stillroom set --again`. Lines may be moved, to change the order.\n\
         paper: {paper}\nseed: {seed}\nquestions:\n"
    );
    for Line { id, marks, hash, section } in lines {
        let section =
            section.map_or_else(String::new, |number| format!(", section: {}", number + 1));
        text.push_str(&format!("- {{id: {id}, marks: {marks}, hash: \"{hash}\"{section}}}\n"));
    }
    text
}

/// What a new choice changes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Difference {
    Goes(String),
    Comes(String),
    /// The question stays but asks or answers otherwise.
    Changed(String),
    Moves,
    Seed(u64, u64),
}

impl std::fmt::Display for Difference {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Difference::Goes(id) => write!(f, "- {id}"),
            Difference::Comes(id) => write!(f, "+ {id}"),
            Difference::Changed(id) => write!(f, "~ {id} (its text, numbers or marks)"),
            Difference::Moves => write!(f, "~ the order"),
            Difference::Seed(old, new) => write!(f, "~ the seed, {old} to {new}"),
        }
    }
}

/// In the order of the lists; none if they are the same.
pub fn differences(old: &Chosen, seed: u64, new: &[Line]) -> Vec<Difference> {
    let mut found = Vec::new();
    if old.seed != seed {
        found.push(Difference::Seed(old.seed, seed));
    }
    for pick in &old.picks {
        match new.iter().find(|line| line.id == pick.id.value) {
            None => found.push(Difference::Goes(pick.id.value.clone())),
            Some(line) if line.hash != pick.hash.value || line.marks != pick.marks => {
                found.push(Difference::Changed(line.id.clone()));
            }
            Some(_) => {}
        }
    }
    for line in new {
        if !old.picks.iter().any(|pick| pick.id.value == line.id) {
            found.push(Difference::Comes(line.id.clone()));
        }
    }
    let kept_old = old.picks.iter().filter(|pick| new.iter().any(|line| line.id == pick.id.value));
    let kept_new = new.iter().filter(|l| old.picks.iter().any(|pick| pick.id.value == l.id));
    let moved = kept_old
        .zip(kept_new)
        .any(|(pick, line)| pick.id.value != line.id || pick.section != line.section);
    if moved {
        found.push(Difference::Moves);
    }
    found
}
