//! What is asked together: all questions of a unit, or those that a paper takes from
//! several.
//!
//! Takes checked units; gives the questions in the order in which they are asked, each
//! with its unit. Draws nothing and solves nothing.

use super::kinds::respond_each;
use super::{Answer, Solution};
use crate::reading::department::Department;
use crate::reading::model::{Checked, Model};
use crate::reading::parsed::Text;

#[derive(Debug, Clone)]
pub struct Assessment<'a> {
    /// Names the folder that it is printed to.
    pub id: String,
    pub title: String,
    /// What stands at the left and at the right of every header.
    pub left: String,
    pub right: String,
    /// BCP 47.
    pub language: String,
    /// A paper's front page; a unit's sheets have none.
    pub cover: Option<Cover>,
    /// The habits of the school that asks.
    pub department: Department,
    pub units: Vec<&'a Model>,
    /// In the order in which they are asked.
    pub questions: Vec<Listed<'a>>,
}

/// What the front page of a paper says, and its sections. Texts are Markdown.
#[derive(Debug, Clone, Default)]
pub struct Cover {
    pub school: String,
    pub subject: String,
    pub date: String,
    pub minutes: u32,
    /// What to bring.
    pub need: Vec<String>,
    pub instructions: Vec<String>,
    pub information: Vec<String>,
    /// The last words of the page.
    pub foot: String,
    /// Headings, in order.
    pub sections: Vec<String>,
}

/// A question and the unit that it is from.
#[derive(Debug, Clone, Copy)]
pub struct Listed<'a> {
    pub unit: &'a Model,
    pub checked: &'a Checked,
    /// The number of its section, from 0.
    pub section: Option<usize>,
}

impl Listed<'_> {
    pub fn unit_id(&self) -> &str {
        &self.unit.parsed.front.id.value
    }
}

impl<'a> Assessment<'a> {
    /// All questions of a unit.
    pub fn of_unit(model: &'a Model) -> Assessment<'a> {
        let front = &model.parsed.front;
        let title = front.title.value.clone();
        Assessment {
            id: front.id.value.clone(),
            left: head_of(front.class.as_ref(), &title),
            right: front.place.as_ref().map_or_else(String::new, |place| place.value.clone()),
            language: language_of(model),
            title,
            cover: None,
            department: Department::default(),
            units: vec![model],
            questions: model
                .questions
                .iter()
                .map(|checked| Listed { unit: model, checked, section: None })
                .collect(),
        }
    }

    /// The same, asked in a school of these habits.
    #[must_use]
    pub fn within(self, department: Department) -> Assessment<'a> {
        Assessment { department, ..self }
    }

    /// Gives solved questions, in the order of this assessment, what they ask beside
    /// numbers.
    pub fn respond(&self, solved: &mut [(Solution<'_>, Vec<Answer>)], seed: u64, version: u64) {
        respond_each(solved, seed, &|index| self.questions[index].unit_id(), version);
    }

    /// The words that stand on its pages beside those of the units.
    pub fn words(&self) -> impl Iterator<Item = &str> {
        let heads = [&self.title, &self.left, &self.right];
        let cover = self.cover.iter().flat_map(|cover| {
            let lists = [&cover.need, &cover.instructions, &cover.information, &cover.sections];
            [&cover.school, &cover.subject, &cover.date, &cover.foot]
                .into_iter()
                .chain(lists.into_iter().flatten())
        });
        let grades = self.department.grades.iter().map(|(grade, _)| grade);
        heads.into_iter().chain(cover).chain(grades).map(String::as_str)
    }

    /// Every objective of the units with its words, once each, in their order.
    pub fn objectives(&self) -> Vec<(&'a str, &'a str)> {
        let mut found: Vec<(&str, &str)> = Vec::new();
        for (id, words) in self.units.iter().flat_map(|unit| &unit.parsed.front.objectives) {
            if !found.iter().any(|(other, _)| *other == id.value) {
                found.push((&id.value, &words.value));
            }
        }
        found
    }
}

/// Class and title, at the left of every header.
pub fn head_of(class: Option<&Text>, title: &str) -> String {
    class.map_or_else(|| title.to_owned(), |class| format!("{} · {title}", class.value))
}

/// The language that a unit is written in.
pub fn language_of(model: &Model) -> String {
    model.parsed.front.language.as_ref().map_or_else(|| "en-GB".to_owned(), |l| l.value.clone())
}
