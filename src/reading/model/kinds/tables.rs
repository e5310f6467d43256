//! What is asked of a table: a reading, cells to fill, the value that does not fit.

use crate::diag::{Code, Diagnostic};
use crate::quantity::{Formula, Number, Scale, Unit, print_number, round_figures};
use crate::reading::kinds::{Anomaly, Complete, Kind, Read, Rule};
use crate::reading::parsed::{Data, Draw, Figure, Part, Placed, Text};

use super::super::{Source, values};
use super::{Check, Gap, Odd, Reading, Table, Task, marks_of};

/// How far off a straight line a value lies that does not fit, as a share of the
/// range of the row; and how near the others lie.
const FAR: f64 = 0.10;
const NEAR: f64 = 0.05;

impl<'a> Check<'a, '_> {
    pub(super) fn reading(&mut self, part: &Part, told: &Read) -> Option<Task> {
        let figure = self.unit.figures.get(told.figure.value.as_str());
        let id = match figure {
            Some(figure) => Text::new(figure.shows().to_owned(), told.figure.span),
            None => told.figure.clone(),
        };
        let data = self.data(&id)?;
        let (name, values) = self.row(data, &told.row)?;
        let lookup = self.lookup;
        let dimension = lookup.check(self.unit, &told.at.value, self.diagnostics)?;
        let across = data.columns.as_ref().map_or_else(Unit::none, |(_, unit)| unit.clone());
        if dimension != across.dimension() {
            self.diagnostics.push(
                Diagnostic::new(
                    Code::UnitMismatch,
                    self.unit.place(told.at.span),
                    format!(
                        "This is {}, while the table has {} across the top.",
                        dimension.words(),
                        across.dimension().words()
                    ),
                )
                .found(format!("`{}`", self.unit.file.slice(told.at.span)))
                .expected(across.dimension().words())
                .next("give the place where to read in the unit of the table's head"),
            );
            return None;
        }
        let mut points: Vec<(f64, f64)> = values.iter().map(|(x, y)| (x.value, y.value)).collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        if points.len() < 2 {
            self.too_short(part, "values in that row", "at least two points to read between");
            return None;
        }
        if !self.lies_inside(told, &points, &across)
            || figure.is_some_and(|figure| !self.shows(told, figure, &points, &across))
        {
            return None;
        }
        let places = places_of(values.iter().map(|(_, y)| y));
        let step = 10f64.powi(-places);
        // Every curve of the graph has a say in its scale.
        let all = || data.rows.iter().flat_map(|(_, values)| values).map(|(_, y)| y.value);
        let (least, most) =
            all().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, m), y| (l.min(y), m.max(y)));
        let square = Scale::to_read(least, most, false).map(|scale| scale.step / 10.0);
        let half = match (figure, square) {
            (Some(_), Some(square)) => square / 2.0,
            _ => step / 2.0,
        };
        Some(Task::Read(Box::new(Reading {
            name,
            points,
            at: told.at.value.clone(),
            across,
            unit: data.unit.as_ref().map_or_else(Unit::none, |unit| unit.value.clone()),
            half,
            places,
            table: figure.is_none().then(|| table_of(data)),
        })))
    }

    /// Where it is to be read, the row has values in every version.
    fn lies_inside(&mut self, told: &Read, points: &[(f64, f64)], across: &Unit) -> bool {
        let (first, last) = (points[0].0, points[points.len() - 1].0);
        let slack = 1e-9 * (last - first).abs();
        let outside = self
            .drawn(&told.at.value)
            .into_iter()
            .map(|at| across.from_si(at))
            .find(|at| !(first - slack..=last + slack).contains(at));
        let Some(at) = outside else { return true };
        let unit = across.print();
        self.diagnostics.push(
            Diagnostic::new(
                Code::OutsideTable,
                self.unit.place(told.at.span),
                format!("`{}` has no value at {} {unit}.", told.row.value, plain(at)),
            )
            .found(format!("{} {unit}", plain(at)))
            .expected(format!("from {} to {} {unit}", plain(first), plain(last)))
            .next("read within the table, or give the table more columns"),
        );
        false
    }

    /// The figure shows the row around every place at which it is read.
    fn shows(
        &mut self,
        told: &Read,
        figure: &Figure,
        points: &[(f64, f64)],
        across: &Unit,
    ) -> bool {
        let drawn = !matches!(figure.draw.as_ref().map(|d| d.value), Some(Draw::Bars | Draw::Pie));
        let named = !figure.letters;
        let has_row = named
            && (figure.rows.is_empty() || figure.rows.iter().any(|r| r.value == told.row.value));
        let columns: Vec<f64> = figure.columns.iter().map(|column| column.value.value).collect();
        let ends = columns
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, m), x| (l.min(*x), m.max(*x)));
        let slack = 1e-9 * (points[points.len() - 1].0 - points[0].0).abs();
        let inside = |at: f64| at >= ends.0 - slack && at <= ends.1 + slack;
        let has_place = columns.is_empty()
            || self.drawn(&told.at.value).into_iter().all(|at| inside(across.from_si(at)));
        let why = match (drawn, has_row, has_place) {
            (true, true, true) => return true,
            (false, ..) => "is drawn as bars or sectors, between which nothing is read",
            _ if !named => "has letters in place of names, and the question names a row",
            (_, false, _) => "does not show that row",
            _ => "ends before the place at which it is to be read",
        };
        self.diagnostics.push(
            Diagnostic::new(
                Code::NotShown,
                self.unit.place(told.figure.span),
                format!("The figure `{}` {why}.", told.figure.value),
            )
            .found(format!(
                "`{}` at `{}`",
                told.row.value,
                self.unit.file.slice(told.at.span).trim()
            ))
            .expected("a curve that shows the row there")
            .next("show more of the table in the figure, or read from the `data` block itself")
            .related(self.unit.place(figure.span), "the figure"),
        );
        false
    }

    /// What a formula of values comes to in base units, for each number that one of them
    /// may be while the others stay in the middle, and at the ends of all. Nothing where it
    /// speaks of streams.
    fn drawn(&self, formula: &Formula) -> Vec<f64> {
        let numbers = &self.lookup.values.numbers;
        let set = |choose: &dyn Fn(usize, usize) -> usize| -> Option<f64> {
            let drawn: Vec<Option<&Number>> = (0..)
                .zip(numbers)
                .map(|(axis, value)| match &value.source {
                    Source::Drawn(choices) => choices.get(choose(axis, choices.len())),
                    Source::Derived { .. } => None,
                })
                .collect();
            let found = values::worked_out(numbers, &drawn);
            formula.evaluate(&|path| {
                let name = path.join(".");
                numbers.iter().position(|value| value.name == name).map(|at| found[at])
            })
        };
        let mut all = vec![set(&|_, _| 0), set(&|_, count| count.saturating_sub(1))];
        for (axis, value) in numbers.iter().enumerate() {
            let Source::Drawn(choices) = &value.source else { continue };
            all.extend(
                (0..choices.len()).map(|place| {
                    set(&|other, count| if other == axis { place } else { count / 2 })
                }),
            );
        }
        all.into_iter().flatten().collect()
    }

    pub(super) fn complete(&mut self, part: &Part, told: &Complete) -> Option<Task> {
        let data = self.data(&told.data)?;
        if told.blank.is_empty() {
            self.too_short(part, "cells to fill in", "at least one cell under `blank`");
            return None;
        }
        if let Some(shown) = self.question.data.iter().find(|shown| shown.value == told.data.value)
        {
            self.diagnostics.push(
                Diagnostic::new(
                    Code::NotShown,
                    self.unit.place(shown.span),
                    format!(
                        "The question prints `{}` whole, and asks for cells of it.",
                        shown.value
                    ),
                )
                .found("a table that shows what is asked")
                .expected("the table once, with its cells left open")
                .next("take it out of `data:`; the part prints the table")
                .related(self.unit.place(told.data.span), "its cells are asked for here"),
            );
            return None;
        }
        let own = told.data.span;
        let elsewhere = self.question.parts.iter().find_map(|part| match &part.kind {
            Kind::Complete(other) if other.data.span != own => Some(&other.data),
            Kind::Anomaly(other) => Some(&other.data),
            Kind::Read(other) => Some(&other.figure),
            _ => None,
        });
        if let Some(other) = elsewhere.filter(|other| other.value == told.data.value) {
            self.diagnostics.push(
                Diagnostic::new(
                    Code::NotShown,
                    self.unit.place(own),
                    format!(
                        "Another part prints `{}` whole, and so what is asked here.",
                        other.value
                    ),
                )
                .found("one table printed twice, with other cells open")
                .expected("a table in one part of a question alone")
                .next("leave all the cells open in one part, or make two questions of it")
                .related(self.unit.place(other.span), "it is printed here, too"),
            );
            return None;
        }
        let table = table_of(data);
        let columns = across(data);
        let mut gaps = Vec::new();
        for blank in &told.blank {
            let (name, values) = self.row(data, &blank.row)?;
            let row = data.rows.iter().position(|(row, _)| row.value == name)?;
            let column = columns.iter().position(|x| x.value == blank.column.value.value);
            let value = values.iter().find(|(x, _)| x.value == blank.column.value.value);
            let (Some(column), Some((x, y))) = (column, value) else {
                let known: Vec<String> = values.iter().map(|(x, _)| print_number(x)).collect();
                self.diagnostics.push(
                    Diagnostic::new(
                        Code::UnknownRow,
                        self.unit.place(blank.column.span),
                        format!("The row `{name}` has no value at {}.", print_number(&blank.column.value)),
                    )
                    .found(format!("`{}`", self.unit.file.slice(blank.column.span).trim()))
                    .expected(known.join(", "))
                    .next("name a column in which the row has a value; it is the answer unless `answer` says another"),
                );
                return None;
            };
            if gaps.iter().any(|gap: &Gap| (gap.row, gap.column) == (row, column + 1)) {
                self.diagnostics.push(
                    Diagnostic::new(
                        Code::OptionsAlike,
                        self.unit.place(blank.span),
                        format!("This cell is left open twice: `{name}` at {}.", print_number(x)),
                    )
                    .found("the same cell again")
                    .expected("each cell once")
                    .next("take one of the two out"),
                );
                return None;
            }
            if let Some(formula) = &blank.answer {
                self.cell(formula, data, places_of(values.iter().map(|(_, y)| y)))?;
            }
            gaps.push(Gap {
                row,
                column: column + 1,
                name: format!("{name} at {}", print_number(x)),
                printed: print_number(y),
                formula: blank.answer.as_ref().map(|formula| formula.value.clone()),
                unit: data.unit.as_ref().map_or_else(Unit::none, |unit| unit.value.clone()),
                places: places_of(values.iter().map(|(_, y)| y)),
            });
        }
        Some(Task::Complete { table, gaps })
    }

    /// What a cell's answer is worked out from: of the table's kind, a number in every
    /// version, and one that its places show.
    fn cell(&mut self, formula: &Placed<Formula>, data: &Data, places: i32) -> Option<()> {
        let lookup = self.lookup;
        let dimension = lookup.check(self.unit, &formula.value, self.diagnostics)?;
        let unit = data.unit.as_ref().map_or_else(Unit::none, |unit| unit.value.clone());
        let text = self.unit.file.slice(formula.span).trim();
        let place = self.unit.place(formula.span);
        let bare = formula.value.as_typed().is_some_and(|typed| typed.unit.is_none());
        if dimension != unit.dimension() || bare && !unit.is_none() {
            let wanted = unit.dimension().words();
            let finding = Diagnostic::new(
                Code::UnitMismatch,
                place,
                format!("This is {}, while the table holds {wanted}.", dimension.words()),
            )
            .found(format!("`{text}`"))
            .expected(format!("{wanted}, in a unit such as {}", unit.print()))
            .next("write the unit behind the number, or change the formula");
            self.diagnostics.push(match bare {
                true => finding.written(format!("answer: {text} {}", unit.text())),
                false => finding,
            });
            return None;
        }
        let speaks_of_streams = formula.value.names().any(|(path, _)| path.len() > 1);
        let found = self.drawn(&formula.value);
        let least = 0.5 * 10f64.powi(-places);
        let lost = found.iter().any(|value| {
            let value = unit.from_si(*value);
            value != 0.0 && value.abs() < least
        });
        if lost || found.is_empty() && !speaks_of_streams {
            let why = if lost {
                "is too small for the places that the row has: it would print as 0"
            } else {
                "has no value"
            };
            self.diagnostics.push(
                Diagnostic::new(Code::Impossible, place, format!("The answer of this cell {why}."))
                    .found(format!("`{text}`"))
                    .expected("a number that the cell can show, in every version")
                    .next("change the formula, or write the row's numbers to more places"),
            );
            return None;
        }
        Some(())
    }

    pub(super) fn anomaly(&mut self, told: &Anomaly) -> Option<Task> {
        let data = self.data(&told.data)?;
        let rule = told.rule.as_ref().map_or(Rule::Trend, |rule| rule.value);
        let odd: Vec<(usize, usize)> = match rule {
            Rule::Sum => sums_that_fail(data),
            Rule::Line | Rule::Trend => {
                let row = match (&told.row, data.rows.as_slice()) {
                    (Some(row), _) => {
                        let (name, _) = self.row(data, row)?;
                        data.rows.iter().position(|(row, _)| row.value == name)?
                    }
                    (None, [_]) => 0,
                    (None, _) => {
                        self.diagnostics.push(
                            Diagnostic::new(
                                Code::MissingKey,
                                self.unit.place(told.data.span),
                                "The table has several rows, and nothing says which one to look at.",
                            )
                            .found(format!("{} rows", data.rows.len()))
                            .expected("`row:` with the name of a row")
                            .next("name the row in which the value stands"),
                        );
                        return None;
                    }
                };
                departing(&data.rows[row].1, rule).into_iter().map(|at| (row, at)).collect()
            }
        };
        let name = Rule::NAMED.iter().find(|(_, r)| *r == rule).map_or("", |(name, _)| *name);
        let [(row, at)] = odd.as_slice() else {
            let span = told.rule.as_ref().map_or(told.data.span, |rule| rule.span);
            let (code, message, found) = match odd.as_slice() {
                [] => (
                    Code::NoAnomaly,
                    format!(
                        "No value of `{}` can be told to depart from the rule `{name}`.",
                        told.data.value
                    ),
                    "none, or one that two values could be".to_owned(),
                ),
                several => {
                    let (row, _) = several[0];
                    let values: Vec<String> = several
                        .iter()
                        .map(|(r, at)| print_number(&data.rows[*r].1[*at].1))
                        .collect();
                    (
                        Code::SeveralAnomalies,
                        format!(
                            "Several values of `{}` depart from the rule `{name}`.",
                            told.data.value
                        ),
                        format!("{} in `{}`", values.join(", "), data.rows[row].0.value),
                    )
                }
            };
            self.diagnostics.push(
                Diagnostic::new(code, self.unit.place(span), message)
                    .found(found)
                    .expected("exactly one such value, so that exactly one answer is right")
                    .next("change the table, or name another rule: line, trend or sum"),
            );
            return None;
        };
        let (name, values) = &data.rows[*row];
        let (x, y) = &values[*at];
        Some(Task::Anomaly {
            table: table_of(data),
            odd: Odd {
                row: name.value.clone(),
                column: print_number(x),
                value: print_number(y),
                rule,
            },
            reasons: marks_of(&told.reasons),
        })
    }

    fn data(&mut self, name: &Text) -> Option<&'a Data> {
        let found = self.unit.tables.get(name.value.as_str()).copied();
        if found.is_none() && !self.unit.may_be_a_block(&name.value) {
            let known = self.unit.tables.keys().copied();
            let code = Code::UnknownTable;
            self.diagnostics.push(self.unit.unknown(code, name, "table", "this unit", known));
        }
        found
    }

    fn row(&mut self, data: &'a Data, name: &Text) -> Option<(String, &'a [(Number, Number)])> {
        if let Some((own, values)) = data.rows.iter().find(|(own, _)| own.value == name.value) {
            return Some((own.value.clone(), values.as_slice()));
        }
        let known = data.rows.iter().map(|(own, _)| own.value.as_str());
        let home = format!("`{}`", data.id.value);
        self.diagnostics.push(self.unit.unknown(Code::UnknownRow, name, "row", &home, known));
        None
    }
}

/// The places of a row that its rule does not hold for, if there is one that the rest
/// keeps to it without; all that are as good a guess otherwise.
fn departing(values: &[(Number, Number)], rule: Rule) -> Vec<usize> {
    let mut points: Vec<(usize, f64, f64)> =
        values.iter().enumerate().map(|(n, (x, y))| (n, x.value, y.value)).collect();
    points.sort_by(|a, b| a.1.total_cmp(&b.1));
    let holds = |without: Option<usize>| {
        let kept: Vec<(f64, f64)> =
            points.iter().filter(|(n, ..)| Some(*n) != without).map(|(_, x, y)| (*x, *y)).collect();
        match rule {
            Rule::Line => on_a_line(&kept),
            _ => {
                kept.windows(2).all(|w| w[1].1 > w[0].1) || kept.windows(2).all(|w| w[1].1 < w[0].1)
            }
        }
    };
    if points.len() < 4 || holds(None) {
        return Vec::new();
    }
    let mut odd: Vec<usize> = points.iter().map(|(n, ..)| *n).filter(|n| holds(Some(*n))).collect();
    if rule == Rule::Line {
        // It must stand out, not only spoil a sum of squares.
        odd.retain(|n| stands_out(&points, *n));
    }
    odd
}

/// Least squares through points; slope and intercept.
fn fitted(points: &[(f64, f64)]) -> Option<(f64, f64)> {
    let n = points.len() as f64;
    let (mx, my) =
        (points.iter().map(|p| p.0).sum::<f64>() / n, points.iter().map(|p| p.1).sum::<f64>() / n);
    let sxx: f64 = points.iter().map(|p| (p.0 - mx).powi(2)).sum();
    let sxy: f64 = points.iter().map(|p| (p.0 - mx) * (p.1 - my)).sum();
    (sxx > 0.0).then(|| (sxy / sxx, my - sxy / sxx * mx))
}

fn range(points: &[(f64, f64)]) -> f64 {
    let ys = || points.iter().map(|p| p.1);
    ys().fold(f64::NEG_INFINITY, f64::max) - ys().fold(f64::INFINITY, f64::min)
}

fn on_a_line(points: &[(f64, f64)]) -> bool {
    let Some((slope, intercept)) = fitted(points) else { return false };
    let most = NEAR * range(points);
    points.iter().all(|(x, y)| (y - slope * x - intercept).abs() <= most)
}

fn stands_out(points: &[(usize, f64, f64)], odd: usize) -> bool {
    let others: Vec<(f64, f64)> =
        points.iter().filter(|(n, ..)| *n != odd).map(|(_, x, y)| (*x, *y)).collect();
    let own = points.iter().find(|(n, ..)| *n == odd);
    match (fitted(&others), own) {
        (Some((slope, intercept)), Some((_, x, y))) => {
            (y - slope * x - intercept).abs() >= FAR * range(&others)
        }
        _ => false,
    }
}

/// The columns in which the last row is not the sum of the others: its place there.
fn sums_that_fail(data: &Data) -> Vec<(usize, usize)> {
    let Some(((_, totals), parts)) = data.rows.split_last() else { return Vec::new() };
    if parts.len() < 2 {
        return Vec::new();
    }
    let step = 10f64.powi(-places_of(data.rows.iter().flat_map(|(_, v)| v).map(|(_, y)| y)));
    let fails = |(x, total): &(Number, Number)| {
        let of = |values: &[(Number, Number)]| {
            values.iter().find(|(at, _)| at.value == x.value).map_or(0.0, |(_, y)| y.value)
        };
        let sum: f64 = parts.iter().map(|(_, values)| of(values)).sum();
        // Each part is rounded, and so is the sum.
        (sum - total.value).abs() > 0.5 * step * (parts.len() + 1) as f64
    };
    let last = data.rows.len() - 1;
    (0..totals.len()).filter(|at| fails(&totals[*at])).map(|at| (last, at)).collect()
}

/// Decimal places of the most exact of these numbers.
fn places_of<'n>(numbers: impl Iterator<Item = &'n Number>) -> i32 {
    let places = |number: &Number| {
        let printed = print_number(number);
        printed.split_once('.').map_or(0, |(_, rest)| rest.chars().count())
    };
    numbers.map(places).max().and_then(|n| i32::try_from(n).ok()).unwrap_or(0)
}

/// Every place across the top that any row has, in order.
/// A number as people write it, without the noise of converting it.
fn plain(value: f64) -> String {
    let written = round_figures(value, 6).value;
    written.to_string().replace('-', "−")
}

fn across(data: &Data) -> Vec<&Number> {
    let mut across: Vec<&Number> = Vec::new();
    for (x, _) in data.rows.iter().flat_map(|(_, points)| points) {
        if !across.iter().any(|a| a.value == x.value) {
            across.push(x);
        }
    }
    across.sort_by(|a, b| a.value.total_cmp(&b.value));
    across
}

fn table_of(data: &Data) -> Table {
    let across = across(data);
    let head = data.columns.as_ref().map_or_else(String::new, |(name, unit)| match unit.print() {
        "" => name.clone(),
        unit => format!("{name} / {unit}"),
    });
    let of = data.unit.as_ref().map(|unit| unit.value.print().to_owned()).unwrap_or_default();
    let named = |name: &str| match of.as_str() {
        "" => name.to_owned(),
        unit => format!("{name} / {unit}"),
    };
    Table {
        head: std::iter::once(head).chain(across.iter().map(|x| print_number(*x))).collect(),
        rows: data
            .rows
            .iter()
            .map(|(name, values)| {
                let cell = |x: &&Number| {
                    let found = values.iter().find(|(at, _)| at.value == x.value);
                    found.map_or_else(|| "–".to_owned(), |(_, y)| print_number(y))
                };
                std::iter::once(named(&name.value)).chain(across.iter().map(cell)).collect()
            })
            .collect(),
    }
}
