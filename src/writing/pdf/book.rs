//! One PDF file from inked documents, written as they come.
//!
//! Takes inked documents in order; gives the file's bytes to a sink. Between
//! documents it keeps only object offsets and outline entries, so a file of ten
//! thousand versions needs no more memory than its table of contents.

use std::io::Write;

use lopdf::content::{Content, Operation};
use lopdf::{Dictionary, Object, Stream, dictionary, text_string};
use sha2::{Digest, Sha256};

use super::inking::Inked;
use super::subset::{FACES, resource_name};
use super::{Subset, WritingError};

/// Children of one node of the page tree: readers walk a flat list of thousands
/// slowly.
const LEAVES: usize = 64;

const CATALOG: u32 = 1;
const INFO: u32 = 2;
const PAGES: u32 = 3;
const RESOURCES: u32 = 4;
const FIRST_FREE: u32 = 5;

/// How a document appears inside a file of several.
#[derive(Debug, Clone)]
pub struct Part {
    /// Its entry in the outline, such as "Version A-7KX".
    pub bookmark: String,
    /// Comes before the page number in the reader's page box, such as "A-7KX ".
    pub label: String,
}

/// A PDF file being written.
pub struct Book<'a, W: Write> {
    sink: W,
    subset: &'a Subset,
    title: String,
    language: String,
    content: Sha256,
    written: u64,
    /// Byte offset of each object, by number; 0 until it is written.
    offsets: Vec<u64>,
    /// Nodes of the page tree that are written, and the pages of the open one.
    nodes: Vec<u32>,
    open_node: u32,
    leaves: Vec<u32>,
    page_count: usize,
    labels: Vec<Object>,
    outline: Vec<Entry>,
    used: [bool; 5],
}

/// A line of the outline: depth, words, page object, height on the page.
struct Entry {
    depth: usize,
    words: String,
    page: u32,
    y: f32,
}

impl<'a, W: Write> Book<'a, W> {
    /// Begins a file. `language` is BCP 47; `identity` tells apart files of equal
    /// content (seed, unit, what was asked for).
    ///
    /// # Errors
    /// `Io` if the sink refuses.
    pub fn new(
        sink: W,
        subset: &'a Subset,
        title: &str,
        language: &str,
        identity: &str,
    ) -> Result<Self, WritingError> {
        let mut content = Sha256::new();
        for part in [identity, title, language] {
            content.update((part.len() as u64).to_be_bytes());
            content.update(part);
        }
        let mut book = Book {
            sink,
            subset,
            title: title.to_owned(),
            language: language.to_owned(),
            content,
            written: 0,
            offsets: vec![0; FIRST_FREE as usize],
            nodes: Vec::new(),
            open_node: 0,
            leaves: Vec::new(),
            page_count: 0,
            labels: Vec::new(),
            outline: Vec::new(),
            used: [false; 5],
        };
        // Four bytes above 127 tell transfer programs that the file is binary.
        book.put(b"%PDF-1.7\n%\xE2\xE3\xCF\xD3\n")?;
        Ok(book)
    }

    /// Adds a document's pages; with a `part`, under an outline entry of its own
    /// and with page numbers that begin again at 1.
    ///
    /// # Errors
    /// `Io` if the sink refuses.
    pub fn add(&mut self, inked: Inked, part: Option<&Part>) -> Result<(), WritingError> {
        let mut label = dictionary! { "S" => "D" };
        if let Some(part) = part {
            label.set("P", text_string(&part.label));
        }
        if part.is_some() || self.labels.is_empty() {
            self.labels.extend([Object::Integer(self.page_count as i64), label.into()]);
        }

        let mut pages = Vec::with_capacity(inked.pages.len());
        let top = inked.pages.first().map_or(0.0, |page| page.height);
        for page in inked.pages {
            if self.leaves.is_empty() {
                self.open_node = self.reserve();
            }
            self.content.update(page.width.to_be_bytes());
            self.content.update(page.height.to_be_bytes());
            self.content.update(&page.content);
            let stream = Stream::new(dictionary! { "Filter" => "FlateDecode" }, page.content);
            let contents = self.add_object(stream.into())?;
            let leaf = dictionary! {
                "Type" => "Page",
                "Parent" => (self.open_node, 0),
                "MediaBox" => vec![0.into(), 0.into(), page.width.into(), page.height.into()],
                "Resources" => (RESOURCES, 0),
                "Contents" => (contents, 0),
            };
            let id = self.add_object(leaf.into())?;
            pages.push(id);
            self.leaves.push(id);
            self.page_count += 1;
            if self.leaves.len() == LEAVES {
                self.close_node()?;
            }
        }

        for (all, one) in self.used.iter_mut().zip(inked.used) {
            *all |= one;
        }
        let Some(first) = pages.first() else { return Ok(()) };
        let indent = usize::from(part.is_some());
        if let Some(part) = part {
            let words = part.bookmark.clone();
            self.outline.push(Entry { depth: 0, words, page: *first, y: top });
        }
        for (depth, words, page, y) in inked.outline {
            if let Some(page) = pages.get(page) {
                self.outline.push(Entry { depth: depth + indent, words, page: *page, y });
            }
        }
        Ok(())
    }

    /// Writes fonts, outline and tables, and gives the sink back, flushed.
    ///
    /// # Errors
    /// `Io` if the sink refuses.
    pub fn finish(mut self) -> Result<W, WritingError> {
        self.close_node()?;
        self.finish_resources()?;
        let kids: Vec<Object> = self.nodes.iter().map(|id| reference(*id)).collect();
        let pages = dictionary! {
            "Type" => "Pages",
            "Kids" => kids,
            "Count" => self.page_count as i64,
        };
        self.write_object(PAGES, pages.into())?;

        let mut catalog = dictionary! {
            "Type" => "Catalog",
            "Pages" => (PAGES, 0),
            "Lang" => text_string(&self.language),
            "ViewerPreferences" => dictionary! { "DisplayDocTitle" => true },
            "PageLabels" => dictionary! { "Nums" => std::mem::take(&mut self.labels) },
        };
        if let Some(outline) = self.finish_outline()? {
            catalog.set("Outlines", reference(outline));
            catalog.set("PageMode", "UseOutlines");
        }
        self.write_object(CATALOG, catalog.into())?;
        let info = dictionary! {
            "Title" => text_string(&self.title),
            "Producer" => text_string("Stillroom"),
        };
        self.write_object(INFO, info.into())?;
        self.finish_tables()?;
        self.sink.flush()?;
        Ok(self.sink)
    }

    /// The faces in use and the dictionary that all pages share.
    fn finish_resources(&mut self) -> Result<(), WritingError> {
        let mut fonts = Dictionary::new();
        let used = self.used;
        for face in FACES.into_iter().filter(|face| used[*face as usize]) {
            let first = self.offsets.len() as u32;
            let objects = self.subset.of_face(face).objects(first);
            if !objects.is_empty() {
                fonts.set(resource_name(face), reference(first));
            }
            for object in objects {
                self.add_object(object)?;
            }
        }
        self.write_object(RESOURCES, dictionary! { "Font" => fonts }.into())
    }

    fn close_node(&mut self) -> Result<(), WritingError> {
        if self.leaves.is_empty() {
            return Ok(());
        }
        let kids: Vec<Object> = self.leaves.drain(..).map(reference).collect();
        let node = dictionary! {
            "Type" => "Pages",
            "Parent" => (PAGES, 0),
            "Count" => kids.len() as i64,
            "Kids" => kids,
        };
        self.nodes.push(self.open_node);
        self.write_object(self.open_node, node.into())
    }

    /// The outline tree; its root's number, if there is an outline.
    fn finish_outline(&mut self) -> Result<Option<u32>, WritingError> {
        let entries = std::mem::take(&mut self.outline);
        if entries.is_empty() {
            return Ok(None);
        }
        let root = self.reserve();
        let first = self.offsets.len() as u32;
        let links = linked(entries.iter().map(|entry| entry.depth));
        let number = |index: usize| reference(first + index as u32);
        for (entry, link) in entries.iter().zip(&links) {
            let id = self.reserve();
            let mut item = dictionary! {
                "Title" => text_string(&entry.words),
                "Parent" => link.parent.map_or(reference(root), number),
                "Dest" => vec![
                    reference(entry.page), "XYZ".into(), 0.into(), entry.y.into(), Object::Null,
                ],
            };
            for (key, target) in [
                ("Prev", link.previous),
                ("Next", link.next),
                ("First", link.first),
                ("Last", link.last),
            ] {
                if let Some(target) = target {
                    item.set(key, number(target));
                }
            }
            if link.children > 0 {
                // Negative: closed when the file is opened.
                item.set("Count", -(link.children as i64));
            }
            self.write_object(id, item.into())?;
        }
        let tops: Vec<usize> =
            (0..links.len()).filter(|index| links[*index].parent.is_none()).collect();
        let mut outline = dictionary! { "Type" => "Outlines", "Count" => tops.len() as i64 };
        if let (Some(first), Some(last)) = (tops.first(), tops.last()) {
            outline.set("First", number(*first));
            outline.set("Last", number(*last));
        }
        self.write_object(root, outline.into())?;
        Ok(Some(root))
    }

    /// The cross-reference table and the trailer.
    fn finish_tables(&mut self) -> Result<(), WritingError> {
        let start = self.written;
        let mut table = format!("xref\n0 {}\n0000000000 65535 f \n", self.offsets.len());
        for offset in &self.offsets[1..] {
            table.push_str(&format!("{offset:010} 00000 n \n"));
        }
        self.put(table.as_bytes())?;
        let sum = self.content.clone().finalize();
        let id = Object::String(sum[..16].to_vec(), lopdf::StringFormat::Hexadecimal);
        let trailer = dictionary! {
            "Size" => self.offsets.len() as i64,
            "Root" => (CATALOG, 0),
            "Info" => (INFO, 0),
            "ID" => vec![id.clone(), id],
        };
        self.put(b"trailer\n")?;
        let end = encoded(trailer.into(), &format!("\nstartxref\n{start}\n%%EOF\n"))?;
        self.put(&end)
    }

    fn reserve(&mut self) -> u32 {
        self.offsets.push(0);
        self.offsets.len() as u32 - 1
    }

    fn add_object(&mut self, object: Object) -> Result<u32, WritingError> {
        let id = self.reserve();
        self.write_object(id, object)?;
        Ok(id)
    }

    fn write_object(&mut self, id: u32, object: Object) -> Result<(), WritingError> {
        self.offsets[id as usize] = self.written;
        self.put(format!("{id} 0 obj\n").as_bytes())?;
        let bytes = encoded(object, "\nendobj\n")?;
        self.put(&bytes)
    }

    fn put(&mut self, bytes: &[u8]) -> Result<(), WritingError> {
        self.sink.write_all(bytes)?;
        self.written += bytes.len() as u64;
        Ok(())
    }
}

fn reference(id: u32) -> Object {
    Object::Reference((id, 0))
}

/// An object's bytes with something after them. lopdf writes single objects only
/// as operands of a content stream's operator, so that is what they are made.
fn encoded(object: Object, after: &str) -> Result<Vec<u8>, WritingError> {
    let content = Content { operations: vec![Operation::new(after, vec![object])] };
    content.encode().map_err(|error| WritingError::Refused(error.to_string()))
}

/// An outline entry's neighbours, by index.
#[derive(Debug, Clone, Default, PartialEq)]
struct Link {
    parent: Option<usize>,
    previous: Option<usize>,
    next: Option<usize>,
    first: Option<usize>,
    last: Option<usize>,
    children: usize,
}

/// Links a list of depths into a tree. A depth that skips a level counts as one
/// level below the entry before it.
fn linked(depths: impl Iterator<Item = usize>) -> Vec<Link> {
    let mut links: Vec<Link> = Vec::new();
    // The open entry of each level, with the depth it was given.
    let mut open: Vec<(usize, usize)> = Vec::new();
    let mut last_top = None;
    for (index, depth) in depths.enumerate() {
        while open.last().is_some_and(|(_, other)| *other >= depth) {
            open.pop();
        }
        let parent = open.last().map(|(parent, _)| *parent);
        let previous = match parent {
            Some(parent) => {
                let above = &mut links[parent];
                above.first.get_or_insert(index);
                above.children += 1;
                above.last.replace(index)
            }
            None => last_top.replace(index),
        };
        if let Some(previous) = previous {
            links[previous].next = Some(index);
        }
        links.push(Link { parent, previous, ..Link::default() });
        open.push((index, depth));
    }
    links
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn depths_become_a_tree() {
        let links = linked([0, 1, 3, 1, 0].into_iter());
        let parents: Vec<_> = links.iter().map(|l| l.parent).collect();
        assert_eq!(parents, [None, Some(0), Some(1), Some(0), None]);
        assert_eq!((links[0].first, links[0].last, links[0].children), (Some(1), Some(3), 2));
        assert_eq!((links[0].next, links[4].previous), (Some(4), Some(0)));
        assert_eq!((links[1].next, links[3].previous), (Some(3), Some(1)));
    }

    #[test]
    fn a_list_that_begins_deep_is_still_a_tree() {
        let links = linked([2, 1, 0].into_iter());
        assert!(links.iter().all(|l| l.parent.is_none()));
        assert_eq!((links[0].next, links[1].next, links[2].next), (Some(1), Some(2), None));
    }
}
