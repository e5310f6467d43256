//! What a second person's check covers, and what of it is open again.
//!
//! Takes marks of a paper's content as it is now, and the moderation file as it was signed;
//! gives the file as it should stand, or findings, one for each thing that has changed.
//! A signature holds for a mark: a version's covers all that it asks, so that it is lost
//! for that version alone, and a question's covers it in all versions.

use crate::diag::{Code, Diagnostic, Diagnostics, Place, Span};
use crate::reading::paper::{Moderated, Signature, SignedQuestion};
use crate::version::letters;

use super::mark::mark_of;

/// A paper's content now.
#[derive(Debug, Clone, Default)]
pub struct Contents {
    pub paper: String,
    pub seed: u64,
    /// How many versions it has; its questions may be told in more.
    pub versions: usize,
    /// A mark of what all versions share beside the questions.
    pub front_page: String,
    pub questions: Vec<Content>,
}

#[derive(Debug, Clone, Default)]
pub struct Content {
    /// "quarnholm-salt/two-pans".
    pub id: String,
    /// The number of its section, from 1.
    pub section: Option<u32>,
    /// A mark of all that it asks and answers in each version.
    pub versions: Vec<String>,
}

impl Content {
    /// In the first so many versions.
    fn mark(&self, versions: usize) -> String {
        mark_of(self.versions.iter().take(versions).map(String::as_str))
    }
}

impl Contents {
    /// A mark of everything that a version asks, and in which order.
    pub fn version(&self, version: usize) -> String {
        let mut texts = vec![self.front_page.clone(), letters(version as u64)];
        for question in &self.questions {
            texts.push(question.id.clone());
            texts.push(question.section.map_or_else(String::new, |number| number.to_string()));
            texts.push(question.versions.get(version).cloned().unwrap_or_default());
        }
        mark_of(texts.iter().map(String::as_str))
    }

    fn find(&self, id: &str) -> Option<(usize, &Content)> {
        self.questions.iter().enumerate().find(|(_, question)| question.id == id)
    }
}

/// What came of a comparison.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Since {
    /// Questions that changed, came, went or moved.
    pub reopened: usize,
    /// Versions whose signature no longer holds, or that have none.
    pub open: usize,
    /// Questions and versions that stay signed.
    pub questions_signed: usize,
    pub versions_signed: usize,
    /// Whether anything has changed at all.
    pub changed: bool,
}

/// Compares a paper with what was checked of it; what is open goes to `out`. `place_of` says
/// where the question of an id stands in its unit. None where the file is of another paper.
pub fn since(
    old: &Moderated,
    now: &Contents,
    place_of: &dyn Fn(&str) -> Option<Place>,
    out: &mut Diagnostics,
) -> Option<Since> {
    if !is_of(old, &now.paper, out) {
        return None;
    }
    let compared = Compared { old, now, place_of };
    let mut found = Since::default();
    if old.seed.value.trim() != now.seed.to_string() {
        out.push(compared.other_seed());
        return Some(Since {
            reopened: now.questions.len(),
            open: now.versions,
            changed: true,
            ..found
        });
    }
    let mut why = compared.questions(&mut found, out);
    if old.front_page.value != now.front_page {
        out.push(compared.front_page());
        why.push("the front page".to_owned());
    }
    compared.versions(&why, &mut found, out);
    Some(found)
}

/// Whether the file is of this paper, and its versions are those from A on.
pub fn is_of(old: &Moderated, paper: &str, out: &mut Diagnostics) -> bool {
    let finding = |span: Span, message: String| {
        Diagnostic::new(Code::ModerationFile, Place::new(&old.file, span), message)
    };
    if old.paper.value != paper {
        out.push(
            finding(old.paper.span, "This moderation file is of another paper.".to_owned())
                .found(format!("`{}`", old.paper.value))
                .expected(format!("`{paper}`"))
                .next(format!("name or put back the file `{paper}.moderation.yaml`")),
        );
        return false;
    }
    for (number, version) in old.versions.iter().enumerate() {
        let wanted = letters(number as u64);
        if version.letters.value != wanted {
            out.push(
                finding(version.letters.span, "The versions are not in order.".to_owned())
                    .found(format!("`{}`", version.letters.value))
                    .expected(format!("`{wanted}`"))
                    .next("put the lines back as they were written"),
            );
            return false;
        }
    }
    true
}

struct Compared<'a> {
    old: &'a Moderated,
    now: &'a Contents,
    place_of: &'a dyn Fn(&str) -> Option<Place>,
}

impl Compared<'_> {
    fn finding(&self, code: Code, span: Span, message: String) -> Diagnostic {
        Diagnostic::new(code, Place::new(&self.old.file, span), message)
    }

    fn other_seed(&self) -> Diagnostic {
        let message = "All versions were drawn anew since they were checked.".to_owned();
        self.finding(Code::ModerationUncovered, self.old.seed.span, message)
            .found(format!("the seed `{}` when they were checked", self.old.seed.value))
            .expected(format!("`{}`, the seed of the paper", self.now.seed))
            .next("give the paper its old seed, or have all versions checked again")
    }

    fn front_page(&self) -> Diagnostic {
        let message = "What stands around the questions is not what was checked.".to_owned();
        self.finding(Code::ModerationReopened, self.old.front_page.span, message)
            .found("other instructions, times, sections, cautions or words of the front page")
            .expected("the front page that was checked")
            .next("have the front page checked again")
    }

    /// Tells what became of every question; gives in short what re-opens.
    fn questions(&self, found: &mut Since, out: &mut Diagnostics) -> Vec<String> {
        let Compared { old, now, .. } = self;
        let mut why = Vec::new();
        let moved = self.moved();
        for (at, question) in old.questions.iter().enumerate() {
            let id = &question.id.value;
            let (message, was, expected, next) = match now.find(id) {
                None => (
                    format!("The question `{id}` was checked and is no longer asked."),
                    "no such question in the paper",
                    "the questions that were checked",
                    "look whether the others still make a whole, and have the versions signed again",
                ),
                Some((_, content)) if content.mark(old.versions.len()) != question.hash => (
                    format!("The question `{id}` is not what was checked."),
                    "another text, other numbers, options, answers, marks, figure or data",
                    "the question as it was checked",
                    "have it checked again in all versions, or take the change back",
                ),
                Some(_) if moved.contains(&at) => (
                    format!("The question `{id}` stands elsewhere than when it was checked."),
                    "another order of questions, or another section",
                    "the order that was checked",
                    "look at what stands before and after it, and have the versions signed again",
                ),
                Some(_) => {
                    found.questions_signed += usize::from(self.signed(question).is_some());
                    continue;
                }
            };
            found.reopened += 1;
            why.push(id.clone());
            let mut finding = self
                .finding(Code::ModerationReopened, question.id.span, message)
                .found(was)
                .expected(expected)
                .next(next);
            if let Some(place) = (self.place_of)(id) {
                finding = finding.related(place, "it stands");
            }
            out.push(finding);
        }
        for content in &now.questions {
            if old.questions.iter().any(|question| question.id.value == content.id) {
                continue;
            }
            found.reopened += 1;
            why.push(content.id.clone());
            let file = Place::new(&old.file, old.paper.span);
            let place = (self.place_of)(&content.id).unwrap_or_else(|| file.clone());
            let message = format!("The question `{}` has not been checked yet.", content.id);
            out.push(
                Diagnostic::new(Code::ModerationReopened, place, message)
                    .found("a question that was not in the paper when it was checked")
                    .expected("questions that were checked")
                    .next("have it checked in all versions")
                    .related(file, "what was checked stands"),
            );
        }
        why
    }

    /// Which of the old questions moved: the fewest without which the others stand in the
    /// same order, and those of another section.
    fn moved(&self) -> Vec<usize> {
        let kept: Vec<(usize, usize)> = (0..)
            .zip(&self.old.questions)
            .filter_map(|(at, question)| Some((at, self.now.find(&question.id.value)?.0)))
            .collect();
        // The longest run of kept questions whose new places rise, ending at each.
        let mut longest: Vec<(usize, Option<usize>)> = Vec::new();
        for (i, (_, place)) in kept.iter().enumerate() {
            let before = (0..i)
                .filter(|j| kept[*j].1 < *place)
                .max_by_key(|j| (longest[*j].0, std::cmp::Reverse(*j)));
            longest.push((before.map_or(1, |j| longest[j].0 + 1), before));
        }
        let mut stay = Vec::new();
        let last = (0..kept.len()).max_by_key(|i| (longest[*i].0, std::cmp::Reverse(*i)));
        let mut at = last;
        while let Some(i) = at {
            stay.push(kept[i].0);
            at = longest[i].1;
        }
        let elsewhere = |at: usize, place: usize| {
            self.old.questions[at].section != self.now.questions[place].section
        };
        let moved = kept.iter().filter(|(at, place)| !stay.contains(at) || elsewhere(*at, *place));
        moved.map(|(at, _)| *at).collect()
    }

    /// Who signed a question, by itself or with all versions.
    fn signed(&self, question: &SignedQuestion) -> Option<Signature> {
        question.signature.clone().or_else(|| signed_with_all(self.old))
    }

    fn versions(&self, why: &[String], found: &mut Since, out: &mut Diagnostics) {
        let Compared { old, now, .. } = self;
        let mut unsigned = Vec::new();
        for (number, version) in old.versions.iter().enumerate().take(now.versions) {
            if version.hash == now.version(number) {
                match version.signature {
                    Some(_) => found.versions_signed += 1,
                    None => unsigned.push(version),
                }
                continue;
            }
            found.open += 1;
            let letters = &version.letters;
            let message = format!("Version {} is no longer what was checked.", letters.value);
            out.push(
                self.finding(Code::ModerationUncovered, letters.span, message)
                    .found(format!("changed since: {}", why.join(", ")))
                    .expected(format!("the content with the mark `{}`", version.hash))
                    .next("check what re-opened, print the pack anew with `--moderation` and sign there"),
            );
        }
        let new: Vec<String> =
            (old.versions.len()..now.versions).map(|number| letters(number as u64)).collect();
        found.changed = !why.is_empty() || found.open > 0 || !new.is_empty();
        if !new.is_empty() {
            found.open += new.len();
            let are = if new.len() == 1 { "Version" } else { "Versions" };
            let message = format!("{are} {} were not there to be checked.", new.join(", "));
            let message = if new.len() == 1 { message.replace("were", "was") } else { message };
            let last = old.versions.last().map_or(old.paper.span, |last| last.letters.span);
            out.push(
                self.finding(Code::ModerationUncovered, last, message)
                    .found(format!("{} versions that were checked", old.versions.len()))
                    .expected(format!("{}, as the paper has now", now.versions))
                    .next("print the pack anew with `--moderation` and have them checked"),
            );
        }
        if let Some(first) = unsigned.first() {
            found.open += unsigned.len();
            let names: Vec<&str> =
                unsigned.iter().map(|version| version.letters.value.as_str()).collect();
            let (are, plural) = if names.len() == 1 { ("is", "") } else { ("are", "s") };
            let message = format!("Version{plural} {} {are} not signed yet.", names.join(", "));
            out.push(
                self.finding(Code::ModerationUnsigned, first.letters.span, message)
                    .found("nothing after `checked_by` or `on`")
                    .expected("who checked it, and the date")
                    .next("whoever has checked it fills both in"),
            );
        }
    }
}

/// The signatures of all versions together, if none is missing: they cover each question.
fn signed_with_all(old: &Moderated) -> Option<Signature> {
    let all: Option<Vec<&Signature>> =
        old.versions.iter().map(|version| version.signature.as_ref()).collect();
    let all = all.filter(|all| !all.is_empty())?;
    let joined = |of: fn(&Signature) -> &str| {
        let mut words: Vec<&str> = Vec::new();
        for one in all.iter().map(|signature| of(signature)) {
            if !words.contains(&one) {
                words.push(one);
            }
        }
        words.join(", ")
    };
    Some(Signature { by: joined(|s| &s.by), on: joined(|s| &s.on) })
}

/// Who signed the question of an id, if it is still what they signed, in no more versions.
pub fn stays_signed(old: &Moderated, now: &Contents, id: &str) -> Option<Signature> {
    let same_draws = old.seed.value.trim() == now.seed.to_string();
    let question = old.questions.iter().find(|question| question.id.value == id)?;
    let (_, content) = now.find(id)?;
    let holds = same_draws
        && now.versions <= old.versions.len()
        && content.mark(old.versions.len()) == question.hash;
    let signature = question.signature.clone().or_else(|| signed_with_all(old));
    signature.filter(|_| holds)
}

/// The moderation file as it should stand: with the signatures of an older one that still
/// hold.
pub fn record(now: &Contents, old: Option<&Moderated>) -> String {
    let mut text = format!(
        "# Written by `stillroom print --moderation`; keep it with the paper. Whoever has checked\n\
         # a version writes their name after `checked_by` and the date after `on`. A signature\n\
         # holds for what had this hash: after a change `stillroom check PAPER --since FILE` says\n\
         # what is open again. Questions need no signature of their own where all versions have.\n\
         paper: {}\nseed: {}\nfront_page: \"{}\"\nversions:\n",
        now.paper, now.seed, now.front_page
    );
    for number in 0..now.versions {
        let hash = now.version(number);
        let was = old.and_then(|old| old.versions.get(number));
        let signature = was.filter(|was| was.hash == hash).and_then(|was| was.signature.clone());
        text.push_str(&format!("- version: {}\n  hash: \"{hash}\"\n", letters(number as u64)));
        text.push_str(&signed(signature));
    }
    text.push_str("questions:\n");
    for question in &now.questions {
        let hash = question.mark(now.versions);
        text.push_str(&format!("- id: {}\n  hash: \"{hash}\"\n", question.id));
        if let Some(section) = question.section {
            text.push_str(&format!("  section: {section}\n"));
        }
        text.push_str(&signed(old.and_then(|old| stays_signed(old, now, &question.id))));
    }
    text
}

fn signed(signature: Option<Signature>) -> String {
    let quoted = |text: &str| {
        let plain: String = text.chars().filter(|c| !c.is_control()).collect();
        format!(" \"{}\"", plain.replace('\\', "\\\\").replace('"', "\\\""))
    };
    let (by, on) = signature.map_or_else(Default::default, |s| (quoted(&s.by), quoted(&s.on)));
    format!("  checked_by:{by}\n  on:{on}\n")
}
