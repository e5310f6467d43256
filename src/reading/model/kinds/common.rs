//! What holds for parts of every kind that is answered otherwise than by a worked number:
//! values stand in the question's text alone, and there are letters for what is lettered.

use crate::diag::{Code, Diagnostic};
use crate::reading::kinds::{Kind, Order, Point};
use crate::reading::parsed::{Part, Text};

use super::Check;

/// What is lettered has a letter of the alphabet.
pub(super) const LETTERS: usize = 26;

impl Check<'_, '_> {
    /// Names in double braces are filled where the text of a question stands. In a key
    /// they would print as they are, or an option would differ from the value it means.
    pub(super) fn values_in_keys(&mut self, part: &Part) {
        let own = part.name.iter().chain(&part.remark);
        for text in own.chain(texts(&part.kind)).filter(|text| text.value.contains("{{")) {
            self.diagnostics.push(
                Diagnostic::new(
                    Code::ValueInKey,
                    self.unit.place(text.span),
                    format!("A value is named here, where it would not be filled in: `{}`.", text.value),
                )
                .found(format!("`{}`", text.value))
                .expected("the same words in every version")
                .next("name values in the question's text, below its line `---`; ask for a number with `find`"),
            );
        }
    }

    /// Numbers of one figure are too coarse to be told apart, and a key that alone has so
    /// few gives itself away.
    pub(super) fn figures_to_choose_by(&mut self, part: &Part) -> Option<()> {
        let Some(figures) = part.sig_figs.as_ref().filter(|figures| figures.value < 2) else {
            return Some(());
        };
        self.diagnostics.push(
            Diagnostic::new(
                Code::BadValue,
                self.unit.place(figures.span),
                "Numbers to choose from need two figures or more.",
            )
            .found(format!("`{}`", figures.value))
            .expected("2 or 3")
            .next("write `sig_figs: 2`, or let the answer be written on a line"),
        );
        None
    }

    /// More than the alphabet has letters for.
    pub(super) fn lettered(&mut self, part: &Part, what: &str, count: usize) -> bool {
        if count <= LETTERS {
            return true;
        }
        self.diagnostics.push(
            Diagnostic::new(
                Code::TooLong,
                self.unit.place(part.span),
                format!("This part has {count} {what}, and there are {LETTERS} letters."),
            )
            .found(format!("{count} {what}"))
            .expected("four or five, as a rule")
            .next("take most of them out, or make several questions of it"),
        );
        false
    }

    /// Each text of a list that is like one before it; whether there is none.
    pub(super) fn all_differ<'t>(
        &mut self,
        texts: impl IntoIterator<Item = &'t Text>,
        what: &str,
        alike: fn(&str, &str) -> bool,
    ) -> bool {
        let mut before: Vec<&Text> = Vec::new();
        let mut differ = true;
        for text in texts {
            if let Some(first) = before.iter().find(|first| alike(&first.value, &text.value)) {
                self.twice(first, text, what);
                differ = false;
            }
            before.push(text);
        }
        differ
    }

    /// Two texts of a list that nobody could tell apart.
    pub(super) fn twice(&mut self, first: &Text, second: &Text, what: &str) {
        self.diagnostics.push(
            Diagnostic::new(
                Code::OptionsAlike,
                self.unit.place(second.span),
                format!("Two {what} say the same: `{}`.", second.value),
            )
            .found(format!("`{}` and `{}`", first.value, second.value))
            .expected(format!("{what} that differ in more than capitals and stops"))
            .next("change one of the two, or take it out")
            .related(self.unit.place(first.span), "the first stands"),
        );
    }
}

/// The texts of a kind that are printed.
fn texts(kind: &Kind) -> Vec<&Text> {
    match kind {
        Kind::Find | Kind::ChooseNumber { .. } | Kind::Read(_) | Kind::Complete(_) => Vec::new(),
        Kind::Choose(told) => {
            let wrong = told.wrong.iter().flat_map(|(text, why)| std::iter::once(text).chain(why));
            told.answer.iter().chain(&told.options).chain(wrong).collect()
        }
        Kind::TrueFalse(told) => of_points(&told.reasons),
        Kind::Match(told) => {
            let pairs = told.pairs.iter().flat_map(|(left, right)| [left, right]);
            pairs.chain(&told.spare).collect()
        }
        Kind::Order(Order::Lines(lines)) => lines.iter().collect(),
        Kind::Order(Order::Steps(_) | Order::Operations(_)) => Vec::new(),
        Kind::Explain(points) => of_points(points),
        Kind::Fill(told) => told.words.iter().chain(&told.spare).collect(),
        Kind::Label(told) => told.names.iter().collect(),
        Kind::Anomaly(told) => of_points(&told.reasons),
        Kind::Investigate(told) => {
            let lists = [&told.keep, &told.apparatus, &told.method, &told.safety, &told.evaluation];
            let named = [&told.change, &told.measure];
            named.into_iter().chain(lists.into_iter().flatten()).collect()
        }
    }
}

fn of_points(points: &[Point]) -> Vec<&Text> {
    let each = |point| {
        let Point { point, or, accept, reject, ignore, .. }: &Point = point;
        std::iter::once(point).chain(or).chain(accept).chain(reject).chain(ignore)
    };
    points.iter().flat_map(each).collect()
}
