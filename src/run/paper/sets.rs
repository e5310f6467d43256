//! Every learner's own copy of a paper, as one long file a room, a class or a version.
//!
//! Takes a press and who gets which copy; workers make copies, one writer strings them
//! together in order. Of a copy that is written only its pages' numbers are kept.

use std::io::BufWriter;
use std::path::Path;
use std::sync::Arc;

use crate::composing::{Paper, Profile, compose};
use crate::document::{Drawings, NamedFor, named, read_with};
use crate::paper::{Extra, Needs};
use crate::version::letters;
use crate::writing::{Book, Inked, Part, Subset, ink};

use super::super::figures::drawings;
use super::super::files::WholeFile;
use super::super::pipeline::in_order;
use super::super::press::{Press, characters, flushed};
use super::super::print::{Trouble, templates_beside, unread};
use super::rooms::{Copy, Rooms};

/// How a copy is set, with the figures drawn for it.
struct Setting {
    large_print: bool,
    high_contrast: bool,
    profile: Profile,
    drawings: Drawings,
}

/// What all copies share.
pub(super) struct Sets<'a> {
    press: &'a Press<'a>,
    pub(super) rooms: &'a Rooms,
    settings: Vec<Setting>,
    subset: Arc<Subset>,
}

/// The pages of a copy in its file: the first, from 1, and the last.
pub(super) type Pages = (usize, usize);

impl<'a> Sets<'a> {
    pub(super) fn new(press: &'a Press<'a>, rooms: &'a Rooms) -> Result<Sets<'a>, Trouble> {
        let mut used = characters(press.asked, &templates_beside(&press.job.unit));
        for copy in &rooms.copies {
            used.extend(rooms.seat_of(copy).chars());
            let Some(learner) = copy.learner.map(|index| &rooms.learners[index]) else { continue };
            let texts = [learner.name.as_str(), learner.class.as_str()];
            used.extend(texts.into_iter().flat_map(str::chars).filter(|c| !c.is_control()));
        }
        used.extend("0123456789 minutes (% extra)".chars());
        let mut sets =
            Sets { press, rooms, settings: Vec::new(), subset: Subset::of(&used, &press.faces)? };
        for copy in &rooms.copies {
            let needs = sets.needs(copy);
            if sets.setting(&needs).is_none() {
                let setting = sets.made(&needs);
                sets.settings.push(setting);
            }
        }
        Ok(sets)
    }

    fn needs(&self, copy: &Copy) -> Needs {
        copy.learner.map_or_else(Needs::default, |index| self.rooms.learners[index].needs.clone())
    }

    fn setting(&self, needs: &Needs) -> Option<&Setting> {
        self.settings.iter().find(|setting| {
            (setting.large_print, setting.high_contrast) == (needs.large_print, needs.high_contrast)
        })
    }

    fn made(&self, needs: &Needs) -> Setting {
        let usual = self.press.job.profile;
        // Large print is flowed anew on whole sheets, never in a booklet.
        let sheets = needs.large_print && usual.paper == Paper::A5;
        let fill = if sheets { 2 } else { usual.fill.max(2) };
        let profile = Profile {
            paper: if sheets { Paper::A4 } else { usual.paper },
            large_print: usual.large_print || needs.large_print,
            high_contrast: usual.high_contrast || needs.high_contrast,
            duplex: true,
            fill,
            ..usual
        };
        Setting {
            large_print: needs.large_print,
            high_contrast: needs.high_contrast,
            profile,
            drawings: drawings(self.press.asked, &profile, &self.press.faces),
        }
    }

    /// Writes all files; gives the pages of each copy.
    pub(super) fn write(&self, folder: &Path) -> Result<Vec<Pages>, Trouble> {
        let mut pages = Vec::with_capacity(self.rooms.copies.len());
        let mut open: Option<(usize, Book<'_, BufWriter<WholeFile>>, usize)> = None;
        let count = u32::try_from(self.rooms.copies.len()).unwrap_or(u32::MAX);
        let done = in_order(
            0..count,
            0,
            |number| self.copy(&self.rooms.copies[number as usize]),
            |number, (inked, length): (Inked, usize)| {
                let copy = &self.rooms.copies[number as usize];
                let (_, book, before) = match open.take_if(|(file, ..)| *file == copy.file) {
                    Some(same) => open.insert(same),
                    None => {
                        if let Some((_, book, _)) = open.take() {
                            flushed(book.finish()?)?;
                        }
                        open.insert((copy.file, self.book(folder, copy.file)?, 0))
                    }
                };
                book.add(inked, Some(&self.part(copy)))?;
                pages.push((*before + 1, *before + length));
                *before += length;
                Ok(())
            },
        );
        done.map_err(|stopped| {
            Trouble::stopped(stopped, |copy| format!("copy {} of {}", copy + 1, self.press.id()))
        })?;
        if let Some((_, book, _)) = open {
            flushed(book.finish()?)?;
        }
        Ok(pages)
    }

    fn book(&self, folder: &Path, file: usize) -> Result<Book<'_, BufWriter<WholeFile>>, Trouble> {
        let asked = self.press.asked;
        let name = &self.rooms.files[file];
        let sink = BufWriter::new(WholeFile::create(&folder.join(format!("{name}.pdf")))?);
        let title = format!("{}: {}", asked.title, self.rooms.titles[file]);
        let identity = format!("{} {name} {}", self.press.id(), self.press.job.seed);
        Ok(Book::new(sink, &self.subset, &title, &asked.language, &identity)?)
    }

    /// One copy on its pages, and how many these are.
    fn copy(&self, copy: &Copy) -> Result<(Inked, usize), Trouble> {
        let press = self.press;
        let learner = copy.learner.map(|index| &self.rooms.learners[index]);
        let needs = self.needs(copy);
        let Some(setting) = self.setting(&needs) else {
            return Err(Trouble::Ours("a copy has no setting".to_owned()));
        };
        let solved = press.solved(copy.version)?;
        let mut context = press.sheet(&solved, copy.version);
        context.key = false;
        let minutes = press.asked.cover.as_ref().map_or(0, |cover| cover.minutes);
        let why = needs.extra.map(|extra| match extra {
            Extra::Percent(percent) => format!("{percent}\u{202f}% extra"),
            Extra::Minutes(more) => format!("{more} minutes extra"),
        });
        let time = needs.extra.zip(why.as_deref());
        let seat = self.rooms.seat_of(copy);
        named(
            &mut context,
            NamedFor {
                learner: learner.map_or("", |learner| &learner.name),
                class: learner.map_or("", |learner| &learner.class),
                seat: &seat,
                time: time.map(|(extra, why)| (extra.of(minutes), why)),
            },
        );
        let markdown = press.templates.fill("sheet.md", &context)?;
        let document =
            read_with(&markdown, &setting.drawings).map_err(|fault| unread("sheet.md", fault))?;
        let composed = compose(&document, &setting.profile, &press.faces);
        let composed =
            if setting.profile.paper == Paper::A5 { press.bound(composed) } else { composed };
        let length = composed.pages.len();
        Ok((ink(&composed, &self.subset)?, length))
    }

    fn part(&self, copy: &Copy) -> Part {
        let version = letters(u64::from(copy.version));
        match copy.learner.map(|index| &self.rooms.learners[index]) {
            Some(learner) => Part {
                bookmark: format!("{} ({version})", learner.name),
                label: format!("{} {version}-", learner.name),
            },
            None => {
                let room = &self.rooms.places[copy.place].name;
                Part {
                    bookmark: format!("Spare copy {}, {room} ({version})", copy.spare),
                    label: format!("spare {} {version}-", copy.spare),
                }
            }
        }
    }
}
