//! Small pictures as cameras and bad luck make them.

use std::io::Cursor;

use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder, ImageFormat, Rgb, RgbImage};

/// Colours that change from place to place.
fn picture(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        let [.., across] = (x * 7 + y * 3).to_be_bytes();
        let [.., down] = (y * 5).to_be_bytes();
        Rgb([across, down, 90])
    })
}

fn encoded(width: u32, height: u32, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    picture(width, height).write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

/// A JPEG of this size.
pub fn jpeg(width: u32, height: u32) -> Vec<u8> {
    encoded(width, height, ImageFormat::Jpeg)
}

/// A PNG of this size.
pub fn png(width: u32, height: u32) -> Vec<u8> {
    encoded(width, height, ImageFormat::Png)
}

/// A WebP of this size.
pub fn webp(width: u32, height: u32) -> Vec<u8> {
    encoded(width, height, ImageFormat::WebP)
}

/// A few kilobytes that unfold to 25 million pixels of one colour.
pub fn bomb() -> Vec<u8> {
    let mut bytes = Vec::new();
    let encoder =
        PngEncoder::new_with_quality(&mut bytes, CompressionType::Best, FilterType::NoFilter);
    encoder.write_image(&vec![7; 25_000_000], 5000, 5000, ExtendedColorType::L8).unwrap();
    bytes
}
