//! A photograph as it is carried on a page: small, grey as all pages are, turned upright, and without anything but its pixels.
//!
//! Takes the bytes of a JPEG or PNG file; gives a [`Picture`], or says why it cannot be read. The pixels are drawn anew, so that neither the
//! place where it was taken nor the camera's number goes with the page. The file itself is kept as it is by the record.

use std::io::Cursor;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

use super::Picture;
use super::draw::Drawing;

/// What its name among the pictures of a page begins with.
const MARK: &str = "photo-";
/// The longest side on a page, in pixels: 32 mm at 250 to the inch.
const SIDE: usize = 320;
/// No photograph has more pixels; the largest cameras of telephones stay below.
const MOST: usize = 210_000_000;

/// Pixels from black to white, row by row.
struct Grey {
    width: usize,
    height: usize,
    pixels: Vec<u8>,
}

/// What a photograph is called among the pictures of a page, by the digest of its file.
pub(crate) fn name(sha256: &str) -> String {
    format!("{MARK}{}", sha256.get(..16).unwrap_or(sha256))
}

/// Whether a picture is a photograph.
pub(crate) fn is_one(picture: &Picture) -> bool {
    picture.name.starts_with(MARK)
}

/// The photograph of a file of that digest; fails with the reason why it cannot be read.
pub(crate) fn photo(bytes: &[u8], sha256: &str) -> Result<Picture, String> {
    let (grey, orientation) = if bytes.starts_with(&[0xff, 0xd8]) {
        jpeg(bytes)?
    } else {
        png(bytes)?
    };
    let small = grey.shrunk().turned(orientation);
    let href = format!("data:image/png;base64,{}", STANDARD.encode(small.png()?));
    // A side of pixels is a small number.
    #[allow(clippy::cast_precision_loss)]
    let (width, height) = (small.width as f64, small.height as f64);
    let mut drawing = Drawing::new(width);
    drawing.image((width, height), &href);
    let short = sha256.get(..8).unwrap_or(sha256);
    let says = format!("A photograph of the work beside it, kept beside the record as {sha256}.");
    drawing.tell(&says);
    Ok(drawing.picture(&name(sha256), &format!("Photograph {short}")))
}

fn jpeg(bytes: &[u8]) -> Result<(Grey, usize), String> {
    let said = |error: zune_jpeg::errors::DecodeErrors| format!("it is no JPEG file: {error}");
    let options = DecoderOptions::default().jpeg_set_out_colorspace(ColorSpace::Luma);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    decoder.decode_headers().map_err(said)?;
    let (width, height) = decoder.dimensions().ok_or("it has no size")?;
    within(width, height)?;
    let pixels = decoder.decode().map_err(said)?;
    let orientation = decoder.exif().and_then(|exif| orientation(exif));
    let grey = Grey::of(width, height, pixels)?;
    Ok((grey, orientation.unwrap_or(1)))
}

fn png(bytes: &[u8]) -> Result<(Grey, usize), String> {
    let said = |error: png::DecodingError| format!("it is no PNG file: {error}");
    let limits = png::Limits { bytes: MOST };
    let mut decoder = png::Decoder::new_with_limits(Cursor::new(bytes), limits);
    decoder.set_transformations(png::Transformations::normalize_to_color8());
    let mut reader = decoder.read_info().map_err(said)?;
    let info = reader.info();
    let (width, height) = (to_size(info.width), to_size(info.height));
    within(width, height)?;
    let orientation = info.exif_metadata.as_deref().and_then(orientation);
    let size = reader.output_buffer_size().filter(|size| *size <= 4 * MOST);
    let mut data = vec![0; size.ok_or("it is too large")?];
    let frame = reader.next_frame(&mut data).map_err(said)?;
    let pixels = data.chunks_exact(frame.color_type.samples()).map(grey);
    let grey = Grey::of(width, height, pixels.collect())?;
    Ok((grey, orientation.unwrap_or(1)))
}

fn to_size(size: u32) -> usize {
    usize::try_from(size).unwrap_or(usize::MAX)
}

fn within(width: usize, height: usize) -> Result<(), String> {
    match width.checked_mul(height) {
        Some(1..=MOST) => Ok(()),
        _ => Err(format!(
            "it is {width} by {height} pixels, which is no photograph"
        )),
    }
}

/// A pixel as grey, by the weights of ITU-R BT.601 (from memory); what can be seen through stands on white.
fn grey(pixel: &[u8]) -> u8 {
    let luma = |red: u8, green: u8, blue: u8| {
        (299 * u32::from(red) + 587 * u32::from(green) + 114 * u32::from(blue)) / 1000
    };
    let over = |grey: u32, alpha: u8| {
        let alpha = u32::from(alpha);
        (grey * alpha + 255 * (255 - alpha)) / 255
    };
    let found = match *pixel {
        [grey] => u32::from(grey),
        [grey, alpha] => over(u32::from(grey), alpha),
        [red, green, blue] => luma(red, green, blue),
        [red, green, blue, alpha] => over(luma(red, green, blue), alpha),
        _ => 255,
    };
    u8::try_from(found).unwrap_or(u8::MAX)
}

/// How a photograph is to be turned, 1 to 8: tag 0x0112 of the first directory of its Exif data, which is a TIFF file (TIFF 6.0, from memory).
fn orientation(exif: &[u8]) -> Option<usize> {
    let big = match exif.get(..2)? {
        b"MM" => true,
        b"II" => false,
        _ => return None,
    };
    let number = |at: usize, long: usize| {
        let bytes = exif.get(at..at.checked_add(long)?)?;
        let joined = |number: usize, byte: &u8| number * 256 + usize::from(*byte);
        Some(if big {
            bytes.iter().fold(0, joined)
        } else {
            bytes.iter().rev().fold(0, joined)
        })
    };
    let directory = number(4, 4)?;
    let entries = number(directory, 2)?;
    let mut places = (0..entries).filter_map(|entry| directory.checked_add(2 + 12 * entry));
    let own = places.find(|place| number(*place, 2) == Some(0x0112))?;
    number(own.checked_add(8)?, 2)
}

impl Grey {
    fn of(width: usize, height: usize, pixels: Vec<u8>) -> Result<Self, String> {
        if pixels.len() == width * height {
            Ok(Self {
                width,
                height,
                pixels,
            })
        } else {
            Err("its colours are of a kind that is not read here".to_owned())
        }
    }

    /// The photograph with its longest side as it is carried; each pixel is the mean of those that it stands for.
    fn shrunk(self) -> Self {
        let longest = self.width.max(self.height);
        if longest <= SIDE {
            return self;
        }
        let small = |side: usize| (side * SIDE / longest).max(1);
        let (width, height) = (small(self.width), small(self.height));
        let mut pixels = Vec::with_capacity(width * height);
        for y in 0..height {
            let rows = y * self.height / height..(y + 1) * self.height / height;
            for x in 0..width {
                let columns = x * self.width / width..(x + 1) * self.width / width;
                pixels.push(self.mean(rows.clone(), columns));
            }
        }
        Self {
            width,
            height,
            pixels,
        }
    }

    fn mean(&self, rows: std::ops::Range<usize>, columns: std::ops::Range<usize>) -> u8 {
        let pixels = rows.flat_map(|row| {
            let first = row * self.width;
            let row = self.pixels.get(first + columns.start..first + columns.end);
            row.unwrap_or_default()
        });
        let (sum, count) = pixels.fold((0u64, 0u64), |(sum, count), pixel| {
            (sum + u64::from(*pixel), count + 1)
        });
        u8::try_from(sum / count.max(1)).unwrap_or(u8::MAX)
    }

    /// The photograph upright: orientations as Exif numbers them (from memory).
    fn turned(self, orientation: usize) -> Self {
        let (w, h) = (self.width, self.height);
        let (width, height) = if (5..=8).contains(&orientation) {
            (h, w)
        } else {
            (w, h)
        };
        let from = |x: usize, y: usize| match orientation {
            2 => (w - 1 - x, y),
            3 => (w - 1 - x, h - 1 - y),
            4 => (x, h - 1 - y),
            5 => (y, x),
            6 => (y, h - 1 - x),
            7 => (w - 1 - y, h - 1 - x),
            8 => (w - 1 - y, x),
            _ => (x, y),
        };
        let all = (0..height).flat_map(|y| (0..width).map(move |x| (x, y)));
        let pixels = all.filter_map(|(x, y)| {
            let (x, y) = from(x, y);
            self.pixels.get(y * w + x).copied()
        });
        Self {
            width,
            height,
            pixels: pixels.collect(),
        }
    }

    fn png(&self) -> Result<Vec<u8>, String> {
        let said = |error: png::EncodingError| error.to_string();
        let side = |side: usize| u32::try_from(side).unwrap_or(u32::MAX);
        let mut file = Vec::new();
        let mut encoder = png::Encoder::new(&mut file, side(self.width), side(self.height));
        encoder.set_color(png::ColorType::Grayscale);
        encoder.set_depth(png::BitDepth::Eight);
        let mut writer = encoder.write_header().map_err(said)?;
        writer.write_image_data(&self.pixels).map_err(said)?;
        writer.finish().map_err(said)?;
        Ok(file)
    }
}
