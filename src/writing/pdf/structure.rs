//! The structure tree: what the marked sequences on the pages are, for reading
//! machines (ISO 32000-1, 14.7 and 14.8).
//!
//! Takes the elements of one document and which sequences of which page belong to
//! each; gives the objects of its part of the tree. Elements without any content are
//! left out, so that a learner's copy says nothing of what only a teacher's shows.

use lopdf::{Dictionary, Object, dictionary, text_string};

use crate::composing::page::{Element, Role};

/// The standard structure types (ISO 32000-1, tables 333 to 337; from memory).
pub(super) fn name_of(role: Role) -> &'static str {
    match role {
        Role::Heading(1) => "H1",
        Role::Heading(2) => "H2",
        Role::Heading(3) => "H3",
        Role::Heading(4) => "H4",
        Role::Heading(5) => "H5",
        Role::Heading(_) => "H6",
        Role::Paragraph => "P",
        Role::Section => "Sect",
        Role::Division => "Div",
        Role::List => "L",
        Role::Item => "LI",
        Role::ItemBody => "LBody",
        Role::Table => "Table",
        Role::Row => "TR",
        Role::HeadCell => "TH",
        Role::Cell => "TD",
        Role::Figure => "Figure",
        Role::Caption => "Caption",
    }
}

/// One document's part of the tree.
pub(super) struct Branch {
    /// Numbered from `first` on; the first is the document itself.
    pub(super) objects: Vec<Object>,
    /// For each page the elements of its sequences, by the sequence's number.
    pub(super) parents: Vec<Object>,
}

/// `pages` are the numbers of the page objects with the elements of their sequences;
/// `root` is the number of the tree's root.
pub(super) fn branch(
    elements: &[Element],
    pages: &[(u32, Vec<usize>)],
    root: u32,
    first: u32,
) -> Branch {
    let mut content: Vec<Vec<(u32, usize)>> = vec![Vec::new(); elements.len()];
    for (page, marked) in pages {
        for (number, element) in marked.iter().enumerate() {
            if let Some(own) = content.get_mut(*element) {
                own.push((*page, number));
            }
        }
    }
    let is_used = used(elements, &content);
    let mut ids = vec![0; elements.len()];
    let numbered = ids.iter_mut().zip(&is_used).filter(|(_, used)| **used);
    for (next, (id, _)) in (first + 1..).zip(numbered) {
        *id = next;
    }
    let mut tops = Vec::new();
    let mut kids: Vec<Vec<Object>> = vec![Vec::new(); elements.len()];
    for (index, element) in elements.iter().enumerate().filter(|(i, _)| is_used[*i]) {
        match element.parent {
            Some(parent) => kids[parent].push(reference(ids[index])),
            None => tops.push(reference(ids[index])),
        }
    }
    let mut objects =
        vec![dictionary! { "S" => "Document", "P" => reference(root), "K" => tops }.into()];
    for (index, element) in elements.iter().enumerate().filter(|(i, _)| is_used[*i]) {
        let parent = element.parent.map_or(first, |parent| ids[parent]);
        let below = std::mem::take(&mut kids[index]);
        objects.push(object(element, parent, &content[index], below).into());
    }
    let parents = pages.iter().map(|(_, marked)| {
        let of = |element: &usize| reference(ids.get(*element).copied().unwrap_or(first));
        Object::Array(marked.iter().map(of).collect())
    });
    Branch { parents: parents.collect(), objects }
}

/// Which elements have content, themselves or below.
fn used(elements: &[Element], content: &[Vec<(u32, usize)>]) -> Vec<bool> {
    let mut is_used: Vec<bool> = content.iter().map(|own| !own.is_empty()).collect();
    // An element comes after the one around it.
    for index in (0..elements.len()).rev() {
        // A row keeps its empty cells: columns are counted.
        if let Some(parent) = elements[index].parent.filter(|_| is_used[index]) {
            is_used[parent] = true;
        }
    }
    for (index, element) in elements.iter().enumerate() {
        let is_cell = matches!(element.role, Role::Cell | Role::HeadCell);
        if is_cell && element.parent.is_some_and(|row| is_used[row]) {
            is_used[index] = true;
        }
    }
    is_used
}

fn object(
    element: &Element,
    parent: u32,
    content: &[(u32, usize)],
    below: Vec<Object>,
) -> Dictionary {
    let mut item = dictionary! { "S" => name_of(element.role), "P" => reference(parent) };
    let first_page = content.first().map(|(page, _)| *page);
    if let Some(page) = first_page {
        item.set("Pg", reference(page));
    }
    let mut kids: Vec<Object> = content
        .iter()
        .map(|(page, number)| {
            let number = *number as i64;
            if Some(*page) == first_page {
                Object::Integer(number)
            } else {
                // It goes on, on another page.
                dictionary! { "Type" => "MCR", "Pg" => reference(*page), "MCID" => number }.into()
            }
        })
        .collect();
    kids.extend(below);
    match kids.len() {
        0 => {}
        1 => item.set("K", kids.remove(0)),
        _ => item.set("K", kids),
    }
    if !element.title.is_empty() {
        item.set("T", text_string(&element.title));
    }
    if !element.shows.is_empty() {
        item.set("Alt", text_string(&element.shows));
    }
    if element.role == Role::HeadCell {
        item.set("A", dictionary! { "O" => "Table", "Scope" => "Column" });
    }
    item
}

fn reference(id: u32) -> Object {
    Object::Reference((id, 0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn element(role: Role, parent: Option<usize>) -> Element {
        Element { role, parent, title: String::new(), shows: String::new() }
    }

    #[test]
    fn what_has_no_content_is_left_out_but_empty_cells_stay() {
        let elements = [
            element(Role::Section, None),
            element(Role::Paragraph, Some(0)),
            element(Role::Paragraph, None),
            element(Role::Table, None),
            element(Role::Row, Some(3)),
            element(Role::HeadCell, Some(4)),
            element(Role::Cell, Some(4)),
        ];
        // The paragraph goes on over two pages; the one alone is not on them.
        let pages = [(50, vec![1, 5]), (60, vec![1])];
        let branch = branch(&elements, &pages, 9, 20);
        // Document, section, paragraph, table, row, two cells.
        assert_eq!(branch.objects.len(), 7);
        let kids = |index: usize| branch.objects[index].as_dict().unwrap().get(b"K").ok().cloned();
        assert_eq!(kids(0).unwrap().as_array().unwrap().len(), 2);
        assert_eq!(kids(2).unwrap().as_array().unwrap().len(), 2);
        assert_eq!(kids(4).unwrap().as_array().unwrap().len(), 2);
        assert_eq!(kids(6), None);
        assert_eq!(branch.parents[0], Object::Array(vec![reference(22), reference(25)]));
        assert_eq!(branch.parents[1], Object::Array(vec![reference(22)]));
    }
}
