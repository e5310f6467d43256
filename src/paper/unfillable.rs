//! Why a table cannot be filled, in words: which cells, how many marks the units hold
//! there, and the nearest table that can be.

use crate::diag::{Code, Diagnostic, Diagnostics, Place, Surety};
use crate::reading::paper::{Bounds, ParsedPaper};

use super::bank::Bank;
use super::pick::{Blocker, Unfillable};

/// Reports it.
pub fn finding(paper: &ParsedPaper, bank: &Bank, unfillable: &Unfillable, out: &mut Diagnostics) {
    let held = bank.held();
    let cells: Vec<_> = paper.table.rows.iter().flat_map(|row| &row.cells).collect();
    let levels = paper.table.levels.len();
    let name = |cell: usize| {
        let row = &paper.table.rows[cell / levels].label.value;
        format!("`{row}` at `{}`", paper.table.levels[cell % levels].value)
    };
    let mut named = false;
    // Where one demand stands in the way, the cells are not what is amiss.
    if let Some(nearest) = &unfillable.nearest
        && unfillable.blockers.is_empty()
    {
        let table = in_words(paper, nearest);
        let wrong = (0..cells.len()).filter(|n| !bank.wanted.cells[*n].holds(nearest[*n]));
        for cell in wrong {
            named = true;
            let wants = bank.wanted.cells[cell];
            let marks = |n: u32| format!("{n} mark{}", if n == 1 { "" } else { "s" });
            let message = if held[cell] < wants.least {
                format!("The units hold {} for {}, and {wants} are wanted.", held[cell], name(cell))
            } else {
                format!("No questions for {} come to {wants} marks together.", name(cell))
            };
            let sizes = sizes(bank, cell);
            let finding = Diagnostic::new(
                Code::PaperUnfillable,
                Place::new(&paper.file, cells[cell].span),
                message,
            )
            .found(format!("{} held{sizes}", marks(held[cell])))
            .expected(format!("the nearest table that can be filled: {table}"))
            .next("write what can be had, or add questions to the units");
            let made = if nearest[cell] == 0 { String::new() } else { nearest[cell].to_string() };
            out.push(match made.as_str() {
                "" => finding,
                made => finding.mended(cells[cell].span, made, Surety::Likely),
            });
        }
    }
    if named {
        return;
    }
    let stand: Vec<&str> = unfillable.blockers.iter().map(|blocker| words(*blocker)).collect();
    let (found, next) = if stand.is_empty() {
        ("several demands that contradict each other".to_owned(), "loosen one of them")
    } else {
        (stand.join("; or "), "loosen that demand")
    };
    out.push(
        Diagnostic::new(
            Code::PaperUnfillable,
            Place::new(&paper.file, paper.head()),
            "The cells could be filled, but not together with everything else that is asked.",
        )
        .found(format!("in the way: {found}"))
        .expected("demands that can be met together")
        .next(next),
    );
}

fn words(blocker: Blocker) -> &'static str {
    match blocker {
        Blocker::Total => "`marks`, the total",
        Blocker::Time => "`minutes`, the time allowed",
        Blocker::Must => "`must`, the questions that have to be taken",
        Blocker::OneOf => "`one_of`, the choices of exactly one",
        Blocker::Apart => "questions that give each other's answers away",
        Blocker::Sections => "`sections`, and what may stand in them",
    }
}

/// " in questions of 4, 4 and 7 marks".
fn sizes(bank: &Bank, cell: usize) -> String {
    let own = bank.candidates.iter().filter(|candidate| candidate.cell == cell);
    let mut sizes: Vec<u32> = own.map(|candidate| candidate.marks).collect();
    sizes.sort_unstable();
    let texts: Vec<String> = sizes.iter().map(ToString::to_string).collect();
    match texts.as_slice() {
        [] => String::new(),
        [one] => format!(", in one question of {one}"),
        [before @ .., last] => format!(", in questions of {} and {last}", before.join(", ")),
    }
}

/// "masses: apply 20, analyse 4; chain: apply 6".
fn in_words(paper: &ParsedPaper, marks: &[u32]) -> String {
    let levels = paper.table.levels.len();
    let rows = paper.table.rows.iter().enumerate().filter_map(|(row, of)| {
        let cells: Vec<String> = (0..levels)
            .filter(|level| marks[row * levels + level] > 0)
            .map(|level| {
                let count = Bounds::exactly(marks[row * levels + level]);
                format!("{} {count}", paper.table.levels[level].value)
            })
            .collect();
        (!cells.is_empty()).then(|| format!("{}: {}", of.label.value, cells.join(", ")))
    });
    rows.collect::<Vec<_>>().join("; ")
}
