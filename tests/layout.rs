//! The laid-out pages of the demonstration units, whatever they are set for: nothing
//! leaves its page, no two texts meet, and what belongs together stands together.

#![allow(clippy::unwrap_used)]

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use ink::{Inked, Outlines, drawn, meet};
use stillroom::composing::faces::Faces;
use stillroom::composing::page::{Composed, Ink, Mark, Page, Role};
use stillroom::run::{self, Extras, PrintJob, Wishes};

mod ink;

const MM: f64 = 72.0 / 25.4;

fn wishes() -> Vec<Wishes> {
    let a4 = Wishes::default();
    vec![
        a4,
        Wishes { letter: true, ..a4 },
        Wishes { booklet: true, ..a4 },
        Wishes { large_print: true, ..a4 },
        Wishes { high_contrast: true, black: true, ..a4 },
        Wishes { high_contrast: true, booklet: true, ..a4 },
        Wishes { letter: true, large_print: true, high_contrast: true, ..a4 },
        Wishes { duplex: true, one_file: true, ..a4 },
    ]
}

type Laid = Vec<(String, Wishes, Composed)>;

/// Both units with everything that can be printed of them, laid out once.
fn all() -> &'static Laid {
    static ALL: LazyLock<Laid> = LazyLock::new(|| {
        let mut all = Laid::new();
        for unit in ["quarnholm-salt", "ombrindale-potash", "lissenfold-lavender"] {
            for wishes in wishes() {
                let job = PrintJob {
                    unit: Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("units/{unit}.md")),
                    versions: 2,
                    only: None,
                    seed: 7,
                    out: PathBuf::new(),
                    one_file: wishes.one_file,
                    html: false,
                    roster: None,
                    profile: run::profile(&wishes),
                    extras: Extras {
                        slides: true,
                        handouts: run::handouts().to_vec(),
                        cards: true,
                        practical: true,
                        ..Extras::default()
                    },
                };
                let laid = run::laid_out(&job).unwrap();
                assert!(laid.len() >= 13, "{unit}: {} documents", laid.len());
                let named = |name: String| format!("{unit} {name}, {wishes:?}");
                all.extend(laid.into_iter().map(|(name, laid)| (named(name), wishes, laid)));
            }
        }
        all
    });
    &ALL
}

fn over_all(check: impl Fn(&str, &Wishes, &Composed)) {
    for (name, wishes, composed) in all() {
        assert!(!composed.pages.is_empty());
        check(name, wishes, composed);
    }
}

fn over_pages(check: impl Fn(&str, &Page)) {
    over_all(|name, _, composed| {
        for (index, page) in composed.pages.iter().enumerate() {
            check(&format!("{name}, page {}", index + 1), page);
        }
    });
}

fn is_slide(page: &Page) -> bool {
    (page.height - 405.0).abs() < 0.1
}

#[test]
fn nothing_leaves_its_page() {
    let outlines = Outlines::of(&Faces::embedded());
    over_pages(|name, page| {
        // What a printer cannot reach, and how far a slide's text stays from its edge.
        let safe = if is_slide(page) { 8.0 } else { 12.0 * MM };
        for text in outlines.texts(&page.marks) {
            let (left, top, right, foot) = text.all;
            let inside = left >= safe - 0.5
                && right <= page.width - safe + 0.5
                && top >= safe - 0.5
                && foot <= page.height - safe + 0.5;
            assert!(inside, "{name}: {:?} at {:.1?}", text.said, text.all);
        }
        for mark in &page.marks {
            let Some((left, top, right, foot)) = drawn(mark) else { continue };
            // Marks to cut along may stand outside, as thin as they are.
            let cut = matches!(mark, Mark::Rule { weight, .. } if *weight <= 0.351);
            let safe = if cut { 4.0 * MM } else { safe };
            let inside = left >= safe - 0.5
                && right <= page.width - safe + 0.5
                && top >= safe - 0.5
                && foot <= page.height - safe + 0.5;
            assert!(inside, "{name}: {mark:.1?}");
        }
    });
}

/// White that is drawn later hides what lies under it.
fn is_hidden(text: &Inked, page: &Page) -> bool {
    page.marks[text.at + 1..].iter().any(|mark| {
        let white = matches!(mark, Mark::Box { ink: Ink::White, weight: None, .. });
        white && drawn(mark).is_some_and(|over| meet(over, text.all, 0.3))
    })
}

#[test]
fn no_two_texts_meet() {
    let outlines = Outlines::of(&Faces::embedded());
    over_pages(|name, page| {
        let mut texts = outlines.texts(&page.marks);
        texts.sort_by(|one, other| one.all.1.total_cmp(&other.all.1));
        for (i, one) in texts.iter().enumerate() {
            assert!(!is_hidden(one, page), "{name}: {:?} is painted over", one.said);
            for other in texts[i + 1..].iter().take_while(|other| other.all.1 < one.all.3) {
                if !meet(one.all, other.all, 0.2) {
                    continue;
                }
                // A slanted letter reaches a little under the upright one before it.
                let by = 0.03 * one.size.max(other.size);
                let touch =
                    one.glyphs.iter().any(|a| other.glyphs.iter().any(|b| meet(*a, *b, by)));
                assert!(!touch, "{name}: {:?} over {:?}", one.said, other.said);
            }
        }
    });
}

/// A rule that runs through words strikes them out.
#[test]
fn no_rule_runs_through_a_text() {
    let outlines = Outlines::of(&Faces::embedded());
    over_pages(|name, page| {
        let texts = outlines.texts(&page.marks);
        for (at, mark) in page.marks.iter().enumerate() {
            let Mark::Rule { from, to, weight, .. } = mark else { continue };
            let half = weight / 2.0;
            let rule = (
                from.0.min(to.0) - half,
                from.1.min(to.1) - half,
                from.0.max(to.0) + half,
                from.1.max(to.1) + half,
            );
            // What is written on a line may hang below it by its descenders.
            let on_it = |text: &Inked| from.1 == to.1 && from.1 >= text.baseline + 1.5;
            for text in texts.iter().filter(|text| text.at != at && !on_it(text)) {
                let struck = text.glyphs.iter().any(|glyph| meet(rule, *glyph, 0.25));
                assert!(!struck, "{name}: {:?} is struck by {mark:.1?}", text.said);
            }
        }
    });
}

/// For each element the pages that it stands on, each with its baselines there in
/// tenths of a point; an element's own are those of all within it too.
type Lines = BTreeMap<usize, BTreeMap<usize, BTreeSet<i64>>>;

fn lines(composed: &Composed, outlines: &Outlines) -> Lines {
    let mut lines = Lines::new();
    for (number, page) in composed.pages.iter().enumerate() {
        for tag in &page.tags {
            for text in outlines.texts(&page.marks[tag.from..tag.to]) {
                // The marks stand behind ruled lines that may be empty: no line of text.
                if text.said.starts_with('[') && text.said.ends_with(']') {
                    continue;
                }
                let mut element = Some(tag.element);
                while let Some(index) = element {
                    let baseline = (text.baseline * 10.0).round() as i64;
                    lines.entry(index).or_default().entry(number).or_default().insert(baseline);
                    element = composed.elements[index].parent;
                }
            }
        }
    }
    lines
}

/// A slide may be a title alone, and go on with one line on the next; handouts and notes
/// show slides.
fn is_of_slides(name: &str) -> bool {
    [" slides,", " notes,", " handout-"].iter().any(|kind| name.contains(kind))
}

#[test]
fn no_heading_is_the_last_thing_on_its_page() {
    let outlines = Outlines::of(&Faces::embedded());
    over_all(|name, _, composed| {
        if is_of_slides(name) {
            return;
        }
        for (number, page) in composed.pages.iter().enumerate() {
            let last = page
                .tags
                .iter()
                .rev()
                .find(|tag| !outlines.texts(&page.marks[tag.from..tag.to]).is_empty());
            let Some(last) = last else { continue };
            let element = &composed.elements[last.element];
            assert!(
                !matches!(element.role, Role::Heading(_)),
                "{name}, page {}: {element:?} ends it",
                number + 1
            );
        }
    });
}

#[test]
fn no_line_of_a_paragraph_is_left_alone() {
    let outlines = Outlines::of(&Faces::embedded());
    over_all(|name, _, composed| {
        if is_of_slides(name) {
            return;
        }
        for (index, pages) in lines(composed, &outlines) {
            let element = &composed.elements[index];
            let steps = matches!(element.role, Role::Paragraph) && pages.len() > 1;
            if !steps {
                continue;
            }
            for (page, lines) in &pages {
                assert!(lines.len() > 1, "{name}, page {}: one line of {element:?}", page + 1);
            }
        }
    });
}

/// A question's text, its figure and its first part are seen at once: on one page, or
/// on two that face each other (an even page and the odd one after it).
#[test]
fn a_question_is_read_without_turning_over() {
    let outlines = Outlines::of(&Faces::embedded());
    let mut figures = 0;
    let seen = std::cell::RefCell::new(&mut figures);
    over_all(|name, wishes, composed| {
        if !name.contains("worksheet") || wishes.booklet {
            // The key's pages are the worksheet's; its worked answers have no stems. What
            // faces what in a booklet is told by its key, which is not put on sheets.
            return;
        }
        let lines = lines(composed, &outlines);
        let first_page =
            |element: usize| lines.get(&element).and_then(|p| p.keys().next().copied());
        let opening = |page: usize| page.div_ceil(2);
        for (section, element) in composed.elements.iter().enumerate() {
            if element.role != Role::Section || !element.title.starts_with("Question") {
                continue;
            }
            let kids: Vec<usize> = (section..composed.elements.len())
                .filter(|kid| composed.elements[*kid].parent == Some(section))
                .collect();
            let Some(stem) = kids.first().and_then(|kid| first_page(*kid)) else { continue };
            let figure = kids.iter().position(|kid| composed.elements[*kid].role == Role::Figure);
            if let Some(figure) = figure {
                **seen.borrow_mut() += 1;
                for kid in &kids[..(figure + 2).min(kids.len())] {
                    let page = first_page(*kid).unwrap_or(stem);
                    let at = format!("{name}, {}", element.title);
                    assert_eq!(opening(page), opening(stem), "{at}: page {}", page + 1);
                }
            } else if let Some(part) = kids.get(1).and_then(|kid| first_page(*kid)) {
                assert_eq!(part, stem, "{name}, {}: its first part", element.title);
            }
            // A list to choose from is chosen from at a glance.
            for kid in kids.iter().filter(|kid| composed.elements[**kid].role == Role::List) {
                let pages = lines.get(kid).map_or(0, BTreeMap::len);
                assert!(pages <= 1, "{name}, {}: a list on {pages} pages", element.title);
            }
        }
    });
    assert!(figures > 0, "no question has a figure");
}

fn said(marks: &[Mark]) -> Vec<String> {
    let text = |mark: &Mark| match mark {
        Mark::Text { glyphs, .. } => glyphs.iter().map(|glyph| glyph.text.as_str()).collect(),
        Mark::Said { text, .. } => text.clone(),
        _ => String::new(),
    };
    marks.iter().map(text).filter(|text| !text.is_empty()).collect()
}

/// The numbers that the footers of a page or of a sheet's side say, from left to right.
fn numbers(outlines: &Outlines, page: &Page) -> Vec<String> {
    let mut feet: Vec<(f64, String)> = outlines
        .texts(&page.marks)
        .into_iter()
        .filter(|text| {
            let page = text.said.starts_with("Page ") && text.said.contains(" of ");
            page || text.said == "Blank page"
        })
        .map(|text| {
            let number = text.said.split(' ').nth(1).unwrap_or_default().to_owned();
            (text.all.0, if text.said == "Blank page" { "blank".to_owned() } else { number })
        })
        .collect();
    feet.sort_by(|one, other| one.0.total_cmp(&other.0));
    feet.into_iter().map(|(_, number)| number).collect()
}

#[test]
fn a_folded_booklet_is_read_in_order() {
    let outlines = Outlines::of(&Faces::embedded());
    over_all(|name, wishes, composed| {
        if !wishes.booklet || !(name.contains(" lesson") || name.contains(" worksheet")) {
            return;
        }
        let sides: Vec<Vec<String>> =
            composed.pages.iter().map(|page| numbers(&outlines, page)).collect();
        assert_eq!(sides.len() % 2, 0, "{name}: a side is without its back");
        // Each sheet is folded with those after it inside: front right and back left of
        // the sheets in turn, then back from the innermost.
        let mut order = Vec::new();
        for sheet in sides.chunks(2) {
            order.extend([sheet[0][1].clone(), sheet[1][0].clone()]);
        }
        for sheet in sides.chunks(2).rev() {
            order.extend([sheet[1][1].clone(), sheet[0][0].clone()]);
        }
        let printed = order.iter().take_while(|number| *number != "blank").count();
        let expected: Vec<String> = (1..=printed).map(|n| n.to_string()).collect();
        assert_eq!(order[..printed], expected, "{name}");
        assert!(order[printed..].iter().all(|number| number == "blank"), "{name}: {order:?}");
        assert!(order.len() - printed < 4, "{name}: {order:?}");
    });
}

#[test]
fn on_both_sides_each_version_ends_on_the_back_of_a_sheet() {
    over_all(|name, wishes, composed| {
        if !wishes.duplex || !(name.contains("worksheet") || name.contains("answer-key")) {
            return;
        }
        assert_eq!(composed.pages.len() % 2, 0, "{name}");
        let texts: Vec<Vec<String>> = composed.pages.iter().map(|page| said(&page.marks)).collect();
        let last = texts.iter().position(|page| page.contains(&"End of questions".to_owned()));
        let last = last.unwrap();
        for (index, page) in texts[..last].iter().enumerate() {
            let turn = page.contains(&"Turn over".to_owned());
            assert_eq!(turn, index % 2 == 0, "{name}, page {}", index + 1);
        }
        let end = if name.contains("worksheet") { texts.len() } else { last + 1 + (last + 1) % 2 };
        for (index, page) in texts[..end].iter().enumerate().skip(last + 1) {
            // Data stand at the front of a sheet, to be laid beside the questions.
            let data = page.contains(&"Data".to_owned()) && index % 2 == 0;
            assert!(data || page.contains(&"Blank page".to_owned()), "{name}: {page:?}");
        }
    });
}

/// What is printed at the right of the parts comes to what the front says.
#[test]
fn the_marks_of_the_parts_come_to_the_score() {
    over_all(|name, _, composed| {
        if !name.contains("worksheet") {
            return;
        }
        let (mut parts, mut totals, mut score) = (0, 0, None);
        for text in composed.pages.iter().flat_map(|page| said(&page.marks)) {
            let inside = text.strip_prefix('[').and_then(|rest| rest.strip_suffix(']'));
            if let Some(marks) = inside.and_then(|inside| inside.strip_prefix("Total: ")) {
                totals += marks.parse::<u32>().unwrap();
            } else if let Some(marks) = inside {
                parts += marks.parse::<u32>().unwrap();
            } else if let Some(marks) = text.strip_prefix('/') {
                // A unit in the head of a table may begin a line as well: "/ min".
                score = marks.trim().parse::<u32>().ok().or(score);
            }
        }
        assert_eq!(score, Some(parts), "{name}");
        assert!(totals > 0 && totals <= parts, "{name}: totals of {totals}");
    });
}
