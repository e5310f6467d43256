//! What must hold of every composed page, over sheets, keys and a lesson.

#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;

use stillroom::composing::faces::Faces;
use stillroom::composing::page::{Composed, Face, Ink, Mark, Page, Segment};
use stillroom::composing::{Paper, Profile, compose, compose_pair};
use stillroom::document::context::*;
use stillroom::document::{Document, Templates, read};

mod samples;

const MM: f64 = 72.0 / 25.4;

fn profiles() -> [Profile; 7] {
    let a4 = Profile::default();
    [
        a4,
        Profile { paper: Paper::Letter, ..a4 },
        Profile { large_print: true, ..a4 },
        Profile { paper: Paper::Letter, large_print: true, ..a4 },
        Profile { duplex: true, black: true, ..a4 },
        Profile { paper: Paper::A5, fill: 4, ..a4 },
        Profile { high_contrast: true, ..a4 },
    ]
}

fn sheet(context: &SheetContext) -> Document {
    read(&Templates::new(None).fill("sheet.md", context).unwrap()).unwrap()
}

fn lesson(context: &LessonContext) -> Document {
    read(&Templates::new(None).fill("lesson.md", context).unwrap()).unwrap()
}

/// Formulas in lines, cells, items and on their own, some too wide for any line.
fn mathematics() -> Document {
    let deep = (0..14).fold("x".to_owned(), |inner, _| format!(r"\frac{{{inner}}}{{y + 1}}"));
    let roots = (0..12).fold("x".to_owned(), |inner, _| format!(r"\sqrt[3]{{{inner}}}"));
    let wide = vec!["longname"; 30].join("");
    let sum = (0..60).map(|n| format!("x_{{{n}}}")).collect::<Vec<_>>().join(" + ");
    let text = format!(
        "Of $w = \\frac{{a}}{{b}}$ and $x^{{2^2}}$.\n\n$$w = {deep}$$\n\n$${roots}$$\n\n\
         A ${wide}$ in a line.\n\n$${sum} = 1$$\n\n- ${sum}$\n\n> **Note.** ${deep}$\n\n\
         | a | b |\n|:--|--:|\n| $\\frac{{a}}{{b}}$ | 2 |\n| ${sum}$ | $\\left(\\frac{{a}}{{b}}\\right)$ |\n\n\
         $$a &= \\sum_{{i=1}}^n m_i \\\\ &= {sum}$$\n"
    );
    read(&text).unwrap()
}

/// A marked copy: a wrong option, an order, prose that is too long, a gap, many marks.
fn marked() -> Document {
    let prose = "and the pan was never boiled dry ".repeat(20);
    let gap = "The solid is the \u{e000}filtrate\u{e001}.";
    let cells: String =
        (1..=13).map(|n| format!("- {{head: {n}bii, says: 10 / 10, full: true}}\n")).collect();
    read(&format!(
        "```sheet\ntitle: Salt\nteacher: true\nmarked: true\n```\n\n```question\nnumber: 1\n```\n\n\
         ```boxes\nmarks: 1\nrow: true\njudged: {{given: 0}}\nboxes:\n- {{label: A, text: sieving}}\n\
         - {{label: B, text: boiling, ticked: true}}\n```\n\n```told\nlines: [Expected A.]\n```\n\n\
         ```boxes\nmarks: 2\njudged: {{given: 2}}\nboxes:\n- {{text: pour, fill: '27'}}\n```\n\n\
         ```written\ncount: 2\nmarks: 12\njudged: {{given: 11}}\ntexts:\n- text: {prose}\n```\n\n\
         {gap}\n\n```answer\nmarks: 1\njudged: {{given: 0}}\n```\n\n```close\n```\n\n\
         ```strip\n{cells}- {{head: total, says: 130 / 130, total: true}}\n```\n"
    ))
    .unwrap()
}

fn documents() -> Vec<(String, Document)> {
    let mut all = vec![
        ("lesson".to_owned(), lesson(&samples::lesson())),
        ("unkind".to_owned(), sheet(&samples::unkind())),
        ("mathematics".to_owned(), mathematics()),
        ("marked".to_owned(), marked()),
        ("empty".to_owned(), read("").unwrap()),
    ];
    for count in [1, 3, 8, 20] {
        all.push((format!("worksheet of {count}"), sheet(&samples::sheet(false, count))));
        all.push((format!("key of {count}"), sheet(&samples::sheet(true, count))));
    }
    all
}

/// Left, top, right, bottom.
type Bounds = (f64, f64, f64, f64);

fn bounds(mark: &Mark) -> Option<Bounds> {
    let around = |points: &[(f64, f64)]| {
        points.iter().fold(None, |bounds: Option<Bounds>, (x, y)| {
            let (a, b, c, d) = bounds.unwrap_or((*x, *y, *x, *y));
            Some((a.min(*x), b.min(*y), c.max(*x), d.max(*y)))
        })
    };
    match mark {
        Mark::Text { size, x, baseline, glyphs, .. } => {
            let width: f64 = glyphs.iter().map(|glyph| glyph.advance).sum::<f64>() * size / 1000.0;
            Some((*x, baseline - 0.66 * size, x + width, *baseline))
        }
        Mark::Rule { from, to, .. } => around(&[*from, *to]),
        Mark::Box { x, y, width, height, .. } | Mark::Pixels { x, y, width, height, .. } => {
            Some((*x, *y, x + width, y + height))
        }
        Mark::Path { segments, .. } | Mark::Holed { segments, .. } => {
            let mut points = Vec::new();
            for segment in segments {
                match segment {
                    Segment::Move(x, y) | Segment::Line(x, y) => points.push((*x, *y)),
                    Segment::Curve(a, b, c) => points.extend([*a, *b, *c]),
                    Segment::Close => {}
                }
            }
            around(&points)
        }
        Mark::Said { marks, .. } => marks
            .iter()
            .filter_map(bounds)
            .reduce(|(a, b, c, d), (e, f, g, h)| (a.min(e), b.min(f), c.max(g), d.max(h))),
    }
}

fn text(mark: &Mark) -> String {
    match mark {
        Mark::Text { glyphs, .. } => glyphs.iter().map(|glyph| glyph.text.as_str()).collect(),
        Mark::Said { text, .. } => text.clone(),
        _ => String::new(),
    }
}

fn words(composed: &Composed) -> String {
    let marks = composed.pages.iter().flat_map(|page| &page.marks);
    marks.map(|mark| text(mark) + " ").collect()
}

fn over_all(check: impl Fn(&str, &Document, &Profile, &Composed)) {
    let faces = Faces::embedded();
    for (name, document) in documents() {
        for profile in profiles() {
            let composed = compose(&document, &profile, &faces);
            assert!(!composed.pages.is_empty());
            check(&format!("{name}, {profile:?}"), &document, &profile, &composed);
        }
    }
}

#[test]
fn nothing_leaves_its_frame() {
    over_all(|name, _, profile, composed| {
        for (number, page) in composed.pages.iter().enumerate() {
            let booklet = profile.paper == Paper::A5;
            let (binding, block) = match profile.large_print {
                true => (20.0, 176.0),
                false if booklet => (15.0, 121.0),
                false => (22.0, 174.0),
            };
            let left = if (profile.duplex || booklet) && number % 2 == 1 {
                page.width - (binding + block) * MM
            } else {
                binding * MM
            };
            for mark in &page.marks {
                let Some((x0, y0, x1, y1)) = bounds(mark) else { continue };
                let said = text(mark);
                let at = format!("{name}, page {}: {said:?} {mark:.1?}", number + 1);
                assert!(x0 >= left - 0.5 && x1 <= left + block * MM + 0.5, "{at}");
                assert!(y0 >= 10.0 * MM && y1 <= page.height - 12.0 * MM, "{at}");
                assert!(x0.is_finite() && y0.is_finite() && x1.is_finite() && y1.is_finite());
            }
        }
    });
}

#[test]
fn no_two_texts_overlap() {
    over_all(|name, _, _, composed| {
        for (number, page) in composed.pages.iter().enumerate() {
            let mut texts: Vec<(Bounds, &Mark)> = page
                .marks
                .iter()
                .filter(|mark| !text(mark).trim().is_empty())
                .filter_map(|mark| bounds(mark).map(|bounds| (bounds, mark)))
                .collect();
            texts.sort_by(|a, b| a.0.1.total_cmp(&b.0.1));
            for (i, (a, one)) in texts.iter().enumerate() {
                for (b, other) in &texts[i + 1..] {
                    let over =
                        a.0 < b.2 - 0.3 && b.0 < a.2 - 0.3 && a.1 < b.3 - 0.3 && b.1 < a.3 - 0.3;
                    assert!(
                        !over,
                        "{name}, page {}: {:?} over {:?}",
                        number + 1,
                        text(one),
                        text(other)
                    );
                }
            }
        }
    });
}

/// Text is drawn above the footer's line, and the lowest line of the text block is
/// where the page design says.
#[test]
fn the_text_ends_above_the_footer() {
    over_all(|name, _, profile, composed| {
        let foot = match (profile.paper, profile.large_print) {
            (Paper::A4, false) => 272.4,
            (Paper::Letter, false) => 249.8,
            (Paper::A4, true) => 263.1,
            (Paper::Letter, true) => 26.0 + 600.0 / MM,
            (Paper::A5, _) => 20.0 + 464.0 / MM,
        };
        for page in &composed.pages {
            let footer = page.height - 14.0 * MM;
            for mark in &page.marks {
                let Some((_, _, _, bottom)) = bounds(mark) else { continue };
                let of_footer = bottom > footer - 1.0;
                assert!(
                    of_footer || bottom <= foot * MM + 3.0,
                    "{name}: {:?} at {:.1} mm",
                    text(mark),
                    bottom / MM
                );
            }
        }
    });
}

#[test]
fn no_heading_is_the_last_thing_on_its_page() {
    over_all(|name, _, _, composed| {
        for (_, heading, page, y) in &composed.outline {
            let page = &composed.pages[*page];
            let footer = page.height - 14.0 * MM - 12.0;
            let below = page.marks.iter().filter(|mark| {
                let top = bounds(mark).map_or(0.0, |bounds| bounds.1);
                matches!(mark, Mark::Text { .. }) && top > y + 10.0 && top < footer
            });
            assert!(below.count() > 0, "{name}: {heading} stands alone at the foot");
        }
    });
}

#[test]
fn a_key_page_is_the_worksheet_page_with_additions() {
    let faces = Faces::embedded();
    for count in [1, 4, 9, 20] {
        for profile in profiles() {
            let worksheet = compose(&sheet(&samples::sheet(false, count)), &profile, &faces);
            let key_document = sheet(&samples::sheet(true, count));
            let key = compose(&key_document, &profile, &faces);
            assert!(key.pages.len() > worksheet.pages.len());
            for (ours, theirs) in worksheet.pages.iter().zip(&key.pages) {
                // The learner's marks are all there, in order; between them what the
                // key adds.
                let mut theirs = theirs.marks.iter();
                for mark in &ours.marks {
                    assert!(theirs.any(|other| other == mark), "{count}: {:?} is gone", text(mark));
                }
            }
            let pair = compose_pair(&key_document, &profile, &faces);
            assert_eq!(pair.learner, worksheet);
            assert_eq!(pair.teacher, key);
        }
    }
}

#[test]
fn a_worksheet_tells_no_answers() {
    let mut context = samples::sheet(true, 8);
    for (i, question) in context.questions.iter_mut().enumerate() {
        for part in &mut question.parts {
            for answer in &mut part.answers {
                answer.value = format!("secret{i}");
            }
            part.working = vec!["secret".into()];
        }
    }
    let faces = Faces::embedded();
    let pair = compose_pair(&sheet(&context), &Profile::default(), &faces);
    assert!(!words(&pair.learner).contains("secret"));
    assert!(!words(&pair.learner).contains("Worked answers"));
    for i in 0..8 {
        assert!(words(&pair.teacher).contains(&format!("secret{i}")));
    }
    context.key = false;
    let markdown = Templates::new(None).fill("sheet.md", &context).unwrap();
    assert!(!markdown.contains("secret"));
}

#[test]
fn lines_break_alike_on_a4_and_letter() {
    let faces = Faces::embedded();
    let letter = Profile { paper: Paper::Letter, ..Profile::default() };
    for (name, document) in documents() {
        let said = |profile: &Profile| {
            let composed = compose(&document, profile, &faces);
            let mut lines: Vec<String> = composed.pages.iter().flat_map(body_lines).collect();
            // A table's head is drawn anew on each page that it goes on to.
            lines.sort_unstable();
            lines.dedup();
            lines
        };
        assert_eq!(said(&Profile::default()), said(&letter), "{name}");
    }
}

/// The texts of a page without its header and footer.
fn body_lines(page: &Page) -> Vec<String> {
    let inside = |mark: &&Mark| {
        bounds(mark).is_some_and(|b| b.1 > 20.0 * MM && b.3 < page.height - 16.0 * MM)
    };
    page.marks.iter().filter(inside).map(text).filter(|text| !text.is_empty()).collect()
}

#[test]
fn no_text_of_the_document_is_lost() {
    let faces = Faces::embedded();
    let composed = compose(&sheet(&samples::unkind()), &Profile::default(), &faces);
    let said: String = words(&composed).split_whitespace().collect();
    let long = "unbrokenwordwithoutanyspace".repeat(12);
    // Title line, stem, list, note, answer name, caution, two formulas: all whole.
    assert!(said.matches(&long).count() >= 5, "{}", said.matches(&long).count());
    assert_eq!(said.matches("cellwithsomewordsinit").count(), 60);
    assert!(said.contains("deeper"));
}

#[test]
fn marks_stand_at_the_right_and_add_up() {
    let faces = Faces::embedded();
    let context = samples::sheet(false, 8);
    let composed = compose(&sheet(&context), &Profile::default(), &faces);
    let mut sum = 0;
    for mark in composed.pages.iter().flat_map(|page| &page.marks) {
        let said = text(mark);
        if let Some(marks) = said.strip_prefix('[').and_then(|rest| rest.strip_suffix(']')) {
            let right = bounds(mark).map_or(0.0, |bounds| bounds.2);
            assert!((right - 196.0 * MM).abs() < 0.5, "{said} at {right}");
            sum += marks.parse::<u32>().unwrap_or(0);
        }
    }
    assert_eq!(sum, context.score);
}

#[test]
fn what_a_step_earns_stands_in_the_margin_of_a_key_only() {
    let faces = Faces::embedded();
    for large_print in [false, true] {
        let profile = Profile { large_print, ..Profile::default() };
        let mut context = samples::sheet(true, 3);
        // Longer than the margin: set smaller.
        context.questions[0].parts[0].solution[0].marks = "M10 A10 B10".to_owned();
        let pair = compose_pair(&sheet(&context), &profile, &faces);
        let expected: Vec<String> = context
            .questions
            .iter()
            .flat_map(|question| &question.parts)
            .flat_map(|part| part.solution.iter().map(|step| step.marks.clone()))
            .collect();
        let earned = |composed: &Composed| -> Vec<(String, f64, f64)> {
            let marks = composed.pages.iter().flat_map(|page| &page.marks);
            let found = marks.filter(|mark| expected.contains(&text(mark)));
            found
                .map(|mark| (text(mark), bounds(mark).unwrap().0, bounds(mark).unwrap().2))
                .collect()
        };
        let found = earned(&pair.teacher);
        assert_eq!(
            found.iter().map(|(said, ..)| said).collect::<Vec<_>>(),
            expected.iter().collect::<Vec<_>>()
        );
        let (edge, block) = if large_print { (20.0 + 157.0, 196.0) } else { (22.0 + 158.0, 196.0) };
        for (said, left, right) in found {
            assert!(
                left >= edge * MM && (right - block * MM).abs() < 0.5,
                "{said}: {left} to {right}"
            );
        }
        assert!(earned(&pair.learner).is_empty());
    }
}

#[test]
fn every_page_says_which_of_how_many_and_its_code() {
    let faces = Faces::embedded();
    let pair = compose_pair(&sheet(&samples::sheet(true, 9)), &Profile::default(), &faces);
    let count = pair.learner.pages.len();
    for (i, page) in pair.teacher.pages.iter().enumerate() {
        let said: BTreeSet<String> = page.marks.iter().map(text).collect();
        assert!(said.contains("C-7K2"));
        assert!(said.contains("TEACHER COPY · version C"));
        if i < count {
            assert!(said.contains(&format!("Page {} of {count}", i + 1)));
            assert_eq!(said.contains("End of questions"), i + 1 == count);
        } else {
            assert!(said.iter().any(|text| text.starts_with("Worked answers ")));
        }
    }
}

#[test]
fn a_marked_copy_shows_what_a_learner_wrote_and_not_as_a_key_does() {
    let faces = Faces::embedded();
    for profile in profiles() {
        let composed = compose(&marked(), &profile, &faces);
        let at = format!("{profile:?}");
        let (mut by_hand, mut bold, mut strokes) = (Vec::new(), Vec::new(), 0);
        for mark in composed.pages.iter().flat_map(|page| &page.marks) {
            match mark {
                Mark::Text { face: Face::Italic, ink: Ink::Black, .. } => by_hand.push(text(mark)),
                Mark::Text { face: Face::Bold, .. } => bold.push(text(mark)),
                Mark::Path { weight: Some(_), .. } => strokes += 1,
                _ => {}
            }
            let is_of_a_key = match mark {
                Mark::Text { ink, .. } | Mark::Box { ink, .. } => *ink == Ink::Water,
                _ => false,
            };
            assert!(!is_of_a_key, "{at}: {mark:?}");
        }
        // A sign beside each part's marks, and the cross in the box.
        assert_eq!(strokes, 5, "{at}");
        let given: Vec<&String> =
            bold.iter().filter(|text| ["0", "2", "11"].contains(&text.as_str())).collect();
        assert_eq!(given, ["0", "2", "11", "0"], "{at}");
        for wrote in ["27", "filtrate"] {
            assert!(by_hand.iter().any(|text| text == wrote), "{at}: {by_hand:?}");
        }
        assert!(by_hand.iter().any(|text| text.ends_with('…')), "{at}: {by_hand:?}");
    }
}
