//! The closed list of codes. Each has at least one case file in `tests/mistakes/`;
//! a test fails if one has none.

/// How much a finding matters: an error stops printing, the others do not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    Error,
    Warning,
    Note,
}

impl Severity {
    pub fn word(self) -> &'static str {
        match self {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "note",
        }
    }
}

macro_rules! codes {
    ($($variant:ident $text:literal $severity:ident;)*) => {
        /// What kind of finding it is.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Code { $($variant),* }

        impl Code {
            pub const ALL: &'static [Code] = &[$(Code::$variant),*];

            /// The code as printed, in kebab case.
            pub fn text(self) -> &'static str {
                match self { $(Code::$variant => $text),* }
            }

            pub fn severity(self) -> Severity {
                match self { $(Code::$variant => Severity::$severity),* }
            }
        }
    };
}

codes! {
    // The file itself.
    NotText "not-text" Error;
    Utf16 "utf-16" Error;
    LegacyCodePage "legacy-code-page" Error;
    EmptyFile "empty-file" Error;
    OldLineEnds "old-line-ends" Error;
    Unreadable "unreadable" Error;
    NoUnits "no-units" Error;
    PassedOver "passed-over" Note;
    FrontMatterMissing "front-matter-missing" Error;
    FrontMatterUnclosed "front-matter-unclosed" Error;
    FenceUnclosed "fence-unclosed" Error;
    BlankUnclosed "blank-unclosed" Error;
    // The YAML of a block, in a teacher's hands.
    YamlSyntax "yaml-syntax" Error;
    HashCut "hash-cut" Error;
    CommaSplit "comma-split" Error;
    ColonInText "colon-in-text" Error;
    NeedsQuotes "needs-quotes" Error;
    Tab "tab" Error;
    EmptyValue "empty-value" Error;
    MapForText "map-for-text" Error;
    TextForMap "text-for-map" Error;
    TextForList "text-for-list" Error;
    DuplicateKey "duplicate-key" Error;
    UnknownKey "unknown-key" Error;
    MissingKey "missing-key" Error;
    // Blocks and names.
    UnknownBlock "unknown-block" Error;
    DuplicateId "duplicate-id" Error;
    BadId "bad-id" Error;
    BadName "bad-name" Error;
    HyphenForUnderscore "hyphen-for-underscore" Error;
    ReservedName "reserved-name" Error;
    NameClash "name-clash" Error;
    UnknownObjective "unknown-objective" Error;
    UnknownLevel "unknown-level" Error;
    UnknownProcess "unknown-process" Error;
    UnknownComponent "unknown-component" Error;
    UnknownRole "unknown-role" Error;
    UnknownOperation "unknown-operation" Error;
    UnknownStream "unknown-stream" Error;
    UnknownName "unknown-name" Error;
    UnknownUnit "unknown-unit" Error;
    UnknownTable "unknown-table" Error;
    UnknownFigure "unknown-figure" Error;
    UnknownTechnique "unknown-technique" Error;
    UnknownSketch "unknown-sketch" Error;
    UnknownDrawing "unknown-drawing" Error;
    UnknownRow "unknown-row" Error;
    CannotDraw "cannot-draw" Error;
    // Pictures from files.
    PictureOutside "picture-outside" Error;
    PictureMissing "picture-missing" Error;
    PictureUnread "picture-unread" Error;
    PictureWithoutWords "picture-without-words" Error;
    PictureInLine "picture-in-line" Error;
    BadChemical "bad-chemical-formula" Error;
    BadMathematics "bad-mathematics" Error;
    FormulaMissing "formula-missing" Error;
    // Operations and streams.
    OutletMissing "outlet-missing" Error;
    RoleMissing "role-missing" Error;
    BadSetting "bad-setting" Error;
    TwiceInlet "twice-inlet" Error;
    TwiceOutlet "twice-outlet" Error;
    // Quantities, values and formulas.
    BadNumber "bad-number" Error;
    BadSpace "bad-space" Error;
    BadHyphenation "bad-hyphenation" Error;
    BadValue "bad-value" Error;
    BadFact "bad-fact" Error;
    BadFormula "bad-formula" Error;
    UnitMismatch "unit-mismatch" Error;
    FractionOutside "fraction-outside" Error;
    DerivedCycle "derived-cycle" Error;
    // Questions.
    PartTextMissing "part-text-missing" Error;
    PartWithoutKey "part-without-key" Error;
    TextMissing "text-missing" Error;
    NothingAsked "nothing-asked" Error;
    TwoKinds "two-kinds" Error;
    KeyNotAnOption "key-not-an-option" Error;
    UnknownOption "unknown-option" Error;
    UnknownMistake "unknown-mistake" Error;
    TwoRightOptions "two-right-options" Error;
    OptionsAlike "options-alike" Error;
    ValueInKey "value-in-key" Error;
    TooLong "too-long" Error;
    OrderUnsettled "order-unsettled" Error;
    OutsideTable "outside-table" Error;
    NotShown "not-shown" Error;
    TooFewOptions "too-few-options" Error;
    GapsUnmatched "gaps-unmatched" Error;
    TooShort "too-short" Error;
    NoAnomaly "no-anomaly" Error;
    SeveralAnomalies "several-anomalies" Error;
    ProcessMissing "process-missing" Error;
    TooFewFacts "too-few-facts" Error;
    TooManyFacts "too-many-facts" Error;
    NotNeeded "not-needed" Note;
    NoRoute "no-route" Error;
    SeveralAnswers "several-answers" Error;
    RouteNotTaken "route-not-taken" Error;
    BadRoute "bad-route" Error;
    Impossible "impossible" Error;
    // Versions.
    RequireUnmet "require-unmet" Error;
    TooFewVersions "too-few-versions" Error;
    // Responses that come back to be marked.
    ResponsesUnread "responses-unread" Error;
    ResponseColumn "response-column" Error;
    ResponseRow "response-row" Error;
    ResponseLearner "response-learner" Error;
    ResponseVersion "response-version" Error;
    ResponseAmbiguous "response-ambiguous" Error;
    ResponseChanged "response-changed" Error;
    ResponseCell "response-cell" Error;
    ResponsePassed "response-passed" Warning;
    // The learners that a paper is printed for.
    RosterColumn "roster-column" Warning;
    RosterLearner "roster-learner" Error;
    RosterSeat "roster-seat" Error;
    RosterArrangement "roster-arrangement" Error;
    RosterVersion "roster-version" Error;
    SeatingShared "seating-shared" Warning;
    // Papers.
    PaperTable "paper-table" Error;
    PaperCell "paper-cell" Error;
    PaperMargin "paper-margin" Error;
    PaperRow "paper-row" Error;
    PaperLevel "paper-level" Error;
    PaperUnit "paper-unit" Error;
    PaperQuestion "paper-question" Error;
    PaperBounds "paper-bounds" Error;
    PaperLedger "paper-ledger" Error;
    PaperUnfillable "paper-unfillable" Error;
    PaperNotChosen "paper-not-chosen" Error;
    PaperChanged "paper-changed" Warning;
    ModerationFile "moderation-file" Error;
    ModerationReopened "moderation-reopened" Error;
    ModerationUncovered "moderation-uncovered" Error;
    ModerationUnsigned "moderation-unsigned" Error;
    DepartmentValue "department-value" Error;
    PaperPassesOver "paper-passes-over" Note;
    // Templates.
    TemplateFault "template-fault" Error;
    MissingGlyph "missing-glyph" Warning;
    SlideTooLong "slide-too-long" Note;
    // Waivers of rules.
    UnknownRule "unknown-rule" Error;
    NotWaivable "not-waivable" Error;
    WaiverUnused "waiver-unused" Note;
    // Rules of the trade: `rules::table` says what each checks and where it is from.
    FlammableAndFlame "flammable-and-flame" Error;
    AcidAndBleach "acid-and-bleach" Error;
    WaterIntoAcid "water-into-acid" Error;
    Tasting "tasting" Error;
    NoDeferral "no-deferral" Error;
    VacuumUnguarded "vacuum-unguarded" Warning;
    FunnelNotVented "funnel-not-vented" Warning;
    NoAntiBumping "no-anti-bumping" Warning;
    CentrifugeUnbalanced "centrifuge-unbalanced" Warning;
    ToDryness "to-dryness" Warning;
    NoDisposal "no-disposal" Warning;
    NegativeStem "negative-stem" Warning;
    DoubleNegative "double-negative" Error;
    StemIncomplete "stem-incomplete" Warning;
    OptionCount "option-count" Note;
    AllOfTheAbove "all-of-the-above" Error;
    NoneOfTheAbove "none-of-the-above" Warning;
    ComplexKey "complex-key" Warning;
    OptionsOverlap "options-overlap" Error;
    KeyStuck "key-stuck" Warning;
    AnswerInWords "answer-in-words" Warning;
    MixedOptions "mixed-options" Warning;
    GrammarCue "grammar-cue" Warning;
    RepeatedWords "repeated-words" Note;
    LengthCue "length-cue" Warning;
    EchoCue "echo-cue" Warning;
    AbsoluteWords "absolute-words" Warning;
    UnorderedNumbers "unordered-numbers" Warning;
    NegativeStatement "negative-statement" Warning;
    NoReason "no-reason" Warning;
    OneSidedStatements "one-sided-statements" Warning;
    EqualLists "equal-lists" Warning;
    ListLength "list-length" Note;
    AnswerGivenAway "answer-given-away" Warning;
    LongSentence "long-sentence" Warning;
    LongStem "long-stem" Warning;
    HardToRead "hard-to-read" Warning;
    UntaughtWord "untaught-word" Note;
    CommandWord "command-word" Warning;
    UnequalVersions "unequal-versions" Warning;
    TooLittleTime "too-little-time" Warning;
    HardFirst "hard-first" Note;
    MarksOverSteps "marks-over-steps" Warning;
    ValueNotPrinted "value-not-printed" Error;
    ValueNotUsed "value-not-used" Error;
    TooManyFigures "too-many-figures" Warning;
    UnevenFigures "uneven-figures" Warning;
    UnitTypography "unit-typography" Warning;
    MixedUnits "mixed-units" Warning;
    FigureGivesAnswer "figure-gives-answer" Error;
    FigureNotMentioned "figure-not-mentioned" Warning;
    FigureMissing "figure-missing" Warning;
    AnswerSpace "answer-space" Warning;
    TermSwapped "term-swapped" Warning;
    MixedSpelling "mixed-spelling" Warning;
}
