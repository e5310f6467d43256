//! Who gets which copy: learners of a roster in their rooms, each with a version, spare
//! copies, and the file that each copy goes to.
//!
//! Takes learners and how copies are to be put together; gives copies in the order in which
//! they are printed, with findings where neighbours must share a version.

use std::collections::BTreeSet;

use crate::diag::{Code, Diagnostic, Diagnostics, Place};
use crate::marking::responses::in_row;
use crate::paper::{DeskPlace, Learner, seat};
use crate::version::{Key, Stream, letters};

use super::super::print::{ClassSet, Collate};
use super::load::Loaded;

/// Pairs of neighbours that are told one by one.
const MOST_TOLD: usize = 5;
/// The name of the place where those sit who have a room of their own.
const OWN: &str = "Own room";

/// All copies of a paper.
pub(super) struct Rooms {
    /// In the order of the roster.
    pub(super) learners: Vec<Learner>,
    /// The version of each learner.
    pub(super) versions: Vec<u32>,
    pub(super) places: Vec<RoomPlace>,
    /// In the order in which they are printed, file by file.
    pub(super) copies: Vec<Copy>,
    /// The files' names, without their kind.
    pub(super) files: Vec<String>,
    /// What the files' titles end in.
    pub(super) titles: Vec<String>,
}

/// A room, or where none is named, a class.
pub(super) struct RoomPlace {
    pub(super) name: String,
    /// Learners by index, in the order of the desks.
    pub(super) learners: Vec<usize>,
    /// Those of them who sit at a desk of the plan.
    pub(super) seated: Vec<usize>,
    /// Versions of spare copies.
    pub(super) spares: Vec<u32>,
    /// Pairs of desks that share a version over a corner.
    pub(super) corners: usize,
}

/// One copy.
#[derive(Debug, Clone, Copy)]
pub(super) struct Copy {
    /// None of a spare one.
    pub(super) learner: Option<usize>,
    /// Its number among the spare copies of its place, from 1.
    pub(super) spare: usize,
    pub(super) place: usize,
    pub(super) version: u32,
    pub(super) file: usize,
}

/// Shares versions and copies out.
pub(super) fn rooms(
    loaded: &Loaded,
    learners: Vec<Learner>,
    set: &ClassSet,
    out: &mut Diagnostics,
) -> Rooms {
    let has_rooms = learners.iter().any(|learner| !learner.room.is_empty());
    let mut rooms = Rooms {
        versions: vec![0; learners.len()],
        places: Vec::new(),
        copies: Vec::new(),
        files: Vec::new(),
        titles: Vec::new(),
        learners,
    };
    rooms.find_places(has_rooms);
    rooms.give_versions(loaded, set, out);
    let usual = if has_rooms { Collate::Room } else { Collate::Class };
    rooms.collate(set.collate.unwrap_or(usual), has_rooms);
    rooms
}

impl Rooms {
    /// Whether a learner has a room of their own that is not named, or is named as one in
    /// which others sit.
    fn sits_apart(&self, learner: &Learner) -> bool {
        let alike = |other: &&Learner| other.room.eq_ignore_ascii_case(&learner.room);
        learner.needs.own_room
            && (learner.room.is_empty()
                || !self.learners.iter().filter(alike).all(|other| other.needs.own_room))
    }

    /// The places, in the order of the roster, those who sit apart last.
    fn find_places(&mut self, has_rooms: bool) {
        let mut found: Vec<(String, RoomPlace)> = Vec::new();
        let mut apart = Vec::new();
        for (index, learner) in self.learners.iter().enumerate() {
            if self.sits_apart(learner) {
                apart.push(index);
                continue;
            }
            let name = if has_rooms { &learner.room } else { &learner.class };
            let key = name.to_lowercase();
            match found.iter_mut().find(|(known, _)| *known == key) {
                Some((_, place)) => place.learners.push(index),
                None => {
                    let name = match (name.as_str(), has_rooms) {
                        ("", true) => "Without a room".to_owned(),
                        ("", false) => "All learners".to_owned(),
                        (name, true) => name.to_owned(),
                        (name, false) => format!("Class {name}"),
                    };
                    found.push((key, RoomPlace::new(name, vec![index])));
                }
            }
        }
        self.places = found.into_iter().map(|(_, place)| place).collect();
        for place in &mut self.places {
            let desk = |index: &usize| self.learners[*index].desk.as_ref();
            // Those without a desk come last, in the order of the roster.
            place.learners.sort_by_key(|index| {
                desk(index).map_or((1, 0, 0), |desk| (0, desk.row, desk.seat))
            });
            let seated = place.learners.iter().copied();
            place.seated = seated.filter(|index| desk(index).is_some()).collect();
        }
        if !apart.is_empty() {
            self.places.push(RoomPlace::new(OWN.to_owned(), apart));
        }
    }

    fn give_versions(&mut self, loaded: &Loaded, set: &ClassSet, out: &mut Diagnostics) {
        let roster = &set.roster.display().to_string();
        let front = &loaded.paper.front;
        let count = front.versions.max(1);
        let mut alone = false;
        for place in &mut self.places {
            let key = Key { seed: front.seed, unit: &loaded.paper.id, question: &place.name };
            let mut stream = Stream::of_question(key, "seating");
            let desks: Vec<(DeskPlace, Option<u32>)> = place
                .seated
                .iter()
                .filter_map(|index| {
                    let learner = &self.learners[*index];
                    learner.desk.as_ref().map(|desk| ((desk.row, desk.seat), learner.version))
                })
                .collect();
            let seating = seat(&desks, count, &mut stream);
            for (index, version) in place.seated.iter().zip(&seating.versions) {
                self.versions[*index] = *version;
            }
            place.corners = seating.corners.len();
            alone |= count == 1 && !seating.neighbours.is_empty();
            if count > 1 {
                for (first, second) in seating.neighbours.iter().take(MOST_TOLD) {
                    let pair = [place.seated[*first], place.seated[*second]];
                    out.push(shared(roster, pair.map(|index| &self.learners[index])));
                }
            }
            let mut order: Vec<u32> = (0..count).collect();
            stream.shuffle(&mut order);
            let mut turns = order.iter().copied().cycle();
            for index in place.learners.iter().filter(|index| !place.seated.contains(index)) {
                let pinned = self.learners[*index].version;
                self.versions[*index] = pinned.or_else(|| turns.next()).unwrap_or(0);
            }
            // Those who sit apart sit one by one: no more spare copies than learners.
            let most = if place.is_apart() { place.learners.len() } else { usize::MAX };
            place.spares = turns.take(most.min(set.spare as usize)).collect();
        }
        if alone {
            out.push(one_version(loaded));
        }
    }

    /// Puts the copies in the order of the files.
    fn collate(&mut self, by: Collate, has_rooms: bool) {
        let mut names: Vec<String> = Vec::new();
        let mut file = |name: &str| match names.iter().position(|known| known == name) {
            Some(at) => at,
            None => {
                names.push(name.to_owned());
                names.len() - 1
            }
        };
        // In the order of their letters, whoever comes first.
        if by == Collate::Version {
            let spares = self.places.iter().flat_map(|place| &place.spares);
            let used: BTreeSet<u32> = self.versions.iter().chain(spares).copied().collect();
            used.iter().for_each(|version| {
                file(&letters(u64::from(*version)));
            });
        }
        let mut copies = Vec::new();
        for (place, own) in self.places.iter().enumerate() {
            let class = |index: usize| self.learners[index].class.as_str();
            let usual = own.learners.first().map_or("", |index| class(*index));
            let mut put = |learner: Option<usize>, spare: usize, version: u32| {
                let file = match by {
                    Collate::Room => file(&own.name),
                    // A room's spare copies lie with the class of its first learner.
                    Collate::Class => file(learner.map_or(usual, class)),
                    Collate::Version => file(&letters(u64::from(version))),
                };
                copies.push(Copy { learner, spare, place, version, file });
            };
            own.learners.iter().for_each(|index| put(Some(*index), 0, self.versions[*index]));
            (1..).zip(&own.spares).for_each(|(number, version)| put(None, number, *version));
        }
        copies.sort_by_key(|copy| copy.file);
        self.copies = copies;
        let kind = match by {
            Collate::Room if has_rooms => "room",
            Collate::Room | Collate::Class => "class",
            Collate::Version => "version",
        };
        for name in &names {
            let plain = slug(name, kind);
            let stem = if plain.is_empty() { kind.to_owned() } else { format!("{kind}-{plain}") };
            let mut own = stem.clone();
            for again in 2.. {
                if !self.files.contains(&own) {
                    break;
                }
                own = format!("{stem}-{again}");
            }
            self.files.push(own);
            self.titles.push(match by {
                Collate::Room => name.clone(),
                Collate::Class if name.is_empty() => "learners without a class".to_owned(),
                Collate::Class => format!("class {name}"),
                Collate::Version => format!("version {name}"),
            });
        }
    }

    /// Where a copy is to lie: room, row and seat, as far as they are known.
    pub(super) fn seat_of(&self, copy: &Copy) -> String {
        let Some(learner) = copy.learner.map(|index| &self.learners[index]) else {
            return String::new();
        };
        let place = &self.places[copy.place];
        let room = if place.is_apart() { "own room" } else { learner.room.as_str() };
        let desk = learner
            .desk
            .as_ref()
            .filter(|_| place.seated.contains(&copy.learner.unwrap_or(usize::MAX)));
        let desk = desk.map(|desk| format!("row {}, seat {}", desk.row_name, desk.seat_name));
        let parts: Vec<&str> =
            std::iter::once(room).chain(desk.as_deref()).filter(|part| !part.is_empty()).collect();
        parts.join(", ")
    }
}

impl RoomPlace {
    /// Whether those of the place sit in rooms of their own.
    pub(super) fn is_apart(&self) -> bool {
        self.name == OWN
    }

    fn new(name: String, learners: Vec<usize>) -> RoomPlace {
        RoomPlace { name, learners, seated: Vec::new(), spares: Vec::new(), corners: 0 }
    }
}

/// A name as part of a file's name: "Room 12" of kind "room" is `12`.
fn slug(name: &str, kind: &str) -> String {
    let words: Vec<String> = name
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .filter(|word| word != kind)
        .collect();
    if kind == "version" { words.join("-").to_uppercase() } else { words.join("-") }
}

fn one_version(loaded: &Loaded) -> Diagnostic {
    let place = Place::new(&loaded.paper.file, loaded.paper.head());
    Diagnostic::new(
        Code::SeatingShared,
        place,
        "The paper has one version, so neighbours have the same paper.",
    )
    .found("versions: 1")
    .expected("two versions or more to keep neighbours apart, four for those at the corners too")
    .next("ask for more with `versions: 4`, or let it be so")
}

/// Neighbours who have the same version.
fn shared(roster: &str, [first, second]: [&Learner; 2]) -> Diagnostic {
    let message =
        format!("`{}` and their neighbour `{}` have the same version.", second.name, first.name);
    let next = match (first.version, second.version) {
        (None, None) => "give one of the two another seat",
        _ => "take a version out of the roster, or give one of the two another seat",
    };
    in_row(Code::SeatingShared, roster, &second.row, None, &message)
        .found("versions in the roster that leave no other way")
        .expected("another version than in front, behind and beside")
        .next(next)
}
