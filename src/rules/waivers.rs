//! What an author allows: `allow: {rule: reason}` on a block or in the front matter.
//!
//! Takes a unit's waivers; says which name no rule or one that cannot be waived, which
//! findings they cover, and, at the end, which covered none.

use crate::diag::{Code, Diagnostic, Diagnostics, Place, Surety, nearest};
use crate::reading::parsed::{ParsedUnit, Text};

use super::Waiver;
use super::table::{Rule, TABLE, named};
use super::texts::Block;

struct Given<'a> {
    /// The block that says it; none for the front matter, which speaks for all.
    block: Option<usize>,
    name: &'a Text,
    reason: &'a Text,
    rule: &'static Rule,
    used: bool,
}

pub(super) struct Waivers<'a> {
    given: Vec<Given<'a>>,
}

impl<'a> Waivers<'a> {
    pub(super) fn of(unit: &'a ParsedUnit, blocks: &[Block<'a>], out: &mut Diagnostics) -> Self {
        let front = unit.front.allow.iter().map(|waived| (None, waived));
        let own = blocks.iter().enumerate().flat_map(|(index, block)| {
            block.allow().iter().map(move |waived| (Some(index), waived))
        });
        let mut given = Vec::new();
        for (block, (name, reason)) in front.chain(own) {
            match named(&name.value) {
                None => out.push(unknown(unit, name)),
                Some(rule) if !rule.waivable => out.push(not_waivable(unit, name)),
                Some(rule) => given.push(Given { block, name, reason, rule, used: false }),
            }
        }
        Waivers { given }
    }

    /// Whether a finding about a block (none: about the unit) is waived.
    pub(super) fn cover(&mut self, block: Option<usize>, code: Code) -> bool {
        let covers = |given: &Given<'_>| {
            given.rule.code == code && (given.block.is_none() || given.block == block)
        };
        // The nearest word counts: the block's own before the unit's.
        let own = self.given.iter().position(|g| covers(g) && g.block.is_some());
        match own.or_else(|| self.given.iter().position(covers)) {
            Some(at) => {
                self.given[at].used = true;
                true
            }
            None => false,
        }
    }

    pub(super) fn in_force(self, unit: &ParsedUnit, out: &mut Diagnostics) -> Vec<Waiver> {
        let mut kept = Vec::new();
        for given in self.given {
            let place = Place::new(&unit.file, given.name.span);
            if given.used {
                let reason = given.reason.value.clone();
                kept.push(Waiver { place, rule: given.rule.code.text(), reason });
            } else {
                out.push(
                    Diagnostic::new(
                        Code::WaiverUnused,
                        place,
                        format!("Nothing here breaks the rule `{}` any more.", given.name.value),
                    )
                    .found("a waiver that waives nothing")
                    .expected("waivers only where a rule is broken")
                    .next("take the line out"),
                );
            }
        }
        kept
    }
}

fn unknown(unit: &ParsedUnit, name: &Text) -> Diagnostic {
    let codes = || TABLE.iter().map(|rule| rule.code.text());
    let finding = Diagnostic::new(
        Code::UnknownRule,
        Place::new(&unit.file, name.span),
        format!("There is no rule called `{}`.", name.value),
    )
    .found(format!("`{}`", name.value))
    .expected("the code of a rule; `stillroom words` lists them");
    finding.misspelt(
        name.span,
        nearest(&name.value, codes()),
        Surety::Likely,
        "copy the code from the finding that you want to waive",
    )
}

fn not_waivable(unit: &ParsedUnit, name: &Text) -> Diagnostic {
    Diagnostic::new(
        Code::NotWaivable,
        Place::new(&unit.file, name.span),
        format!("The rule `{}` cannot be waived.", name.value),
    )
    .found(format!("`{}` under `allow`", name.value))
    .expected("a rule that a good reason may break")
    .next("take the line out and mend what the rule finds")
}
