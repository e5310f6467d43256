//! The scheme of an investigation, in six strands.

use crate::reading::kinds::Investigate;
use crate::reading::parsed::Text;

use super::choose::same;
use super::{Check, Task};

/// Whatever is investigated (common practice, no source).
const REPEAT: &str = "repeat each measurement and take the mean";
const RANGE: &str = "use at least five values over a sensible range";
const CHART: &str = "plot the results and look for a pattern or a value that does not fit";
const LIMITS: &str = "name a source of error and how to make it smaller";
const DEFER: &str = "follow the risk assessment and the local rules";
/// Steps and cautions of a technique that a scheme takes up.
const MOST: usize = 4;

impl Check<'_, '_> {
    pub(super) fn plan(&mut self, told: &Investigate) -> Option<Task> {
        let technique = match &told.technique {
            Some(name) => Some(self.technique(name)?.clone()),
            None => None,
        };
        let kept = told.keep.iter().chain([&told.measure]);
        if let Some(twice) = kept.into_iter().find(|text| same(&text.value, &told.change.value)) {
            self.twice(&told.change, twice, "variables");
            return None;
        }
        let (change, measure) = (&told.change.value, &told.measure.value);
        // Sentences become members of a list.
        let own = |list: &[Text]| -> Vec<String> {
            list.iter().map(|t| t.value.trim_end_matches('.').to_owned()).collect()
        };
        // The author's, or else the technique's.
        let either = |list: &[Text], of: Option<&Vec<Text>>| -> Vec<String> {
            match of {
                Some(of) if list.is_empty() => own(of),
                _ => own(list),
            }
        };
        let mut variables = vec![format!("changes {change}"), format!("measures {measure}")];
        if !told.keep.is_empty() {
            variables.push(format!("keeps the same: {}", own(&told.keep).join(", ")));
        }
        let apparatus = either(&told.apparatus, technique.as_ref().map(|t| &t.apparatus));
        let apparatus = match apparatus.is_empty() {
            true => vec!["names what is needed to do the work".to_owned()],
            false => vec![apparatus.join(", ")],
        };
        let mut method: Vec<String> = either(&told.method, technique.as_ref().map(|t| &t.steps));
        if told.method.is_empty() {
            method.truncate(MOST);
        }
        if method.is_empty() {
            method.push("says in order what is done, so that another could do it".to_owned());
        }
        let measurement = vec![
            format!("says how {measure} is measured, with its unit"),
            RANGE.to_owned(),
            REPEAT.to_owned(),
        ];
        let mut safety = either(&told.safety, technique.as_ref().map(|t| &t.cautions));
        if told.safety.is_empty() {
            safety.truncate(MOST);
        }
        safety.push(DEFER.to_owned());
        let evaluation = match told.evaluation.is_empty() {
            true => vec![CHART.to_owned(), LIMITS.to_owned()],
            false => own(&told.evaluation),
        };
        Some(Task::Investigate {
            strands: vec![
                ("variables", variables),
                ("apparatus", apparatus),
                ("method", method),
                ("measurement", measurement),
                ("safety", safety),
                ("evaluation", evaluation),
            ],
        })
    }
}
