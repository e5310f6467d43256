//! What a template is given. Made by the stages before; every text is plain
//! unless it says Markdown, and plain text is escaped on its way in.

use serde::Serialize;

/// A worksheet, or with `key` its teacher's copy.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SheetContext {
    pub title: String,
    /// Of a paper; in place of the opening.
    pub front: Option<FrontContext>,
    pub objective_line: Option<String>,
    /// "Year 9 science · Salt from the sea"
    pub head_left: String,
    /// "Quarnholm Salt Works"
    pub head_right: String,
    pub letters: LettersContext,
    /// The version code: "C-7K2".
    pub code: String,
    /// The version's letter: "C".
    pub version: String,
    pub seed: String,
    pub key: bool,
    pub score: u32,
    /// BCP 47.
    pub language: String,
    /// Tables that questions read, for a page behind them.
    pub data: Vec<DataContext>,
    pub questions: Vec<QuestionContext>,
    pub cautions: Vec<String>,
    /// Where the learner sits whose copy it is; empty on others.
    pub seat: String,
    /// It bears a learner's name, so there is no teacher's copy to keep room for.
    pub named: bool,
    /// On a marked copy.
    pub marked: Option<MarkedContext>,
    /// Whether a second person writes beside each question how long it took.
    pub timed: bool,
}

/// The front page of a paper.
#[derive(Debug, Clone, Default, Serialize)]
pub struct FrontContext {
    /// The address of the school's badge among the pictures; empty without one.
    pub badge: String,
    pub school: String,
    pub subject: String,
    pub date: String,
    /// "75 minutes", with the arrangements of the learner.
    pub time: String,
    pub need: Vec<String>,
    pub instructions: Vec<String>,
    pub information: Vec<String>,
    pub foot: String,
    /// Whose copy it is; empty for one that nobody is named for.
    pub learner: String,
    pub class: String,
    /// A row for each question, for the marker.
    pub rows: Vec<MarkerRowContext>,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct MarkerRowContext {
    pub question: u32,
    pub max: u32,
    /// On a marked copy.
    pub given: Option<u32>,
}

/// A heading before a question that opens a section.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SectionContext {
    pub title: String,
    pub marks: u32,
}

/// What a department calls its marks: "M", "A", "B".
#[derive(Debug, Clone, Default, Serialize)]
pub struct LettersContext {
    pub method: String,
    pub accuracy: String,
    pub independent: String,
}

/// What a marked copy says of its learner.
#[derive(Debug, Clone, Default, Serialize)]
pub struct MarkedContext {
    pub learner: String,
    pub class: String,
    pub given: u32,
    /// The department's grade for these marks; empty where it has none.
    pub grade: String,
    /// The marks of each part, and their total.
    pub strip: Vec<StripContext>,
    /// What went well, one line each.
    pub can: Vec<String>,
    /// What to work on.
    pub work_on: Vec<String>,
    pub look_again: Vec<LookContext>,
    /// A part in fresh numbers, if there is a follow-up sheet on which it stands too.
    pub fresh: Option<FreshContext>,
    /// Whether there is a follow-up sheet.
    pub follow_up: bool,
}

/// A part to try on the spot. Markdown.
#[derive(Debug, Clone, Default, Serialize)]
pub struct FreshContext {
    pub stem: String,
    /// "3(b)", where it stands on the follow-up sheet.
    pub label: String,
    pub part: PartContext,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct StripContext {
    pub head: String,
    pub says: String,
    pub full: bool,
    pub total: bool,
}

/// A part to look at again: what was done, what was wanted, what to do. In Markdown.
#[derive(Debug, Clone, Default, Serialize)]
pub struct LookContext {
    pub part: String,
    pub lines: Vec<String>,
}

/// A marker's signs beside a part.
#[derive(Debug, Clone, Default, Serialize)]
pub struct JudgedContext {
    pub given: u32,
    /// None where the part is no number on a line: a tick or cross stands beside its marks.
    pub codes: Vec<CodeContext>,
    pub note: String,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct CodeContext {
    /// "M1", "A0 ft"
    pub code: String,
    pub earned: bool,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct QuestionContext {
    /// The section that it opens.
    pub section: Option<SectionContext>,
    pub number: u32,
    /// Markdown, with the version's values filled in.
    pub stem: String,
    pub figure: Option<FigureContext>,
    /// Tables that stand below the stem.
    pub data: Vec<DataContext>,
    pub parts: Vec<PartContext>,
    pub total: u32,
}

/// A drawing by its id, and what stands below it.
#[derive(Debug, Clone, Default, Serialize)]
pub struct FigureContext {
    pub id: String,
    /// "Figure 2.1"
    pub label: String,
    pub caption: String,
    /// What a learner wrote in place of names, on a marked copy.
    pub names: Vec<NameContext>,
}

/// A name to be written on a figure.
#[derive(Debug, Clone, Default, Serialize)]
pub struct NameContext {
    pub name: String,
    pub wrote: String,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct PartContext {
    /// "(a)"; none where the stem itself asks, and where it goes on.
    pub label: Option<String>,
    /// "(ii)", of a part within a part.
    pub sub: Option<String>,
    /// "(a)(ii)"; empty where the stem itself asks.
    pub mark: String,
    /// Markdown that leads to the parts within, before the first of them.
    pub lead: String,
    /// Markdown.
    pub text: String,
    /// The room for an answer that is no number on a line.
    pub form: Option<FormContext>,
    pub answers: Vec<AnswerContext>,
    pub marks: u32,
    /// The room above the answers, where the usual one will not do.
    pub room: Option<RoomContext>,
    /// Short lines of Markdown for the working space of the key.
    pub working: Vec<String>,
    pub mistakes: Vec<MistakeContext>,
    pub solution: Vec<StepContext>,
    /// On a marked copy.
    pub judged: Option<JudgedContext>,
}

/// Room to write in, lengths in mm.
#[derive(Debug, Clone, Default, Serialize)]
pub struct RoomContext {
    /// "none", "blank", "lines", "drawing" or "graph"
    pub kind: String,
    pub width: Option<f64>,
    pub height: Option<f64>,
    pub lines: Option<u32>,
}

/// The room for an answer. What a kind has no use for is empty. Texts are Markdown.
#[derive(Debug, Clone, Default, Serialize)]
pub struct FormContext {
    /// options, judgement, pairs, sequence, prose, gaps, names, reading, filling, odd: the
    /// template in `kinds/` that prints it.
    pub is: String,
    /// "Tick **two** boxes."
    pub note: String,
    pub marks: u32,
    pub boxes: Vec<BoxContext>,
    /// The boxes stand beside each other, if they fit.
    pub row: bool,
    /// A second column of lettered texts.
    pub beside: Vec<BoxContext>,
    /// Ruled lines, and what a teacher's copy has on them.
    pub lines: u32,
    pub writes: Vec<WriteContext>,
    pub bank: Vec<String>,
    pub columns: Vec<ColumnContext>,
    pub rows: Vec<Vec<String>>,
    pub answers: Vec<AnswerContext>,
    /// The part's id, under which its worked answer stands: "(b)(ii)".
    pub see: String,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct BoxContext {
    /// "A"
    pub label: String,
    pub text: String,
    pub ticked: bool,
    /// What stands in the box on a teacher's copy.
    pub fill: String,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct WriteContext {
    pub text: String,
    /// "B1"
    pub marks: String,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct AnswerContext {
    /// "mass of slurry"
    pub name: String,
    /// As printed behind the line; empty for a plain number.
    pub unit: String,
    /// The printed answer.
    pub value: String,
    /// What the learner wrote, on a marked copy.
    pub wrote: String,
    /// Length of the answer line in mm, where the usual one will not do.
    pub width: Option<f64>,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct MistakeContext {
    /// The wrong value as printed.
    pub value: String,
    /// What the learner did: "boiled off all the water".
    pub says: String,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct StepContext {
    /// From 1, through all parts of a question; none for a remark to the steps above
    /// and where a question has one step only.
    pub number: Option<u32>,
    /// Markdown: "All the salt stays in the slurry."
    pub says: String,
    /// Markdown, in order: formula ("slurry = salt ÷ 0.24"), then what it equals
    /// with numbers put in, unrounded, and rounded. Each after the first may leave
    /// out its left side.
    pub chain: Vec<String>,
    /// What the step earns: "M1 A1". Empty where it earns none, and for learners.
    pub marks: String,
}

/// The handout of a lesson.
#[derive(Debug, Clone, Default, Serialize)]
pub struct LessonContext {
    pub title: String,
    pub head_left: String,
    pub head_right: String,
    /// "Year 9 science"; empty if not said.
    pub class_line: String,
    pub minutes: Option<u32>,
    pub objectives: Vec<ObjectiveContext>,
    /// BCP 47.
    pub language: String,
    /// Whether words may part at the ends of lines.
    pub hyphenation: bool,
    pub items: Vec<LessonItem>,
    /// The sentence on cautions and local codes that closes the handout.
    pub closing: Option<String>,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct ObjectiveContext {
    pub id: String,
    pub words: String,
}

/// A thing in a lesson, in the order of the unit file.
#[derive(Debug, Clone, Serialize)]
#[serde(tag = "is", rename_all = "kebab-case")]
pub enum LessonItem {
    Prose { markdown: String },
    Technique(Box<TechniqueContext>),
    Process(ProcessContext),
    Example(ExampleContext),
    Data(DataContext),
    Figure(FigureContext),
    Glossary { terms: Vec<TermContext> },
    Review { title: String, questions: Vec<RecallContext> },
}

/// A question of a quick review. Markdown.
#[derive(Debug, Clone, Default, Serialize)]
pub struct RecallContext {
    pub ask: String,
    /// What to choose from; empty where nothing is.
    pub options: Vec<ChoiceContext>,
    pub answer: String,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct TechniqueContext {
    /// The block's id.
    pub id: String,
    pub title: String,
    /// What it rests on: "boiling point".
    pub property: String,
    /// "a dissolved solid from its solvent"
    pub separates: String,
    pub outlets: Vec<OutletContext>,
    pub apparatus: Vec<String>,
    pub steps: Vec<String>,
    pub cautions: Vec<String>,
    /// How it is done at a works.
    pub industry: Vec<String>,
    /// The id of the drawing of its apparatus; empty if there is none.
    pub sketch: String,
    /// The parts of that apparatus, in the order of the letters on slides.
    pub parts: Vec<String>,
    /// The id of the diagram of its step of the unit's process; empty if there is none.
    pub step: String,
    /// What is written down when it is done.
    pub results: ResultsContext,
    /// Three characters that are others as soon as its words are.
    pub edition: String,
}

/// A table to fill in, and what is asked about its numbers.
#[derive(Debug, Clone, Default, Serialize)]
pub struct ResultsContext {
    pub columns: Vec<String>,
    pub rows: Vec<String>,
    pub asks: String,
}

/// A role and what leaves by it: vapour, steam.
#[derive(Debug, Clone, Default, Serialize)]
pub struct OutletContext {
    pub role: String,
    pub stream: String,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct ProcessContext {
    pub title: String,
    pub operations: Vec<OperationContext>,
    pub by_products: Vec<ByProductContext>,
}

/// A row of the table of operations.
#[derive(Debug, Clone, Default, Serialize)]
pub struct OperationContext {
    /// The author's name for it: "pan".
    pub step: String,
    /// What it is: "evaporation".
    pub operation: String,
    pub inlets: Vec<String>,
    /// Streams in the order of the operation's outlets.
    pub outlets: Vec<OutletContext>,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct ByProductContext {
    pub stream: String,
    pub purpose: String,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct ExampleContext {
    pub number: u32,
    /// Markdown.
    pub stem: String,
    pub parts: Vec<PartContext>,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct DataContext {
    pub title: String,
    pub columns: Vec<ColumnContext>,
    /// As printed, one text a column.
    pub rows: Vec<Vec<String>>,
    /// Where the figures are from; empty if not said.
    pub source: String,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct ColumnContext {
    /// "mass / kg"
    pub head: String,
    /// Aligned on the decimal point.
    pub numbers: bool,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct TermContext {
    pub term: String,
    pub meaning: String,
    /// Empty if none.
    pub example: String,
    /// What it is not to be taken for; empty if none.
    pub not: String,
}

/// The mark scheme of all versions, with their values. Texts are Markdown.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SchemeContext {
    pub title: String,
    pub head_left: String,
    pub head_right: String,
    /// BCP 47.
    pub language: String,
    /// "48 marks · 90 minutes"
    pub line: String,
    /// The version whose numbers stand in the scheme.
    pub version: String,
    /// How many versions the tables hold, and how many there are.
    pub shown: usize,
    pub versions: u32,
    /// Those that the scheme uses.
    pub abbreviations: Vec<AbbreviationContext>,
    pub questions: Vec<SchemeQuestionContext>,
    pub total: u32,
    /// The least marks of each grade; no rows where a department gives none.
    pub grades: CellsContext,
    pub values: Vec<CellsContext>,
    /// Common wrong answers, mistake by version.
    pub slips: Vec<CellsContext>,
    pub follow: Vec<FollowContext>,
    pub strips: Vec<CellsContext>,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct AbbreviationContext {
    /// "ft"
    pub short: String,
    pub says: String,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct SchemeQuestionContext {
    pub number: u32,
    pub parts: Vec<SchemePartContext>,
    pub total: u32,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct SchemePartContext {
    /// "**1**(a)"
    pub label: String,
    pub points: Vec<PointContext>,
    /// "masses, apply"
    pub objective: String,
}

/// What earns a mark, and what a marker is to know of it.
#[derive(Debug, Clone, Default, Serialize)]
pub struct PointContext {
    pub text: String,
    /// Said in words, of which those in bold must be there.
    pub in_words: bool,
    /// It stands for the point above it.
    pub or: bool,
    /// "A1 ft"
    pub marks: String,
    pub guidance: Vec<String>,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct FollowContext {
    pub version: String,
    pub question: u32,
    pub cells: CellsContext,
}

/// A table with the widths of its columns in mm.
#[derive(Debug, Clone, Default, Serialize)]
pub struct CellsContext {
    pub columns: Vec<WidthContext>,
    /// The last cell of a short row goes on to the table's edge.
    pub rows: Vec<Vec<String>>,
    /// Of a strip: the least height of a row in mm, and whether it has two halves, cut
    /// apart at the column without a head.
    pub least: f64,
    pub apart: bool,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct WidthContext {
    pub head: String,
    pub width: f64,
}

/// A set of slides.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SlidesContext {
    pub title: String,
    /// "Year 9 science"; empty if not said.
    pub class_line: String,
    pub head_right: String,
    /// BCP 47.
    pub language: String,
    /// Whose numbers the quiz has: "A".
    pub version: String,
    pub seed: String,
    pub objectives: Vec<ObjectiveContext>,
    pub items: Vec<SlideItem>,
    /// All techniques of the unit, to be compared.
    pub techniques: Vec<TechniqueContext>,
    pub questions: Vec<AskContext>,
    pub closing: Option<String>,
}

/// What one or a few slides are about, in the order of the unit file. `place` is
/// where the text stands there, in bytes.
#[derive(Debug, Clone, Serialize)]
#[serde(tag = "is", rename_all = "kebab-case")]
pub enum SlideItem {
    /// An idea or two of a section; all in Markdown. `notes` is the prose that they
    /// were taken from.
    Prose {
        title: String,
        /// Whether the section has a slide before this one.
        continued: bool,
        place: usize,
        body: String,
        notes: String,
    },
    /// Steps and cautions are parted into what a slide holds.
    Technique {
        place: usize,
        technique: Box<TechniqueContext>,
        steps: Vec<StepsContext>,
        cautions: Vec<Vec<String>>,
    },
    Process(ProcessContext),
    Example(AskContext),
    Review(AskContext),
    Data(DataContext),
    Figure(SlideFigureContext),
    Glossary {
        terms: Vec<TermContext>,
    },
}

/// A figure on a slide; `parts` is what its letters stand for.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SlideFigureContext {
    /// The ids of its drawings, a slide each.
    pub ids: Vec<String>,
    pub title: String,
    pub parts: Vec<String>,
}

/// Steps that stand together, and the number of the first.
#[derive(Debug, Clone, Default, Serialize)]
pub struct StepsContext {
    pub first: usize,
    pub texts: Vec<String>,
}

/// A question or worked example, one pair of slides after another.
#[derive(Debug, Clone, Default, Serialize)]
pub struct AskContext {
    pub title: String,
    pub place: usize,
    /// "Question 2", before what a figure or table slide is called.
    pub name: String,
    /// The ids of the drawings that the question shows, a slide each.
    pub figures: Vec<String>,
    pub tables: Vec<DataContext>,
    pub pairs: Vec<PairContext>,
}

/// What is asked on one slide and answered on the next.
#[derive(Debug, Clone, Default, Serialize)]
pub struct PairContext {
    pub title: String,
    pub place: usize,
    /// Markdown of a slide that only tells, before all else; empty where the text says all.
    pub stem: String,
    /// Markdown of the part's own table, on a slide of its own; empty where the text has it.
    pub table: String,
    /// Markdown of a slide between what is shown and the text, where one slide is too
    /// small for the demand and what to choose from.
    pub lead_in: String,
    /// Markdown.
    pub text: String,
    /// What the options are to be matched with. Markdown.
    pub beside: Vec<String>,
    /// The same with what each is matched with.
    pub matched: Vec<String>,
    pub options: Vec<ChoiceContext>,
    /// The same options as the answer has them.
    pub chosen: Vec<ChoiceContext>,
    /// Whether the names to be written on the figure are its answer.
    pub names: bool,
    /// Short lines of Markdown.
    pub working: Vec<String>,
    pub mistakes: Vec<MistakeContext>,
}

/// A line to choose, to order or to match; its letter, number or room for one.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct ChoiceContext {
    /// Empty where a number is to be written.
    pub letter: String,
    /// Markdown.
    pub text: String,
    pub right: bool,
}

/// Technique cards, or practical sheets, of a unit.
#[derive(Debug, Clone, Default, Serialize)]
pub struct TechniquesContext {
    pub title: String,
    pub head_left: String,
    pub head_right: String,
    /// The unit's id.
    pub unit: String,
    /// BCP 47.
    pub language: String,
    pub techniques: Vec<TechniqueContext>,
    pub closing: String,
}

/// The report on a class. Texts are Markdown.
#[derive(Debug, Clone, Default, Serialize)]
pub struct ReportContext {
    pub title: String,
    /// "What 9B could do"
    pub heading: String,
    pub line: String,
    pub head_right: String,
    /// BCP 47.
    pub language: String,
    pub held_back: Option<String>,
    pub gained: Vec<FigureContext>,
    pub marks: Vec<FigureContext>,
    /// How many learners have each grade; no rows where a department gives none.
    pub grades: CellsContext,
    pub learners: Vec<FigureContext>,
    pub to_do: CellsContext,
    pub objectives: CellsContext,
    pub paper: Vec<String>,
    pub items: CellsContext,
    pub mistakes: CellsContext,
    /// What the commonest of them show, and what to say.
    pub remedies: CellsContext,
    pub versions: CellsContext,
    pub versions_line: String,
    pub sources: Vec<String>,
}

/// What a second person checks a paper with, and what its setter shows them afterwards.
#[derive(Debug, Clone, Default, Serialize)]
pub struct CheckSheetContext {
    pub title: String,
    /// The name of the moderation file.
    pub record: String,
    pub head_right: String,
    /// BCP 47.
    pub language: String,
    /// A sheet to fill in for each of these.
    pub sheets: Vec<CheckedVersionContext>,
    /// Every version, for its signatures.
    pub versions: Vec<CoveredContext>,
    /// How long the checker may be expected to take, in minutes.
    pub checker_least: u32,
    pub checker_most: u32,
    pub values: Vec<CellsContext>,
    pub shown: usize,
    pub table: CellsContext,
    /// Where questions stand outside the table of specifications.
    pub outside: u32,
    pub waivers: CellsContext,
    pub profiles: CellsContext,
    pub minutes: u32,
    /// The sum of the questions' estimates.
    pub estimate: String,
}

/// A version to be checked: facts, and a row for each part.
#[derive(Debug, Clone, Default, Serialize)]
pub struct CheckedVersionContext {
    pub version: String,
    /// The code on its pages.
    pub code: String,
    pub hash: String,
    pub marks: u32,
    pub minutes: u32,
    pub questions: u32,
    pub rows: Vec<CheckRowContext>,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct CheckRowContext {
    /// "1(a)"
    pub part: String,
    /// Who signed the question before, where that still holds.
    pub signed: String,
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct CoveredContext {
    pub version: String,
    pub hash: String,
}
