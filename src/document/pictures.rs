//! The pictures that a text shows, where they stand in it.

use std::ops::Range;

use pulldown_cmark::{Event, Parser, Tag, TagEnd};

use super::escape::options;

/// Where a school's badge stands among pictures. No unit's picture can have this address:
/// they have no colons.
pub const BADGE: &str = "department:badge";

/// A picture in a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShownPicture {
    pub address: String,
    pub words: String,
    /// Where it stands in the text, in bytes.
    pub at: Range<usize>,
    /// Whether its paragraph has nothing else.
    pub alone: bool,
}

/// The pictures of a Markdown text, in its order.
pub fn pictures_in(markdown: &str) -> Vec<ShownPicture> {
    let mut found: Vec<ShownPicture> = Vec::new();
    if !markdown.contains("![") {
        return found;
    }
    let (mut inside, mut paragraph) = (false, 0..0);
    for (event, range) in Parser::new_ext(markdown, options()).into_offset_iter() {
        match event {
            Event::Start(Tag::Paragraph) => paragraph = range,
            Event::Start(Tag::Image { dest_url, .. }) => {
                inside = true;
                let alone = markdown[paragraph.clone()].trim() == markdown[range.clone()].trim();
                let address = dest_url.into_string();
                found.push(ShownPicture { address, words: String::new(), at: range, alone });
            }
            Event::End(TagEnd::Image) => inside = false,
            Event::Text(text) | Event::Code(text) if inside => {
                if let Some(last) = found.last_mut() {
                    last.words.push_str(&text);
                }
            }
            _ => {}
        }
    }
    found
}
