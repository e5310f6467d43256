//! What every block's decoder shares: the file at hand, the findings so far, and
//! the few shapes that values take (a text, a list, keys with values, a number).
//!
//! Takes nodes, gives placed values; a wrong shape is reported and left out, so a
//! decoder only says what it wants and goes on with what it got.

use std::collections::HashMap;
use std::sync::Arc;

use super::parsed::{Placed, Text};
use super::silent;
use super::words::{self, BlockWords};
use super::yaml::{Entry, Node, NodeKind, Scalar};
use crate::diag::{Code, Diagnostic, Diagnostics, Place, SourceFile, Span, Surety, nearest};

pub(super) struct Desk<'a> {
    pub(super) file: &'a Arc<SourceFile>,
    pub(super) out: &'a mut Diagnostics,
    /// A line of the block at hand could not be read, so that a key which seems
    /// to be missing may stand there: such findings are held back.
    pub(super) damaged: bool,
    ids: HashMap<String, Span>,
}

/// A block's keys, checked against the table of words.
#[derive(Clone, Copy)]
pub(super) struct Fields<'n> {
    words: &'static BlockWords,
    entries: &'n [Entry],
    /// Where a finding about the block as a whole points.
    pub(super) head: Span,
    pub(super) span: Span,
}

impl<'n> Fields<'n> {
    pub(super) fn get(&self, key: &str) -> Option<&'n Entry> {
        debug_assert!(
            self.words.keys.iter().any(|k| k.name == key),
            "`{key}` is not in the table of words"
        );
        self.entries.iter().find(|e| e.key.text == key)
    }
}

impl Fields<'_> {
    /// Whether any of these keys stands here, in the table of words or not.
    pub(super) fn has_any(&self, keys: &[&str]) -> bool {
        self.entries.iter().any(|e| keys.contains(&e.key.text.as_str()))
    }
}

impl<'a> Desk<'a> {
    pub(super) fn new(file: &'a Arc<SourceFile>, out: &'a mut Diagnostics) -> Self {
        Desk { file, out, damaged: false, ids: HashMap::new() }
    }

    pub(super) fn finding(&self, code: Code, span: Span, message: impl Into<String>) -> Diagnostic {
        Diagnostic::new(code, Place::new(self.file, span), message)
    }

    pub(super) fn say(&mut self, finding: Diagnostic) {
        self.out.push(finding);
    }

    /// Opens a node that must hold keys with values, and checks its keys.
    pub(super) fn fields<'n>(
        &mut self,
        node: &'n Node,
        words: &'static BlockWords,
        head: Span,
    ) -> Option<Fields<'n>> {
        let whose = words.called();
        let entries = self.entries(node, &whose, head)?;
        // A key that is most likely another one misspelt is not missing as well.
        let mut meant = Vec::new();
        for entry in entries {
            let key = entry.key.text.as_str();
            if words.keys.iter().any(|k| k.name == key) {
                continue;
            }
            let of_question = words.keys.iter().any(|k| k.name == "find");
            let otherwise = words::SAID_OTHERWISE.iter().find(|(own, ..)| *own == key);
            if let Some((_, instead, next)) = otherwise.filter(|_| of_question) {
                self.say(
                    self.finding(
                        Code::UnknownKey,
                        entry.key.span,
                        format!("What `{key}` would say is said by another key."),
                    )
                    .found(format!("`{key}`"))
                    .expected(*instead)
                    .next(*next),
                );
            } else {
                meant.extend(self.unknown_key(entry, words.keys.iter().map(|k| k.name), &whose));
            }
        }
        let fields = Fields { words, entries, head, span: node.span };
        for key in words.keys.iter().filter(|k| k.required) {
            let excused = meant.contains(&key.name);
            if fields.get(key.name).is_none() && !self.damaged && !excused {
                self.missing_key(&whose, key.name, key.takes, head);
            }
        }
        Some(fields)
    }

    pub(super) fn missing_key(&mut self, whose: &str, key: &str, takes: &str, head: Span) {
        self.say(
            self.finding(
                Code::MissingKey,
                head,
                format!("The key `{key}` is missing from this {whose}."),
            )
            .found(format!("no `{key}`"))
            .expected(format!("`{key}`: {takes}"))
            .next(format!("add a line `{key}: ...`")),
        );
    }

    /// Reports a key that does not exist; gives the one that was most likely meant.
    pub(super) fn unknown_key<'k>(
        &mut self,
        entry: &Entry,
        known: impl Iterator<Item = &'k str> + Clone,
        whose: &str,
    ) -> Option<&'k str> {
        let key = &entry.key.text;
        let finding = self
            .finding(Code::UnknownKey, entry.key.span, format!("This {whose} has no key `{key}`."))
            .found(format!("`{key}`"))
            .expected(known.clone().collect::<Vec<_>>().join(", "));
        let near = nearest(key, known);
        let finding = finding.misspelt(
            entry.key.span,
            near,
            Surety::Sure,
            "take the key out, or use one of those",
        );
        self.say(finding);
        near
    }

    /// The entries of a node that must hold keys with values; repeats reported.
    pub(super) fn entries<'n>(
        &mut self,
        node: &'n Node,
        whose: &str,
        head: Span,
    ) -> Option<&'n [Entry]> {
        match &node.kind {
            NodeKind::Map(map) => {
                for (first, key) in &map.repeats {
                    self.say(
                        self.finding(
                            Code::DuplicateKey,
                            key.span,
                            format!("The key `{}` stands here a second time.", key.text),
                        )
                        .found(format!("`{}` twice", key.text))
                        .expected("each key once")
                        .next("keep one of the two lines")
                        .related(Place::new(self.file, *first), "the first stands"),
                    );
                }
                Some(&map.entries)
            }
            NodeKind::Empty if self.damaged => None,
            NodeKind::Empty => {
                self.say(
                    self.finding(
                        Code::EmptyValue,
                        head,
                        format!("Nothing is written for this {whose}."),
                    )
                    .found("nothing")
                    .expected("keys with values, one a line")
                    .next("write `key: value` on the lines below, further in"),
                );
                None
            }
            _ => {
                self.say(
                    self.finding(
                        Code::TextForMap,
                        node.span,
                        "Keys with values are expected here.",
                    )
                    .found(node.says())
                    .expected(format!(
                        "`key: value` for this {whose}, on lines of their own or in braces"
                    ))
                    .next("give each value its key"),
                );
                None
            }
        }
    }

    /// The text of an entry, as written for reading: a `#` that cut it is noticed.
    pub(super) fn prose_text(&mut self, entry: &Entry) -> Option<Text> {
        self.one_prose(&entry.value, entry.key.span)
    }

    /// A text without the watch on `#`: ids, phrases, formulas.
    pub(super) fn text(&mut self, entry: &Entry) -> Option<Text> {
        let scalar = self.scalar(&entry.value, entry.key.span)?;
        Some(Placed::new(scalar.text.text().to_owned(), entry.value.span))
    }

    pub(super) fn optional_prose(&mut self, fields: &Fields, key: &str) -> Option<Text> {
        let entry = fields.get(key)?;
        self.prose_text(entry)
    }

    pub(super) fn optional_text(&mut self, fields: &Fields, key: &str) -> Option<Text> {
        let entry = fields.get(key)?;
        self.text(entry)
    }

    fn one_prose(&mut self, node: &Node, head: Span) -> Option<Text> {
        if silent::hash_cut(self, node, head) && matches!(node.kind, NodeKind::Empty) {
            return None;
        }
        if let NodeKind::Map(map) = &node.kind
            && let Some(text) = silent::colon_in_text(self, node, map)
        {
            return Some(text);
        }
        silent::dash_in_text(self, node);
        let scalar = self.scalar(node, head)?;
        Some(Placed::new(scalar.text.text().to_owned(), node.span))
    }

    /// The scalar that must stand here. `head` is the key or dash before it.
    pub(super) fn scalar<'n>(&mut self, node: &'n Node, head: Span) -> Option<&'n Scalar> {
        match &node.kind {
            NodeKind::Scalar(scalar) if scalar.text.text().trim().is_empty() => {
                self.empty(node.span);
                None
            }
            NodeKind::Scalar(scalar) => Some(scalar),
            NodeKind::Empty => {
                if !self.damaged {
                    self.empty(head);
                }
                None
            }
            NodeKind::List(_) | NodeKind::Map(_) => {
                self.say(
                    self.finding(Code::MapForText, node.span, "One text is expected here.")
                        .found(node.says())
                        .expected("a text on one line")
                        .next("write one text; put it in quotes if it begins with a bracket"),
                );
                None
            }
        }
    }

    pub(super) fn empty(&mut self, span: Span) {
        self.say(
            self.finding(Code::EmptyValue, span, "Nothing is written after this.")
                .found("nothing")
                .expected("a value")
                .next("write the value, or take the line out"),
        );
    }

    /// The items of a list of things of one kind.
    pub(super) fn items<'n>(&mut self, entry: &'n Entry) -> &'n [Node] {
        match &entry.value.kind {
            NodeKind::List(items) => items,
            NodeKind::Empty => {
                if !self.damaged {
                    self.empty(entry.key.span);
                }
                &[]
            }
            _ => {
                let value = self.file.slice(entry.value.span);
                let one_line = !value.contains('\n');
                let mut finding = self
                    .finding(
                        Code::TextForList,
                        entry.value.span,
                        format!("A list is expected after `{}`.", entry.key.text),
                    )
                    .found(entry.value.says())
                    .expected("lines that begin with `- `, or texts in [ ]")
                    .next("make it a list, even of one");
                if one_line && matches!(entry.value.kind, NodeKind::Scalar(_)) {
                    let made = format!("[{}]", in_list(value));
                    finding = finding.mended(entry.value.span, &made, Surety::Sure);
                }
                self.say(finding);
                &[]
            }
        }
    }

    /// A list of texts to be read by people.
    pub(super) fn prose_list(&mut self, fields: &Fields, key: &str) -> Vec<Text> {
        let Some(entry) = fields.get(key) else { return Vec::new() };
        self.prose_items(entry)
    }

    /// The texts of an entry that must be a list.
    pub(super) fn prose_items(&mut self, entry: &Entry) -> Vec<Text> {
        let items = self.items(entry);
        silent::commas_in_list(self, &entry.value, items);
        items
            .iter()
            .filter_map(|item| self.one_prose(item, self.dash_before(item, entry.key.span)))
            .collect()
    }

    /// The dash before an item of a list, which is not in the tree; else its key.
    fn dash_before(&self, item: &Node, key: Span) -> Span {
        let before = &self.file.text()[..item.span.start];
        let line = before.rfind('\n').map_or(0, |n| n + 1);
        match before[line..].rfind('-') {
            Some(n) if before[line + n + 1..].trim().is_empty() => {
                Span::new(line + n, line + n + 1)
            }
            _ => key,
        }
    }

    /// Keys with a text each.
    pub(super) fn prose_pairs(&mut self, fields: &Fields, key: &str) -> Vec<(Text, Text)> {
        let Some(entry) = fields.get(key) else { return Vec::new() };
        let Some(entries) = self.entries(&entry.value, "key", entry.key.span) else {
            return Vec::new();
        };
        entries
            .iter()
            .filter_map(|e| {
                let text = self.prose_text(e)?;
                Some((Placed::new(e.key.text.clone(), e.key.span), text))
            })
            .collect()
    }

    /// The text of an item of a list, as written for reading.
    pub(super) fn prose_item(&mut self, item: &Node, key: Span) -> Option<Text> {
        let head = self.dash_before(item, key);
        self.one_prose(item, head)
    }

    /// A whole number above zero.
    pub(super) fn whole(&mut self, fields: &Fields, key: &str) -> Option<Placed<u32>> {
        self.whole_from(fields, key, 1)
    }

    /// A whole number, zero included.
    pub(super) fn count(&mut self, fields: &Fields, key: &str) -> Option<Placed<u32>> {
        self.whole_from(fields, key, 0)
    }

    fn whole_from(&mut self, fields: &Fields, key: &str, least: u32) -> Option<Placed<u32>> {
        let entry = fields.get(key)?;
        let text = self.text(entry)?;
        match text.value.trim().parse::<u32>() {
            Ok(number) if number >= least && number < 1_000_000 => {
                Some(Placed::new(number, text.span))
            }
            _ => {
                self.say(
                    self.finding(
                        Code::BadNumber,
                        text.span,
                        format!("`{key}` takes a whole number, {least} or more."),
                    )
                    .found(format!("`{}`", text.value))
                    .expected("a number such as 5")
                    .next("write digits only, without a unit"),
                );
                None
            }
        }
    }

    /// A block's id, the same nowhere else in the file.
    pub(super) fn id(&mut self, fields: &Fields) -> Option<Text> {
        let id = self.optional_text(fields, "id")?;
        self.check_id(&id);
        match self.ids.get(&id.value) {
            Some(first) => {
                let first = *first;
                self.say(
                    self.finding(
                        Code::DuplicateId,
                        id.span,
                        format!("The id `{}` is taken by another block of this file.", id.value),
                    )
                    .found(format!("`{}` twice", id.value))
                    .expected("an id of its own for each block")
                    .next("give one of the two another id")
                    .related(Place::new(self.file, first), "the first stands"),
                );
            }
            None => {
                self.ids.insert(id.value.clone(), id.span);
            }
        }
        Some(id)
    }

    /// Ids are small letters, digits and single hyphens.
    pub(super) fn check_id(&mut self, id: &Text) -> bool {
        let good = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit();
        let words = || id.value.split('-');
        if words().all(|w| !w.is_empty() && w.chars().all(good)) {
            return true;
        }
        let made: Vec<String> = id
            .value
            .to_lowercase()
            .split(|c: char| !good(c))
            .filter(|w| !w.is_empty())
            .map(str::to_owned)
            .collect();
        let mut finding = self
            .finding(
                Code::BadId,
                id.span,
                format!("The id `{}` has a sign in it that ids cannot have.", id.value),
            )
            .found(format!("`{}`", id.value))
            .expected("small letters and digits, with hyphens between words")
            .next("write the id with hyphens");
        if !made.is_empty() && id.value.is_ascii() {
            finding = finding.mended(id.span, &made.join("-"), Surety::Likely);
        }
        self.say(finding);
        false
    }

    /// Names that formulas use: letters, digits and underscores; not a word with
    /// a meaning of its own.
    pub(super) fn check_name(&mut self, name: &Text, what: &str) -> bool {
        let good = |c: char| c.is_ascii_alphanumeric() || c == '_';
        let value = name.value.as_str();
        let starts_well = value.starts_with(|c: char| c.is_ascii_alphabetic());
        if starts_well && value.chars().all(good) {
            let reserved = words::RESERVED.contains(&value)
                || value
                    .strip_prefix("stage")
                    .is_some_and(|n| !n.is_empty() && n.chars().all(|c| c.is_ascii_digit()));
            if reserved {
                self.say(
                    self.finding(
                        Code::ReservedName,
                        name.span,
                        format!(
                            "`{value}` has a meaning of its own, so {what} cannot be called that."
                        ),
                    )
                    .found(format!("`{value}`"))
                    .expected("another name")
                    .next(format!("write a longer name, such as `{value}_1`")),
                );
                return false;
            }
            return true;
        }
        let underscored: String =
            value.chars().map(|c| if matches!(c, '-' | ' ') { '_' } else { c }).collect();
        let mendable = starts_well && underscored.chars().all(good);
        let hyphen = mendable && value.contains('-');
        let (code, message) = if hyphen {
            (
                Code::HyphenForUnderscore,
                format!("The name `{value}` has a hyphen in it, which formulas read as a minus."),
            )
        } else {
            (Code::BadName, format!("`{value}` cannot be the name of {what}."))
        };
        let mut finding = self
            .finding(code, name.span, message)
            .found(format!("`{}`", super::yaml::short(value)))
            .expected("a letter, then letters, digits and underscores");
        finding = if mendable {
            finding.next("write an underscore; it is printed as a space").mended(
                name.span,
                &underscored,
                Surety::Sure,
            )
        } else {
            finding.next("choose a name of plain letters")
        };
        self.say(finding);
        false
    }
}

/// A text as an item of a list in brackets.
fn in_list(text: &str) -> String {
    if text.contains([',', '[', ']', '{', '}', '#', ':']) && !text.starts_with(['"', '\'']) {
        quoted(text)
    } else {
        text.to_owned()
    }
}

/// A text in quotes that YAML takes as it is.
pub(super) fn quoted(text: &str) -> String {
    if text.contains(['"', '\\']) {
        format!("'{}'", text.replace('\'', "''"))
    } else {
        format!("\"{text}\"")
    }
}
