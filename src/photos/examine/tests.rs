//! Pictures are made here with the library that reads them; what a file must hold is checked against the
//! standards named in `whole`.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder, ImageFormat, Rgb, RgbImage};

use super::{Unfit, examine};
use crate::photos::model::{LARGEST_BYTES, MediaType};

/// A picture with as much in it as a camera's: no two pixels alike in a way that folds up.
fn picture(width: u32, height: u32) -> RgbImage {
    let mut state: u32 = 1;
    RgbImage::from_fn(width, height, |x, y| {
        // A linear congruential generator (Numerical Recipes' constants).
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let [noise, ..] = state.to_be_bytes();
        let [.., left] = x.to_be_bytes();
        let [.., down] = y.to_be_bytes();
        Rgb([left, down, noise])
    })
}

fn encoded(picture: &RgbImage, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    picture.write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

/// A JPEG whose Exif block says how it is turned (Exif 2.32, tag 0x0112).
fn turned(picture: &RgbImage, orientation: u8) -> Vec<u8> {
    let mut exif = b"II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0".to_vec();
    exif.extend([orientation, 0, 0, 0, 0, 0, 0, 0]);
    let mut bytes = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut bytes, 90);
    encoder.set_exif_metadata(exif).unwrap();
    encoder.encode_image(picture).unwrap();
    bytes
}

/// A PNG of one colour: almost nothing that unfolds to a great deal.
fn plain_png(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = Vec::new();
    let row = usize::try_from(width * height).unwrap();
    let encoder =
        PngEncoder::new_with_quality(&mut bytes, CompressionType::Best, FilterType::NoFilter);
    encoder.write_image(&vec![7; row], width, height, ExtendedColorType::L8).unwrap();
    bytes
}

/// A PNG's header that claims a size, with its checksum (ISO/IEC 15948, 11.2.2 and annex D).
fn claiming(width: u32, height: u32) -> Vec<u8> {
    let mut header = b"IHDR".to_vec();
    header.extend(width.to_be_bytes());
    header.extend(height.to_be_bytes());
    header.extend([8, 2, 0, 0, 0]);
    let crc = !header.iter().fold(u32::MAX, |crc, &byte| {
        (0..8).fold(crc ^ u32::from(byte), |crc, _| {
            if crc & 1 == 1 { crc >> 1 ^ 0xEDB8_8320 } else { crc >> 1 }
        })
    });
    let mut bytes = b"\x89PNG\r\n\x1a\n\0\0\0\x0d".to_vec();
    bytes.extend(header);
    bytes.extend(crc.to_be_bytes());
    bytes.extend(b"\0\0\0\x02IDAT\x78\x9c\0\0\0\0\0\0\0\0IEND\xae\x42\x60\x82");
    bytes
}

#[test]
fn each_kind_is_taken_and_gets_an_upright_thumbnail() {
    let picture = picture(900, 600);
    for (format, kind) in [
        (ImageFormat::Jpeg, MediaType::Jpeg),
        (ImageFormat::Png, MediaType::Png),
        (ImageFormat::WebP, MediaType::Webp),
    ] {
        let found = examine(&encoded(&picture, format)).unwrap();
        assert_eq!((found.media_type, found.width_px, found.height_px), (kind, 900, 600));
        assert_eq!((found.thumbnail.width_px, found.thumbnail.height_px), (640, 427));
        assert_eq!(found.print.is_none(), kind == MediaType::Jpeg, "{kind:?}");
        let again = image::load_from_memory(&found.thumbnail.bytes).unwrap();
        assert_eq!((again.width(), again.height()), (640, 427));
    }
}

#[test]
fn a_picture_taken_upright_on_a_lying_sensor_stands_in_its_thumbnail() {
    // Exif 2.32: orientation 6, the top of what is seen is the sensor's right side.
    let mut sensor = RgbImage::from_pixel(32, 16, Rgb([255, 255, 255]));
    for y in 0..16 {
        for x in 24..32 {
            sensor.put_pixel(x, y, Rgb([0, 0, 0]));
        }
    }
    let found = examine(&turned(&sensor, 6)).unwrap();
    assert_eq!((found.orientation, found.width_px, found.height_px), (6, 32, 16));
    let seen = image::load_from_memory(&found.thumbnail.bytes).unwrap().to_luma8();
    assert_eq!((seen.width(), seen.height()), (16, 32));
    let (bottom, top) = (seen.get_pixel(8, 30).0[0], seen.get_pixel(8, 2).0[0]);
    assert!(bottom < 60 || top < 60, "the dark edge is at neither end");
    // Turned a quarter clockwise, the sensor's left side is the top; its right side the bottom.
    assert!(bottom < 60 && top > 200, "top {top}, bottom {bottom}");
}

#[test]
fn a_large_jpeg_gets_a_rendition_for_print_and_a_small_one_prints_itself() {
    let found = examine(&encoded(&picture(2200, 1500), ImageFormat::Jpeg)).unwrap();
    let print = found.print.unwrap();
    assert_eq!((print.width_px, print.height_px), (1600, 1091));
    assert!(print.bytes.starts_with(&[0xFF, 0xD8]));
    assert!(examine(&encoded(&picture(300, 200), ImageFormat::Jpeg)).unwrap().print.is_none());
}

#[test]
fn what_is_transparent_is_white_in_print() {
    let clear = image::RgbaImage::from_pixel(8, 8, image::Rgba([0, 0, 0, 0]));
    let mut bytes = Cursor::new(Vec::new());
    clear.write_to(&mut bytes, ImageFormat::Png).unwrap();
    let print = examine(&bytes.into_inner()).unwrap().print.unwrap();
    let seen = image::load_from_memory(&print.bytes).unwrap().to_luma8();
    assert!(seen.pixels().all(|pixel| pixel.0[0] > 250));
}

#[test]
fn what_is_no_picture_is_not_taken_whatever_it_claims() {
    assert_eq!(examine(b""), Err(Unfit::Empty));
    for other in [&b"%PDF-1.7 and more"[..], b"GIF89a\x01\0\x01\0", b"<html>photo.jpg</html>"] {
        assert_eq!(examine(other), Err(Unfit::OtherKind));
    }
    assert_eq!(examine(b"\0\0\0\x18ftypheic\0\0\0\0"), Err(Unfit::Heif));
    let most = usize::try_from(LARGEST_BYTES).unwrap();
    assert_eq!(examine(&vec![0xFF; most + 1]), Err(Unfit::TooLarge));
    // A marker of each kind with nothing sound behind it.
    assert_eq!(examine(b"\xFF\xD8\xFF\xD9"), Err(Unfit::CutOff(MediaType::Jpeg)));
    assert_eq!(examine(b"RIFF\x04\0\0\0WEBPVP8 "), Err(Unfit::Damaged(MediaType::Webp)));
}

#[test]
fn what_is_cut_off_anywhere_is_told_so() {
    let picture = picture(64, 48);
    for format in [ImageFormat::Jpeg, ImageFormat::Png, ImageFormat::WebP] {
        let bytes = encoded(&picture, format);
        assert!(examine(&bytes).is_ok());
        for tenth in 1..10 {
            let cut = &bytes[..bytes.len() * tenth / 10];
            assert!(matches!(examine(cut), Err(Unfit::CutOff(_))), "{format:?} {tenth}");
        }
        assert!(matches!(examine(&bytes[..bytes.len() - 1]), Err(Unfit::CutOff(_))), "{format:?}");
    }
}

#[test]
fn a_bomb_is_refused_before_it_unfolds() {
    // Claims 400 megapixels in a few bytes, then more than the format allows.
    assert_eq!(examine(&claiming(20_000, 20_000)), Err(Unfit::TooManyPixels(20_000, 20_000)));
    assert!(examine(&claiming(u32::MAX, 2)).is_err());
    let folded = plain_png(5000, 5000);
    assert!(folded.len() < 50_000, "{}", folded.len());
    assert_eq!(examine(&folded), Err(Unfit::Folded(5000, 5000)));
    // A small picture of one colour is no bomb.
    assert!(examine(&plain_png(200, 200)).is_ok());
}

#[test]
fn bytes_that_were_turned_over_do_no_harm() {
    let picture = picture(40, 30);
    for format in [ImageFormat::Jpeg, ImageFormat::Png, ImageFormat::WebP] {
        let bytes = encoded(&picture, format);
        for at in (0..bytes.len()).step_by(7) {
            let mut damaged = bytes.clone();
            damaged[at] ^= 0x5A;
            // Either answer will do: it must answer.
            let _ = examine(&damaged);
        }
    }
}
