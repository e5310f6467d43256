//! Pictures inside a page: the file's own bytes in an address, so that the page needs
//! no other file.

use super::runs::text;
use crate::picture::Picture;

/// Pixels of a screen to a point of paper.
const PIXELS: f64 = 96.0 / 72.0;

/// An `img` element at the size of the paper, or as wide as the screen allows.
pub(super) fn image(picture: &Picture, words: &str) -> String {
    let pixels = |points: f64| (points * PIXELS).round().max(1.0);
    format!(
        "<img src=\"data:{};base64,{}\" alt=\"{}\" width=\"{}\" height=\"{}\">\n",
        picture.kind,
        base64(&picture.bytes),
        text(words),
        pixels(picture.width),
        pixels(picture.height)
    )
}

/// Bytes in 64 letters (RFC 4648, section 4).
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for group in bytes.chunks(3) {
        let byte = |i: usize| u32::from(group.get(i).copied().unwrap_or(0));
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        for place in 0..4 {
            if place <= group.len() {
                out.push(char::from(LETTERS[(bits >> (18 - 6 * place)) as usize & 63]));
            } else {
                out.push('=');
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::base64;

    #[test]
    fn letters_are_those_of_the_standard() {
        // RFC 4648, section 10.
        for (plain, coded) in
            [("", ""), ("f", "Zg=="), ("fo", "Zm8="), ("foo", "Zm9v"), ("foobar", "Zm9vYmFy")]
        {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }
}
