//! Marking points: a list of texts, or of texts with what to accept and to reject.

use crate::reading::desk::{Desk, Fields};
use crate::reading::kinds::Point;
use crate::reading::parsed::Text;
use crate::reading::words::POINT;
use crate::reading::yaml::{Entry, Node, NodeKind};

use super::super::parts::lines;

/// The points of an entry that holds a list of them, or a single one.
pub(in super::super) fn points_of(desk: &mut Desk, entry: &Entry) -> Vec<Point> {
    match &entry.value.kind {
        NodeKind::List(items) => items.iter().filter_map(|item| point(desk, item, entry)).collect(),
        _ => point(desk, &entry.value, entry).into_iter().collect(),
    }
}

/// The points under a key, if it is there.
pub(super) fn points_at(desk: &mut Desk, fields: &Fields, key: &str) -> Vec<Point> {
    fields.get(key).map(|entry| points_of(desk, entry)).unwrap_or_default()
}

fn point(desk: &mut Desk, node: &Node, entry: &Entry) -> Option<Point> {
    let has_point = match &node.kind {
        NodeKind::Map(map) => map.entries.iter().any(|e| e.key.text == "point"),
        _ => false,
    };
    if !has_point {
        // A colon in a text makes keys of it, which its own message says.
        let point = desk.prose_item(node, entry.key.span)?;
        return Some(plain(point));
    }
    let fields = desk.fields(node, &POINT, entry.key.span)?;
    Some(Point {
        point: desk.optional_prose(&fields, "point")?,
        or: lines(desk, &fields, "or"),
        accept: lines(desk, &fields, "accept"),
        reject: lines(desk, &fields, "reject"),
        ignore: lines(desk, &fields, "ignore"),
        marks: desk.whole(&fields, "marks"),
    })
}

fn plain(point: Text) -> Point {
    let none = Vec::new;
    Point { point, or: none(), accept: none(), reject: none(), ignore: none(), marks: None }
}
