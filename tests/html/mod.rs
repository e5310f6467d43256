//! A small reader of HTML that is strict where browsers are not: every element is
//! closed, every attribute quoted, no sign left bare.

/// An element that is open or a text, in the order of the page.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Node {
    pub(crate) tag: String,
    pub(crate) attributes: Vec<(String, String)>,
    /// Elements that this one holds; a text is a node without a tag.
    pub(crate) inside: Vec<Node>,
    pub(crate) text: String,
}

/// Elements that have no end (HTML living standard, "void elements", as far as we
/// write them; from memory).
const VOID: [&str; 5] = ["br", "hr", "meta", "img", "link"];

/// The page as a tree, or what is wrong with it.
pub(crate) fn read(page: &str) -> Result<Node, String> {
    let rest = page.strip_prefix("<!DOCTYPE html>\n").ok_or("no doctype")?;
    let mut open = vec![node("")];
    let mut at = rest;
    while !at.is_empty() {
        let Some(after) = at.strip_prefix('<') else {
            let end = at.find('<').unwrap_or(at.len());
            let text = unescaped(&at[..end])?;
            open.last_mut().unwrap().inside.push(Node { text, ..node("") });
            at = &at[end..];
            continue;
        };
        let end = after.find('>').ok_or("a tag without an end")?;
        let tag = &after[..end];
        at = &after[end + 1..];
        if let Some(name) = tag.strip_prefix('/') {
            let closed = open.pop().unwrap();
            if closed.tag != name || open.is_empty() {
                return Err(format!("</{name}> closes <{}>", closed.tag));
            }
            open.last_mut().unwrap().inside.push(closed);
            continue;
        }
        // Elements of drawings and formulas may close themselves.
        let (tag, closes) = tag.strip_suffix('/').map_or((tag, false), |tag| (tag, true));
        let element = opened(tag)?;
        if closes || VOID.contains(&element.tag.as_str()) {
            open.last_mut().unwrap().inside.push(element);
        } else if element.tag == "style" {
            let end = at.find("</style>").ok_or("a style without an end")?;
            open.last_mut().unwrap().inside.push(Node { text: at[..end].to_owned(), ..element });
            at = &at[end + "</style>".len()..];
        } else {
            open.push(element);
        }
    }
    match open.len() {
        1 => Ok(open.pop().unwrap()),
        _ => Err(format!("<{}> is never closed", open.last().unwrap().tag)),
    }
}

fn node(tag: &str) -> Node {
    Node { tag: tag.to_owned(), attributes: Vec::new(), inside: Vec::new(), text: String::new() }
}

fn opened(tag: &str) -> Result<Node, String> {
    let (name, mut rest) = tag.split_once(' ').unwrap_or((tag, ""));
    if name.is_empty() || !name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit()) {
        return Err(format!("<{tag}> is no tag"));
    }
    let mut element = node(name);
    while !rest.is_empty() {
        let (key, value) = rest.split_once("=\"").ok_or(format!("<{tag}>: an odd attribute"))?;
        let (value, after) = value.split_once('"').ok_or(format!("<{tag}>: an open quote"))?;
        element.attributes.push((key.to_owned(), unescaped(value)?));
        rest = after.trim_start();
    }
    Ok(element)
}

fn unescaped(text: &str) -> Result<String, String> {
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find('&') {
        out.push_str(&rest[..at]);
        let known = [("&amp;", '&'), ("&lt;", '<'), ("&gt;", '>'), ("&quot;", '"')];
        let found = known.iter().find(|(name, _)| rest[at..].starts_with(name));
        let (name, sign) = found.ok_or(format!("a bare & in {text:?}"))?;
        out.push(*sign);
        rest = &rest[at + name.len()..];
    }
    out.push_str(rest);
    Ok(out)
}

impl Node {
    pub(crate) fn attribute(&self, key: &str) -> Option<&str> {
        self.attributes.iter().find(|(k, _)| k == key).map(|(_, value)| value.as_str())
    }

    /// This and everything in it, in order.
    pub(crate) fn all(&self) -> Vec<&Node> {
        let mut found = vec![self];
        found.extend(self.inside.iter().flat_map(Node::all));
        found
    }

    pub(crate) fn tagged(&self, tag: &str) -> Vec<&Node> {
        self.all().into_iter().filter(|node| node.tag == tag).collect()
    }

    pub(crate) fn classed(&self, class: &str) -> Vec<&Node> {
        self.all().into_iter().filter(|node| node.attribute("class") == Some(class)).collect()
    }

    /// All its words, blanks as they are; a break counts as one.
    pub(crate) fn words(&self) -> String {
        if self.tag == "br" {
            return " ".to_owned();
        }
        self.inside.iter().fold(self.text.clone(), |words, node| words + &node.words())
    }

    /// The cells of a table, row by row, its head first.
    pub(crate) fn rows(&self) -> Vec<Vec<String>> {
        let cells = |row: &Node| row.inside.iter().map(|cell| cell.words()).collect();
        self.tagged("tr").into_iter().map(cells).collect()
    }
}
