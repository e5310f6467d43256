//! A roster: who sits the paper, in which class, at which desk, and how their copy is to be.
//!
//! Takes the rows of a file that people keep; gives learners in its order, with findings by
//! row and column. Only what could put a wrong copy on a desk is a mistake: columns in any
//! order, other words for a head, capitals and columns of other matters are taken as they
//! come. Opens no file.

use std::collections::BTreeMap;

use crate::diag::{Code, Diagnostics, Severity, nearest};
use crate::marking::responses::{Cell, Fault, RawRow, Rows, in_row};
use crate::version::{letters, version_of, version_of_code};

use super::needs::{self, Needs};

/// Where a learner sits. Rows count from the front, seats from the learners' left.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Desk {
    pub row: u32,
    pub seat: u32,
    /// The row as the roster names it: `2` or `B`.
    pub row_name: String,
    pub seat_name: String,
}

/// A learner of a roster.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Learner {
    pub name: String,
    /// Empty where nothing is said, as is the room.
    pub class: String,
    pub room: String,
    pub desk: Option<Desk>,
    pub needs: Needs,
    /// The version that they must have, counted from 0.
    pub version: Option<u32>,
    /// For findings about them.
    pub row: RawRow,
}

const LEARNER: &[&str] = &["learner", "name", "student", "pupil", "candidate", "full name"];
const GIVEN: &[&str] = &["first name", "forename", "given name"];
const FAMILY: &[&str] = &["last name", "surname", "family name"];
const CLASS: &[&str] = &["class", "group", "form"];
const ROOM: &[&str] = &["room", "hall", "venue", "laboratory"];
const ROW: &[&str] = &["row"];
const SEAT: &[&str] = &["seat", "desk"];
const NEEDS: &[&str] = &["arrangements", "arrangement", "access arrangements", "access"];
const VERSION: &[&str] = &["version", "code"];
/// Heads that are told if one is misspelt: without them copies would come out wrong.
const TELLING: [&str; 6] = ["arrangements", "version", "class", "room", "row", "seat"];

/// Where things stand, from 0.
#[derive(Debug, Clone, Copy, Default)]
struct Head {
    name: Option<usize>,
    given: Option<usize>,
    family: Option<usize>,
    class: Option<usize>,
    room: Option<usize>,
    row: Option<usize>,
    seat: Option<usize>,
    needs: Option<usize>,
    version: Option<usize>,
}

/// Reads a roster for a paper or a unit of so many versions: a table with a head, or plain
/// names, one a line, with perhaps their classes. `file` names it in findings. Nothing
/// is given where something in it must be mended first: a set of papers in which one
/// learner's is missing or wrong is noticed only in the room.
pub fn roster(
    rows: &mut Rows,
    file: &str,
    versions: u32,
    out: &mut Diagnostics,
) -> Option<Vec<Learner>> {
    let mut reader = Reader { file, versions, out, failed: false };
    let mut learners: Vec<Learner> = Vec::new();
    let mut head: Option<Head> = None;
    let mut people: BTreeMap<(String, String), usize> = BTreeMap::new();
    let mut desks: BTreeMap<(String, u32, u32), usize> = BTreeMap::new();
    while let Some(row) = rows.next_row() {
        let row = match row {
            Ok(row) => row,
            Err(fault) => {
                reader.unread(&fault);
                return None;
            }
        };
        let known = match head {
            Some(known) => known,
            None => {
                let found = reader.head(&row);
                let is_head = found.is_some();
                let known = *head.insert(found.unwrap_or(Head {
                    name: Some(0),
                    class: Some(1),
                    ..Head::default()
                }));
                if is_head {
                    continue;
                }
                known
            }
        };
        let Some(learner) = reader.learner(row, known) else { continue };
        let person = (learner.name.to_lowercase(), learner.class.to_lowercase());
        if let Some(first) = people.get(&person) {
            reader.twice(&learner, known, *first);
        } else {
            people.insert(person, learner.row.number);
        }
        if let Some(desk) = learner.desk.as_ref().filter(|_| !learner.needs.own_room) {
            // Where no room is named, each class has its own.
            let room = if learner.room.is_empty() { &learner.class } else { &learner.room };
            let place = (room.to_lowercase(), desk.row, desk.seat);
            if let Some(first) = desks.get(&place) {
                reader.taken(&learner, known, *first);
            } else {
                desks.insert(place, learner.row.number);
            }
        }
        learners.push(learner);
    }
    (!reader.failed).then_some(learners)
}

struct Reader<'a> {
    file: &'a str,
    versions: u32,
    out: &'a mut Diagnostics,
    failed: bool,
}

impl Reader<'_> {
    fn unread(&mut self, fault: &Fault) {
        self.out.push(fault.diagnostic(self.file));
    }

    /// The columns of a head; none if the row is none.
    fn head(&mut self, row: &RawRow) -> Option<Head> {
        let names: Vec<String> =
            (0..row.cells.len()).map(|at| text(row, Some(at)).to_lowercase()).collect();
        let names: Vec<String> = names.iter().map(|n| n.replace(['_', '-'], " ")).collect();
        let find = |known: &[&str]| names.iter().position(|name| known.contains(&name.as_str()));
        let head = Head {
            name: find(LEARNER),
            given: find(GIVEN),
            family: find(FAMILY),
            class: find(CLASS),
            room: find(ROOM),
            row: find(ROW),
            seat: find(SEAT),
            needs: find(NEEDS),
            version: find(VERSION),
        };
        if head.name.is_none() && head.family.is_none() {
            return None;
        }
        for (at, name) in names.iter().enumerate() {
            let known = [LEARNER, GIVEN, FAMILY, CLASS, ROOM, ROW, SEAT, NEEDS, VERSION];
            if name.is_empty() || known.iter().any(|known| known.contains(&name.as_str())) {
                continue;
            }
            let Some(near) = nearest(name, TELLING) else { continue };
            self.out.push(
                in_row(
                    Code::RosterColumn,
                    self.file,
                    row,
                    Some(at + 1),
                    "the column is passed over.",
                )
                .expected(
                    "learner, class, room, row, seat, arrangements, version, or other matters",
                )
                .next(format!("did you mean `{near}`?")),
            );
        }
        Some(head)
    }

    /// The learner of a row; none for a desk where nobody sits.
    fn learner(&mut self, row: RawRow, head: Head) -> Option<Learner> {
        let name = match head.name {
            Some(name) => text(&row, Some(name)),
            None => {
                let both = [text(&row, head.given), text(&row, head.family)];
                both.join(" ").trim().to_owned()
            }
        };
        if name.is_empty() {
            return None;
        }
        if row.is_old_page {
            let mut finding = in_row(
                Code::RosterLearner,
                self.file,
                &row,
                None,
                "some letters are not in UTF-8; they are read as an older spreadsheet writes them (Windows-1252).",
            )
            .found("other bytes")
            .expected("text in UTF-8")
            .next("see that the name is right, or save the file as CSV UTF-8");
            finding.severity = Severity::Warning;
            self.out.push(finding);
        }
        let needs = self.needs(&row, head);
        let version = self.version(&row, head);
        let desk = self.desk(&row, head);
        let class = text(&row, head.class);
        let room = text(&row, head.room);
        Some(Learner { name, class, room, desk, needs, version, row })
    }

    fn needs(&mut self, row: &RawRow, head: Head) -> Needs {
        let (needs, unknown) = needs::read(&text(row, head.needs));
        for wrong in unknown {
            self.failed = true;
            let message = format!("`{}` is no arrangement that is known here.", wrong.typed);
            let finding = in_row(
                Code::RosterArrangement,
                self.file,
                row,
                head.needs.map(|at| at + 1),
                &message,
            )
            .expected("large print; high contrast; extra time; coloured paper; reader; own room, parted by semicolons")
            .suggesting(
                wrong.near,
                "see that it is spelt as here, or take it out and note it elsewhere",
            );
            self.out.push(finding);
        }
        needs
    }

    fn version(&mut self, row: &RawRow, head: Head) -> Option<u32> {
        let typed = text(row, head.version);
        if typed.is_empty() || typed == "-" {
            return None;
        }
        let found = version_of_code(&typed).or_else(|| version_of(&typed));
        let found = found.and_then(|version| u32::try_from(version).ok());
        let found = found.filter(|version| *version < self.versions);
        if found.is_none() {
            self.failed = true;
            let last = letters(u64::from(self.versions.saturating_sub(1)));
            let expected = match self.versions {
                1 => "A, the only version, or nothing".to_owned(),
                _ => format!("A to {last}, or nothing where any version will do"),
            };
            self.out.push(
                in_row(
                    Code::RosterVersion,
                    self.file,
                    row,
                    head.version.map(|at| at + 1),
                    "no such version is printed.",
                )
                .expected(expected)
                .next("write the letters of a version, or leave the cell empty"),
            );
        }
        found
    }

    fn desk(&mut self, row: &RawRow, head: Head) -> Option<Desk> {
        let (row_name, seat_name) = (text(row, head.row), text(row, head.seat));
        let (row_name, seat_name) = match together(&seat_name) {
            Some(both) if row_name.is_empty() => both,
            _ => (row_name, seat_name),
        };
        if row_name.is_empty() && seat_name.is_empty() {
            return None;
        }
        let mut told = |at: Option<usize>, message: &str, next: &str| {
            self.failed = true;
            self.out.push(
                in_row(Code::RosterSeat, self.file, row, at.map(|at| at + 1), message)
                    .expected("row and seat, each a number or a letter, or neither")
                    .next(next),
            );
        };
        if row_name.is_empty() {
            told(
                head.row.or(head.seat),
                "the seat has no row.",
                "write in which row the seat is, or leave both out",
            );
            return None;
        }
        if seat_name.is_empty() {
            told(
                head.seat.or(head.row),
                "the row has no seat.",
                "write which seat of the row it is, or leave both out",
            );
            return None;
        }
        let (row, seat) = (place(&row_name), place(&seat_name));
        if row.is_none() {
            told(head.row, "this is no row.", "number the rows from the front");
        }
        if seat.is_none() {
            told(head.seat, "this is no seat.", "number the seats of a row");
        }
        Some(Desk { row: row?, seat: seat?, row_name, seat_name })
    }

    fn twice(&mut self, learner: &Learner, head: Head, first: usize) {
        self.failed = true;
        let message = format!("`{}` is there twice, first in row {first}.", learner.name);
        let at = head.name.or(head.family).map(|at| at + 1);
        self.out.push(
            in_row(Code::RosterLearner, self.file, &learner.row, at, &message)
                .expected("each learner once")
                .next("take one of the rows out, or tell the two apart by name or class"),
        );
    }

    fn taken(&mut self, learner: &Learner, head: Head, first: usize) {
        self.failed = true;
        let message = format!("the seat is taken by the learner of row {first} of this file.");
        self.out.push(
            in_row(Code::RosterSeat, self.file, &learner.row, head.seat.map(|at| at + 1), &message)
                .expected("one learner at a desk")
                .next("give one of the two another seat"),
        );
    }
}

/// A cell's words with single blanks between them.
fn text(row: &RawRow, at: Option<usize>) -> String {
    let cell = at.and_then(|at| row.cells.get(at)).map(Cell::text).unwrap_or_default();
    cell.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// `B3` as row B, seat 3.
fn together(seat: &str) -> Option<(String, String)> {
    let letter = seat.chars().next().filter(char::is_ascii_alphabetic)?;
    let number = &seat[1..];
    let is_number = !number.is_empty() && number.chars().all(|c| c.is_ascii_digit());
    is_number.then(|| (letter.to_ascii_uppercase().to_string(), number.to_owned()))
}

/// The number of a row or a seat; A is 1.
fn place(name: &str) -> Option<u32> {
    match name.as_bytes() {
        [letter] if letter.is_ascii_alphabetic() => {
            Some(u32::from(letter.to_ascii_uppercase() - b'A') + 1)
        }
        _ => name.parse().ok(),
    }
}
