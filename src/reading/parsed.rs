//! What a unit file says, block by block, before any name in it is looked up.
//!
//! Every value keeps its place. Nothing here is checked against anything else:
//! that a component exists, that facts suffice, is `model.rs`'s business.

use std::sync::Arc;

use crate::balance::problem::Basis;
use crate::diag::{SourceFile, Span};
use crate::quantity::formula::{Comparison, Formula};
use crate::quantity::{Number, Typed, Unit};

use super::kinds::Kind;

/// A value and where it stands in the file.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed<T> {
    pub value: T,
    pub span: Span,
}

impl<T> Placed<T> {
    pub fn new(value: T, span: Span) -> Self {
        Placed { value, span }
    }
}

pub type Text = Placed<String>;

/// The code of a rule and why it may be broken, as the author wrote them.
pub type Waived = Vec<(Text, Text)>;

/// One unit file.
#[derive(Debug, Clone)]
pub struct ParsedUnit {
    pub file: Arc<SourceFile>,
    pub front: Front,
    /// Prose and blocks in the order of the file.
    pub items: Vec<Item>,
}

#[derive(Debug, Clone)]
pub struct Front {
    pub span: Span,
    pub id: Text,
    pub title: Text,
    /// The works or place that the unit is about; printed at the head of pages.
    pub place: Option<Text>,
    pub class: Option<Text>,
    pub minutes: Option<Placed<u32>>,
    pub language: Option<Text>,
    /// Whether words of the lesson may part at the ends of lines.
    pub hyphenation: bool,
    /// Id and wording, in order.
    pub objectives: Vec<(Text, Text)>,
    pub allow: Waived,
}

#[derive(Debug, Clone)]
pub enum Item {
    Prose(Prose),
    Technique(Technique),
    Process(Process),
    Question(Question),
    /// A question with fixed values whose working is printed in the lesson.
    Example(Question),
    Data(Data),
    Figure(Figure),
    Glossary(Vec<Term>),
    Review(Review),
}

/// A run of Markdown between blocks.
#[derive(Debug, Clone)]
pub struct Prose {
    pub markdown: Written,
}

/// Markdown with `{{ }}` places in it. `text` is the Markdown without the
/// fence's indent; `places` says where each blank stands in `text` and in the file.
#[derive(Debug, Clone, Default)]
pub struct Written {
    pub text: String,
    pub span: Span,
    pub blanks: Vec<Blank>,
}

/// `{{ brine }}` or `{{ brine | number }}`.
#[derive(Debug, Clone)]
pub struct Blank {
    /// Byte range in `Written::text`, braces included.
    pub at: std::ops::Range<usize>,
    /// The name or formula inside, with places in the file.
    pub formula: Formula,
    pub style: BlankStyle,
    pub span: Span,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BlankStyle {
    WithUnit,
    NumberOnly,
}

#[derive(Debug, Clone)]
pub struct Technique {
    pub span: Span,
    pub id: Text,
    pub title: Option<Text>,
    pub property: Text,
    pub separates: Option<Text>,
    /// The sketch of its apparatus, where its id does not tell; `none` for none.
    pub sketch: Option<Text>,
    /// What each outlet is called, e.g. vapour: steam.
    pub outlets: Vec<(Text, Text)>,
    pub apparatus: Vec<Text>,
    pub steps: Vec<Text>,
    pub cautions: Vec<Text>,
    pub industry: Vec<Text>,
    pub allow: Waived,
}

#[derive(Debug, Clone)]
pub struct Process {
    pub span: Span,
    /// None where the process is written inside a question.
    pub id: Option<Text>,
    pub basis: Option<Placed<Basis>>,
    pub title: Option<Text>,
    pub components: Vec<Component>,
    pub groups: Vec<(Text, Vec<Text>)>,
    pub values: Vec<ValueLine>,
    pub operations: Vec<Operation>,
    pub given: Vec<StreamFacts>,
    pub relations: Vec<Placed<Equation>>,
    pub by_products: Vec<(Text, Text)>,
    pub allow: Waived,
}

#[derive(Debug, Clone)]
pub struct Component {
    pub name: Text,
    /// None where the file only lists names.
    pub role: Option<Text>,
    pub formula: Option<Text>,
    /// `molar mass: 246.5 g/mol`, as typed.
    pub molar_mass: Option<Placed<Typed>>,
    /// The id of a data block that holds its solubility.
    pub solubility: Option<Text>,
}

#[derive(Debug, Clone)]
pub struct Operation {
    pub span: Span,
    pub name: Text,
    /// The `is:` value, matched to the catalogue by the reader.
    pub kind: Placed<&'static crate::balance::operations::Kind>,
    /// Port key (from the catalogue) and the streams at it, in the file's order.
    pub ports: Vec<(Placed<&'static crate::balance::operations::Port>, Vec<Text>)>,
    /// The other keys that the catalogue allows (`stages`, `except`, ...); a list
    /// makes several of one key.
    pub settings: Vec<(Placed<&'static crate::balance::operations::Setting>, Placed<SettingValue>)>,
}

/// What a setting says, before its names are looked up.
#[derive(Debug, Clone)]
pub enum SettingValue {
    /// A word of the language, or the name of a piece of physics.
    Word(Text),
    Count(Placed<u32>),
    /// `2.5 by mass ratio`.
    Ratio {
        number: Formula,
        basis: Placed<RatioBasis>,
        of: Option<Text>,
    },
    /// `99.2 % salt`.
    Share {
        number: Formula,
        of: Option<Text>,
    },
    /// `2.5 benzene to toluene`.
    Volatility {
        number: Formula,
        more: Text,
        less: Text,
    },
    /// The formula of what comes out of solution, or the name of its component.
    Crystal {
        formula: Text,
        molar_mass: Option<Placed<Typed>>,
    },
    Quantity(Formula),
    Pressures(Vec<(Text, Placed<PressureOf>)>),
}

/// Where a vapour pressure comes from.
#[derive(Debug, Clone)]
pub enum PressureOf {
    /// The built-in equation for water.
    Table,
    /// What the others leave of the pressure above the liquids.
    Rest,
    Given(Formula),
}

/// How a ratio between two phases is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RatioBasis {
    /// Solute per pure solvent, by mass.
    MassRatio,
    MoleRatio,
    /// Solute in the whole phase.
    MassFraction,
    MoleFraction,
    Concentration,
}

impl RatioBasis {
    pub const NAMED: &'static [(&'static str, RatioBasis)] = &[
        ("mass ratio", RatioBasis::MassRatio),
        ("mole ratio", RatioBasis::MoleRatio),
        ("mass fraction", RatioBasis::MassFraction),
        ("mole fraction", RatioBasis::MoleFraction),
        ("concentration", RatioBasis::Concentration),
    ];

    pub fn named(word: &str) -> Option<RatioBasis> {
        RatioBasis::NAMED.iter().find(|(name, _)| *name == word).map(|(_, basis)| *basis)
    }
}

/// `left = right`, a line of `relations`.
#[derive(Debug, Clone)]
pub struct Equation {
    pub left: Formula,
    pub right: Formula,
}

/// A line of `values`.
#[derive(Debug, Clone)]
pub struct ValueLine {
    pub name: Text,
    pub value: Placed<ValueKind>,
}

#[derive(Debug, Clone)]
pub enum ValueKind {
    /// `200 to 800 kg, step 50`; the unit belongs to all three.
    Range { from: Number, to: Number, step: Number, unit: Unit },
    /// `one of 4.0, 5.0, 8.0 %`.
    OneOf { numbers: Vec<Number>, unit: Unit },
    /// `one of alum, potash`.
    Words(Vec<String>),
    /// `3 g`.
    Constant(Typed),
    /// `= brine * (1 - weak)`.
    Derived(Formula),
}

/// The facts of one stream (or of a part of it, `curd.liquor`).
#[derive(Debug, Clone)]
pub struct StreamFacts {
    pub stream: Text,
    /// `solids` or `liquor`, where a part is named.
    pub part: Option<Text>,
    pub facts: Vec<Fact>,
}

/// `key: value`; a list of values makes several facts with one key.
#[derive(Debug, Clone)]
pub struct Fact {
    /// total, volume, density, is, rest, others, solids, liquor, a component or a group.
    pub key: Text,
    pub value: Placed<FactValue>,
}

#[derive(Debug, Clone)]
pub enum FactValue {
    /// `5.0 %`, `60 kg`, `brine`, `1/3`, `0.95 * batch`: a formula over values and numbers.
    Amount(Formula),
    /// `55 % of wet`, `taken of wet`: a share of the like quantity in another stream.
    ShareOf { share: Formula, stream: Text },
    /// `0.08 kg per kg dry_air`, `damp per kg dry_air`, `320 % per dry_matter`,
    /// `21.5 g per 100 g water`: amount over an amount of `base` (a component, a
    /// group, `solids` or `liquor` of the same stream). `ratio` carries the whole
    /// ratio as a plain number when written out (0.08; 3.2; 0.215).
    Per { ratio: Formula, base: Text },
    /// `none`.
    None,
    /// A name after `rest:`, or `none` after `others:`.
    Name(Text),
    /// `is: pure water`.
    Pure(Text),
    /// `saturated at warm`, `saturated at 100 degC`.
    SaturatedAt(Formula),
    /// `same as curd`.
    SameAs(Text),
    /// `20 mL each stage`: the same for every stage that the stream is shared out to.
    EachStage(Box<FactValue>),
}

#[derive(Debug, Clone)]
pub struct Question {
    pub span: Span,
    pub id: Text,
    pub title: Option<Text>,
    pub objective: Option<Text>,
    pub level: Option<Text>,
    pub minutes: Option<Placed<u32>>,
    pub allow: Waived,
    pub process: ProcessRef,
    pub basis: Option<Placed<Basis>>,
    pub values: Vec<ValueLine>,
    pub require: Vec<Placed<Comparison>>,
    pub given: Vec<StreamFacts>,
    pub relations: Vec<Placed<Equation>>,
    /// Balances that the working is to use, and to do without, wherever they help.
    pub route: Vec<Text>,
    pub avoid: Vec<Text>,
    /// In the order of the labels; a question without `parts` has one part with no label.
    pub parts: Vec<Part>,
    /// What stands before the first part's text.
    pub stem: Written,
    /// The id of the figure that stands below the stem.
    pub figure: Option<Text>,
    /// Streams whose names a learner is to write on it.
    pub blank: Vec<Text>,
    /// Tables to print with it, by their ids.
    pub data: Vec<Text>,
}

#[derive(Debug, Clone)]
pub enum ProcessRef {
    None,
    Named(Text),
    Inline(Box<Process>),
}

/// Room to write, lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Space {
    None,
    Blank(f64),
    /// As many ruled lines as the marks ask for.
    Lines,
    Drawing(Option<f64>),
    /// Width and height.
    Graph(Option<(f64, f64)>),
}

#[derive(Debug, Clone, Default)]
pub struct Part {
    pub span: Span,
    /// `a`, `b`, ...
    pub label: Option<Text>,
    /// `i`, `ii`, ... where the part is one of several under its label.
    pub sub: Option<Text>,
    /// Of the first of these: what stands under the label before (i).
    pub lead: Written,
    pub kind: Kind,
    /// What is asked; a list asks several things on lines of their own.
    pub find: Vec<Placed<Formula>>,
    /// The words of the answer line.
    pub name: Option<Text>,
    pub unit: Option<Placed<Unit>>,
    pub sig_figs: Option<Placed<u32>>,
    /// The figures that the department gives answers, where the part says nothing.
    pub usual_figures: Option<u32>,
    pub places: Option<Placed<u32>>,
    pub tolerance: Option<Placed<Typed>>,
    pub marks: Option<Placed<u32>>,
    pub lines: Option<Placed<u32>>,
    /// The room that learners have above the answer line.
    pub space: Option<Space>,
    pub remark: Option<Text>,
    /// The same as a question's, for this part alone.
    pub route: Vec<Text>,
    pub avoid: Vec<Text>,
    /// Name of the mistake and its wrong formula.
    pub mistakes: Vec<(Text, Placed<Formula>)>,
    /// `mistakes: none`: no built-in ones either.
    pub no_catalogue: bool,
    /// Ids of built-in mistakes that do not count here.
    pub without: Vec<Text>,
    /// A quantity, and a remark for the marker on the step that finds it.
    pub remarks: Vec<(Placed<Formula>, Text)>,
    pub text: Written,
}

impl Part {
    /// "a", "b(ii)"; empty where the question has one part.
    pub fn id(&self) -> String {
        let label = self.label.as_ref().map_or("", |label| label.value.as_str());
        match &self.sub {
            Some(sub) => format!("{label}({})", sub.value),
            None => label.to_owned(),
        }
    }

    /// "(a)", "(b)(ii)"; empty where the question has one part.
    pub fn mark(&self) -> String {
        let each = [&self.label, &self.sub].into_iter().flatten();
        each.map(|label| format!("({})", label.value)).collect()
    }

    /// Whether a number is asked for that the question's plan works out.
    pub fn is_worked(&self) -> bool {
        matches!(self.kind, Kind::Find | Kind::ChooseNumber { .. })
    }
}

/// A quick review.
#[derive(Debug, Clone)]
pub struct Review {
    pub span: Span,
    pub title: Option<Text>,
    /// Ids of techniques and processes; all of them if empty.
    pub about: Vec<Text>,
    /// Its own questions with their answers.
    pub questions: Vec<(Text, Text)>,
    pub most: Option<Placed<u32>>,
}

#[derive(Debug, Clone)]
pub struct Data {
    pub span: Span,
    pub id: Text,
    pub title: Option<Text>,
    /// The quantity across the top and its unit.
    pub columns: Option<(String, Unit)>,
    pub unit: Option<Placed<Unit>>,
    /// What the values are: "solubility".
    pub quantity: Option<Text>,
    /// A row's name and its values, each under a number across the top.
    pub rows: Vec<(Text, Vec<(Number, Number)>)>,
    /// A value stands beside each name, without numbers across the top.
    pub listed: bool,
    /// Only questions show it.
    pub asks_only: bool,
    pub source: Option<Text>,
    pub allow: Waived,
}

#[derive(Debug, Clone)]
pub struct Figure {
    pub span: Span,
    pub id: Text,
    /// The id of the block that it shows; none where only a sketch is named.
    pub of: Option<Text>,
    /// The apparatus to draw, by its name.
    pub sketch: Option<Text>,
    /// How a table is drawn, where the author says.
    pub draw: Option<Placed<Draw>>,
    /// The rows and columns of a table to be drawn; none: all.
    pub rows: Vec<Text>,
    pub columns: Vec<Placed<Number>>,
    /// Letters stand in place of names.
    pub letters: bool,
    /// Only questions show it.
    pub asks_only: bool,
    /// Words along a curve, and where across.
    pub notes: Vec<(Text, Placed<Number>)>,
    pub given: Vec<StreamFacts>,
    pub caption: Option<Text>,
    pub allow: Waived,
}

impl Figure {
    /// The id of the block that it shows; empty where there is none.
    pub fn shows(&self) -> &str {
        self.of.as_ref().map_or("", |of| &of.value)
    }
}

/// The ways to draw a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Draw {
    /// On a fine grid, to be read from.
    Curve,
    /// On a light grid.
    Line,
    Bars,
    Pie,
    Sieves,
    /// A paper; a thin layer on a plate.
    Chromatogram,
    Plate,
}

impl Draw {
    pub const NAMED: &'static [(&'static str, Draw)] = &[
        ("curve", Draw::Curve),
        ("line", Draw::Line),
        ("bars", Draw::Bars),
        ("pie", Draw::Pie),
        ("sieves", Draw::Sieves),
        ("chromatogram", Draw::Chromatogram),
        ("plate", Draw::Plate),
    ];
}

#[derive(Debug, Clone)]
pub struct Term {
    pub term: Text,
    pub meaning: Text,
    pub example: Option<Text>,
    pub not: Option<Text>,
}

impl ParsedUnit {
    /// Gives the department's figures to every part of its questions.
    pub fn give_figures(&mut self, figures: u32) {
        for item in &mut self.items {
            if let Item::Question(question) | Item::Example(question) = item {
                question.parts.iter_mut().for_each(|part| part.usual_figures = Some(figures));
            }
        }
    }
}
