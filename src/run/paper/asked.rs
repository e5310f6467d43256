//! A paper as it was chosen: its questions in their order, and what its front page says.
//!
//! Takes a paper with its units and its chosen list; gives an assessment, or findings where
//! the list and the units no longer agree. Chooses nothing.

use crate::diag::{Code, Diagnostic, Diagnostics, Place};
use crate::question::{Assessment, Cover, Listed, head_of};
use crate::reading::department::Department;
use crate::reading::paper::{Chosen, Pick};
use crate::reading::parsed::Text;

use super::load::{Loaded, worth};

/// Where neither paper nor department says.
const NEED: &[&str] = &["pen with black ink, pencil, ruler, calculator"];
const INFORMATION: &[&str] = &[
    "The marks for each part are in brackets, like this: [2].",
    "A wrong value carried into a later part can still earn the later marks.",
];
const FOOT: &str = "Do not turn over until you are told.";

/// The chosen paper; none where it cannot be printed.
pub(super) fn asked<'a>(loaded: &'a Loaded, out: &mut Diagnostics) -> Option<Assessment<'a>> {
    let Some(chosen) = loaded.chosen(out) else {
        if !out.has_errors() {
            out.push(not_chosen(loaded));
        }
        return None;
    };
    let found: Vec<Option<Listed<'a>>> =
        chosen.picks.iter().map(|pick| listed(loaded, &chosen, pick, out)).collect();
    let questions: Vec<Listed<'a>> = found.into_iter().collect::<Option<_>>()?;
    let front = &loaded.paper.front;
    let units = loaded.models.iter();
    let taken = units.filter(|unit| questions.iter().any(|q| std::ptr::eq(q.unit, *unit)));
    let title = front.title.value.clone();
    Some(Assessment {
        id: loaded.paper.id.clone(),
        left: head_of(front.class.as_ref(), &title),
        right: said(&front.subject),
        language: front
            .language
            .as_ref()
            .map(|language| language.value.clone())
            .or_else(|| loaded.department.language.clone())
            .unwrap_or_else(|| "en-GB".to_owned()),
        title,
        cover: Some(cover(loaded, &loaded.department)),
        department: loaded.department.clone(),
        units: taken.collect(),
        questions,
    })
}

/// A text of the front matter; nothing where it is left out.
fn said(text: &Option<Text>) -> String {
    text.as_ref().map_or_else(String::new, |text| text.value.clone())
}

fn cover(loaded: &Loaded, department: &Department) -> Cover {
    let front = &loaded.paper.front;
    let own =
        |texts: &[Text]| -> Vec<String> { texts.iter().map(|text| text.value.clone()).collect() };
    let usual = |texts: &[&str]| -> Vec<String> { texts.iter().map(|t| (*t).to_owned()).collect() };
    let need = match (front.need.is_empty(), department.need.is_empty()) {
        (false, _) => own(&front.need),
        (true, false) => department.need.clone(),
        (true, true) => usual(NEED),
    };
    let mut instructions = department.instructions.clone();
    instructions.extend(sentences(&loaded.paper.instructions));
    let mut information = match department.information.is_empty() {
        false => department.information.clone(),
        true => usual(INFORMATION),
    };
    information.extend(own(&front.information));
    Cover {
        school: department.school.clone().unwrap_or_default(),
        subject: said(&front.subject),
        date: said(&front.date),
        minutes: front.minutes.value,
        need,
        instructions,
        information,
        foot: department.foot.clone().unwrap_or_else(|| FOOT.to_owned()),
        sections: front.sections.iter().map(|section| section.title.value.clone()).collect(),
    }
}

/// The paragraphs and the items of lists of a paper's prose, one by one.
fn sentences(markdown: &str) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    let mut goes_on = false;
    for line in markdown.lines().map(str::trim) {
        let item = line.strip_prefix("- ").or_else(|| line.strip_prefix("* ")).or_else(|| {
            let (number, rest) = line.split_once(". ")?;
            number.chars().all(|c| c.is_ascii_digit()).then_some(rest)
        });
        match (line.is_empty(), item) {
            (true, _) => goes_on = false,
            (false, Some(item)) => {
                found.push(item.trim().to_owned());
                goes_on = true;
            }
            (false, None) => match found.last_mut().filter(|_| goes_on) {
                Some(last) => {
                    last.push(' ');
                    last.push_str(line);
                }
                None => {
                    found.push(line.to_owned());
                    goes_on = true;
                }
            },
        }
    }
    found
}

fn not_chosen(loaded: &Loaded) -> Diagnostic {
    let place = Place::new(&loaded.paper.file, loaded.paper.head());
    let name = loaded.paper.file.name();
    Diagnostic::new(
        Code::PaperNotChosen,
        place,
        "The questions of this paper have not been chosen yet.",
    )
    .found(format!("no file `{}`", loaded.chosen_path().display()))
    .expected("the list of questions that stands beside a paper once it is set")
    .next(format!("run `stillroom set {name}`"))
}

/// The question that a line of the list names.
fn listed<'a>(
    loaded: &'a Loaded,
    chosen: &Chosen,
    pick: &Pick,
    out: &mut Diagnostics,
) -> Option<Listed<'a>> {
    let place = Place::new(&chosen.file, pick.id.span);
    let again = format!("run `stillroom set --again {}`", loaded.paper.file.name());
    let found = loaded.models.iter().find_map(|unit| {
        let checked = unit.question_of_paper(&pick.id.value)?;
        Some(Listed { unit, checked, section: pick.section })
    });
    let Some(found) = found else {
        out.push(
            Diagnostic::new(
                Code::PaperQuestion,
                place,
                format!("The units of this paper have no question `{}` any more.", pick.id.value),
            )
            .found(format!("`{}` in the chosen list", pick.id.value))
            .expected("a question of one of its units")
            .next(format!("give the question its old id again, or {again}")),
        );
        return None;
    };
    let front = &loaded.paper.front;
    let now = worth(found.unit, found.checked, front.seed, front.versions);
    if now.is_none_or(|worth| worth.hash != pick.hash.value || worth.marks != pick.marks) {
        out.push(
            Diagnostic::new(
                Code::PaperChanged,
                place,
                format!("The question `{}` is not as it was when it was chosen.", pick.id.value),
            )
            .found("another text, other numbers or other marks")
            .expected("the question that was chosen")
            .next(format!("look at it; if it is to stay so, {again}")),
        );
    }
    Some(found)
}
