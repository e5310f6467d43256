//! One PDF file from inked documents, written as they come.
//!
//! Takes inked documents in order; gives the file's bytes to a sink. Between
//! documents it keeps only where each object stands and where page numbers begin
//! again: some two hundred bytes a version, whatever the versions hold.

use std::collections::BTreeMap;
use std::io::Write;

use lopdf::content::{Content, Operation};
use lopdf::{Dictionary, Object, Stream, dictionary, text_string};
use sha2::{Digest, Sha256};

use super::inking::{Inked, image_name};
use super::structure::branch;
use super::subset::{FACES, resource_name};
use super::{Subset, WritingError};
use crate::composing::page::Element;
use crate::picture::{Pixels, Raster};

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
    /// Where page numbering begins again (pages before it), and what comes before
    /// the number.
    labels: Vec<(usize, String)>,
    outline: Outline,
    /// The root of the structure tree, once there is one; its documents; and for each
    /// page that has marked sequences its number and the object that lists them.
    structure: Option<u32>,
    documents: Vec<u32>,
    parents: Vec<(usize, u32)>,
    used: [bool; 5],
    /// The objects of pictures, by their names among the resources.
    images: BTreeMap<String, u32>,
}

/// The outline as far as it is known. Entries are written with their document,
/// except the last of the first level, which waits to learn what follows it.
#[derive(Default)]
struct Outline {
    /// Numbers of the root and of the first entry below it.
    root: Option<(u32, u32)>,
    waiting: Option<(u32, Dictionary)>,
    /// Entries of the first level.
    tops: usize,
}

/// A picture of pixels as an object.
fn image(raster: &Raster) -> Stream {
    let (filter, bytes) = match &raster.pixels {
        Pixels::Deflated(bytes) => ("FlateDecode", bytes),
        Pixels::Jpeg(bytes) => ("DCTDecode", bytes),
    };
    let head = dictionary! {
        "Type" => "XObject",
        "Subtype" => "Image",
        "Width" => i64::from(raster.width),
        "Height" => i64::from(raster.height),
        "ColorSpace" => if raster.grey { "DeviceGray" } else { "DeviceRGB" },
        "BitsPerComponent" => 8,
        "Filter" => filter,
    };
    Stream::new(head, bytes.clone())
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
            outline: Outline::default(),
            structure: None,
            documents: Vec::new(),
            parents: Vec::new(),
            used: [false; 5],
            images: BTreeMap::new(),
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
        if part.is_some() || self.labels.is_empty() {
            let label = part.map_or_else(String::new, |part| part.label.clone());
            self.labels.push((self.page_count, label));
        }

        let mut pages = Vec::with_capacity(inked.pages.len());
        let top = inked.pages.first().map_or(0.0, |page| page.height);
        let first_page = self.page_count;
        let mut marked = Vec::with_capacity(inked.pages.len());
        for page in inked.pages {
            if self.leaves.is_empty() {
                self.open_node = self.reserve();
            }
            self.content.update(page.width.to_be_bytes());
            self.content.update(page.height.to_be_bytes());
            self.content.update(&page.content);
            let stream = Stream::new(dictionary! { "Filter" => "FlateDecode" }, page.content);
            let contents = self.add_object(stream.into())?;
            let mut leaf = dictionary! {
                "Type" => "Page",
                "Parent" => (self.open_node, 0),
                "MediaBox" => vec![0.into(), 0.into(), page.width.into(), page.height.into()],
                "Resources" => (RESOURCES, 0),
                "Contents" => (contents, 0),
            };
            if !page.marked.is_empty() {
                leaf.set("StructParents", self.page_count as i64);
                // In the order of the structure.
                leaf.set("Tabs", "S");
            }
            let id = self.add_object(leaf.into())?;
            marked.push((id, page.marked));
            pages.push(id);
            self.leaves.push(id);
            self.page_count += 1;
            if self.leaves.len() == LEAVES {
                self.close_node()?;
            }
        }

        self.add_structure(&inked.elements, &marked, first_page)?;
        for raster in &inked.images {
            let name = image_name(raster);
            if !self.images.contains_key(&name) {
                let id = self.add_object(image(raster).into())?;
                self.images.insert(name, id);
            }
        }
        for (all, one) in self.used.iter_mut().zip(inked.used) {
            *all |= one;
        }
        let Some(first) = pages.first() else { return Ok(()) };
        let above = part.map(|part| (0, part.bookmark.clone(), *first, top));
        let indent = above.iter().count();
        let below = inked.outline.into_iter().filter_map(|(depth, words, page, y)| {
            Some((depth + indent, words, *pages.get(page)?, y))
        });
        let entries: Vec<Entry> = above.into_iter().chain(below).collect();
        self.add_outline(&entries)
    }

    /// Writes a document's part of the structure tree.
    fn add_structure(
        &mut self,
        elements: &[Element],
        pages: &[(u32, Vec<usize>)],
        first_page: usize,
    ) -> Result<(), WritingError> {
        if pages.iter().all(|(_, marked)| marked.is_empty()) {
            return Ok(());
        }
        let root = match self.structure {
            Some(root) => root,
            None => {
                let root = self.reserve();
                *self.structure.insert(root)
            }
        };
        let first = self.offsets.len() as u32;
        let branch = branch(elements, pages, root, first);
        self.documents.push(first);
        for object in branch.objects {
            self.add_object(object)?;
        }
        for (page, object) in (first_page..).zip(branch.parents) {
            let id = self.add_object(object)?;
            self.parents.push((page, id));
        }
        Ok(())
    }

    /// The root of the structure tree; its number, if anything is marked.
    fn finish_structure(&mut self) -> Result<Option<u32>, WritingError> {
        let Some(root) = self.structure else { return Ok(None) };
        let documents: Vec<Object> = self.documents.drain(..).map(reference).collect();
        let parents = std::mem::take(&mut self.parents);
        let next = parents.last().map_or(0, |(page, _)| page + 1) as i64;
        let numbers: Vec<Object> = parents
            .into_iter()
            .flat_map(|(page, id)| [Object::Integer(page as i64), reference(id)])
            .collect();
        let tree = dictionary! {
            "Type" => "StructTreeRoot",
            "K" => documents,
            "ParentTree" => dictionary! { "Nums" => numbers },
            "ParentTreeNextKey" => next,
        };
        self.write_object(root, tree.into())?;
        Ok(Some(root))
    }

    /// Writes a document's outline entries, and the one that waited for them.
    fn add_outline(&mut self, entries: &[Entry]) -> Result<(), WritingError> {
        if entries.is_empty() {
            return Ok(());
        }
        let (root, _) = match self.outline.root {
            Some(known) => known,
            None => {
                let root = self.reserve();
                // The first entry gets the next number.
                *self.outline.root.insert((root, root + 1))
            }
        };
        let links = linked(entries.iter().map(|(depth, ..)| *depth));
        let ids: Vec<u32> = entries.iter().map(|_| self.reserve()).collect();
        let waited = match self.outline.waiting.take() {
            Some((id, mut item)) => {
                item.set("Next", reference(ids[0]));
                self.write_object(id, item.into())?;
                Some(id)
            }
            None => None,
        };
        let last_top = links.iter().rposition(|link| link.parent.is_none());
        for (index, ((_, words, page, y), link)) in entries.iter().zip(&links).enumerate() {
            let mut item = dictionary! {
                "Title" => text_string(words),
                "Parent" => reference(link.parent.map_or(root, |parent| ids[parent])),
                "Dest" => vec![
                    reference(*page), "XYZ".into(), 0.into(), (*y).into(), Object::Null,
                ],
            };
            let before = if index == 0 { waited } else { link.previous.map(|i| ids[i]) };
            for (key, target) in [
                ("Prev", before),
                ("Next", link.next.map(|i| ids[i])),
                ("First", link.first.map(|i| ids[i])),
                ("Last", link.last.map(|i| ids[i])),
            ] {
                if let Some(target) = target {
                    item.set(key, reference(target));
                }
            }
            if link.children > 0 {
                // Negative: closed when the file is opened.
                item.set("Count", -(link.children as i64));
            }
            self.outline.tops += usize::from(link.parent.is_none());
            if Some(index) == last_top {
                self.outline.waiting = Some((ids[index], item));
            } else {
                self.write_object(ids[index], item.into())?;
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
            "PageLabels" => self.finish_labels(),
        };
        if let Some(structure) = self.finish_structure()? {
            catalog.set("StructTreeRoot", reference(structure));
            catalog.set("MarkInfo", dictionary! { "Marked" => true });
        }
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
        let mut resources = dictionary! { "Font" => fonts };
        if !self.images.is_empty() {
            let mut images = Dictionary::new();
            for (name, id) in std::mem::take(&mut self.images) {
                images.set(name, reference(id));
            }
            resources.set("XObject", images);
        }
        self.write_object(RESOURCES, resources.into())
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

    /// The last entry and the root of the outline; the root's number, if there is
    /// an outline.
    fn finish_outline(&mut self) -> Result<Option<u32>, WritingError> {
        let outline = std::mem::take(&mut self.outline);
        let (Some((root, first)), Some((last, item))) = (outline.root, outline.waiting) else {
            return Ok(None);
        };
        self.write_object(last, item.into())?;
        let object = dictionary! {
            "Type" => "Outlines",
            "First" => reference(first),
            "Last" => reference(last),
            "Count" => outline.tops as i64,
        };
        self.write_object(root, object.into())?;
        Ok(Some(root))
    }

    fn finish_labels(&mut self) -> Dictionary {
        let mut numbers = Vec::with_capacity(2 * self.labels.len());
        for (before, label) in std::mem::take(&mut self.labels) {
            let mut entry = dictionary! { "S" => "D" };
            if !label.is_empty() {
                entry.set("P", text_string(&label));
            }
            numbers.extend([Object::Integer(before as i64), entry.into()]);
        }
        dictionary! { "Nums" => numbers }
    }

    /// The cross-reference table and the trailer.
    fn finish_tables(&mut self) -> Result<(), WritingError> {
        let start = self.written;
        let count = self.offsets.len();
        self.put(format!("xref\n0 {count}\n0000000000 65535 f \n").as_bytes())?;
        for id in 1..count {
            self.put(format!("{:010} 00000 n \n", self.offsets[id]).as_bytes())?;
        }
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

/// A line of the outline: depth, words, page object, height on the page.
type Entry = (usize, String, u32, f32);

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
