//! Which node speaks for which: quantities that are the same whatever the numbers.

use crate::balance::flowsheet::Flowsheet;
use crate::balance::problem::{At, ComponentId, Part, Problem, What};

use super::Node;

/// The node that speaks for this one: quantities that are the same whatever the
/// numbers have one node.
pub(in crate::balance) fn canonical(problem: &Problem, sheet: &Flowsheet, node: Node) -> Node {
    match node {
        Node::Amount(at, of) => canonical_amount(problem, sheet, at, of),
        Node::Share(at, of) => canonical_share(problem, sheet, at, of),
        Node::Other(at, of) => match canonical_amount(problem, sheet, at, of) {
            Node::Zero => Node::Zero,
            // What is alone in its stream is the stream; its moles are its own.
            Node::Amount(_, What::Total) if of == What::Total => {
                match sheet.counted(problem, at).as_slice() {
                    [c] => Node::Other(at, What::Component(*c)),
                    _ => node,
                }
            }
            _ => node,
        },
        Node::OtherShare(at, of) => match canonical_share(problem, sheet, at, of) {
            Node::Zero => Node::Zero,
            Node::One => Node::One,
            _ => node,
        },
        Node::Concentration(at, of) => match canonical_amount(problem, sheet, at, of) {
            Node::Zero => Node::Zero,
            _ => node,
        },
        _ => node,
    }
}

fn canonical_amount(problem: &Problem, sheet: &Flowsheet, at: At, of: What) -> Node {
    let counted = sheet.counted(problem, at);
    match of {
        What::Part(part) => canonical_amount(
            problem,
            sheet,
            At { stream: at.stream, part: Some(part) },
            What::Total,
        ),
        What::Group(g) => {
            let members = sheet.members(problem, at, g);
            match members.as_slice() {
                [] => Node::Zero,
                [c] => canonical_amount(problem, sheet, at, What::Component(*c)),
                _ if members == counted => canonical_amount(problem, sheet, at, What::Total),
                _ => Node::Amount(at, of),
            }
        }
        What::Total => match (counted.as_slice(), at.part) {
            ([], _) => Node::Zero,
            ([c], None) if sheet.pass(at.stream, *c).is_some() => {
                canonical_amount(problem, sheet, at, What::Component(*c))
            }
            // The solids of a cake that holds one insoluble are that insoluble.
            ([c], Some(_)) if alone_in_part(sheet, at, *c) => {
                canonical_amount(problem, sheet, At::whole(at.stream), What::Component(*c))
            }
            _ => Node::Amount(at, of),
        },
        What::Component(c) => {
            if sheet.is_absent(at, c) {
                Node::Zero
            } else if let (Some(chief), None) = (sheet.pass(at.stream, c), at.part) {
                canonical_amount(problem, sheet, At::whole(chief), of)
            } else if alone_in_part(sheet, at, c) {
                canonical_amount(problem, sheet, At::whole(at.stream), of)
            } else if counted.as_slice() == [c] {
                Node::Amount(at, What::Total)
            } else {
                Node::Amount(at, of)
            }
        }
        What::Volume | What::Density => Node::Amount(at, of),
    }
}

/// True for a part that holds all there is of a component.
pub(super) fn alone_in_part(sheet: &Flowsheet, at: At, c: ComponentId) -> bool {
    let other = match at.part {
        None => return false,
        Some(Part::Solids) => Part::Liquor,
        Some(Part::Liquor) => Part::Solids,
    };
    sheet.is_absent(At { stream: at.stream, part: Some(other) }, c)
}

fn canonical_share(problem: &Problem, sheet: &Flowsheet, at: At, of: What) -> Node {
    let counted = sheet.counted(problem, at);
    match of {
        What::Component(c) => {
            if sheet.is_absent(at, c) {
                Node::Zero
            } else if counted.as_slice() == [c] {
                Node::One
            } else if let Some(extra) = sheet.fixed_share(at, c) {
                Node::Extra(extra)
            } else {
                Node::Share(sheet.composition(at), of)
            }
        }
        What::Group(g) => {
            let members = sheet.members(problem, at, g);
            match members.as_slice() {
                [] => Node::Zero,
                _ if members == counted => Node::One,
                [c] => canonical_share(problem, sheet, at, What::Component(*c)),
                _ => Node::Share(sheet.composition(at), of),
            }
        }
        What::Part(part) => {
            let is_empty = |part| {
                sheet.present(problem, At { stream: at.stream, part: Some(part) }).is_empty()
            };
            let other = if part == Part::Solids { Part::Liquor } else { Part::Solids };
            if is_empty(part) {
                Node::Zero
            } else if is_empty(other) {
                Node::One
            } else {
                Node::Share(at, of)
            }
        }
        What::Total => Node::One,
        What::Volume | What::Density => Node::Share(at, of),
    }
}
