//! What to revise, in plain words: a finding on each part that calls for one, with the
//! threshold behind it and where that comes from.

use super::statistics::{Fairness, Item};

/// Facility below which a part is very hard, and above which it is very easy (common
/// practice, no single source).
pub const HARD: f64 = 0.20;
pub const EASY: f64 = 0.90;
/// Discrimination below which a part is revised (Ebel, Essentials of Educational
/// Measurement, 3rd ed. 1979, p. 267, page from memory).
pub const POOR: f64 = 0.20;
const GOOD: f64 = 0.40;
/// Learners below which a figure is told with its interval and little is made of it
/// (common practice, no source).
pub const SMALL: u64 = 30;
/// Share of a class that makes one mistake from which on it is taught again (common
/// practice, no source).
pub const TAUGHT_AGAIN: f64 = 0.25;
/// How often chance may do as much before versions are called unlike, and how far apart
/// their shares must be besides (common practice, no source).
pub const CHANCE: f64 = 0.05;
pub const APART: f64 = 0.15;

/// What is to be done about a part, the gravest first.
pub fn advice(
    item: &Item,
    fairness: &Fairness,
    learners: u64,
    mistake: Option<(&str, u64)>,
) -> Vec<String> {
    let mut says = Vec::new();
    let facility = item.facility.unwrap_or(0.0);
    let varied = item.variance.is_some_and(|v| v > 0.0);
    if let Some(p) = fairness.adjusted.filter(|p| *p < CHANCE)
        && fairness.gap() >= APART
    {
        says.push(format!(
            "Versions differ by {:.0} % of the marks (chance alone: {}): compare their numbers.",
            100.0 * fairness.gap(),
            chance(p)
        ));
    }
    let negative = item.corrected.or(item.discrimination).is_some_and(|d| d < 0.0);
    if varied && negative {
        let sure = item.corrected_between.is_some_and(|between| between.high < 0.0);
        says.push(
            if sure {
                "Weaker learners did better here: check the key first, then the wording."
            } else {
                "Weaker learners did as well here, perhaps by chance: look at the key and the wording."
            }
            .to_owned(),
        );
    }
    if let Some((name, count)) =
        mistake.filter(|(_, n)| *n as f64 >= TAUGHT_AGAIN * learners as f64 && *n > 1)
    {
        says.push(format!("Teach again: “{name}”, made by {count} of {learners}."));
    }
    if facility < HARD {
        says.push("Very hard: ask for less, or teach it first.".to_owned());
    } else if facility > EASY {
        says.push("Very easy: fine as a start, tells little.".to_owned());
    } else if !negative && varied && item.discrimination.is_some_and(|d| d < POOR) {
        // An interval that reaches good values leaves the matter open.
        let open = item.discrimination_between.is_none_or(|between| between.high >= GOOD);
        says.push(if open {
            "Seems to tell strong and weak hardly apart; too few learners to be sure.".to_owned()
        } else {
            "Tells strong and weak hardly apart: revise the question.".to_owned()
        });
    }
    if item.omit_rate.is_some_and(|rate| rate >= TAUGHT_AGAIN) {
        says.push(format!(
            "Left out by {} of {learners}: is it clear, was there time?",
            item.blanks
        ));
    }
    says
}

/// "1 in 400", in words that need no table.
pub fn chance(p: f64) -> String {
    if p < 0.001 { "less than 1 in 1,000".to_owned() } else { format!("1 in {:.0}", 1.0 / p) }
}

/// What the thresholds are and where they come from, for the foot of a report.
pub fn sources() -> Vec<String> {
    vec![
        format!("Facility is the mean share of a part's marks; below {HARD:.2} a part is called very hard, above {EASY:.2} very easy (common practice, no single source). Interval of 95 %: Wilson 1927, which for parts of several marks is rather too wide."),
        format!("Discrimination is the share of the marks of the upper 27 % of learners less that of the lower 27 % (Kelley 1939), learners with one total shared between groups; below {POOR:.2} a part is revised (Ebel 1979). Its interval: Newcombe 1998. r is the correlation with all other marks; its interval (in `report.json`): Fisher 1921."),
        "Alpha (Cronbach 1951; with one mark a part it is KR-20, Kuder and Richardson 1937): 0.70 will do to compare groups, 0.90 is wanted for decisions on a single learner (Nunnally 1978). Its interval: Bonett 2002.".to_owned(),
        format!("Versions are compared by each learner's share of a part less their share of the rest, by analysis of variance; the chances of all parts are adjusted together (Holm 1979). They are called unlike from {:.0} % of the marks apart and below 1 in {:.0} by chance (common practice, no source).", 100.0 * APART, 1.0 / CHANCE),
        format!("With fewer than {SMALL} learners all of these say little: look at the intervals."),
    ]
}
