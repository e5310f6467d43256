//! Work that can hurt, as a unit describes it: the hazard rules.
//!
//! Takes the passages of a block; says what in them asks for a caution that is missing,
//! or for what must not be done. What is denied ("never over a flame") is not done.
//! Sources: common practice in school laboratories, no source, and GHS classes from
//! memory; local rules and the supplier's sheets decide.
//!
//! Rules about what is missing hold where work is instructed: in the steps of a
//! technique and in numbered lists of the prose. Those about what is done hold in every
//! text that describes work.

mod materials;

use std::ops::Range;

use crate::diag::{Code, Diagnostic};
use crate::reading::parsed::{Item, ParsedUnit};

use super::language::{Word, denied, phrases, says, sentences, words};
use super::texts::{Block, Passage, Role};
use materials::{
    ACIDS, BLEACHES, FLAMES, FLAMMABLE, NO_SUCH_ACIDS, NOT_FOR_THE_SINK, NOT_THE_LIQUID,
    SPOILT_BY_DRYNESS,
};

/// Passages that belong together, as one piece of work.
struct Work<'p, 'a> {
    /// What is used and done.
    doing: Vec<&'p Passage<'a>>,
    /// All that is said of it, cautions too.
    said: Vec<&'p Passage<'a>>,
    /// Whether the reader is told to do it.
    instructed: bool,
}

pub(super) fn check(unit: &ParsedUnit, block: &Block<'_>, say: &mut dyn FnMut(Diagnostic)) {
    for work in works(block) {
        work.flame(unit, say);
        work.bleach(unit, say);
        work.water_into_acid(unit, say);
        work.tasting(unit, say);
        work.dryness(unit, say);
        if work.instructed {
            work.missing(unit, say);
        }
    }
    if let Item::Technique(technique) = block.item
        && !technique.steps.is_empty()
        && !block.passages.iter().any(|p| says(&p.plain, DEFERS))
    {
        let place = crate::diag::Place::new(&unit.file, technique.id.span);
        say(Diagnostic::new(
            Code::NoDeferral,
            place,
            "The cautions of this technique do not say who decides whether the work is done.",
        )
        .found("cautions without a word on a risk assessment or local rules")
        .expected("a last caution that defers to them")
        .next("add: `- Follow your school's risk assessment and local rules. Your teacher decides whether this is done.`"));
    }
}

/// A last word to whoever answers for the class.
const DEFERS: &[&str] = &[
    "risk assessment*",
    "local rules",
    "local codes",
    "local safety rules",
    "teacher decides",
    "qualified teacher",
    "safety data sheet*",
    "licensed practice",
];

fn works<'p, 'a>(block: &'p Block<'a>) -> Vec<Work<'p, 'a>> {
    let all: Vec<&Passage<'_>> = block.passages.iter().collect();
    let of = |roles: &[Role]| -> Vec<&'p Passage<'a>> {
        all.iter().copied().filter(|p| roles.contains(&p.role)).collect()
    };
    let alone = |passage: &'p Passage<'a>| Work {
        doing: vec![passage],
        said: vec![passage],
        instructed: false,
    };
    match block.item {
        Item::Technique(technique) => {
            let mut works = vec![Work {
                doing: of(&[Role::Title, Role::About, Role::Apparatus, Role::Step]),
                said: of(&[Role::Step, Role::Caution, Role::Apparatus]),
                instructed: !technique.steps.is_empty(),
            }];
            works.extend(of(&[Role::Caution, Role::Industry]).into_iter().map(alone));
            works
        }
        Item::Question(_) | Item::Example(_) => {
            let texts = of(&[Role::Stem, Role::Part]);
            vec![Work { doing: texts.clone(), said: texts, instructed: false }]
        }
        Item::Prose(_) => {
            let mut works: Vec<Work<'_, '_>> = Vec::new();
            let mut listed = false;
            for passage in all.iter().copied() {
                match passage.role {
                    Role::Numbered if listed => {
                        if let Some(work) = works.last_mut() {
                            work.doing.push(passage);
                            work.said.push(passage);
                        }
                    }
                    Role::Numbered => works.push(Work { instructed: true, ..alone(passage) }),
                    Role::Prose => works.push(alone(passage)),
                    _ => {}
                }
                listed = passage.role == Role::Numbered;
            }
            // What the prose says around a list is said of the list too.
            let prose: Vec<&Passage<'_>> = of(&[Role::Prose]);
            for work in works.iter_mut().filter(|work| work.instructed) {
                work.said.extend(prose.iter().copied());
            }
            works
        }
        _ => Vec::new(),
    }
}

/// A sentence of a passage, in words.
struct Sentence<'p, 'a> {
    passage: &'p Passage<'a>,
    start: usize,
    words: Vec<Word>,
}

impl Sentence<'_, '_> {
    fn found(&self, any: &[&str]) -> Option<Range<usize>> {
        phrases(&self.words, any).into_iter().find(|at| !denied(&self.words, at))
    }

    fn finding(
        &self,
        unit: &ParsedUnit,
        code: Code,
        at: &Range<usize>,
        message: &str,
    ) -> Diagnostic {
        let from = self.start + self.words[at.start].at.start;
        let to = self.start + self.words[at.end - 1].at.end;
        let found = format!("`{}`", self.passage.slice(from..to).trim());
        Diagnostic::new(code, self.passage.place(unit, from..to), message).found(found)
    }

    /// A liquid that burns and is at hand.
    fn flammable(&self) -> Option<Range<usize>> {
        phrases(&self.words, FLAMMABLE).into_iter().find(|at| {
            let next = phrases(&self.words[at.end..], NOT_THE_LIQUID);
            !denied(&self.words, at) && next.first().is_none_or(|next| next.start > 0)
        })
    }

    /// A flame in use; what burns with a flame is not heated over one.
    fn flame(&self) -> Option<Range<usize>> {
        let burns = phrases(&self.words, &["burns with", "burn with", "burning with"]);
        self.found(FLAMES).filter(|_| burns.is_empty())
    }

    fn acid(&self) -> Option<Range<usize>> {
        phrases(&self.words, ACIDS).into_iter().find(|at| {
            let before = at.start.checked_sub(1).map_or("", |i| self.words[i].text.as_str());
            !denied(&self.words, at) && !NO_SUCH_ACIDS.contains(&before)
        })
    }
}

impl<'p, 'a> Work<'p, 'a> {
    fn sentences(&self) -> Vec<Sentence<'p, 'a>> {
        let mut found = Vec::new();
        for passage in &self.doing {
            for range in sentences(&passage.plain) {
                let words = words(&passage.plain[range.clone()]);
                found.push(Sentence { passage, start: range.start, words });
            }
        }
        found
    }

    /// Whether two things meet: anywhere in instructed work and questions, within two
    /// sentences in prose that tells of this and that.
    fn meet<'s>(
        &self,
        all: &'s [Sentence<'p, 'a>],
        one: impl Fn(&Sentence<'p, 'a>) -> Option<Range<usize>>,
        other: impl Fn(&Sentence<'p, 'a>) -> Option<Range<usize>>,
    ) -> Option<(&'s Sentence<'p, 'a>, Range<usize>)> {
        let loose = self.instructed || self.doing.iter().any(|p| p.role == Role::Stem);
        let near = |a: usize, b: usize| loose || a.abs_diff(b) <= 1;
        all.iter().enumerate().find_map(|(at, sentence)| {
            let found = one(sentence)?;
            let meets = all
                .iter()
                .enumerate()
                .any(|(b, other_one)| near(at, b) && other(other_one).is_some());
            meets.then_some((sentence, found))
        })
    }

    fn flame(&self, unit: &ParsedUnit, say: &mut dyn FnMut(Diagnostic)) {
        let all = self.sentences();
        // What is only parted off or told of in a title may be at hand all the same.
        if let Some((sentence, at)) = self.meet(&all, Sentence::flame, Sentence::flammable) {
            say(sentence
                .finding(
                    unit,
                    Code::FlammableAndFlame,
                    &at,
                    "A naked flame is used where a flammable liquid is at hand.",
                )
                .expected("electric heating or a bath of hot water, and no flame in the room")
                .next("heat with a mantle, a hot-water bath or an electric plate, and say so"));
        }
    }

    fn bleach(&self, unit: &ParsedUnit, say: &mut dyn FnMut(Diagnostic)) {
        let all = self.sentences();
        if all.iter().any(|s| !phrases(&s.words, KEPT_APART).is_empty()) {
            return;
        }
        let bleach = |s: &Sentence<'_, '_>| s.found(BLEACHES);
        if let Some((sentence, at)) = self.meet(&all, bleach, Sentence::acid) {
            say(sentence
                .finding(
                    unit,
                    Code::AcidAndBleach,
                    &at,
                    "An acid and a chlorine bleach meet in one piece of work; they give chlorine.",
                )
                .expected("one of the two, never both")
                .next("take one of them out, and warn that they must not meet"));
        }
    }

    fn water_into_acid(&self, unit: &ParsedUnit, say: &mut dyn FnMut(Diagnostic)) {
        for sentence in self.sentences() {
            let Some(at) = water_into_acid(&sentence.words) else { continue };
            let within = &sentence.words[at.clone()];
            if denied(&sentence.words, &at) || !phrases(within, &["not", "never"]).is_empty() {
                continue;
            }
            say(sentence
                .finding(
                    unit,
                    Code::WaterIntoAcid,
                    &at,
                    "Water is put into an acid; it may boil and spit.",
                )
                .expected("acid into water, a little at a time, while stirring")
                .next("turn it round: add the acid slowly to the water"));
        }
    }

    fn tasting(&self, unit: &ParsedUnit, say: &mut dyn FnMut(Diagnostic)) {
        let steps = [Role::Step, Role::Numbered];
        for sentence in self.sentences() {
            let told = steps.contains(&sentence.passage.role);
            let Some(at) = tastes(&sentence.words, told) else { continue };
            say(sentence
                .finding(
                    unit,
                    Code::Tasting,
                    &at,
                    "Something is tasted, eaten or drunk in practical work.",
                )
                .expected("nothing is tasted in a laboratory, not even salt")
                .next("find it out in another way, or move it to a kitchen and say so"));
        }
    }

    fn dryness(&self, unit: &ParsedUnit, say: &mut dyn FnMut(Diagnostic)) {
        let all = self.sentences();
        let dry = |s: &Sentence<'_, '_>| {
            let heated = ["evaporat*", "heat*", "boil*", "warm*"];
            s.found(DRYNESS).filter(|_| s.found(&heated).is_some())
        };
        let spoilt = |s: &Sentence<'_, '_>| s.found(SPOILT_BY_DRYNESS).or_else(|| s.flammable());
        if let Some((sentence, at)) = self.meet(&all, dry, spoilt) {
            say(sentence
                .finding(
                    unit,
                    Code::ToDryness,
                    &at,
                    "A hydrate or an organic substance is heated to dryness.",
                )
                .expected("heating that stops while liquid is left")
                .next("stop at the crystallisation point and let the rest leave by itself"));
        }
    }

    /// What instructed work must say and does not.
    fn missing(&self, unit: &ParsedUnit, say: &mut dyn FnMut(Diagnostic)) {
        let all = self.sentences();
        for missing in MISSING {
            if self.said.iter().any(|p| says(&p.plain, missing.unless)) {
                continue;
            }
            let needed =
                missing.and.is_empty() || all.iter().any(|s| s.found(missing.and).is_some());
            let found = all.iter().find_map(|s| s.found(missing.of).map(|at| (s, at)));
            let Some((sentence, at)) = found.filter(|_| needed) else { continue };
            say(sentence
                .finding(unit, missing.code, &at, missing.message)
                .expected(missing.expected)
                .next(missing.next));
        }
    }
}

/// Words by which a text says that two things do not meet.
const KEPT_APART: &[&str] =
    &["never meet", "not meet", "keep apart", "keep them apart", "kept apart", "never mix"];

const DRYNESS: &[&str] = &[
    "to dryness",
    "until dry",
    "until it is dry",
    "until they are dry",
    "until all the water has gone",
    "until all the water is gone",
    "until all of the water has gone",
    "until no liquid is left",
    "until no water is left",
    "boil dry",
    "boiled dry",
];

/// A piece of work that calls for a word which is not there.
struct Missing {
    code: Code,
    /// What calls for it.
    of: &'static [&'static str],
    /// And this too, if anything.
    and: &'static [&'static str],
    /// Unless one of these is said.
    unless: &'static [&'static str],
    message: &'static str,
    expected: &'static str,
    next: &'static str,
}

const MISSING: &[Missing] = &[
    Missing {
        code: Code::VacuumUnguarded,
        of: &[
            "vacuum",
            "suction",
            "reduced pressure",
            "filter pump",
            "water pump",
            "buchner",
            "b\u{fc}chner",
        ],
        and: &[],
        unless: &[
            "inspect*",
            "crack*",
            "star crack*",
            "shield*",
            "safety screen*",
            "flaw*",
            "implo*",
        ],
        message: "Glass is put under vacuum, and nobody looks for cracks or stands behind a shield.",
        expected: "the glass inspected for cracks, or a shield, in the steps or cautions",
        next: "add a caution: inspect the thick-walled glass for cracks and use a shield",
    },
    Missing {
        code: Code::FunnelNotVented,
        of: &["separating funnel*", "separatory funnel*"],
        and: &["shak*", "invert*", "mix*", "swirl*"],
        unless: &["vent*", "release the pressure", "let the pressure out", "open the tap to"],
        message: "A separating funnel is shaken and never vented.",
        expected: "venting, away from faces, in the steps or cautions",
        next: "add: invert the funnel, point its stem away from faces and vent it often",
    },
    Missing {
        code: Code::NoAntiBumping,
        of: &["distil*"],
        and: &["heat*", "boil*", "warm*", "mantle*"],
        unless: &[
            "anti-bumping",
            "antibumping",
            "bumping",
            "boiling chip*",
            "boiling stone*",
            "boiling bead*",
            "magnetic stirrer",
            "stir bar",
            "stirrer bar",
        ],
        message: "A liquid is distilled without anything against bumping.",
        expected: "anti-bumping granules, put into the cold liquid",
        next: "add them to the apparatus, and a step that puts them in before heating",
    },
    Missing {
        code: Code::CentrifugeUnbalanced,
        of: &["centrifuge", "centrifuges", "centrifuged", "spin the tube*"],
        and: &[],
        unless: &[
            "balance the",
            "balance opposite",
            "balance each",
            "balance it",
            "balance them",
            "balance with",
            "balance tubes",
            "balanced",
            "balancing",
            "counterbalanc*",
            "opposite",
        ],
        message: "A centrifuge is run, and its tubes are not balanced.",
        expected: "opposite tubes balanced by mass, in the steps or cautions",
        next: "add a step: balance opposite tubes by mass before starting",
    },
    Missing {
        code: Code::NoDisposal,
        of: NOT_FOR_THE_SINK,
        and: &[],
        unless: &[
            "dispos*",
            "waste",
            "sink",
            "pour away",
            "poured away",
            "collect",
            "collected",
            "residues bottle",
            "used solvent",
            "return the",
            "recover the solvent",
        ],
        message: "A solvent or heavy-metal salt is used, and nothing says where it goes afterwards.",
        expected: "a labelled waste bottle, in the steps or cautions",
        next: "add a caution: collect it in the labelled waste bottle, never the sink",
    },
];

/// "add water to the acid", "the water is poured slowly into concentrated acid".
fn water_into_acid(words: &[Word]) -> Option<Range<usize>> {
    let put =
        ["add", "adds", "adding", "added", "pour*", "put", "puts", "drip*", "run", "runs", "mix*"];
    let is = |at: usize, any: &[&str]| !phrases(&words[at..=at], any).is_empty();
    (0..words.len()).find_map(|water| {
        if words[water].text != "water" {
            return None;
        }
        let end = words.len().min(water + 9);
        let into = (water + 1..end).find(|at| matches!(words[*at].text.as_str(), "to" | "into"))?;
        let acid = (into + 1..words.len().min(into + 6))
            .find(|at| matches!(words[*at].text.as_str(), "acid" | "acids"))?;
        let direct = words[into + 1..acid].iter().all(|w| {
            !matches!(
                w.text.as_str(),
                "dilute" | "diluted" | "weak" | "and" | "water" | "of" | "from"
            )
        });
        let start = water.saturating_sub(7);
        let before = (start..water).find(|at| is(*at, &put));
        let after = (water + 1..into).find(|at| is(*at, &put));
        // "add acid to water": what is put stands before `to`, water behind it.
        let own = before.is_none_or(|at| {
            words[at..water].iter().all(|w| !matches!(w.text.as_str(), "to" | "into" | "acid"))
        });
        let from = before.or(after.map(|_| water))?;
        (direct && own).then_some(from..acid + 1)
    })
}

/// Somebody at work tastes, eats or drinks: told to, or a learner does.
fn tastes(words: &[Word], told: bool) -> Option<Range<usize>> {
    let verbs = [
        "taste", "tastes", "tasting", "eat", "eats", "eating", "drink", "drinks", "lick", "licks",
        "sip", "sips", "swallow",
    ];
    let people = [
        "you", "we", "pupil", "pupils", "student", "students", "learner", "learners", "class",
        "teacher",
    ];
    phrases(words, &verbs).into_iter().find(|at| {
        let before = at.start.checked_sub(1).map(|i| words[i].text.as_str());
        let opens = match before {
            None => true,
            Some(word) => matches!(word, "and" | "then" | "or" | "now" | "carefully" | "finally"),
        };
        let bare =
            matches!(words[at.start].text.as_str(), "taste" | "eat" | "drink" | "lick" | "sip");
        let somebody = words[at.start.saturating_sub(4)..at.start]
            .iter()
            .any(|w| people.contains(&w.text.as_str()));
        let noun = matches!(before, Some("the" | "a" | "its" | "bitter" | "salty" | "of"));
        let instructed = bare && opens && (told || before.is_none());
        (instructed || (somebody && !noun)) && !denied(words, at)
    })
}

#[cfg(test)]
mod tests {
    use super::super::language::meant;
    use super::*;

    fn tasted(text: &str, told: bool) -> bool {
        tastes(&words(text), told).is_some()
    }

    #[test]
    fn water_goes_into_acid_or_does_not() {
        for bad in [
            "Add water to concentrated sulfuric acid",
            "Slowly pour the cold water into the acid",
            "Water is added drop by drop to the acid",
        ] {
            assert!(water_into_acid(&words(bad)).is_some(), "{bad}");
        }
        for good in [
            "Add the acid to the water",
            "Add water to the dilute acid",
            "Pour the acid into water and add salt to it",
            "Water runs to the tank and acid to the other",
        ] {
            let found = water_into_acid(&words(good));
            assert!(found.is_none_or(|at| denied(&words(good), &at)), "{good}");
        }
        let never = words("Never add water to concentrated acid");
        let at = water_into_acid(&never).expect("it is spoken of");
        assert!(denied(&never, &at));
    }

    #[test]
    fn tasting_is_done_by_somebody() {
        assert!(tasted("Taste a little of the salt", false));
        assert!(tasted("Rinse the crystals and taste them", true));
        assert!(tasted("The pupils taste the water", false));
        assert!(!tasted("Do not taste the crystals", true));
        assert!(!tasted("Never taste or eat anything in a laboratory", true));
        assert!(!tasted("The magnesium salts taste bitter", false));
        assert!(!tasted("Drinking water is made from sea water", false));
        assert!(!tasted("Anyone who has swallowed a wave knows it", false));
    }

    #[test]
    fn an_ethanol_thermometer_burns_nothing() {
        assert!(meant("Hold the flame under it.", FLAMES).is_some());
        let passage = "Read the ethanol thermometer.";
        let all = words(passage);
        let at = phrases(&all, FLAMMABLE).remove(0);
        assert!(phrases(&all[at.end..], NOT_THE_LIQUID)[0].start == 0);
    }
}
