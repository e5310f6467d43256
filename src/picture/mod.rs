//! Pictures from beside a unit: their bytes to what can be drawn.
//!
//! Takes the bytes of a PNG, JPEG or SVG file; gives pixels or shapes, and the size at
//! which it is printed. Never opens a file, never draws. What a printed page cannot
//! show is a fault that says so: nothing is left out in silence.

mod jpeg;
mod png;
mod svg;

use std::sync::Arc;

use sha2::{Digest, Sha256};

/// Pixels of a picture to the inch, where it is printed as large as it is.
const PIXELS_TO_AN_INCH: f64 = 150.0;
/// The most pixels across or down; more only make files large.
const MOST_PIXELS: u32 = 6000;

/// A picture as it is printed.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// In points at its natural size.
    pub width: f64,
    pub height: f64,
    pub content: Content,
    /// The file's own bytes and their kind (`image/png`), for the web page. Without the
    /// notes that cameras leave in a JPEG.
    pub bytes: Vec<u8>,
    pub kind: &'static str,
}

#[derive(Debug, Clone, PartialEq)]
pub enum Content {
    Raster(Arc<Raster>),
    Shapes(Vec<Painted>),
}

/// Pixels, ready to be put in a file.
#[derive(Debug, Clone, PartialEq)]
pub struct Raster {
    pub width: u32,
    pub height: u32,
    pub grey: bool,
    pub pixels: Pixels,
    /// What tells it from others: made from its content.
    pub name: String,
}

#[derive(Debug, Clone, PartialEq)]
pub enum Pixels {
    /// Rows of bytes, one a pixel if grey, else three; deflated.
    Deflated(Vec<u8>),
    /// A JPEG stream.
    Jpeg(Vec<u8>),
}

/// A path with its paint. Lengths in points from the top left corner.
#[derive(Debug, Clone, PartialEq)]
pub struct Painted {
    pub path: Vec<Step>,
    pub colour: [u8; 3],
    /// The stroke's weight and dash; none: filled.
    pub stroke: Option<(f64, Option<(f64, f64)>)>,
    /// Filled by the even-odd rule.
    pub even_odd: bool,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    Move(f64, f64),
    Line(f64, f64),
    Curve((f64, f64), (f64, f64), (f64, f64)),
    Close,
}

/// Why a picture cannot be printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// A sentence.
    pub says: String,
    pub found: String,
    pub next: &'static str,
}

impl Fault {
    fn new(says: &str, found: impl Into<String>, next: &'static str) -> Fault {
        Fault { says: says.to_owned(), found: found.into(), next }
    }
}

/// Reads a picture; what it is shows in its first bytes, whatever its name says.
///
/// # Errors
/// Why it cannot be printed.
pub fn read(bytes: &[u8]) -> Result<Picture, Fault> {
    if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        return png::read(bytes);
    }
    if bytes.starts_with(b"\xFF\xD8") {
        return jpeg::read(bytes);
    }
    let text = std::str::from_utf8(bytes).ok().filter(|text| text.contains("<svg"));
    match text {
        Some(text) => svg::read(text),
        None => Err(Fault::new(
            "This file is no picture that can be printed.",
            "neither PNG nor JPEG nor SVG",
            "save it as PNG, JPEG or SVG",
        )),
    }
}

/// A picture of pixels at its natural size.
fn raster(raster: Raster, bytes: Vec<u8>, kind: &'static str) -> Picture {
    let points = |pixels: u32| f64::from(pixels) * 72.0 / PIXELS_TO_AN_INCH;
    Picture {
        width: points(raster.width),
        height: points(raster.height),
        content: Content::Raster(Arc::new(raster)),
        bytes,
        kind,
    }
}

fn sized(width: u32, height: u32) -> Result<(), Fault> {
    if (1..=MOST_PIXELS).contains(&width) && (1..=MOST_PIXELS).contains(&height) {
        return Ok(());
    }
    Err(Fault::new(
        "This picture is larger than any page needs.",
        format!("{width} by {height} pixels"),
        "make it smaller: 1000 pixels across fill the width of a page",
    ))
}

/// A name made from content.
fn name_of(parts: &[&[u8]]) -> String {
    let mut hash = Sha256::new();
    for part in parts {
        hash.update((part.len() as u64).to_be_bytes());
        hash.update(part);
    }
    hash.finalize().iter().take(8).map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_picture_says_so() {
        for bytes in [&b""[..], b"GIF89a", b"plain words", b"\x89PNG\r\n\x1a\n", b"\xFF\xD8\xFF"] {
            assert!(read(bytes).is_err(), "{bytes:?}");
        }
    }

    #[test]
    fn an_svg_is_shapes_at_three_quarters_of_a_point_to_a_pixel() {
        let made = read(
            b"<svg xmlns='http://www.w3.org/2000/svg' width='40' height='20'>\
              <g transform='translate(10 0)'><rect width='20' height='10' fill='#804000'/></g></svg>",
        )
        .unwrap();
        assert_eq!((made.width, made.height), (30.0, 15.0));
        let Content::Shapes(shapes) = &made.content else { panic!("no shapes") };
        assert_eq!(shapes[0].colour, [0x80, 0x40, 0]);
        assert_eq!(shapes[0].path[0], Step::Move(7.5, 0.0));
    }

    #[test]
    fn what_an_svg_page_would_lack_is_said() {
        for (inside, word) in [
            ("<text x='1' y='9'>salt</text>", "text"),
            ("<filter id='f'/><rect filter='url(#f)' width='3' height='3'/>", "filter"),
        ] {
            let text = format!(
                "<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'>{inside}</svg>"
            );
            let fault = read(text.as_bytes()).unwrap_err();
            assert!(fault.found.contains(word), "{fault:?}");
        }
    }
}
