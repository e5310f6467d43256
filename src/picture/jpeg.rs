//! JPEG: the stream as it is, without what cameras write beside it (place, owner, a
//! small copy).

use super::{Fault, Picture, Pixels, Raster, name_of, raster, sized};

const SAVE_ANEW: &str = "open it in a drawing program and save it anew as JPEG in RGB, or as PNG";

/// Markers of JPEG (ITU-T T.81, table B.1).
const START_OF_SCAN: u8 = 0xDA;
const END: u8 = 0xD9;
const APPLICATION: std::ops::RangeInclusive<u8> = 0xE0..=0xEF;
/// The note that says how colours are coded.
const ADOBE: u8 = 0xEE;
const COMMENT: u8 = 0xFE;
const EXIF: u8 = 0xE1;

pub(super) fn read(bytes: &[u8]) -> Result<Picture, Fault> {
    let damaged =
        || Fault::new("This JPEG file cannot be read.", "a stream that breaks off", SAVE_ANEW);
    let mut kept = bytes[..2].to_vec();
    let mut frame = None;
    let mut at = 2;
    loop {
        let [0xFF, marker] = *bytes.get(at..at + 2).ok_or_else(damaged)? else {
            return Err(damaged());
        };
        if marker == 0xFF {
            at += 1;
            continue;
        }
        if marker == END {
            return Err(damaged());
        }
        let length = bytes.get(at + 2..at + 4).ok_or_else(damaged)?;
        let length = usize::from(u16::from_be_bytes([length[0], length[1]]));
        let segment = bytes.get(at..at + 2 + length).filter(|_| length >= 2).ok_or_else(damaged)?;
        let body = &segment[4..];
        match marker {
            EXIF if turned(body) => {
                return Err(Fault::new(
                    "This photograph lies on its side, and only a note in the file says so.",
                    "an Exif orientation other than upright",
                    SAVE_ANEW,
                ));
            }
            // Progressive frames too; tables and the like lie between them.
            0xC0..=0xC2 => frame = Some(body),
            0xC3 | 0xC5..=0xC7 | 0xC9..=0xCB | 0xCD..=0xCF => {
                return Err(Fault::new(
                    "This kind of JPEG is read by few programs.",
                    "lossless or arithmetic coding",
                    SAVE_ANEW,
                ));
            }
            _ => {}
        }
        let note = APPLICATION.contains(&marker) && marker != ADOBE || marker == COMMENT;
        if !note {
            kept.extend_from_slice(segment);
        }
        at += 2 + length;
        if marker == START_OF_SCAN {
            break;
        }
    }
    kept.extend_from_slice(&bytes[at..]);
    let (width, height, channels) = match frame {
        Some([8, h1, h0, w1, w0, channels, ..]) => {
            let side = |high: &u8, low: &u8| u32::from(u16::from_be_bytes([*high, *low]));
            (side(w1, w0), side(h1, h0), *channels)
        }
        _ => return Err(damaged()),
    };
    sized(width, height)?;
    if !matches!(channels, 1 | 3) {
        return Err(Fault::new(
            "This JPEG is coded for a printing press.",
            format!("{channels} channels of colour"),
            SAVE_ANEW,
        ));
    }
    let name = name_of(&[&kept]);
    let made =
        Raster { width, height, grey: channels == 1, pixels: Pixels::Jpeg(kept.clone()), name };
    Ok(raster(made, kept, "image/jpeg"))
}

/// Whether an Exif note says that the picture is to be turned (tag 0x0112, Exif 2.3).
fn turned(body: &[u8]) -> bool {
    let Some(tiff) = body.strip_prefix(b"Exif\0\0") else { return false };
    let little = tiff.starts_with(b"II");
    let two = |at: usize| -> Option<usize> {
        let pair = [*tiff.get(at)?, *tiff.get(at + 1)?];
        Some(usize::from(if little { u16::from_le_bytes(pair) } else { u16::from_be_bytes(pair) }))
    };
    let four = |at: usize| -> Option<usize> {
        let (first, second) = (two(at)?, two(at + 2)?);
        Some(if little { second << 16 | first } else { first << 16 | second })
    };
    let said = || -> Option<usize> {
        let list = four(4)?;
        let entry =
            (0..two(list)?).map(|i| list + 2 + 12 * i).find(|entry| two(*entry) == Some(0x0112))?;
        two(entry + 8)
    };
    said().is_some_and(|orientation| orientation > 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The smallest frame with its notes: no picture, but all that is read of one.
    fn file(notes: &[u8], channels: u8) -> Vec<u8> {
        let mut file = vec![0xFF, 0xD8];
        file.extend(notes);
        file.extend([0xFF, 0xC0, 0, 8, 8, 0, 20, 0, 40, channels]);
        file.extend([0xFF, 0xDA, 0, 2, 1, 2, 3, 0xFF, 0xD9]);
        file
    }

    #[test]
    fn notes_of_the_camera_do_not_go_with_the_picture() {
        let note = [0xFF, 0xE1, 0, 8, b'h', b'o', b'm', b'e', b'.', b'.'];
        let made = read(&file(&note, 3)).unwrap();
        assert_eq!(made.bytes, file(&[], 3));
        assert_eq!((made.width, made.height), (40.0 * 0.48, 20.0 * 0.48));
    }

    #[test]
    fn a_picture_on_its_side_and_one_for_a_press_are_refused() {
        let mut note = vec![0xFF, 0xE1, 0, 34];
        note.extend(b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0");
        assert!(read(&file(&note, 3)).unwrap_err().says.contains("side"));
        note[29] = 1;
        assert!(read(&file(&note, 3)).is_ok());
        assert!(read(&file(&[], 4)).is_err());
    }

    #[test]
    fn a_stream_that_breaks_off_is_no_picture() {
        let whole = file(&[0xFF, 0xFE, 0, 3, b'x'], 3);
        for end in 2..whole.len() - 6 {
            assert!(read(&whole[..end]).is_err(), "{end}");
        }
    }
}
