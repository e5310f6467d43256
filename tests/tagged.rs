//! What PDFs tell reading machines: every text in a marked sequence, every sequence
//! in the structure tree, and a learner's copy silent on the answers.
//!
//! The rules are those of ISO 32000-1, 14.6 to 14.8 (from memory).

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use lopdf::content::Content;
use lopdf::{Dictionary, Document, Object, ObjectId};
use stillroom::run::{self, PrintJob};

fn printed(unit: &str, one_file: bool) -> BTreeMap<String, Document> {
    printed_with(unit, one_file, run::Extras::default())
}

fn printed_with(unit: &str, one_file: bool, extras: run::Extras) -> BTreeMap<String, Document> {
    let folder = tempfile::tempdir().unwrap();
    let job = PrintJob {
        unit: Path::new(env!("CARGO_MANIFEST_DIR")).join(unit),
        versions: 2,
        only: None,
        seed: 7,
        out: PathBuf::from(folder.path()),
        one_file,
        html: false,
        extras,
        roster: None,
        profile: stillroom::composing::Profile::default(),
    };
    let made = run::print(&job, &mut |_| {}).unwrap();
    std::fs::read_dir(made.folder.unwrap())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|kind| kind == "pdf"))
        .map(|path| {
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            (name, Document::load(path).unwrap())
        })
        .collect()
}

/// An element of the tree: its type, the types around it, and its sequences as page
/// and number.
struct Element {
    role: String,
    around: Vec<String>,
    sequences: Vec<(ObjectId, i64)>,
    /// Its words for whoever cannot see it.
    alt: String,
}

fn tree(document: &Document) -> BTreeMap<ObjectId, Element> {
    let catalog = document.catalog().unwrap();
    let marked = document.get_dict_in_dict(catalog, b"MarkInfo").unwrap();
    assert!(marked.get(b"Marked").unwrap().as_bool().unwrap());
    assert!(!catalog.get(b"Lang").unwrap().as_str().unwrap().is_empty());
    let root = catalog.get(b"StructTreeRoot").unwrap().as_reference().unwrap();
    let mut found = BTreeMap::new();
    for kid in kids(document.get_dictionary(root).unwrap()) {
        walk(document, kid.as_reference().unwrap(), root, &[], &mut found);
    }
    found
}

fn kids(element: &Dictionary) -> Vec<Object> {
    match element.get(b"K") {
        Ok(Object::Array(all)) => all.clone(),
        Ok(one) => vec![one.clone()],
        Err(_) => Vec::new(),
    }
}

fn walk(
    document: &Document,
    id: ObjectId,
    parent: ObjectId,
    around: &[String],
    found: &mut BTreeMap<ObjectId, Element>,
) {
    let element = document.get_dictionary(id).unwrap();
    assert_eq!(element.get(b"P").unwrap().as_reference().unwrap(), parent);
    let role = String::from_utf8(element.get(b"S").unwrap().as_name().unwrap().to_vec()).unwrap();
    let within: Vec<String> = around.iter().cloned().chain([role.clone()]).collect();
    let own_page = element.get(b"Pg").and_then(Object::as_reference);
    let mut sequences = Vec::new();
    for kid in kids(element) {
        match kid {
            Object::Integer(number) => sequences.push((*own_page.as_ref().unwrap(), number)),
            Object::Dictionary(elsewhere) => sequences.push((
                elsewhere.get(b"Pg").unwrap().as_reference().unwrap(),
                elsewhere.get(b"MCID").unwrap().as_i64().unwrap(),
            )),
            other => walk(document, other.as_reference().unwrap(), id, &within, found),
        }
    }
    let alt = element.get(b"Alt").map(|alt| lopdf::decode_text_string(alt).unwrap());
    let alt = alt.unwrap_or_default();
    let element = Element { role, around: around.to_vec(), sequences, alt };
    assert!(found.insert(id, element).is_none(), "{id:?} stands twice in the tree");
}

/// The numbers of a page's marked sequences; fails for a text outside all of them.
fn sequences(name: &str, document: &Document, page: ObjectId) -> Vec<i64> {
    let content = Content::decode(&document.get_page_content(page)).unwrap();
    let mut numbers = Vec::new();
    let (mut open, mut in_text) = (false, false);
    // What a formula says stands around its signs, inside the sequence of its line.
    let mut in_formula = false;
    for operation in &content.operations {
        match operation.operator.as_str() {
            "BDC" if open => {
                assert!(!in_formula && !in_text, "{name}: sequences within each other");
                let properties = operation.operands[1].as_dict().unwrap();
                assert!(properties.has(b"ActualText"), "{name}: sequences within each other");
                assert!(!properties.has(b"MCID"), "{name}: sequences within each other");
                in_formula = true;
            }
            "BDC" | "BMC" => {
                assert!(!open && !in_text, "{name}: sequences within each other");
                open = true;
                if let Some(properties) = operation.operands.get(1) {
                    let properties = properties.as_dict().unwrap();
                    numbers.push(properties.get(b"MCID").unwrap().as_i64().unwrap());
                }
            }
            "EMC" if in_formula => in_formula = false,
            "EMC" => {
                assert!(open && !in_text, "{name}: a sequence ends within a text");
                open = false;
            }
            "BT" => in_text = true,
            "ET" => in_text = false,
            "Tj" | "TJ" | "S" | "f" => assert!(open, "{name}: something stands outside"),
            _ => {}
        }
    }
    assert!(!open, "{name}: a sequence does not end");
    numbers
}

#[test]
fn every_text_is_marked_and_in_the_tree() {
    for unit in ["units/quarnholm-salt.md", "tests/samples/soda-drier.md"] {
        for (name, document) in printed(unit, false) {
            check(&format!("{unit}, {name}"), &document, 1);
        }
    }
    for (name, document) in printed("tests/samples/soda-drier.md", true) {
        let documents = if name.ends_with("s.pdf") { 2 } else { 1 };
        check(&name, &document, documents);
    }
}

#[test]
fn what_is_shown_or_cut_out_is_marked_too() {
    let extras = || run::Extras {
        slides: true,
        handouts: vec![1, 3, 6],
        cards: true,
        practical: true,
        moderation: false,
    };
    for unit in ["units/quarnholm-salt.md", "units/ombrindale-potash.md"] {
        let files = printed_with(unit, false, extras());
        for (name, document) in &files {
            check(&format!("{unit}, {name}"), document, 1);
        }
        for name in ["slides.pdf", "handout-3.pdf", "cards.pdf", "practical.pdf", "notes.pdf"] {
            let tree = tree(&files[name]);
            let roles: BTreeSet<&str> = tree.values().map(|e| e.role.as_str()).collect();
            let wanted: &[&str] = match name {
                "slides.pdf" | "handout-3.pdf" => &["H1", "H2", "P", "L", "Table", "Figure"],
                "cards.pdf" => &["Sect", "H2", "L", "Figure"],
                "practical.pdf" => &["H1", "H2", "L"],
                _ => &["P", "Figure"],
            };
            for role in wanted {
                assert!(roles.contains(role), "{unit}, {name} has no {role}");
            }
        }
    }
}

#[test]
fn every_figure_has_its_words_and_its_caption_stands_apart() {
    for unit in ["units/quarnholm-salt.md", "units/ombrindale-potash.md"] {
        let files = printed(unit, false);
        for (name, document) in &files {
            for element in tree(document).values().filter(|e| e.role == "Figure") {
                let words = element.alt.split_whitespace().count();
                assert!(words >= 3, "{unit}, {name}: a figure says only `{}`", element.alt);
            }
        }
        let lesson = tree(&files["lesson.pdf"]);
        let count = |role: &str| lesson.values().filter(|e| e.role == role).count();
        assert!(count("Figure") >= 3, "{unit}");
        assert!(count("Caption") >= 3, "{unit}");
    }
}

fn check(name: &str, document: &Document, documents: usize) {
    let tree = tree(document);
    let of_role = |role: &str| tree.values().filter(|e| e.role == role).count();
    assert_eq!(of_role("Document"), documents, "{name}");
    // Notes open with their first slide; each card has its own title and is a section.
    let titles =
        if name.ends_with("notes.pdf") || name.ends_with("cards.pdf") { 0 } else { documents };
    assert_eq!(of_role("H1"), titles, "{name}");
    let mut told: BTreeMap<ObjectId, Vec<i64>> = BTreeMap::new();
    for element in tree.values() {
        for (page, number) in &element.sequences {
            told.entry(*page).or_default().push(*number);
        }
    }
    let root = document.catalog().unwrap().get(b"StructTreeRoot").unwrap().as_reference().unwrap();
    let parents =
        document.get_dict_in_dict(document.get_dictionary(root).unwrap(), b"ParentTree").unwrap();
    let numbers = parents.get(b"Nums").unwrap().as_array().unwrap();
    for page in document.get_pages().into_values() {
        let marked = sequences(name, document, page);
        assert_eq!(marked, (0..marked.len() as i64).collect::<Vec<_>>(), "{name}");
        let mut own = told.remove(&page).unwrap_or_default();
        own.sort_unstable();
        assert_eq!(own, marked, "{name}: the tree tells other sequences than the page has");
        let key = document.get_dictionary(page).unwrap().get(b"StructParents").unwrap();
        let at = numbers.iter().step_by(2).position(|number| number == key).unwrap();
        let list = numbers[2 * at + 1].as_reference().unwrap();
        let list = document.get_object(list).unwrap().as_array().unwrap();
        for (number, element) in list.iter().enumerate() {
            let element = &tree[&element.as_reference().unwrap()];
            assert!(element.sequences.contains(&(page, number as i64)), "{name}");
        }
        assert_eq!(list.len(), marked.len(), "{name}");
    }
    assert!(told.is_empty(), "{name}: sequences on no page");
    for element in tree.values() {
        let parent = element.around.last().map_or("", String::as_str);
        let may = match element.role.as_str() {
            "Document" => [""].as_slice(),
            "LI" => &["L"],
            "LBody" => &["LI"],
            "TR" => &["Table"],
            "TH" | "TD" => &["TR"],
            _ => &["Document", "Sect", "Div", "LBody"],
        };
        assert!(may.contains(&parent), "{name}: {} within {parent}", element.role);
    }
}

#[test]
fn a_learners_copy_tells_nothing_of_the_worked_answers() {
    let files = printed("tests/samples/soda-drier.md", false);
    let titles = |name: &str| -> BTreeSet<(String, usize)> {
        let mut counts: BTreeMap<String, usize> = BTreeMap::new();
        for element in tree(&files[name]).values() {
            *counts.entry(element.role.clone()).or_default() += 1;
        }
        counts.into_iter().collect()
    };
    let (worksheet, key) = (titles("worksheet-A.pdf"), titles("answer-key-A.pdf"));
    let count = |of: &BTreeSet<(String, usize)>, role: &str| {
        of.iter().find(|(own, _)| own == role).map_or(0, |(_, count)| *count)
    };
    assert!(count(&worksheet, "Sect") > 0);
    assert_eq!(2 * count(&worksheet, "Sect"), count(&key, "Sect"));
    assert_eq!(count(&worksheet, "H2"), 0);
    assert_eq!(count(&key, "H2"), 1, "the title of the worked answers");
}
