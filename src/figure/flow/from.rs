//! A process of a unit file as a flow, and what its diagram says in words.

use super::super::listed;
use super::{End, Flow, Stream, Unit};
use crate::balance::operations::Wants;
use crate::reading::parsed::{Operation, Process, SettingValue};

/// A process: each operation a unit, each stream once. `value` says what is written
/// on a stream, `asked` which names a learner is to write.
pub fn flow_of(
    process: &Process,
    value: &dyn Fn(&str) -> Option<String>,
    asked: &dyn Fn(&str) -> bool,
) -> Flow {
    let mut flow = Flow::default();
    let mut names: Vec<&str> = Vec::new();
    for (number, operation) in process.operations.iter().enumerate() {
        let kind = operation.kind.value;
        flow.units.push(Unit {
            name: plain(&operation.name.value),
            symbol: kind.symbol,
            stages: stages(operation),
        });
        for (port, streams) in &operation.ports {
            let inlet = kind.inlets.iter().any(|known| known == port.value);
            let end = End { unit: number, port: port.value.key };
            for stream in streams {
                let name = stream.value.as_str();
                let index = names.iter().position(|known| *known == name).unwrap_or_else(|| {
                    names.push(name);
                    let purpose = process.by_products.iter().find(|(of, _)| of.value == name);
                    flow.streams.push(Stream {
                        name: plain(name),
                        value: value(name),
                        purpose: purpose.map(|(_, says)| says.value.clone()),
                        asked: asked(name),
                        ..Stream::default()
                    });
                    names.len() - 1
                });
                let known = &mut flow.streams[index];
                *(if inlet { &mut known.to } else { &mut known.from }) = Some(end);
            }
        }
    }
    flow
}

/// A name as it is printed.
fn plain(name: &str) -> String {
    name.replace('_', " ")
}

fn stages(operation: &Operation) -> Option<String> {
    operation.settings.iter().find_map(|(setting, value)| match &value.value {
        SettingValue::Count(count) if setting.value.takes == Wants::Count && count.value > 1 => {
            Some(format!("× {} {}", count.value, setting.value.key))
        }
        _ => None,
    })
}

/// What a person who cannot see the diagram is told. Names to be written are not
/// given away.
pub fn words(flow: &Flow) -> String {
    let count = flow.units.len();
    let steps = if count == 1 { "step" } else { "steps" };
    let mut said = format!("Flow diagram with {count} {steps}.");
    let called = |stream: &Stream| {
        let mut text =
            if stream.asked { "a stream to be named".to_owned() } else { stream.name.clone() };
        if let Some(value) = &stream.value {
            text.push_str(&format!(" ({value})"));
        }
        text
    };
    for (number, unit) in flow.units.iter().enumerate() {
        let at = |end: Option<End>| end.is_some_and(|end| end.unit == number);
        let enters: Vec<String> = flow.streams.iter().filter(|s| at(s.to)).map(called).collect();
        let leaves: Vec<String> = flow
            .streams
            .iter()
            .filter(|s| at(s.from))
            .map(|stream| match (stream.to, &stream.purpose) {
                (Some(to), _) => format!("{} to {}", called(stream), flow.units[to.unit].name),
                (None, Some(purpose)) => format!("{} ({purpose})", called(stream)),
                (None, None) => called(stream),
            })
            .collect();
        let stages = unit.stages.as_ref().map_or_else(String::new, |s| format!(" ({s})"));
        said.push_str(&format!(
            " Step {}, {}{stages}: in {}; out {}.",
            number + 1,
            unit.name,
            in_a_row(&enters),
            in_a_row(&leaves)
        ));
    }
    said
}

/// Names as a sentence has them, "nothing" for none.
fn in_a_row(names: &[String]) -> String {
    if names.is_empty() { "nothing".to_owned() } else { listed(names) }
}
