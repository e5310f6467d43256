//! Operations in stages, laid out one by one.
//!
//! Takes an operation with the streams at its ports and how many stages it has;
//! gives plain operations with the streams between them, named after their stage
//! from the feed's end: `spent.stage1`. The last stage's stream is the operation's
//! own, and so is the sum of what every stage gives off.

use crate::balance::operations::{Kind, Staging, named};
use crate::balance::problem::{Operation, Problem, StreamId};

/// An operation as the author wrote it: ports with their streams.
pub(super) struct Laid<'a> {
    pub(super) name: &'a str,
    pub(super) kind: &'static Kind,
    pub(super) inlets: Vec<(&'static str, StreamId)>,
    pub(super) outlets: Vec<(&'static str, StreamId)>,
    pub(super) except: Vec<String>,
    pub(super) stages: u32,
    pub(super) counter_current: bool,
}

/// The operation, or its stages, in the order of flow.
pub(super) fn laid_out(problem: &mut Problem, laid: Laid<'_>) -> Vec<Operation> {
    let staging = laid.kind.staging.filter(|_| laid.stages > 1);
    let Some(staging) = staging else {
        if laid.kind.staging.is_some() && laid.stages == 1 {
            let own: Vec<StreamId> = laid.inlets.iter().chain(&laid.outlets).map(|p| p.1).collect();
            for stream in own {
                let name = format!("{}.stage1", problem.streams[stream]);
                problem.aliases.push((name, stream));
            }
        }
        let (inlet_keys, inlets) = laid.inlets.into_iter().unzip();
        return vec![Operation {
            name: laid.name.to_owned(),
            kind: laid.kind,
            inlets,
            inlet_keys,
            outlets: laid.outlets,
            except: laid.except,
            crystal: None,
        }];
    };
    Stages { problem, laid: &laid, staging, after: Vec::new() }.all()
}

struct Stages<'a, 'b> {
    problem: &'a mut Problem,
    laid: &'a Laid<'b>,
    staging: Staging,
    /// Collections, which stand behind the stages.
    after: Vec<Operation>,
}

impl Stages<'_, '_> {
    fn all(mut self) -> Vec<Operation> {
        let count = self.laid.stages;
        let mut found = Vec::new();
        let (through_in, through_out) = self.staging.through;
        let through = self.between(through_out, count, End::Last);
        let mut entering = Vec::new();
        let mut leaving = Vec::new();
        if let Some((inlet, outlet)) = self.staging.against {
            if self.laid.counter_current {
                // Stage 1 gives the operation's own stream; the last takes it in.
                leaving = self.between(outlet, count, End::First);
                entering = leaving.iter().skip(1).copied().collect();
                entering.extend(self.inlet(inlet));
            } else {
                entering = self.shared_out(inlet, count, &mut found);
                leaving = self.collected(outlet, count);
            }
        }
        let given_off = match self.staging.given_off {
            Some(outlet) => self.collected(outlet, count),
            None => Vec::new(),
        };
        for stage in 0..count as usize {
            let mut inlets: Vec<(&'static str, StreamId)> = match stage {
                0 => self.laid.inlets.iter().copied().filter(|(k, _)| *k == through_in).collect(),
                _ => through.get(stage - 1).map(|s| (through_in, *s)).into_iter().collect(),
            };
            let mut outlets = Vec::new();
            let mut leaves = |key, streams: &[StreamId]| {
                outlets.extend(streams.get(stage).map(|stream| (key, *stream)));
            };
            if let Some(outlet) = self.staging.given_off {
                leaves(outlet, &given_off);
            }
            if let Some((inlet, outlet)) = self.staging.against {
                inlets.extend(entering.get(stage).map(|stream| (inlet, *stream)));
                leaves(outlet, &leaving);
            }
            leaves(through_out, &through);
            let (inlet_keys, inlets) = inlets.into_iter().unzip();
            found.push(Operation {
                name: format!("{}.stage{}", self.laid.name, stage + 1),
                kind: self.laid.kind,
                inlets,
                inlet_keys,
                outlets,
                except: self.laid.except.clone(),
                crystal: None,
            });
        }
        found.extend(self.after);
        found
    }

    fn inlet(&self, key: &str) -> Option<StreamId> {
        self.laid.inlets.iter().find(|(k, _)| *k == key).map(|(_, stream)| *stream)
    }

    fn outlet(&self, key: &str) -> Option<StreamId> {
        self.laid.outlets.iter().find(|(k, _)| *k == key).map(|(_, stream)| *stream)
    }

    /// A stream of its own, with the stage in its name.
    fn new_stream(&mut self, own: StreamId, stage: u32) -> StreamId {
        let name = format!("{}.stage{stage}", self.problem.streams[own]);
        self.problem.streams.push(name);
        self.problem.streams.len() - 1
    }

    /// What leaves every stage by an outlet; at one end it is the operation's own.
    fn between(&mut self, key: &str, count: u32, end: End) -> Vec<StreamId> {
        let Some(own) = self.outlet(key) else { return Vec::new() };
        let at = if end == End::Last { count } else { 1 };
        (1..=count)
            .map(|stage| {
                if stage == at {
                    let name = format!("{}.stage{stage}", self.problem.streams[own]);
                    self.problem.aliases.push((name, own));
                    own
                } else {
                    self.new_stream(own, stage)
                }
            })
            .collect()
    }

    /// The whole of an inlet parted among the stages.
    fn shared_out(&mut self, key: &str, count: u32, found: &mut Vec<Operation>) -> Vec<StreamId> {
        let (Some(own), Some(kind)) = (self.inlet(key), named("splitting")) else {
            return Vec::new();
        };
        let parts: Vec<StreamId> = (1..=count).map(|stage| self.new_stream(own, stage)).collect();
        found.push(Operation {
            name: format!("division of {}", self.problem.streams[own]),
            kind,
            inlets: vec![own],
            inlet_keys: vec!["feed"],
            outlets: parts.iter().map(|stream| ("products", *stream)).collect(),
            except: Vec::new(),
            crystal: None,
        });
        parts
    }

    /// What every stage gives off, joined to the operation's own stream.
    fn collected(&mut self, key: &str, count: u32) -> Vec<StreamId> {
        let (Some(own), Some(kind)) = (self.outlet(key), named("mixing")) else {
            return Vec::new();
        };
        let parts: Vec<StreamId> = (1..=count).map(|stage| self.new_stream(own, stage)).collect();
        self.after.push(Operation {
            name: format!("collection of {}", self.problem.streams[own]),
            kind,
            inlets: parts.clone(),
            inlet_keys: vec!["feed"; parts.len()],
            outlets: vec![("product", own)],
            except: Vec::new(),
            crystal: None,
        });
        parts
    }
}

#[derive(PartialEq)]
enum End {
    First,
    Last,
}
