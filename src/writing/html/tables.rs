//! Tables and grids, their heads told as heads of columns and rows.

use super::runs::inline;
use crate::document::{Align, Grid, Runs, Table};

pub(super) fn table(out: &mut String, table: &Table, caption: &str) {
    out.push_str("<table>\n");
    captioned(out, caption);
    if table.head.iter().any(|cell| !cell.is_empty()) {
        head(out, table.head.iter());
    }
    out.push_str("<tbody>\n");
    for row in &table.rows {
        out.push_str("<tr>");
        for (i, cell) in row.iter().enumerate() {
            let class = match table.align.get(i) {
                Some(Align::Right) => " class=\"number\"",
                Some(Align::Middle) => " class=\"middle\"",
                _ => "",
            };
            out.push_str(&format!("<td{class}>{}</td>", inline(cell)));
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody>\n</table>\n");
}

/// The first cell of a row says what the row is about, so it is the row's head;
/// where it is empty the row goes on with the one above. What stands beside a gap on
/// paper stands below here.
pub(super) fn grid(out: &mut String, grid: &Grid, caption: &str) {
    out.push_str("<table>\n");
    captioned(out, caption);
    let gaps = (0..grid.columns.len()).filter(|at| grid.columns[*at].gap);
    let ends: Vec<usize> = gaps.chain([grid.columns.len()]).collect();
    head(out, grid.columns[..ends[0]].iter().map(|column| &column.head));
    out.push_str("<tbody>\n");
    let mut from = 0;
    for to in ends {
        for row in &grid.rows {
            let cells = row.cells.get(from..to.min(row.cells.len())).unwrap_or_default();
            if !cells.is_empty() && (from == 0 || cells.iter().any(|cell| !is_blank(cell))) {
                grid_row(out, cells, row.total, to - from);
            }
        }
        from = to + 1;
    }
    out.push_str("</tbody>\n</table>\n");
}

fn is_blank(cell: &[Runs]) -> bool {
    cell.iter().all(|runs| runs.iter().all(|run| run.text.trim().is_empty()))
}

fn grid_row(out: &mut String, cells: &[Vec<Runs>], is_total: bool, columns: usize) {
    out.push_str(if is_total { "<tr class=\"total\">" } else { "<tr>" });
    for (i, cell) in cells.iter().enumerate() {
        let lines: Vec<String> = cell.iter().map(|runs| inline(runs)).collect();
        let inside = lines.join("<br>");
        let rest = columns.saturating_sub(i);
        if i == 0 && !inside.is_empty() {
            out.push_str(&format!("<th scope=\"row\">{inside}</th>"));
        } else if i + 1 == cells.len() && rest > 1 {
            out.push_str(&format!("<td colspan=\"{rest}\">{inside}</td>"));
        } else {
            out.push_str(&format!("<td>{inside}</td>"));
        }
    }
    out.push_str("</tr>\n");
}

fn head<'a>(out: &mut String, cells: impl Iterator<Item = &'a Runs>) {
    out.push_str("<thead>\n<tr>");
    for cell in cells {
        if cell.is_empty() {
            // A head that says nothing is no head.
            out.push_str("<td></td>");
        } else {
            out.push_str(&format!("<th scope=\"col\">{}</th>", inline(cell)));
        }
    }
    out.push_str("</tr>\n</thead>\n");
}

fn captioned(out: &mut String, caption: &str) {
    if !caption.is_empty() {
        out.push_str(&format!("<caption>{caption}</caption>\n"));
    }
}
