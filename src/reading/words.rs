//! The blocks of a unit and their keys, in one table.
//!
//! Decoding takes from here which keys exist and which must be there, and
//! `stillroom words` prints the same table, so the two cannot differ.

/// A kind of block, or a group of keys inside one.
#[derive(Debug)]
pub struct BlockWords {
    pub name: &'static str,
    pub says: &'static str,
    /// Whether it stands in a fence of its own.
    pub fence: bool,
    pub keys: &'static [KeyWords],
}

#[derive(Debug, Clone, Copy)]
pub struct KeyWords {
    pub name: &'static str,
    /// What the key takes, in a few words.
    pub takes: &'static str,
    pub required: bool,
}

impl BlockWords {
    /// What it is called in a message.
    pub fn called(&self) -> String {
        if self.fence { format!("{} block", self.name) } else { self.name.to_owned() }
    }
}

const fn must(name: &'static str, takes: &'static str) -> KeyWords {
    KeyWords { name, takes, required: true }
}

const fn may(name: &'static str, takes: &'static str) -> KeyWords {
    KeyWords { name, takes, required: false }
}

/// Every kind of block, in the order `stillroom words` lists them.
pub fn blocks() -> &'static [&'static BlockWords] {
    &[
        &FRONT,
        &TECHNIQUE,
        &PROCESS,
        &COMPONENT,
        &CRYSTAL,
        &QUESTION,
        &PART,
        &CHOOSE,
        &TRUE_FALSE,
        &MATCH,
        &FILL,
        &LABEL,
        &READ,
        &COMPLETE,
        &BLANK,
        &ANOMALY,
        &INVESTIGATE,
        &POINT,
        &EXAMPLE,
        &DATA,
        &GLOSSARY,
        &TERM,
        &FIGURE,
        &REVIEW,
        &RECALL,
        &PAPER,
        &SECTION,
        &CHOSEN,
        &PICK,
        &MODERATION,
        &SIGNED_VERSION,
        &SIGNED_QUESTION,
        &DEPARTMENT,
        &LETTERS,
    ]
}

/// The block that a fence's info word names.
pub fn block(word: &str) -> Option<&'static BlockWords> {
    blocks().iter().copied().find(|b| b.fence && b.name == word)
}

pub const FRONT: BlockWords = BlockWords {
    name: "front matter",
    says: "what the unit is, between two lines of three dashes at the top of the file",
    fence: false,
    keys: &[
        must("id", "the unit's id, with hyphens: quarnholm-salt"),
        must("title", "the title printed at the head of each page"),
        may("place", "the works or place that the unit is about"),
        may("class", "who it is for: Year 9 science"),
        may("minutes", "a whole number of minutes"),
        may("language", "the language of the unit: en-GB"),
        may("hyphenation", "yes: words of the lesson may part at the ends of lines"),
        must("objectives", "an id and a sentence for each: masses: Calculate ..."),
        may("allow", "rule: why it may be broken here; `stillroom words` lists the rules"),
    ],
};

pub const PAPER: BlockWords = BlockWords {
    name: "paper",
    says: "a paper's front matter; below it stand its table of specifications and instructions",
    fence: false,
    keys: &[
        must("paper", "the title: Term examination"),
        must("from", "a list of units, or of folders with units"),
        must("minutes", "the time allowed"),
        may("id", "an id; made from the file's name if left out"),
        may("subject", "a line above the title"),
        may("class", "who it is for: Year 9 science"),
        may("date", "the day, in words"),
        may("language", "the language: en-GB"),
        may("seed", "the number that fixes which questions are taken and all their values"),
        may("versions", "how many versions"),
        may("marks", "the total, where cells of the table have bounds"),
        may("strands", "a row's name and its objectives: {Technique: [property, chain]}"),
        may("must", "questions that must be taken: [quarnholm-salt/two-pans]"),
        may("must_not", "questions that must not be taken"),
        may("one_of", "lists of questions of which exactly one is taken"),
        may("sections", "a list of sections, in order"),
        may("ledger", "the file that remembers which paper took what; papers.csv if left out"),
        may("need", "a list of what to bring"),
        may("information", "a list of sentences for the front page"),
    ],
};

pub const SECTION: BlockWords = BlockWords {
    name: "section",
    says: "a part of a paper under a heading of its own",
    fence: false,
    keys: &[
        must("title", "its heading"),
        may("objectives", "only questions of these rows of the table"),
        may("levels", "only questions of these levels"),
        may("marks", "how many marks it has: 20, or 18 to 22"),
        may("questions", "how many questions it has: 4, or 3 to 5"),
        may("each", "how many marks a question in it has: 2 to 6"),
    ],
};

pub const DEPARTMENT: BlockWords = BlockWords {
    name: "department",
    says: "the file department.yaml beside the units: the habits of a school",
    fence: false,
    keys: &[
        may("school", "the line at the head of papers: Quarnholm School, science department"),
        may("badge", "a PNG, JPEG or SVG file beside it, for the head of papers: badge.svg"),
        may("language", "the language of papers that name none: en-GB"),
        may(
            "levels",
            "the school's levels, each with those of the six it takes: {recall: [remember]}",
        ),
        may("need", "what to bring to a paper, where the paper does not say"),
        may("instructions", "sentences on the front of every paper, before its own"),
        may("information", "sentences on the front of every paper, before its own"),
        may("foot", "the last words of the front page: Do not turn over until you are told."),
        may("letters", "the letters of marks: {method: M, accuracy: A, independent: B}"),
        may("grades", "grades from the best, each with its least share: {A: 80 %, B: 65 %}"),
        may("sig_figs", "significant figures of answers whose question says nothing"),
        may("decimal", "the decimal mark of responses, where their file leaves doubt: comma"),
    ],
};

pub const LETTERS: BlockWords = BlockWords {
    name: "letters",
    says: "what a department calls the marks of its schemes",
    fence: false,
    keys: &[
        may("method", "a mark for the method; M if left out"),
        may("accuracy", "a mark for the value that follows it; A if left out"),
        may("independent", "a mark that stands alone; B if left out"),
    ],
};

pub const CHOSEN: BlockWords = BlockWords {
    name: "chosen list",
    says: "the questions that `stillroom set` chose for a paper",
    fence: false,
    keys: &[
        must("paper", "the paper's id"),
        must("seed", "the seed they were chosen with"),
        must("questions", "the questions in order"),
    ],
};

pub const PICK: BlockWords = BlockWords {
    name: "chosen question",
    says: "a line of a chosen list",
    fence: false,
    keys: &[
        must("id", "the unit's id, a stroke, the question's id"),
        must("marks", "its marks"),
        must("hash", "a mark of what it asked and answered when it was chosen"),
        may("section", "the number of its section"),
    ],
};

pub const MODERATION: BlockWords = BlockWords {
    name: "moderation file",
    says: "what a second person checked of a paper; `stillroom print --moderation` writes it",
    fence: false,
    keys: &[
        must("paper", "the paper's id"),
        must("seed", "the seed it was drawn with"),
        must("front_page", "a mark of what its front page, sections and cautions said"),
        must("versions", "the versions in order"),
        must("questions", "the questions in order"),
    ],
};

pub const SIGNED_VERSION: BlockWords = BlockWords {
    name: "signed version",
    says: "a version in a moderation file",
    fence: false,
    keys: &[
        must("version", "its letters"),
        must("hash", "a mark of all that it asked and answered"),
        may("checked_by", "who checked it"),
        may("on", "the date"),
    ],
};

pub const SIGNED_QUESTION: BlockWords = BlockWords {
    name: "signed question",
    says: "a question in a moderation file",
    fence: false,
    keys: &[
        must("id", "the unit's id, a stroke, the question's id"),
        must("hash", "a mark of what it asked and answered in all of these versions"),
        may("section", "the number of its section"),
        may("checked_by", "who checked it, where that was not done with the versions"),
        may("on", "the date"),
    ],
};

pub const TECHNIQUE: BlockWords = BlockWords {
    name: "technique",
    says: "a way to separate: what it rests on, what it needs, how it is done",
    fence: true,
    keys: &[
        must("id", "an id with hyphens"),
        may("title", "what to call it; made from the id if left out"),
        must("property", "the property that it uses: boiling point"),
        may("separates", "what it parts: a dissolved solid from its solvent"),
        may("sketch", "its apparatus as drawn, where the id does not tell: filtration; or none"),
        may("outlets", "what each outlet is called: {vapour: steam}"),
        may("apparatus", "a list of things"),
        may("steps", "a list of sentences"),
        may("cautions", "a list of sentences"),
        may("industry", "a list of uses"),
        may("allow", "rule: why it may be broken here; `stillroom words` lists the rules"),
    ],
};

pub const PROCESS: BlockWords = BlockWords {
    name: "process",
    says: "streams through operations, for questions to ask about",
    fence: true,
    keys: &[
        must("id", "an id with hyphens (not where it stands inside a question)"),
        may("title", "what to call it"),
        may("basis", "what totals and shares count: mass, moles or volume"),
        must("components", "names with roles, names with keys, or a list of names"),
        may("groups", "names for several components: {dry_matter: [salt, mud]}"),
        may("values", "name: value, one a line, as in a question"),
        must("operations", "name: {is: KIND, ports and settings of that kind}"),
        may("given", "stream: {what is known of it}"),
        may("relations", "a list of equations in school algebra"),
        may("by_products", "stream: what becomes of it"),
        may("allow", "rule: why it may be broken here; `stillroom words` lists the rules"),
    ],
};

/// A process written inside a question: the same keys, but no id is needed.
pub const INLINE_PROCESS: BlockWords = BlockWords {
    name: "process",
    says: PROCESS.says,
    fence: false,
    keys: &[
        may("id", "an id with hyphens"),
        may("title", "what to call it"),
        may("basis", "what totals and shares count: mass, moles or volume"),
        must("components", "names with roles, names with keys, or a list of names"),
        may("groups", "names for several components: {dry_matter: [salt, mud]}"),
        may("values", "name: value, one a line, as in a question"),
        must("operations", "name: {is: KIND, ports and settings of that kind}"),
        may("given", "stream: {what is known of it}"),
        may("relations", "a list of equations in school algebra"),
        may("by_products", "stream: what becomes of it"),
    ],
};

pub const COMPONENT: BlockWords = BlockWords {
    name: "component",
    says: "a component of a process, where its role alone does not say enough",
    fence: false,
    keys: &[
        may("is", "its role: solute, solvent, carrier, insoluble, volatile, gas, size"),
        may("formula", "its chemical formula: NaCl"),
        may("molar mass", "a number with unit: 246.5 g/mol"),
        may("solubility", "the id of a data block"),
    ],
};

pub const CRYSTAL: BlockWords = BlockWords {
    name: "crystals",
    says: "what comes out of solution, where its formula alone does not say enough",
    fence: false,
    keys: &[
        must("formula", "the formula of the hydrate: MgSO4.7H2O"),
        may("molar mass", "a number with unit, in place of the table's: 246.5 g/mol"),
    ],
};

pub const QUESTION: BlockWords = BlockWords {
    name: "question",
    says: "something to work out, with its text below a line ---",
    fence: true,
    keys: QUESTION_KEYS,
};

pub const EXAMPLE: BlockWords = BlockWords {
    name: "example",
    says: "a question with fixed values whose working is printed in the lesson",
    fence: true,
    keys: QUESTION_KEYS,
};

const QUESTION_KEYS: &[KeyWords] = &joined::<{ OWN.len() + ASKING.len() + ANSWERING.len() }>(&[
    OWN, // A question with one part may have that part's keys itself.
    ASKING, ANSWERING,
]);

/// Keys of the question as a whole.
const OWN: &[KeyWords] = &[
    must("id", "an id with hyphens"),
    may("title", "a heading for it"),
    may("objective", "the id of an objective in the front matter"),
    may("level", "remember, understand, apply, analyse, evaluate or create"),
    may("minutes", "a whole number of minutes"),
    may("allow", "rule: why it may be broken here; `stillroom words` lists the rules"),
    may("process", "the id of a process block, or a process written here"),
    may("basis", "what totals and shares count: mass, moles or volume"),
    may("values", "name: 200 to 800 kg, step 50 / one of 4.0, 5.0 % / 3 g / = algebra"),
    may("require", "a list of comparisons that every version must meet"),
    may("given", "stream: {what is known of it}"),
    may("relations", "a list of equations in school algebra"),
    may("figure", "the id of a figure block, to stand below the text before (a)"),
    may(
        "blank",
        "streams, or parts of a sketch, whose names the learner is to write on the figure",
    ),
    may(
        "data",
        "ids of data blocks to print below the text; those it reads stand on the last page",
    ),
    may("parts", "label: {keys of a part}"),
];

/// What a part asks; it has one of these.
const ASKING: &[KeyWords] = &[
    may("find", "a quantity or any algebra, or a list of them"),
    may("choose", "options to tick"),
    may("true_false", "a statement to judge"),
    may("match", "left: right, one a line"),
    may("order", "a list in its right order, `steps of TECHNIQUE` or `operations of PROCESS`"),
    may("explain", "a list of marking points"),
    may("fill", "the words for the gaps ___ in the text"),
    may("label", "names to be written on a figure"),
    may("read", "a value to be read from a curve or table"),
    may("complete", "cells of a table to be filled in"),
    may("anomaly", "the one value of a table that departs from its rule"),
    may("investigate", "a plan to be written"),
];

/// How a part's answer is written, worked and judged.
const ANSWERING: &[KeyWords] = &[
    may("name", "the words of the answer line"),
    may("unit", "the unit of the answer"),
    may("sig_figs", "significant figures of the answer"),
    may("places", "decimal places of the answer"),
    may("tolerance", "what is allowed beyond rounding: 2 %"),
    may("marks", "a whole number; counted if left out"),
    may("lines", "how many ruled lines to leave for the answer"),
    may(
        "space",
        "room above the answer: none, 60 mm, lines, drawing, drawing 80 mm, graph 120 x 100 mm",
    ),
    may("remark", "a remark for the marker"),
    may("route", "balances that the working uses: salt balance on pan"),
    may("avoid", "balances that it does without: total balance on whole process"),
    may(
        "mistakes",
        "name of the mistake: its wrong formula; or none, which leaves the built-in ones out too",
    ),
    may("without", "ids of built-in mistakes to leave out: [plain-mean]"),
    may("remarks", "quantity: a remark on the step that finds it"),
];

/// Lists of keys behind each other.
const fn joined<const N: usize>(lists: &[&[KeyWords]]) -> [KeyWords; N] {
    let mut all = [may("", ""); N];
    let (mut list, mut filled) = (0, 0);
    while list < lists.len() {
        let mut place = 0;
        while place < lists[list].len() {
            all[filled] = lists[list][place];
            filled += 1;
            place += 1;
        }
        list += 1;
    }
    all
}

pub const PART: BlockWords = BlockWords {
    name: "part",
    says: "one part of a question",
    fence: false,
    keys: &joined::<{ ASKING.len() + 1 + ANSWERING.len() }>(&[
        ASKING,
        &[may("parts", "label: {keys of a part}, for (i), (ii) within it")],
        ANSWERING,
    ]),
};

/// The keys that say what a part asks; a part has one of them.
pub const KINDS: &[&str] = &{
    let mut names = [""; ASKING.len()];
    let mut place = 0;
    while place < ASKING.len() {
        names[place] = ASKING[place].name;
        place += 1;
    }
    names
};

pub const CHOOSE: BlockWords = BlockWords {
    name: "choose",
    says: "options to tick; several are right where `answer` is a list. One mark for each that is right",
    fence: false,
    keys: &[
        may("answer", "the right option, or a list of them"),
        may("wrong", "wrong options: a list, or option: what it shows"),
        may("options", "all options in an order that stays; or, with `find`, how many"),
        may(
            "find",
            "a quantity, for options that are numbers: the answer and the part's `mistakes`",
        ),
    ],
};

pub const TRUE_FALSE: BlockWords = BlockWords {
    name: "true_false",
    says: "a statement to judge. One mark, and one for each reason",
    fence: false,
    keys: &[must("answer", "true or false"), may("reason", "a list of marking points")],
};

pub const MATCH: BlockWords = BlockWords {
    name: "match",
    says: "left: right, one a line, and `spare` for what has no partner. One mark for each pair",
    fence: false,
    keys: &[],
};

pub const FILL: BlockWords = BlockWords {
    name: "fill",
    says: "words for the gaps ___ in the text, as a list or with more said. One mark for each",
    fence: false,
    keys: &[
        must("words", "the words in the order of the gaps"),
        may("spare", "further words of the bank"),
        may("bank", "none: without a bank of words"),
    ],
};

pub const LABEL: BlockWords = BlockWords {
    name: "label",
    says: "names to be written on a figure. One mark for each",
    fence: false,
    keys: &[must("figure", "the id of a figure block"), must("names", "the names left out there")],
};

pub const READ: BlockWords = BlockWords {
    name: "read",
    says: "a value to be read between the points of a table or its figure. One mark",
    fence: false,
    keys: &[
        must("figure", "the id of a figure or data block"),
        must("row", "the name of the row or curve"),
        must("at", "where to read: 45 degC, or the name of a value"),
    ],
};

pub const COMPLETE: BlockWords = BlockWords {
    name: "complete",
    says: "cells of a data block to be filled in. One mark for each",
    fence: false,
    keys: &[must("data", "the id of a data block"), must("blank", "a list of cells")],
};

pub const BLANK: BlockWords = BlockWords {
    name: "blank cell",
    says: "a cell that is left open",
    fence: false,
    keys: &[
        must("row", "the name of its row"),
        must("column", "the number at the head of its column"),
        may("answer", "a formula; what the table holds if left out"),
    ],
};

pub const ANOMALY: BlockWords = BlockWords {
    name: "anomaly",
    says: "the one value of a table that departs from its rule. One mark, and one for a reason",
    fence: false,
    keys: &[
        must("data", "the id of a data block"),
        may("row", "the row to look at, where there are several"),
        may("rule", "line, trend or sum; trend if left out"),
        may("reason", "a list of marking points in place of the rule's own"),
    ],
};

pub const INVESTIGATE: BlockWords = BlockWords {
    name: "investigate",
    says: "a plan to be written, marked in six strands. One mark for each",
    fence: false,
    keys: &[
        must("change", "the variable that is changed"),
        must("measure", "the variable that is measured"),
        must("keep", "a list of what is kept the same"),
        may("technique", "the id of a technique, for apparatus, steps and cautions"),
        may("apparatus", "a list of things, in place of the technique's"),
        may("method", "a list of steps, in place of the technique's"),
        may("safety", "a list of cautions, in place of the technique's"),
        may("evaluation", "a list of what may be said of the results"),
    ],
};

pub const POINT: BlockWords = BlockWords {
    name: "marking point",
    says: "what earns a mark, as a text or with more said; a word in ** ** must be there",
    fence: false,
    keys: &[
        must("point", "what earns it"),
        may("or", "a list of other points, any of which earns it as well"),
        may("accept", "a list of other ways to say it"),
        may("reject", "a list of what contradicts it"),
        may("ignore", "a list of what does no harm"),
        may("marks", "a whole number, 1 if left out"),
    ],
};

/// Keys that a teacher may look for and the way in which the language says the same: what
/// to use, and what to do.
pub const SAID_OTHERWISE: &[(&str, &str, &str)] = &[
    (
        "show",
        "`sig_figs: 3`; a value that is to be shown would be printed, and so given away",
        "write `sig_figs:` in place of `show:`, and let the text ask to calculate it",
    ),
    (
        "answer_unit",
        "`unit: kg`; it is printed on the answer line and earns no mark of its own",
        "write `unit:` and the unit in place of `answer_unit:`, or leave both out",
    ),
];

pub const DATA: BlockWords = BlockWords {
    name: "data",
    says: "a table of values, in YAML or as a Markdown table below a line ---",
    fence: true,
    keys: &[
        must("id", "an id with hyphens"),
        may("title", "what the table shows"),
        may("columns", "the quantity across the top and its unit: temperature in degC"),
        may("unit", "the unit of the values: g/100 g water"),
        may("rows", "name: {column: value}, or name: value; or a Markdown table below a line ---"),
        may("quantity", "what the values are, for the axis of a figure: solubility"),
        may("for", "lesson, or questions: then the handout and the slides leave it out"),
        may("source", "where the values come from"),
        may("allow", "rule: why it may be broken here; `stillroom words` lists the rules"),
    ],
};

pub const GLOSSARY: BlockWords = BlockWords {
    name: "glossary",
    says: "terms and their meanings: residue: the solid left in the filter",
    fence: true,
    keys: &[],
};

pub const TERM: BlockWords = BlockWords {
    name: "term",
    says: "a term of a glossary, where more than its meaning is said",
    fence: false,
    keys: &[
        must("meaning", "what it means, in one sentence"),
        may("example", "an example of it"),
        may("not", "the term that it is taken for"),
    ],
};

pub const FIGURE: BlockWords = BlockWords {
    name: "figure",
    says: "a drawing: the flow diagram of a process, the sketch of a technique's apparatus, a table as curves, bars and the like",
    fence: true,
    keys: &[
        must("id", "an id with hyphens"),
        may("of", "the id of the process, technique or data block that it shows"),
        may("sketch", SKETCH_NAMES),
        may(
            "draw",
            "how a table is drawn: curve (fine grid), line, bars, pie, sieves, chromatogram or plate; told by the table if left out",
        ),
        may("rows", "a list of the table's rows to draw, in this order; all if left out"),
        may("columns", "the numbers across the top to draw; all if left out"),
        may("notes", "words along a curve: number across the top, such as melting: 5.5"),
        may("labels", "names, or letters for a question to speak of"),
        may("for", "lesson, or questions: then the handout and the slides leave it out"),
        may("given", "stream: {what is known of it}; masses are solved and written on the streams"),
        may("caption", "what stands below it; the title of what it shows if left out"),
        may("allow", "rule: why it may be broken here; `stillroom words` lists the rules"),
    ],
};

/// The apparatus that can be drawn.
pub const SKETCHES: &[&str] = &[
    "filtration",
    "evaporation",
    "crystallisation",
    "simple distillation",
    "fractional distillation",
    "separating funnel",
    "paper chromatography",
    "centrifuge",
    "sublimation",
];

/// The same in a line of `stillroom words`.
const SKETCH_NAMES: &str = "the apparatus to draw: filtration, evaporation, crystallisation, simple distillation, fractional distillation, separating funnel, paper chromatography, centrifuge or sublimation";

pub const REVIEW: BlockWords = BlockWords {
    name: "review",
    says: "a quick review: questions made from techniques and processes, or its own",
    fence: true,
    keys: &[
        may("title", "its heading; Quick review if left out"),
        may("about", "the id of a technique or process, or a list of them; all if left out"),
        may("questions", "a list of questions with their answers"),
        may("most", "the most questions that are made, 5 if left out"),
    ],
};

pub const RECALL: BlockWords = BlockWords {
    name: "review question",
    says: "a question of a review",
    fence: false,
    keys: &[must("ask", "the question"), must("answer", "its answer")],
};

/// The words for how demanding a question is (Anderson and Krathwohl, 2001).
pub const LEVELS: &[&str] = &["remember", "understand", "apply", "analyse", "evaluate", "create"];

/// Words with a meaning in facts and formulas, which nothing else may be called.
/// `stage1`, `stage2`, ... are reserved too.
pub const RESERVED: &[&str] = &[
    "solids",
    "liquor",
    "total",
    "fraction",
    "percent",
    "rest",
    "others",
    "is",
    "none",
    "pure",
    "of",
    "per",
    "at",
    "by",
    "same",
    "volume",
    "density",
    "mass_fraction",
    "mole_fraction",
    "saturation_temperature",
    "sqrt",
    "ln",
    "exp",
    "sf",
];
