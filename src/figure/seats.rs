//! A seating plan: the desks of a room as a grid, each with a name and a version.
//!
//! Takes plain places and words; gives drawings. The front of the room is at the top, as
//! learners see it. A room that is too wide or too deep for one drawing is shown in several.

use super::drawing::{Anchor, Drawing, Label, Role, Shape, Weight};
use super::{pen, room};

/// Who sits at a desk, and which paper lies there.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Desk {
    pub row: u32,
    pub seat: u32,
    /// As the room names them.
    pub row_name: String,
    pub seat_name: String,
    pub name: String,
    pub version: String,
    /// The copy differs from those beside it.
    pub special: bool,
}

/// The width of a whole drawing, of the names of rows, and of a cell, in mm.
const WIDE: f64 = 158.0;
const ROWS: f64 = 16.0;
const WIDEST: f64 = 32.0;
/// Lines of a name, the height of a cell and the room between cells.
const LINES: usize = 2;
const HEIGHT: f64 = 3.0 * room::PITCH + 3.0;
const BETWEEN: f64 = 1.6;
/// Cells side by side and one below another in one drawing.
const ACROSS: usize = 7;
const DOWN: usize = 11;
/// What a cell keeps from its words.
const INSIDE: f64 = 1.4;

/// The plan of a room; none without desks.
pub fn plan(desks: &[Desk]) -> Vec<Drawing> {
    let span = |of: fn(&Desk) -> u32| {
        let all = desks.iter().map(of);
        all.clone().min().zip(all.max())
    };
    let (Some((front, back)), Some((left, right))) =
        (span(|desk| desk.row), span(|desk| desk.seat))
    else {
        return Vec::new();
    };
    // Rows and seats that nobody has are aisles: as wide as a desk within the room.
    let rows: Vec<u32> = (front..=back).filter(|row| aisle(*row, desks, |d| d.row)).collect();
    let seats: Vec<u32> = (left..=right).filter(|seat| aisle(*seat, desks, |d| d.seat)).collect();
    let mut plans = Vec::new();
    let each = |all: usize, most: usize| all.div_ceil(all.div_ceil(most).max(1)).max(1);
    for down in rows.chunks(each(rows.len(), DOWN)) {
        for across in seats.chunks(each(seats.len(), ACROSS)) {
            plans.extend(part(desks, down, across, down[0] == front));
        }
    }
    plans
}

/// Whether a line of desks is shown: one that is used, or a single one between such.
fn aisle(at: u32, desks: &[Desk], of: fn(&Desk) -> u32) -> bool {
    let used = |place: u32| desks.iter().any(|desk| of(desk) == place);
    used(at) || (at > 0 && used(at - 1))
}

fn part(desks: &[Desk], rows: &[u32], seats: &[u32], is_front: bool) -> Option<Drawing> {
    let mut drawing = Drawing { whole: true, ..Drawing::default() };
    let width = ((WIDE - ROWS) / seats.len() as f64).min(WIDEST);
    let right = ROWS + width * seats.len() as f64;
    let mut top = 0.0;
    if is_front {
        let path = pen::lines(&[(ROWS, 0.0), (right - BETWEEN, 0.0)]);
        drawing.shapes.push(Shape { role: Role::Strong, path });
        drawing.labels.push(Label {
            x: (ROWS + right - BETWEEN) / 2.0,
            y: -1.8,
            text: "front of the room".to_owned(),
            anchor: Anchor::Middle,
            weight: Weight::Semibold,
            ..Label::default()
        });
        top = 1.5;
    }
    let own: Vec<&Desk> = desks
        .iter()
        .filter(|desk| rows.contains(&desk.row) && seats.contains(&desk.seat))
        .collect();
    if own.is_empty() {
        return None;
    }
    let heads = top + 2.0 * room::MIDDLE + 1.5;
    let y = |row: u32| {
        let at = rows.iter().position(|own| *own == row).unwrap_or(0);
        heads + 2.0 + at as f64 * (HEIGHT + BETWEEN)
    };
    let x =
        |seat: u32| ROWS + seats.iter().position(|own| *own == seat).unwrap_or(0) as f64 * width;
    for seat in seats {
        let Some(desk) = own.iter().find(|desk| desk.seat == *seat) else { continue };
        drawing.labels.push(Label {
            x: x(*seat) + (width - BETWEEN) / 2.0,
            y: heads,
            text: desk.seat_name.clone(),
            anchor: Anchor::Middle,
            ..Label::default()
        });
    }
    for row in rows {
        let Some(desk) = own.iter().find(|desk| desk.row == *row) else { continue };
        drawing.labels.push(Label {
            x: ROWS - 3.0,
            y: y(*row) + HEIGHT / 2.0 + room::MIDDLE,
            text: format!("row {}", desk.row_name),
            anchor: Anchor::End,
            ..Label::default()
        });
    }
    for desk in &own {
        let (left, top, inner) = (x(desk.seat), y(desk.row), width - BETWEEN);
        let path = pen::rectangle(left, top, inner, HEIGHT);
        drawing.shapes.push(Shape { role: Role::Outline, path });
        for (line, text) in name_lines(&desk.name, inner - 2.0 * INSIDE).into_iter().enumerate() {
            drawing.labels.push(Label {
                x: left + INSIDE,
                y: top + (line as f64 + 1.0) * room::PITCH - 0.6,
                text,
                ..Label::default()
            });
        }
        drawing.labels.push(Label {
            x: left + inner - INSIDE,
            y: top + HEIGHT - 1.4,
            text: if desk.special { format!("* {}", desk.version) } else { desk.version.clone() },
            anchor: Anchor::End,
            weight: Weight::Bold,
            ..Label::default()
        });
    }
    let each: Vec<String> = own
        .iter()
        .map(|d| format!("row {}, seat {}: {} {}", d.row_name, d.seat_name, d.name, d.version))
        .collect();
    drawing.words = format!("A seating plan. {}.", each.join("; "));
    Some(room::framed(drawing))
}

/// A name on its lines, the last word of them cut where it does not fit.
fn name_lines(name: &str, widest: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in name.split(' ') {
        let count = lines.len();
        match lines.last_mut() {
            // The last line takes what is left, to be cut.
            Some(line) if count == LINES || wide(&format!("{line} {word}")) <= widest => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines.into_iter().map(|line| cut(&line, widest)).collect()
}

fn wide(text: &str) -> f64 {
    room::width(text, Weight::Regular)
}

fn cut(line: &str, widest: f64) -> String {
    if wide(line) <= widest {
        return line.to_owned();
    }
    let mut kept = String::new();
    for c in line.chars() {
        if wide(&format!("{kept}{c}…")) > widest {
            break;
        }
        kept.push(c);
    }
    format!("{}…", kept.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_stand_on_two_lines_and_are_cut_where_they_must() {
        assert_eq!(name_lines("Ivo Marram", 15.0), ["Ivo", "Marram"]);
        assert_eq!(name_lines("Ivo Marram", 40.0), ["Ivo Marram"]);
        let lines = name_lines("Wilhelmina Featherstonehaugh Smythe", 24.0);
        assert_eq!(lines.len(), 2);
        assert!(lines[1].ends_with('…'), "{lines:?}");
    }

    #[test]
    fn a_wide_room_is_shown_in_parts_and_no_desk_is_lost() {
        let desks: Vec<Desk> = (1..=3)
            .flat_map(|row| (1..=20).map(move |seat| (row, seat)))
            .map(|(row, seat)| Desk {
                row,
                seat,
                row_name: row.to_string(),
                seat_name: seat.to_string(),
                name: format!("N{row}x{seat}"),
                version: "A".to_owned(),
                special: false,
            })
            .collect();
        let plans = plan(&desks);
        assert_eq!(plans.len(), 3);
        for desk in &desks {
            let shown = plans.iter().flat_map(|plan| &plan.labels);
            assert_eq!(shown.filter(|label| label.text == desk.name).count(), 1);
        }
        assert!(plans.iter().all(|plan| plan.width <= WIDE + 1.0));
    }
}
