//! Looks into a file that claims to be a photo: says what it is, or why it is not taken, and makes its
//! thumbnail and, where its own bytes cannot be printed, its rendition for print. A processor's work:
//! run it on a blocking thread.

mod whole;

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::metadata::Orientation;
use image::{
    ColorType, DynamicImage, ImageDecoder, ImageError, ImageFormat, ImageReader, Limits, RgbImage,
};

use crate::photos::model::{LARGEST_BYTES, MOST_PIXELS, MediaType, bytes_shown};

/// The longer side of a thumbnail, px.
const THUMBNAIL_PX: u32 = 640;

/// The longer side of a rendition for print, px: 250 to the inch on a page's full width.
const PRINT_PX: u32 = 1600;

/// A JPEG of up to so many bytes is printed by its own bytes: sixty of them still make a report that a
/// small server holds in memory.
const PRINTS_ITSELF_BYTES: u64 = 768 * 1024;

/// A picture's bytes in memory, at most: 50 megapixels of 4 bytes, and a little for tables.
const MOST_MEMORY: u64 = 224 * 1024 * 1024;

/// A picture of more bytes than these, and [`FOLDED_TIMES`] the file's, is no photo but a bomb.
const FOLDED_FROM_BYTES: u64 = 8 * 1024 * 1024;

/// No camera's picture comes out of a file a five-hundredth its size.
const FOLDED_TIMES: u64 = 500;

/// Quality of the JPEGs made here: no grain that eyes find at their sizes.
const QUALITY: u8 = 82;

/// Why a file is not taken; prints as the message beside its field.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unfit {
    /// Nothing in it.
    #[error("the file is empty")]
    Empty,
    /// Too many bytes.
    #[error(
        "the file has more than {}; send it smaller, cameras have a setting for it",
        bytes_shown(LARGEST_BYTES)
    )]
    TooLarge,
    /// Another kind of file.
    #[error("this is no JPEG, PNG or WebP picture, whatever its name says")]
    OtherKind,
    /// A kind that some telephones write by themselves.
    #[error(
        "this is a HEIC or AVIF picture, which is not taken; set the camera to the most compatible format, or send it as JPEG"
    )]
    Heif,
    /// Cut off.
    #[error("the {} file ends too early: it did not arrive whole or was damaged; choose it again", .0.shown())]
    CutOff(MediaType),
    /// Too many pixels.
    #[error("the picture has {0} × {1} px, more than {most} megapixels; send it smaller", most = MOST_PIXELS / 1_000_000)]
    TooManyPixels(u32, u32),
    /// Hardly any file, and a huge picture.
    #[error(
        "the file is far too small for the picture of {0} × {1} px that it claims to hold; a camera makes none like it"
    )]
    Folded(u32, u32),
    /// What the decoder cannot make out.
    #[error("the {} file is damaged and cannot be shown", .0.shown())]
    Damaged(MediaType),
}

/// A JPEG made here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Made {
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// Width, px.
    pub width_px: u32,
    /// Height, px.
    pub height_px: u32,
}

/// What a photo was found to be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Examined {
    /// What kind of file it is.
    pub media_type: MediaType,
    /// Width as stored, px.
    pub width_px: u32,
    /// Height as stored, px.
    pub height_px: u32,
    /// Exif orientation, 1 to 8.
    pub orientation: u8,
    /// Small, upright.
    pub thumbnail: Made,
    /// What is printed instead of the file; `None` where its own bytes can be.
    pub print: Option<Made>,
}

/// Examines a whole file.
///
/// # Errors
/// [`Unfit`].
pub fn examine(bytes: &[u8]) -> Result<Examined, Unfit> {
    let size = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
    if size == 0 {
        return Err(Unfit::Empty);
    }
    if size > LARGEST_BYTES {
        return Err(Unfit::TooLarge);
    }
    let other = if whole::is_heif(bytes) { Unfit::Heif } else { Unfit::OtherKind };
    let media_type = whole::kind(bytes).ok_or(other)?;
    let (picture, orientation) = decoded(media_type, bytes)?;
    let (width_px, height_px) = (picture.width(), picture.height());
    let own = media_type == MediaType::Jpeg
        && size <= PRINTS_ITSELF_BYTES
        && whole::jpeg(bytes).is_some_and(|jpeg| jpeg.printable);
    let damaged = |_| Unfit::Damaged(media_type);
    let print = (!own).then(|| rendition(&picture, orientation, PRINT_PX, media_type));
    let print = print.transpose().map_err(damaged)?;
    let thumbnail = rendition(&picture, orientation, THUMBNAIL_PX, media_type).map_err(damaged)?;
    let orientation = orientation.to_exif();
    Ok(Examined { media_type, width_px, height_px, orientation, thumbnail, print })
}

/// The picture as stored, and how it is turned. Its size is judged before a pixel is decoded.
fn decoded(media_type: MediaType, bytes: &[u8]) -> Result<(DynamicImage, Orientation), Unfit> {
    let format = match media_type {
        MediaType::Jpeg => ImageFormat::Jpeg,
        MediaType::Png => ImageFormat::Png,
        MediaType::Webp => ImageFormat::WebP,
    };
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_MEMORY);
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    reader.limits(limits);
    // Whatever went wrong: a file that was cut off is told so.
    let whole = whole::is_whole(media_type, bytes);
    let unreadable = |_| if whole { Unfit::Damaged(media_type) } else { Unfit::CutOff(media_type) };
    let mut decoder = reader.into_decoder().map_err(unreadable)?;
    let (width, height) = decoder.dimensions();
    if u64::from(width) * u64::from(height) > MOST_PIXELS {
        return Err(Unfit::TooManyPixels(width, height));
    }
    let unfolded = decoder.total_bytes();
    let size = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
    if unfolded > FOLDED_FROM_BYTES && unfolded / FOLDED_TIMES > size {
        return Err(Unfit::Folded(width, height));
    }
    if !whole {
        return Err(Unfit::CutOff(media_type));
    }
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    match DynamicImage::from_decoder(decoder) {
        Ok(picture) => Ok((picture, orientation)),
        Err(ImageError::Limits(_)) => Err(Unfit::TooManyPixels(width, height)),
        Err(error) => Err(unreadable(error)),
    }
}

/// The picture upright, not longer than this, as a JPEG; grey stays grey, what is transparent is white.
fn rendition(
    picture: &DynamicImage,
    orientation: Orientation,
    longest_px: u32,
    media_type: MediaType,
) -> Result<Made, Unfit> {
    let small = if picture.width().max(picture.height()) > longest_px {
        picture.thumbnail(longest_px, longest_px)
    } else {
        picture.clone()
    };
    let grey = matches!(small.color(), ColorType::L8 | ColorType::L16);
    let mut upright = if grey {
        DynamicImage::ImageLuma8(small.into_luma8())
    } else if small.color().has_alpha() {
        DynamicImage::ImageRgb8(on_white(&small))
    } else {
        DynamicImage::ImageRgb8(small.into_rgb8())
    };
    upright.apply_orientation(orientation);
    let mut bytes = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut bytes, QUALITY);
    encoder.encode_image(&upright).map_err(|_| Unfit::Damaged(media_type))?;
    Ok(Made { bytes, width_px: upright.width(), height_px: upright.height() })
}

fn on_white(picture: &DynamicImage) -> RgbImage {
    let seen = picture.to_rgba8();
    RgbImage::from_fn(seen.width(), seen.height(), |x, y| {
        let [red, green, blue, alpha] = seen.get_pixel(x, y).0;
        let over = |ink: u8| {
            let share = u16::from(ink) * u16::from(alpha) + 255 * (255 - u16::from(alpha));
            u8::try_from(share / 255).unwrap_or(u8::MAX)
        };
        image::Rgb([over(red), over(green), over(blue)])
    })
}

#[cfg(test)]
mod tests;
