//! The direction of imports, held: each module of the crate takes only from those
//! the table allows, and three things each have one door.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// What each top module may import from this crate, in the order of flow.
const ALLOWED: &[(&str, &[&str])] = &[
    ("diag", &[]),
    ("quantity", &["diag"]),
    ("balance", &["quantity", "diag"]),
    ("reading", &["diag", "quantity", "balance"]),
    ("version", &["balance", "quantity", "reading", "diag"]),
    ("question", &["version", "reading", "balance", "quantity", "diag"]),
    ("rules", &["question", "version", "reading", "balance", "quantity", "diag"]),
    ("marking", &["question", "version", "reading", "balance", "quantity", "diag"]),
    ("paper", &["marking", "version", "reading", "diag"]),
    ("figure", &["question", "reading", "balance", "quantity", "diag"]),
    ("picture", &[]),
    (
        "document",
        &["picture", "figure", "marking", "question", "version", "reading", "quantity", "diag"],
    ),
    ("composing", &["document", "picture", "figure"]),
    ("writing", &["composing", "document", "picture", "figure"]),
    (
        "run",
        &[
            "diag",
            "quantity",
            "balance",
            "reading",
            "version",
            "question",
            "rules",
            "marking",
            "paper",
            "figure",
            "picture",
            "document",
            "composing",
            "writing",
        ],
    ),
    ("cli", &["run", "diag"]),
    ("main", &["cli", "diag"]),
];

/// Names of crates and modules that only one place may know, and that place.
const DOORS: &[(&str, &str)] = &[
    ("printpdf", "writing/pdf"),
    ("lopdf", "writing/pdf"),
    ("std::thread", "run"),
    ("thread::spawn", "run"),
    ("thread::scope", "run"),
    ("calamine", "marking/responses"),
    ("rust_xlsxwriter", "writing/form"),
    ("microlp", "paper/pick"),
    ("clap", "cli"),
    ("mimalloc", "main"),
];

struct Source {
    /// Below `src`, with `/` between folders and without `.rs` or `/mod`.
    module: String,
    /// Without comments and without the words of string literals.
    code: String,
}

#[test]
fn modules_import_only_what_the_table_allows() {
    let allowed: BTreeMap<&str, BTreeSet<&str>> =
        ALLOWED.iter().map(|(name, from)| (*name, from.iter().copied().collect())).collect();
    let mut wrong = Vec::new();
    for source in sources() {
        let top = source.module.split('/').next().unwrap();
        if top == "lib" {
            continue;
        }
        let Some(may) = allowed.get(top) else {
            wrong.push(format!(
                "src/{}: {top} is not in the table of tests/imports.rs",
                source.module
            ));
            continue;
        };
        // In the tests of a module the same table holds: a test that needs a later
        // stage belongs in tests/.
        let depth = source.module.split('/').count();
        for name in imported(&source.code, depth) {
            if name != top && !may.contains(name.as_str()) {
                wrong.push(format!("src/{}: {top} may not import {name}", source.module));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn each_door_is_the_only_one() {
    let mut wrong = Vec::new();
    for source in sources() {
        for (name, door) in DOORS {
            let inside = source.module == *door || source.module.starts_with(&format!("{door}/"));
            if !inside && names(&source.code, name) {
                wrong.push(format!("src/{} names {name}; only {door} may", source.module));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn the_table_points_one_way() {
    let mut before = BTreeSet::new();
    for (name, from) in ALLOWED {
        for import in *from {
            assert!(before.contains(import), "{name} imports {import}, which flows from it");
        }
        before.insert(*name);
    }
}

#[test]
fn imports_are_seen_in_every_shape() {
    let code = stripped(
        r##"
        use crate::diag::{Code, Place}; // crate::comment
        use crate::{balance, question::working as w, version::{draw, seed}};
        fn f() { let _ = crate::document::Block::new("crate::words"); }
        use super::super::composing::page;
        /* crate::blocked */ use stillroom::run;
        const RAW: &str = r#"crate::raw " "#;
        fn lifetime<'a>(c: char) -> bool { c == '"' || c == '\'' } use crate::after;
        "##,
    );
    let found = |depth| imported(&code, depth).into_iter().collect::<Vec<String>>();
    let always = ["after", "balance", "diag", "document", "question", "run", "version"];
    assert_eq!(found(3), always);
    // Two folders down, the climb by `super` reaches the root.
    assert!(found(2).contains(&"composing".to_owned()));
    assert!(names("use printpdf::Op;", "printpdf") && !names("my_printpdf::x", "printpdf"));
}

fn sources() -> Vec<Source> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    collect(&root, &mut files);
    assert!(files.len() > 10, "the sources were not found under {}", root.display());
    files
        .into_iter()
        .map(|path| {
            let below: Vec<String> = path
                .strip_prefix(&root)
                .unwrap()
                .with_extension("")
                .iter()
                .map(|part| part.to_string_lossy().into_owned())
                .filter(|part| part != "mod")
                .collect();
            Source { module: below.join("/"), code: stripped(&fs::read_to_string(&path).unwrap()) }
        })
        .collect()
}

fn collect(folder: &Path, files: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            collect(&path, files);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            files.push(path);
        }
    }
}

/// The top modules that paths from the crate's root lead to, in a file `depth`
/// modules below it.
fn imported(code: &str, depth: usize) -> BTreeSet<String> {
    let climbed = "super::".repeat(depth);
    let tops: BTreeSet<&str> = ALLOWED.iter().map(|(name, _)| *name).collect();
    let mut found = BTreeSet::new();
    for root in ["crate::", "stillroom::", &climbed] {
        for (at, _) in code.match_indices(root) {
            if code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_') {
                continue;
            }
            let mut names = BTreeSet::new();
            let rest = code[at + root.len()..].trim_start_matches("super::").trim_start();
            match rest.strip_prefix('{') {
                None => names.extend(first_name(rest)),
                Some(list) => names.extend(opening_names(list)),
            }
            // A climb inside a file's test module may end below the root: only
            // names of top modules tell.
            if root == climbed {
                names.retain(|name| tops.contains(name.as_str()));
            }
            found.extend(names);
        }
    }
    found
}

/// The names that open the entries of a list in braces, the brace itself cut off.
fn opening_names(list: &str) -> Vec<String> {
    let (mut depth, mut opens) = (1, true);
    let mut names = Vec::new();
    for (index, character) in list.char_indices() {
        match character {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 1 => opens = true,
            c if c.is_whitespace() => {}
            _ if opens && depth == 1 => {
                names.extend(first_name(&list[index..]));
                opens = false;
            }
            _ => {}
        }
        if depth == 0 {
            break;
        }
    }
    names
}

fn first_name(path: &str) -> Option<String> {
    let end = path.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(path.len());
    // Upper case: something that the root itself defines, such as a macro's type.
    let name = &path[..end];
    name.starts_with(|c: char| c.is_ascii_lowercase()).then(|| name.to_owned())
}

/// Whether the code names something as a whole word.
fn names(code: &str, name: &str) -> bool {
    let wordy = |c: char| c.is_alphanumeric() || c == '_';
    code.match_indices(name)
        .any(|(at, _)| !code[..at].ends_with(wordy) && !code[at + name.len()..].starts_with(wordy))
}

/// The code without comments, and with literals emptied.
fn stripped(code: &str) -> String {
    let characters: Vec<char> = code.chars().collect();
    let mut kept = String::with_capacity(code.len());
    let mut at = 0;
    let next = |at: usize| characters.get(at).copied().unwrap_or('\0');
    while at < characters.len() {
        match (next(at), next(at + 1)) {
            ('/', '/') => {
                while at < characters.len() && next(at) != '\n' {
                    at += 1;
                }
            }
            ('/', '*') => {
                let mut depth = 0;
                while at < characters.len() {
                    match (next(at), next(at + 1)) {
                        ('/', '*') => {
                            depth += 1;
                            at += 2;
                        }
                        ('*', '/') => {
                            depth -= 1;
                            at += 2;
                            if depth == 0 {
                                break;
                            }
                        }
                        _ => at += 1,
                    }
                }
            }
            ('r', '"' | '#') if !kept.ends_with(|c: char| c.is_alphanumeric() || c == '_') => {
                let hashes = (at + 1..).take_while(|i| next(*i) == '#').count();
                if next(at + 1 + hashes) != '"' {
                    // A raw identifier.
                    kept.push('r');
                    at += 1;
                    continue;
                }
                at += 2 + hashes;
                let closes =
                    |at: usize| next(at) == '"' && (0..hashes).all(|i| next(at + 1 + i) == '#');
                while at < characters.len() && !closes(at) {
                    at += 1;
                }
                at += 1 + hashes;
                kept.push_str("\"\"");
            }
            ('"', _) => {
                at += 1;
                while at < characters.len() && next(at) != '"' {
                    at += if next(at) == '\\' { 2 } else { 1 };
                }
                at += 1;
                kept.push_str("\"\"");
            }
            // A character, not a lifetime: it closes at once or is escaped.
            ('\'', '\\') => {
                at += 3;
                while at < characters.len() && next(at) != '\'' {
                    at += 1;
                }
                at += 1;
            }
            ('\'', _) if next(at + 2) == '\'' => at += 3,
            (character, _) => {
                kept.push(character);
                at += 1;
            }
        }
    }
    kept
}
