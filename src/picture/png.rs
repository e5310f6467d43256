//! PNG: pixels over white, grey where all of them are.

use std::io::{Cursor, Write};

use flate2::Compression;
use flate2::write::ZlibEncoder;

use super::{Fault, Picture, Pixels, Raster, name_of, raster, sized};

const DAMAGED: &str = "open it in a drawing program and save it anew";

pub(super) fn read(bytes: &[u8]) -> Result<Picture, Fault> {
    let damaged = |error: &dyn std::fmt::Display| {
        Fault::new("This PNG file cannot be read.", error.to_string(), DAMAGED)
    };
    let mut decoder = png::Decoder::new(Cursor::new(bytes));
    // Eight bits a channel, palettes written out: no more forms than four.
    decoder.set_transformations(png::Transformations::normalize_to_color8());
    let mut reader = decoder.read_info().map_err(|error| damaged(&error))?;
    let (width, height) = (reader.info().width, reader.info().height);
    sized(width, height)?;
    let size = reader.output_buffer_size().ok_or_else(|| damaged(&"too many pixels"))?;
    let mut decoded = vec![0; size];
    let frame = reader.next_frame(&mut decoded).map_err(|error| damaged(&error))?;
    decoded.truncate(frame.buffer_size());
    let pixels = over_white(&decoded, frame.color_type);
    let grey = pixels.iter().all(|[r, g, b]| r == g && g == b);
    let plain: Vec<u8> =
        if grey { pixels.iter().map(|pixel| pixel[0]).collect() } else { pixels.concat() };
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::new(6));
    encoder.write_all(&plain).map_err(|error| damaged(&error))?;
    let deflated = encoder.finish().map_err(|error| damaged(&error))?;
    let name = name_of(&[&width.to_be_bytes(), &height.to_be_bytes(), &plain]);
    let made = Raster { width, height, grey, pixels: Pixels::Deflated(deflated), name };
    Ok(raster(made, bytes.to_vec(), "image/png"))
}

/// Red, green and blue of each pixel, what is clear mixed with the white of the paper.
fn over_white(decoded: &[u8], colour: png::ColorType) -> Vec<[u8; 3]> {
    let mixed = |value: u8, alpha: u8| {
        let (value, alpha) = (u32::from(value), u32::from(alpha));
        ((value * alpha + 255 * (255 - alpha) + 127) / 255) as u8
    };
    decoded
        .chunks_exact(colour.samples())
        .map(|pixel| match *pixel {
            [g] => [g; 3],
            [g, a] => [mixed(g, a); 3],
            [r, g, b] => [r, g, b],
            [r, g, b, a] => [mixed(r, a), mixed(g, a), mixed(b, a)],
            _ => [255; 3],
        })
        .collect()
}
