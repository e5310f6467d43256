//! The packing list: which papers go where, who needs what, and who sits at which desk.
//!
//! Takes what was printed for whom; gives the template's context and the seating plans.

use serde::Serialize;

use crate::figure::seats::{Desk, plan};

use super::context::{CellsContext, FigureContext, WidthContext};
use super::escape::escape;
use super::read::Drawings;

/// What is packed.
#[derive(Debug, Clone, Default)]
pub struct Packing {
    pub title: String,
    pub right: String,
    /// BCP 47.
    pub language: String,
    pub seed: u64,
    /// Letters of all versions.
    pub versions: Vec<String>,
    /// Each paper ends with a data page that can be taken off.
    pub data_page: bool,
    pub files: Vec<CopyFile>,
    pub rooms: Vec<PackedRoom>,
}

/// A file with the papers of one room, class or version.
#[derive(Debug, Clone, Default)]
pub struct CopyFile {
    pub name: String,
    pub copies: u32,
    pub pages: usize,
}

#[derive(Debug, Clone, Default)]
pub struct PackedRoom {
    pub name: String,
    /// In the order in which papers are handed out.
    pub learners: Vec<InRoom>,
    /// The versions of the spare copies.
    pub spares: Vec<String>,
    /// Pairs of desks that share a version over a corner.
    pub corners: usize,
    /// Its learners have rooms of their own.
    pub apart: bool,
}

/// A learner and their copy.
#[derive(Debug, Clone, Default)]
pub struct InRoom {
    pub name: String,
    pub class: String,
    /// Row and seat, and the names that the room has for them.
    pub desk: Option<(u32, u32, String, String)>,
    pub version: String,
    pub arrangements: Vec<String>,
    /// The colour of the paper, if it is not white.
    pub paper: Option<String>,
    /// The file that holds the copy, by its number, and the pages there, from 1.
    pub file: usize,
    pub pages: (usize, usize),
}

#[derive(Debug, Clone, Default, Serialize)]
pub struct PackingContext {
    title: String,
    head_right: String,
    language: String,
    line: String,
    files: CellsContext,
    notes: Vec<String>,
    rooms: Vec<RoomContext>,
}

#[derive(Debug, Clone, Default, Serialize)]
struct RoomContext {
    name: String,
    line: String,
    plans: Vec<FigureContext>,
    papers: CellsContext,
    arranged: CellsContext,
    unseated: CellsContext,
}

/// The list's context, and its drawings by id.
pub fn packing(of: &Packing) -> (PackingContext, Drawings) {
    let mut drawings = Drawings::new();
    let rooms: Vec<RoomContext> =
        of.rooms.iter().enumerate().map(|(at, own)| room(of, at, own, &mut drawings)).collect();
    let learners: usize = of.rooms.iter().map(|room| room.learners.len()).sum();
    let spares: usize = of.rooms.iter().map(|room| room.spares.len()).sum();
    let context = PackingContext {
        title: of.title.clone(),
        head_right: of.right.clone(),
        language: of.language.clone(),
        line: format!(
            "{} · {} · {} of the paper, seed {}",
            counted(learners, "learner"),
            counted(spares, "spare copy"),
            counted(of.versions.len(), "version"),
            of.seed
        ),
        files: files(of),
        notes: notes(of),
        rooms,
    };
    (context, drawings)
}

fn files(of: &Packing) -> CellsContext {
    let rows = of.files.iter().map(|file| {
        // On both sides of the paper.
        let sheets = file.pages.div_ceil(2);
        vec![
            escaped(&file.name),
            file.copies.to_string(),
            file.pages.to_string(),
            sheets.to_string(),
        ]
    });
    cells(&[("file", 84.0), ("copies", 30.0), ("pages", 30.0), ("sheets", 30.0)], rows.collect())
}

fn notes(of: &Packing) -> Vec<String> {
    let mut notes = vec![
        "Print on both sides. Every copy begins on a sheet of its own; copies lie in the order of the desks, row by row from the front, spare ones last.".to_owned(),
    ];
    if of.data_page {
        notes.push(
            "The data page is the last sheet of every copy and can be taken off to lie beside it."
                .to_owned(),
        );
    }
    let learners = || of.rooms.iter().flat_map(|room| &room.learners);
    for learner in learners() {
        let Some(colour) = &learner.paper else { continue };
        let file = of.files.get(learner.file).map_or("", |file| file.name.as_str());
        notes.push(format!(
            "On **{} paper**: pages {} to {} of {} ({}).",
            escaped(colour),
            learner.pages.0,
            learner.pages.1,
            escaped(file),
            escaped(&learner.name)
        ));
    }
    notes
}

fn room(of: &Packing, at: usize, own: &PackedRoom, drawings: &mut Drawings) -> RoomContext {
    let desks: Vec<Desk> = own
        .learners
        .iter()
        .filter_map(|learner| {
            let (row, seat, row_name, seat_name) = learner.desk.clone()?;
            Some(Desk {
                row,
                seat,
                row_name,
                seat_name,
                name: learner.name.clone(),
                version: learner.version.clone(),
                special: !learner.arrangements.is_empty(),
            })
        })
        .collect();
    let star = if desks.iter().any(|desk| desk.special) {
        "; * has an arrangement, listed below"
    } else {
        ""
    };
    let corners = match own.corners {
        0 => String::new(),
        1 => "; two desks share one over a corner".to_owned(),
        count => format!("; {count} pairs of desks share one over a corner"),
    };
    let parts = plan(&desks);
    let several = parts.len() > 1;
    let mut plans = Vec::new();
    for (number, drawing) in (1..).zip(parts) {
        let id = format!("packing/{at}/{number}");
        drawings.extend([(id.clone(), drawing)]);
        let part = if several { format!(", part {number}") } else { String::new() };
        plans.push(FigureContext {
            id,
            label: format!("Seating plan{part}"),
            caption: format!("Versions by desk, seen from the learners’ seats{star}{corners}"),
            names: Vec::new(),
        });
    }
    let learners = counted(own.learners.len(), "learner");
    let spares = counted(own.spares.len(), "spare copy");
    RoomContext {
        name: own.name.clone(),
        line: {
            let all = own.learners.len() + own.spares.len();
            let file = file_of(of, own).map_or_else(String::new, |file| format!(" ({file})"));
            format!("{learners}, {spares}: {} to bring{file}", counted(all, "paper"))
        },
        plans,
        papers: papers(of, own),
        arranged: arranged(of, own),
        unseated: unseated(own),
    }
}

/// Versions that stand beside each other in a table; more stand below each other.
const BESIDE: usize = 8;

/// How many papers of which version.
fn papers(of: &Packing, own: &PackedRoom) -> CellsContext {
    // With many versions only those that are in the room are counted.
    let used = |version: &&String| {
        own.learners.iter().any(|learner| learner.version == **version)
            || own.spares.contains(version)
    };
    let mut rows: Vec<(String, [usize; 3])> = of
        .versions
        .iter()
        .filter(used)
        .map(|version| {
            let learners = own.learners.iter().filter(|l| l.version == *version).count();
            let spares = own.spares.iter().filter(|spare| *spare == version).count();
            (escaped(version), [learners, spares, learners + spares])
        })
        .collect();
    let all = [0, 1, 2].map(|at| rows.iter().map(|(_, counts)| counts[at]).sum::<usize>());
    rows.push(("all".to_owned(), all));
    let heads = ["for learners", "spare", "together"];
    if rows.len() > BESIDE + 1 {
        let rows = rows.into_iter().map(|(version, counts)| {
            std::iter::once(version).chain(counts.map(|count| count.to_string())).collect()
        });
        let [learners, spare, together] = heads;
        let columns = [("version", 30.0), (learners, 36.0), (spare, 30.0), (together, 30.0)];
        return cells(&columns, rows.collect());
    }
    let mut columns = vec![("version", 36.0)];
    columns.extend(rows.iter().map(|(version, _)| (version.as_str(), 15.0)));
    let turned = (0..heads.len()).map(|at| {
        let counts = rows.iter().map(|(_, counts)| counts[at].to_string());
        std::iter::once(heads[at].to_owned()).chain(counts).collect()
    });
    cells(&columns, turned.collect())
}

fn arranged(of: &Packing, own: &PackedRoom) -> CellsContext {
    let rows = own.learners.iter().filter(|learner| !learner.arrangements.is_empty());
    let rows = rows.map(|learner| {
        let pages = format!("{}–{}", learner.pages.0, learner.pages.1);
        let pages = match (file_of(of, own), of.files.get(learner.file)) {
            (None, Some(file)) => format!("{}, {pages}", escaped(&file.name)),
            _ => pages,
        };
        vec![
            escaped(&learner.name),
            place(learner),
            escaped(&learner.version),
            escaped(&learner.arrangements.join("; ")),
            pages,
        ]
    });
    let heads = [
        ("learner", 44.0),
        ("desk", 28.0),
        ("version", 18.0),
        ("arrangements", 52.0),
        (if file_of(of, own).is_some() { "pages" } else { "file, pages" }, 32.0),
    ];
    cells(&heads, rows.collect())
}

/// The file that holds all papers of a room, if it is one.
fn file_of<'a>(of: &'a Packing, own: &PackedRoom) -> Option<&'a str> {
    let first = own.learners.first()?.file;
    let one = own.learners.iter().all(|learner| learner.file == first);
    of.files.get(first).filter(|_| one).map(|file| file.name.as_str())
}

fn unseated(own: &PackedRoom) -> CellsContext {
    let rows = own.learners.iter().filter(|learner| learner.desk.is_none() && !own.apart);
    let rows =
        rows.map(|l| vec![escaped(&l.name), escaped(&l.class), escaped(&l.version), String::new()]);
    let heads = [("learner", 60.0), ("class", 30.0), ("version", 24.0), ("desk", 30.0)];
    cells(&heads, rows.collect())
}

fn place(learner: &InRoom) -> String {
    learner.desk.as_ref().map_or_else(
        || "–".to_owned(),
        |(_, _, row, seat)| escaped(&format!("row {row}, seat {seat}")),
    )
}

fn cells(columns: &[(&str, f64)], rows: Vec<Vec<String>>) -> CellsContext {
    let columns = columns
        .iter()
        .map(|(head, width)| WidthContext { head: (*head).to_owned(), width: *width })
        .collect();
    CellsContext { columns, rows, ..CellsContext::default() }
}

fn escaped(text: &str) -> String {
    escape(text).into_owned()
}

/// "1 learner", "2 spare copies".
fn counted(count: usize, what: &str) -> String {
    match (count, what.strip_suffix('y')) {
        (1, _) => format!("1 {what}"),
        (_, Some(stem)) => format!("{count} {stem}ies"),
        (_, None) => format!("{count} {what}s"),
    }
}
