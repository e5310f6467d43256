//! The one reader of document Markdown: text in, plain blocks out.
//!
//! A directive that is unknown or wrong is a fault with its line; all else is
//! read as Markdown reads it. No text is lost.

use std::collections::BTreeMap;
use std::sync::Arc;

use pulldown_cmark::{Alignment, BlockQuoteKind, CodeBlockKind, Event, Parser, Tag, TagEnd};

use super::blocks::{Align, Block, Document, Fact, ListItem, Run, Runs, Table};
use super::directive::{Directive, directive};
use super::escape::options;
use super::inline::{Collector, inline};
use crate::figure::Drawing;
use crate::picture::Picture;

/// A directive that cannot be read. `line` counts from 1 in the document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadFault {
    pub line: usize,
    /// One sentence.
    pub message: String,
}

impl std::fmt::Display for ReadFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "line {}: {}", self.line, self.message)
    }
}

impl std::error::Error for ReadFault {}

/// Quotes and lists within each other beyond this lose their shape, not their text.
const DEEPEST: usize = 24;

/// The figures that a document may show, by their ids, and its pictures by their
/// addresses.
#[derive(Debug, Clone, Default)]
pub struct Drawings {
    figures: BTreeMap<String, Drawing>,
    pub pictures: BTreeMap<String, Arc<Picture>>,
}

impl Drawings {
    pub fn new() -> Drawings {
        Drawings::default()
    }

    pub fn get(&self, id: &str) -> Option<&Drawing> {
        self.figures.get(id)
    }

    /// All figures, in the order of their ids.
    pub fn figures(&self) -> impl Iterator<Item = &Drawing> {
        self.figures.values()
    }

    /// Takes over what others hold.
    pub fn join(&mut self, others: Drawings) {
        self.figures.extend(others.figures);
        self.pictures.extend(others.pictures);
    }

    pub fn contains_key(&self, id: &str) -> bool {
        self.figures.contains_key(id)
    }
}

impl Extend<(String, Drawing)> for Drawings {
    fn extend<T: IntoIterator<Item = (String, Drawing)>>(&mut self, more: T) {
        self.figures.extend(more);
    }
}

/// Reads document Markdown that shows no figures.
///
/// # Errors
/// The first directive that is unknown or whose YAML is not as the vocabulary says.
pub fn read(markdown: &str) -> Result<Document, ReadFault> {
    read_with(markdown, &Drawings::new())
}

/// Reads document Markdown.
///
/// # Errors
/// The same, and a figure that is not among the drawings.
pub fn read_with(markdown: &str, drawings: &Drawings) -> Result<Document, ReadFault> {
    let mut reader = Reader {
        text: markdown,
        drawings,
        events: Parser::new_ext(markdown, options()).into_offset_iter(),
        waiting: None,
        document: Document::default(),
    };
    let blocks = reader.blocks(None, 0)?;
    let mut document = reader.document;
    document.blocks = blocks;
    Ok(document)
}

struct Reader<'a> {
    text: &'a str,
    drawings: &'a Drawings,
    events: pulldown_cmark::OffsetIter<'a>,
    /// An event taken too early.
    waiting: Option<(Event<'a>, usize)>,
    document: Document,
}

impl<'a> Reader<'a> {
    fn next(&mut self) -> Option<(Event<'a>, usize)> {
        self.waiting
            .take()
            .or_else(|| self.events.next().map(|(event, range)| (event, range.start)))
    }

    fn blocks(&mut self, until: Option<TagEnd>, depth: usize) -> Result<Vec<Block>, ReadFault> {
        let mut blocks = Vec::new();
        while let Some((event, at)) = self.next() {
            match event {
                Event::End(end) if Some(end) == until => break,
                Event::End(_) => {}
                Event::Start(Tag::Paragraph) => {
                    let runs = self.runs(TagEnd::Paragraph, &mut blocks);
                    push_paragraph(&mut blocks, runs);
                }
                Event::Start(Tag::Heading { level, .. }) => {
                    let text = self.runs(TagEnd::Heading(level), &mut blocks);
                    blocks.push(Block::Heading { level: level as u8, text });
                }
                Event::Start(Tag::BlockQuote(kind)) if depth < DEEPEST => {
                    let inner = self.blocks(Some(TagEnd::BlockQuote(kind)), depth + 1)?;
                    blocks.push(quote(kind, inner));
                }
                Event::Start(Tag::CodeBlock(kind)) => {
                    let body = self.code();
                    match kind {
                        CodeBlockKind::Fenced(info) if !info.trim().is_empty() => {
                            self.directive(info.trim(), &body, at, &mut blocks)?;
                        }
                        _ => blocks.push(Block::Literal(
                            body.trim_end().lines().map(str::to_owned).collect(),
                        )),
                    }
                }
                Event::Start(Tag::List(start)) if depth < DEEPEST => {
                    let list = self.list(start, depth)?;
                    blocks.push(list);
                }
                Event::Start(Tag::Table(alignments)) => {
                    let table = self.table(&alignments, &mut blocks);
                    blocks.push(Block::Table(table));
                }
                Event::Start(Tag::DefinitionList) if depth < DEEPEST => {
                    let facts = self.definitions(depth)?;
                    blocks.push(Block::Facts(facts));
                }
                Event::Rule => blocks.push(Block::Rule),
                Event::Start(Tag::HtmlBlock) => {
                    let runs = self.runs(TagEnd::HtmlBlock, &mut blocks);
                    push_paragraph(&mut blocks, runs);
                }
                Event::Start(
                    Tag::BlockQuote(_)
                    | Tag::List(_)
                    | Tag::Item
                    | Tag::DefinitionList
                    | Tag::DefinitionListTitle
                    | Tag::DefinitionListDefinition
                    | Tag::TableHead
                    | Tag::TableRow
                    | Tag::TableCell,
                ) => {}
                // A tight list's item holds its words without a paragraph.
                event => {
                    self.waiting = Some((event, at));
                    let runs = self.loose(&mut blocks);
                    push_paragraph(&mut blocks, runs);
                }
            }
        }
        Ok(blocks)
    }

    /// Inline events up to the end of their block. Pictures become blocks.
    fn runs(&mut self, until: TagEnd, blocks: &mut Vec<Block>) -> Runs {
        let mut collector = Collector::default();
        while let Some((event, _)) = self.next() {
            match event {
                Event::End(end) if end == until => break,
                event => collector.take(event),
            }
        }
        self.gathered(collector, blocks)
    }

    /// Inline events up to anything that is a block.
    fn loose(&mut self, blocks: &mut Vec<Block>) -> Runs {
        let mut collector = Collector::default();
        let mut open = 0usize;
        while let Some((event, at)) = self.next() {
            let inline = match &event {
                Event::Start(
                    Tag::Emphasis | Tag::Strong | Tag::Link { .. } | Tag::Image { .. },
                ) => {
                    open += 1;
                    true
                }
                Event::End(_) if open > 0 => {
                    open -= 1;
                    true
                }
                Event::Start(_) | Event::End(_) | Event::Rule => false,
                _ => true,
            };
            if !inline {
                self.waiting = Some((event, at));
                break;
            }
            collector.take(event);
        }
        self.gathered(collector, blocks)
    }

    fn gathered(&mut self, mut collector: Collector, blocks: &mut Vec<Block>) -> Runs {
        let pictures = std::mem::take(&mut collector.pictures);
        let runs = collector.finish();
        if let [picture] = pictures.as_slice()
            && picture.words == super::plain(&runs)
        {
            let known = self.drawings.pictures.get(&picture.address);
            blocks.push(Block::Picture {
                words: runs,
                caption: inline(&picture.title),
                picture: known.cloned(),
            });
            return Runs::new();
        }
        runs
    }

    fn code(&mut self) -> String {
        let mut body = String::new();
        while let Some((event, _)) = self.next() {
            match event {
                Event::Text(text) => body.push_str(&text),
                Event::End(TagEnd::CodeBlock) => break,
                _ => {}
            }
        }
        body
    }

    fn directive(
        &mut self,
        info: &str,
        body: &str,
        at: usize,
        blocks: &mut Vec<Block>,
    ) -> Result<(), ReadFault> {
        let name = info.split_whitespace().next().unwrap_or(info);
        let line = || 1 + self.text[..at].bytes().filter(|b| *b == b'\n').count();
        match directive(name, body, self.drawings) {
            Some(Ok(Directive::Sheet(sheet))) => self.document.sheet = sheet,
            Some(Ok(Directive::Block(block))) => blocks.push(block),
            Some(Err((within, said))) => {
                let message = format!("The `{name}` block cannot be read: {said}.");
                return Err(ReadFault { line: line() + within, message });
            }
            None => {
                let message = format!("There is no directive called `{name}`.");
                return Err(ReadFault { line: line(), message });
            }
        }
        Ok(())
    }

    fn list(&mut self, start: Option<u64>, depth: usize) -> Result<Block, ReadFault> {
        let mut items = Vec::new();
        let mut tight = true;
        while let Some((event, at)) = self.next() {
            match event {
                Event::Start(Tag::Item) => {
                    let next = self.next();
                    tight &= !matches!(next, Some((Event::Start(Tag::Paragraph), _)));
                    self.waiting = next;
                    let blocks = self.blocks(Some(TagEnd::Item), depth + 1)?;
                    items.push(ListItem { blocks });
                }
                Event::End(TagEnd::List(_)) => break,
                event => {
                    self.waiting = Some((event, at));
                    break;
                }
            }
        }
        Ok(Block::List { start, tight, items })
    }

    /// Terms and what they mean; of a meaning in several blocks each text is a row.
    fn definitions(&mut self, depth: usize) -> Result<Vec<Fact>, ReadFault> {
        let mut facts: Vec<Fact> = Vec::new();
        let mut term = Runs::new();
        let mut aside = Vec::new();
        while let Some((event, at)) = self.next() {
            match event {
                Event::Start(Tag::DefinitionListTitle) => {
                    if !term.is_empty() {
                        let term = std::mem::take(&mut term);
                        facts.push(Fact { term, says: Runs::new() });
                    }
                    term = self.runs(TagEnd::DefinitionListTitle, &mut aside);
                }
                Event::Start(Tag::DefinitionListDefinition) => {
                    let end = TagEnd::DefinitionListDefinition;
                    for says in texts(self.blocks(Some(end), depth + 1)?) {
                        facts.push(Fact { term: std::mem::take(&mut term), says });
                    }
                }
                Event::End(TagEnd::DefinitionList) => break,
                event => {
                    self.waiting = Some((event, at));
                    break;
                }
            }
        }
        if !term.is_empty() {
            facts.push(Fact { term, says: Runs::new() });
        }
        Ok(facts)
    }

    fn table(&mut self, alignments: &[Alignment], blocks: &mut Vec<Block>) -> Table {
        let align = alignments
            .iter()
            .map(|alignment| match alignment {
                Alignment::Right => Align::Right,
                Alignment::Center => Align::Middle,
                Alignment::None | Alignment::Left => Align::Left,
            })
            .collect();
        let mut table = Table { align, ..Table::default() };
        let mut row = Vec::new();
        while let Some((event, _)) = self.next() {
            match event {
                Event::Start(Tag::TableCell) => row.push(self.runs(TagEnd::TableCell, blocks)),
                Event::End(TagEnd::TableHead) => table.head = std::mem::take(&mut row),
                Event::End(TagEnd::TableRow) => table.rows.push(std::mem::take(&mut row)),
                Event::End(TagEnd::Table) => break,
                _ => {}
            }
        }
        table
    }
}

/// The texts of some blocks, one after another.
fn texts(blocks: Vec<Block>) -> Vec<Runs> {
    let mut out = Vec::new();
    for block in blocks {
        match block {
            Block::Paragraph(runs) | Block::Heading { text: runs, .. } => out.push(runs),
            Block::Picture { words, .. } => out.push(words),
            Block::Formula(run) => out.push(vec![run]),
            Block::Note(inner) | Block::Caution(inner) | Block::Quote(inner) => {
                out.extend(texts(inner));
            }
            Block::List { items, .. } => {
                out.extend(items.into_iter().flat_map(|item| texts(item.blocks)));
            }
            Block::Facts(facts) => {
                out.extend(facts.into_iter().flat_map(|fact| [fact.term, fact.says]));
            }
            Block::Literal(lines) => {
                out.extend(lines.into_iter().map(|text| vec![Run { text, ..Run::default() }]));
            }
            Block::Table(table) => {
                out.extend([table.head].into_iter().chain(table.rows).flatten());
            }
            // Directives stand in no meaning: what is contained there is Markdown only.
            _ => {}
        }
    }
    out
}

/// A paragraph; formulas that want lines of their own part it.
fn push_paragraph(blocks: &mut Vec<Block>, runs: Runs) {
    let displayed = |run: &Run| run.math.as_ref().is_some_and(|math| math.display);
    if !runs.iter().any(displayed) {
        if !runs.is_empty() {
            blocks.push(Block::Paragraph(runs));
        }
        return;
    }
    let mut text = Runs::new();
    for run in runs {
        if displayed(&run) {
            push_paragraph(blocks, trimmed(std::mem::take(&mut text)));
            blocks.push(Block::Formula(run));
        } else {
            text.push(run);
        }
    }
    push_paragraph(blocks, trimmed(text));
}

/// Runs without spaces and line ends at their edges.
fn trimmed(mut runs: Runs) -> Runs {
    if let Some(first) = runs.first_mut().filter(|run| run.math.is_none()) {
        first.text = first.text.trim_start().to_owned();
    }
    if let Some(last) = runs.last_mut().filter(|run| run.math.is_none()) {
        last.text = last.text.trim_end().to_owned();
    }
    runs.retain(|run| !run.text.is_empty());
    runs
}

/// A note or a caution if its first words say so in bold; else a plain quote.
fn quote(kind: Option<BlockQuoteKind>, mut inner: Vec<Block>) -> Block {
    if kind.is_some() {
        return Block::Quote(inner);
    }
    let word = match inner.first() {
        Some(Block::Paragraph(runs)) => runs
            .first()
            .filter(|run| run.bold)
            .map(|run| run.text.trim().trim_end_matches(['.', ':']).to_owned()),
        _ => None,
    };
    let caution = match word.as_deref() {
        Some("Caution") => true,
        Some("Note") => false,
        _ => return Block::Quote(inner),
    };
    if let Some(Block::Paragraph(runs)) = inner.first_mut() {
        runs.remove(0);
        if let Some(next) = runs.first_mut() {
            next.text = next.text.trim_start_matches(['.', ':', ' ']).to_owned();
        }
        runs.retain(|run| !run.text.is_empty());
        if runs.is_empty() {
            inner.remove(0);
        }
    }
    if caution { Block::Caution(inner) } else { Block::Note(inner) }
}

#[cfg(test)]
mod tests {
    use super::super::blocks::plain;
    use super::*;

    fn only(markdown: &str) -> Block {
        let mut document = read(markdown).expect("no directives");
        assert_eq!(document.blocks.len(), 1, "{:?}", document.blocks);
        document.blocks.remove(0)
    }

    #[test]
    fn a_caution_loses_its_word_and_keeps_its_text() {
        let Block::Caution(inner) = only("> **Caution.** Hot liquid spits.\n>\n> - step back")
        else {
            panic!("no caution");
        };
        assert!(matches!(&inner[0], Block::Paragraph(runs) if plain(runs) == "Hot liquid spits."));
        assert!(matches!(&inner[1], Block::List { .. }));
        assert!(matches!(only("> **Nota.** x"), Block::Quote(_)));
    }

    #[test]
    fn a_tight_list_keeps_its_order_and_its_inner_lists() {
        let Block::List { start, tight, items } = only("3. one `H2O`\n4. two\n   - inner") else {
            panic!("no list");
        };
        assert_eq!((start, tight, items.len()), (Some(3), true, 2));
        assert!(matches!(&items[0].blocks[0], Block::Paragraph(r) if plain(r) == "one H₂O"));
        assert!(matches!(&items[1].blocks[1], Block::List { .. }));
    }

    #[test]
    fn a_definition_list_is_rows_of_terms_and_meanings() {
        let Block::Facts(facts) =
            only("residue\n: what the filter keeps\n\n  - a cake\n\nfiltrate\n: what runs through")
        else {
            panic!("no facts");
        };
        let rows: Vec<(String, String)> =
            facts.iter().map(|fact| (plain(&fact.term), plain(&fact.says))).collect();
        let row = |term: &str, says: &str| (term.to_owned(), says.to_owned());
        assert_eq!(
            rows,
            [
                row("residue", "what the filter keeps"),
                row("", "a cake"),
                row("filtrate", "what runs through")
            ]
        );
    }

    #[test]
    fn a_formula_between_two_dollar_signs_has_a_line_of_its_own() {
        let document = read("so that\n$$\\frac{a}{b} = 2$$\nand on").expect("no directives");
        let said: Vec<&str> = document
            .blocks
            .iter()
            .map(|block| match block {
                Block::Paragraph(runs) => runs[0].text.as_str(),
                Block::Formula(run) => run.text.as_str(),
                _ => "",
            })
            .collect();
        assert_eq!(said, ["so that", "a/b = 2", "and on"]);
    }

    #[test]
    fn a_directive_that_is_wrong_names_its_line() {
        let fault = read("one\n\n```part\nlable: (a)\n```\n").expect_err("wrong");
        assert_eq!(fault.line, 4, "{fault:?}");
        let fault = read("\n```prat\nlabel: (a)\n```\n").expect_err("wrong");
        assert_eq!((fault.line, fault.message.contains("`prat`")), (2, true));
    }

    #[test]
    fn a_picture_alone_is_kept_by_its_words() {
        let document = read("![a pan over a fire](pan.png)").expect("no directives");
        let Block::Picture { words, picture: None, .. } = &document.blocks[0] else {
            panic!("no picture");
        };
        assert_eq!(plain(words), "a pan over a fire");
    }

    #[test]
    fn quotes_within_quotes_without_end_are_read() {
        let deep = ">".repeat(4000) + " end";
        assert!(read(&deep).is_ok());
        let deep = "- ".repeat(2000) + "end";
        assert!(read(&deep).is_ok());
    }
}
