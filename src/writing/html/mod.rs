//! Documents as accessible HTML: one page of headings, lists and tables that reads
//! in the order of the paper, without scripts and without anything fetched.
//!
//! Takes a document; gives the text of a file. A learner's copy has nothing of what
//! only a teacher's copy shows. Never lays anything out: a short style sheet for
//! screen and paper stands in the page itself.

mod answers;
mod figures;
mod mathematics;
mod page;
mod pictures;
mod runs;
mod tables;

use crate::document::{Block, Document, ListItem, Run, Runs, Step, Term, plain};

use runs::{bold, inline, text};

/// Whose copy is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CopyFor {
    Learner,
    Teacher,
}

/// The document as one HTML page.
pub fn write_html(document: &Document, copy: CopyFor) -> String {
    let mut page = Page {
        out: String::new(),
        copy,
        level: 1,
        open: Vec::new(),
        number: String::new(),
        letter: String::new(),
        part: None,
        caption: String::new(),
        figures: 0,
    };
    for block in &document.blocks {
        // The learner's copy ends where the second count of pages begins.
        if copy == CopyFor::Learner && matches!(block, Block::Pages { .. }) {
            break;
        }
        page.block(block);
    }
    page.close_to(0);
    page::framed(&document.sheet, copy, &page.out)
}

/// What an open section is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Section {
    /// A question or a worked example.
    Question,
    Part,
}

struct Page {
    out: String,
    copy: CopyFor,
    /// The level of the last heading outside questions.
    level: usize,
    open: Vec<Section>,
    /// The question's number, or the example's label with a blank.
    number: String,
    /// The label of the part, for the parts within it.
    letter: String,
    /// The part whose answer comes: "1(a)".
    part: Option<String>,
    /// The words above the next table.
    caption: String,
    /// How many figures there are so far.
    figures: usize,
}

impl Page {
    fn block(&mut self, block: &Block) {
        let is_table = matches!(block, Block::Table(_) | Block::Grid(_));
        if !self.caption.is_empty() && !is_table {
            let words = std::mem::take(&mut self.caption);
            self.element("p", "caption", &words);
        }
        match block {
            Block::Opening(opening) => {
                self.close_to(0);
                self.heading(if self.out.is_empty() { 1 } else { 2 }, &inline(&opening.title));
                if !opening.line.is_empty() {
                    self.element("p", "", &inline(&opening.line));
                }
                if let Some(score) = opening.score {
                    let line = format!("Score: {} out of {score}", answers::blank("score"));
                    self.element("p", "", &line);
                }
            }
            Block::Cover(cover) => {
                self.close_to(0);
                if let Some(badge) = &cover.badge {
                    self.out.push_str(&format!(
                        "<p class=\"badge\">{}</p>\n",
                        pictures::image(badge, &plain(&cover.school))
                    ));
                }
                self.heading(1, &inline(&cover.title));
                for line in [&cover.school, &cover.subject] {
                    if !line.is_empty() {
                        self.element("p", "", &inline(line));
                    }
                }
                for (label, value) in &cover.cells {
                    self.element("p", "", &format!("{}: {}", text(label), inline(value)));
                }
            }
            Block::Candidate { name, class } => {
                let lines =
                    [("Name", name.as_slice()), ("Class", class), ("Candidate number", &[])];
                self.name_lines(&lines);
            }
            Block::Topic(heading) => self.heading(2, &inline(heading)),
            Block::Marker(marker) => {
                let total = format!("Total: {} out of {}", answers::blank("total"), marker.total);
                self.element("p", "", &total);
                self.element("p", "", &inline(&marker.foot));
            }
            Block::FactCells(cells) => {
                for (label, value) in cells {
                    self.element("p", "", &format!("{}: {}", text(label), inline(value)));
                }
            }
            Block::Checks(lines) => {
                let item = |line: &Runs| format!("<li>{}</li>", inline(line));
                let items: String = lines.iter().map(item).collect();
                self.out.push_str(&format!("<ul>{items}</ul>\n"));
            }
            Block::Slots { slots, below } => {
                let lines: Vec<(&str, &[Run])> =
                    slots.iter().map(|slot| (slot.label.as_str(), &[] as &[Run])).collect();
                self.name_lines(&lines);
                if !below.is_empty() {
                    self.element("p", "", &inline(below));
                }
            }
            Block::Names { name, class } => {
                self.name_lines(&[("Name", name.as_slice()), ("Class", class), ("Date", &[])]);
            }
            Block::Question { number } => {
                self.close_to(0);
                self.number = number.clone();
                self.open_section(Section::Question, &format!("Question {}", text(number)));
            }
            Block::Part { label, sub } => {
                self.close_to(1);
                if !label.is_empty() {
                    self.letter.clone_from(label);
                }
                // Whoever walks from heading to heading is told which question's part.
                let whole = format!("{}{}{sub}", self.number, self.letter);
                self.open_section(Section::Part, &text(&whole));
                self.part = Some(whole);
            }
            Block::Answer(answer) => {
                let part = self.part.clone();
                answers::answer(&mut self.out, answer, self.copy, part.as_deref());
            }
            Block::Total { marks } => {
                self.close_to(1);
                self.element("p", "marks", &format!("Total: {}", answers::counted(*marks)));
                self.close_to(0);
            }
            Block::Example { label } => {
                self.close_to(0);
                self.number = format!("{label} ");
                self.open_section(Section::Question, &text(label));
            }
            Block::Close => self.close_to(0),
            Block::Formula(run) => self.element("p", "", &inline(std::slice::from_ref(run))),
            Block::Steps(steps) => self.steps(steps),
            Block::Facts(facts) => {
                self.out.push_str("<dl>\n");
                for fact in facts {
                    // A term that is left out goes on with the one before.
                    if !fact.term.is_empty() {
                        self.element("dt", "", &inline(&fact.term));
                    }
                    self.element("dd", "", &inline(&fact.says));
                }
                self.out.push_str("</dl>\n");
            }
            Block::Glossary(terms) => self.glossary(terms),
            Block::Caption { label, text } => {
                let words = [bold(label), inline(text)];
                let line: Vec<String> = words.into_iter().filter(|w| !w.is_empty()).collect();
                self.caption = line.join(" ");
            }
            Block::Slide(slide) => {
                self.close_to(0);
                self.heading(2, &inline(&slide.title));
            }
            Block::Card(card) => {
                self.close_to(0);
                self.heading(2, &inline(&card.title));
            }
            Block::Working { lines, .. } => {
                for line in lines {
                    self.element("p", "", &inline(line));
                }
            }
            Block::Choices { beside, options } => {
                for line in beside {
                    self.element("p", "", &inline(line));
                }
                for option in options {
                    let letter = text(&option.letter);
                    self.element("p", "", &format!("{letter} {}", inline(&option.text)));
                }
            }
            // Room to write in, and words for the speaker alone.
            Block::Feedback { title, right } => {
                self.close_to(0);
                self.heading(2, &inline(title));
                self.element("p", "", &inline(right));
            }
            Block::Strip(cells) => {
                for cell in cells {
                    self.element("p", "", &format!("{}: {}", text(&cell.head), text(&cell.says)));
                }
            }
            Block::Told { heading, lines, .. } => {
                self.element("p", "lead", &inline(heading));
                for line in lines {
                    self.element("p", "", &inline(line));
                }
            }
            Block::Notes | Block::Cells { .. } | Block::Lines { .. } => {}
            Block::Behind => self.close_to(0),
            Block::Boxes(boxes) => {
                let part = self.part.clone();
                answers::boxes(&mut self.out, boxes, self.copy, part.as_deref());
            }
            Block::Written(written) => {
                let part = self.part.clone();
                answers::written(&mut self.out, written, self.copy, part.as_deref());
            }
            Block::Bank(words) => {
                let words: Vec<String> = words.iter().map(|word| inline(word)).collect();
                self.element("p", "bank", &format!("Words: {}", words.join(" · ")));
            }
            Block::Pages { .. } => {
                self.close_to(0);
                self.out.push_str("<hr>\n");
            }
            Block::Heading { level, text } => self.free_heading(*level, &inline(text)),
            Block::Paragraph(runs) => {
                let words = inline(&answers::gaps(runs, self.copy));
                self.element("p", "", &words);
            }
            Block::Literal(lines) => {
                let words: Vec<String> = lines.iter().map(|line| text(line)).collect();
                self.element("pre", "", &words.join("\n"));
            }
            Block::List { start, items, .. } => self.list(*start, items),
            Block::Table(table) => {
                let table = answers::table_for(table, self.copy);
                tables::table(&mut self.out, &table, &std::mem::take(&mut self.caption));
            }
            Block::Grid(grid) => {
                tables::grid(&mut self.out, grid, &std::mem::take(&mut self.caption));
            }
            Block::Note(inner) => self.boxed("Note", "note", inner),
            Block::Caution(inner) => self.boxed("Caution", "caution", inner),
            Block::Quote(inner) => {
                self.out.push_str("<blockquote>\n");
                self.blocks(inner);
                self.out.push_str("</blockquote>\n");
            }
            Block::Rule => self.out.push_str("<hr>\n"),
            Block::Figure { label, caption, drawing, blanks, letters } => {
                self.out.push_str("<figure>\n");
                self.figures += 1;
                let title = format!("{label} {}", plain(caption)).trim().to_owned();
                let blanks = *blanks && self.copy == CopyFor::Learner;
                let drawn = figures::figure(drawing, self.figures, &title, blanks);
                self.out.push_str(&drawn);
                let words = [bold(label), inline(caption)];
                let line: Vec<String> = words.into_iter().filter(|w| !w.is_empty()).collect();
                if !line.is_empty() {
                    self.element("figcaption", "", &line.join(" "));
                }
                self.out.push_str("</figure>\n");
                if !letters.is_empty() {
                    let item = |name: &String| format!("<li>{}</li>", text(name));
                    let items: String = letters.iter().map(item).collect();
                    self.out.push_str(&format!("<ol type=\"A\">{items}</ol>\n"));
                }
            }
            Block::Picture { words, picture: None, .. } => {
                // Shown by its words on paper too, so there is no picture to describe.
                self.element("p", "caption", &format!("Picture: {}", inline(words)));
            }
            Block::Picture { words, caption, picture: Some(picture) } => {
                self.out.push_str("<figure>\n");
                self.out.push_str(&pictures::image(picture, &plain(words)));
                if !caption.is_empty() {
                    self.element("figcaption", "", &inline(caption));
                }
                self.out.push_str("</figure>\n");
            }
        }
    }

    fn blocks(&mut self, blocks: &[Block]) {
        for block in blocks {
            self.block(block);
        }
    }

    fn element(&mut self, tag: &str, class: &str, inside: &str) {
        let class = if class.is_empty() { String::new() } else { format!(" class=\"{class}\"") };
        self.out.push_str(&format!("<{tag}{class}>{inside}</{tag}>\n"));
    }

    /// Lines for a name and the like; what is known stands there already.
    fn name_lines(&mut self, lines: &[(&str, &[Run])]) {
        for (word, filled) in lines {
            let value = if filled.is_empty() {
                answers::blank(&word.to_lowercase())
            } else {
                inline(filled)
            };
            self.element("p", "names", &format!("{word}: {value}"));
        }
    }

    fn heading(&mut self, level: usize, inside: &str) {
        self.level = level;
        self.element(&format!("h{level}"), "", inside);
    }

    /// An author's heading. One that skips levels is brought nearer, so that none is
    /// missing for who walks from heading to heading.
    fn free_heading(&mut self, level: u8, inside: &str) {
        if !self.open.is_empty() {
            self.element("p", "lead", inside);
            return;
        }
        let wanted = usize::from(level).clamp(2, 6);
        self.heading(wanted.min(self.level + 1), inside);
    }

    /// A question stands below the heading before it, a part below its question.
    fn open_section(&mut self, section: Section, heading: &str) {
        self.out.push_str("<section>\n");
        let level = match section {
            Section::Question => (self.level + 1).min(5),
            Section::Part => (self.level + 2).min(6),
        };
        self.element(&format!("h{level}"), "", heading);
        self.open.push(section);
    }

    /// Closes sections until so many are open.
    fn close_to(&mut self, depth: usize) {
        while self.open.len() > depth {
            self.open.pop();
            self.out.push_str("</section>\n");
            self.part = None;
        }
    }

    fn steps(&mut self, steps: &[Step]) {
        self.out.push_str("<ol class=\"steps\">\n");
        for step in steps {
            let number = step.number.map_or_else(String::new, |n| format!("<b>{n}</b> "));
            let marks = if step.marks.is_empty() {
                String::new()
            } else {
                format!(" <span class=\"marks\">[{}]</span>", text(&step.marks))
            };
            self.out.push_str(&format!("<li>{number}{}", inline(&step.says)));
            for (i, link) in step.chain.iter().enumerate() {
                let equals = if i == 0 { "" } else { "= " };
                self.out.push_str(&format!("<br>{equals}{}", inline(link)));
            }
            self.out.push_str(&format!("{marks}</li>\n"));
        }
        self.out.push_str("</ol>\n");
    }

    fn glossary(&mut self, terms: &[Term]) {
        self.out.push_str("<dl>\n");
        for term in terms {
            self.element("dt", "", &inline(&term.term));
            self.element("dd", "", &inline(&term.meaning));
            for (word, runs) in [("Example", &term.example), ("Not", &term.not)] {
                if !runs.is_empty() {
                    self.element("dd", "", &format!("<b>{word}:</b> {}", inline(runs)));
                }
            }
        }
        self.out.push_str("</dl>\n");
    }

    fn list(&mut self, start: Option<u64>, items: &[ListItem]) {
        let (tag, from) = match start {
            Some(1) => ("ol", String::new()),
            Some(from) => ("ol", format!(" start=\"{from}\"")),
            None => ("ul", String::new()),
        };
        self.out.push_str(&format!("<{tag}{from}>\n"));
        for item in items {
            self.out.push_str("<li>");
            match item.blocks.as_slice() {
                [Block::Paragraph(runs)] => self.out.push_str(&inline(runs)),
                blocks => self.blocks(blocks),
            }
            self.out.push_str("</li>\n");
        }
        self.out.push_str(&format!("</{tag}>\n"));
    }

    fn boxed(&mut self, word: &str, class: &str, inner: &[Block]) {
        self.out
            .push_str(&format!("<div class=\"{class}\" role=\"note\">\n<p><b>{word}</b></p>\n"));
        self.blocks(inner);
        self.out.push_str("</div>\n");
    }
}
