//! HEIC (ISO/IEC 23008-12 with HEVC inside), as phones write it: a grid of tiles, or one picture.
//!
//! Tiles are decoded a row at a time and made smaller at once, so that memory stays small. Colour without a
//! description is taken as ISO/IEC 23000-22 says: BT.601 numbers over their full range, which is also how the
//! phones that write only an ICC profile mean it.

use super::{Header, damaged, shrink};
use crate::model::PhotoFault;
use crate::photo::pixels::{Channels, Negative};
use crate::photo::upright::Turn;
use crate::photo::{bounds, exif};
use heic_rs::context::Context;
use heic_rs::hevc::{self, Frame};
use heic_rs::props::ItemProps;
use heic_rs::{Error, Image, MatrixCoefficients, Mirror, Nclx, PixelLayout, Range, Rotation, Transform};
use shrink::Shrink;

/// Bytes a pixel of a coded picture while it is decoded, as measured: its planes, and what the decoder notes down
/// for each block. The RGB that is made of it comes on top.
const HELD: u64 = 6;
/// The code of Display P3's primaries (ITU-T H.273, table 2).
const P3_PRIMARIES: u16 = 12;

/// Left, top, width and height of what is shown of a picture.
type Crop = (u32, u32, u32, u32);

/// The picture that the file is about, and where its pixels are.
struct Primary<'a> {
    context: Context<'a>,
    props: ItemProps<'a>,
    /// Items of the tiles, row by row; a picture that is not a grid is one tile.
    tiles: Vec<u32>,
    columns: u32,
    /// Of the whole grid, before cropping.
    size: (u32, u32),
    crop: Crop,
    turn: Turn,
}

pub fn header(file: &[u8], longest: u32) -> Result<Header, PhotoFault> {
    let primary = open(file)?;
    let (_, _, width, height) = primary.crop;
    // Which way is up is said by the container alone; EXIF repeats it and must not count twice (ISO/IEC 23008-12).
    let exif = primary.context.exif(primary.context.meta.primary).ok().flatten();
    let exif = exif::ExifFacts { turn: primary.turn, ..exif.map(exif::read).unwrap_or_default() };
    let (tile_width, tile_height) = primary.tile_size()?;
    let tile = u64::from(tile_width) * u64::from(tile_height);
    let needs = tile * HELD
        + tile * 3 * u64::from(primary.columns)
        + shrink::kept_bytes((width, height), longest, 3)
        + (2 << 20);
    Ok(Header { width, height, exif, needs })
}

pub fn pixels(file: &[u8], longest: u32) -> Result<Negative, PhotoFault> {
    let primary = open(file)?;
    let (tile_width, tile_height) = primary.tile_size()?;
    bounds::check(tile_width, tile_height)?;
    let (left, top, width, height) = primary.crop;
    let (left, top, bottom) = (left as usize * 3, top as usize, (top + height) as usize);
    let mut shrink = Shrink::new((width, height), longest, Channels::Rgb);
    let mut row = Vec::new();
    for (band, tiles) in primary.tiles.chunks(primary.columns.max(1) as usize).enumerate() {
        let begin = band * tile_height as usize;
        if begin >= bottom {
            break;
        }
        let decoded: Vec<Image> = tiles
            .iter()
            .map(|tile| primary.tile(*tile, (tile_width, tile_height)))
            .collect::<Result<_, _>>()?;
        for y in begin.max(top)..(begin + tile_height as usize).min(bottom) {
            row.clear();
            for image in &decoded {
                let at = (y - begin) * image.row_bytes();
                row.extend_from_slice(image.data.get(at..at + image.row_bytes()).unwrap_or_default());
            }
            let shown = row.get(left..left + width as usize * 3);
            shrink.row(shown.ok_or_else(|| damaged("its tiles do not fill it"))?);
        }
    }
    let negative = shrink.finish(primary.profile());
    if negative.height == 0 {
        return Err(damaged("its tiles do not fill it"));
    }
    Ok(negative)
}

fn open(file: &[u8]) -> Result<Primary<'_>, PhotoFault> {
    let context = Context::open(file).map_err(fault)?;
    let id = context.meta.primary;
    let props = context.props(id).map_err(fault)?;
    let (size, columns, tiles) = match context.grid(id).map_err(fault)? {
        Some((grid, tiles)) => ((grid.output_width, grid.output_height), grid.columns, tiles),
        None => (context.coded_size(id, &props).map_err(fault)?, 1, vec![id]),
    };
    bounds::check(size.0, size.1)?;
    let (crop, turn) = placed(size, &props.transforms)?;
    Ok(Primary { context, props, tiles, columns, size, crop, turn })
}

/// What is shown of the picture, and how it is turned. The properties stand in the order of their use: a crop
/// comes first, as ISO/IEC 23000-22 has it.
fn placed((width, height): (u32, u32), transforms: &[Transform]) -> Result<(Crop, Turn), PhotoFault> {
    let mut crop = (0, 0, width, height);
    let (mut quarters, mut mirrored) = (0u8, false);
    for (place, transform) in transforms.iter().enumerate() {
        match transform {
            Transform::Crop(aperture) if place == 0 => {
                crop = heic_rs::transform::crop_rect(width, height, *aperture).map_err(fault)?;
            }
            Transform::Crop(_) => {
                let what = "a HEIC picture of a rare kind (cropped after it is turned)";
                return Err(PhotoFault::NotShowable(what.to_owned()));
            }
            Transform::Rotate(rotation) => {
                quarters += match rotation {
                    Rotation::None => 0,
                    Rotation::Ccw90 => 1,
                    Rotation::Ccw180 => 2,
                    Rotation::Ccw270 => 3,
                };
            }
            // A mirror after a turn is the turn the other way after a mirror. The crate calls the coded 0 left and
            // right; by ISO/IEC 23008-12:2022, 6.5.12, and in libheif, 0 exchanges top and bottom.
            Transform::Mirror(Mirror::LeftRight) => (quarters, mirrored) = (6 - quarters % 4, !mirrored),
            Transform::Mirror(Mirror::TopBottom) => (quarters, mirrored) = (4 - quarters % 4, !mirrored),
        }
        quarters %= 4;
    }
    // The EXIF orientation that is undone by: mirror left and right if `mirrored`, then turn to the left.
    let number = match (mirrored, quarters) {
        (false, 0) => 1,
        (false, 1) => 8,
        (false, 2) => 3,
        (false, _) => 6,
        (true, 0) => 2,
        (true, 1) => 5,
        (true, 2) => 4,
        (true, _) => 7,
    };
    Ok((crop, Turn::from_exif(number)))
}

impl Primary<'_> {
    /// Width and height of a tile as it is coded.
    fn tile_size(&self) -> Result<(u32, u32), PhotoFault> {
        let first = self.tiles.first().ok_or_else(|| damaged("its grid has no tiles"))?;
        let props = self.context.props(*first).map_err(fault)?;
        let coded = props.hvcc.as_ref().ok_or_else(rare)?;
        let info = hevc::probe(&coded.parameter_sets()).map_err(fault)?;
        let across = u64::from(info.width) * u64::from(self.columns);
        let down =
            u64::from(info.height) * (self.tiles.len() as u64).div_ceil(u64::from(self.columns.max(1)));
        // A grid may reach over the picture by less than a tile; a tile as large as the grid would be a bomb.
        if across < u64::from(self.size.0) || down < u64::from(self.size.1) {
            return Err(damaged("its tiles do not fill it"));
        }
        bounds::check(u32::try_from(across).unwrap_or(u32::MAX), u32::try_from(down).unwrap_or(u32::MAX))?;
        Ok((info.width, info.height))
    }

    fn tile(&self, item: u32, size: (u32, u32)) -> Result<Image, PhotoFault> {
        let props = self.context.props(item).map_err(fault)?;
        let coded = props.hvcc.as_ref().ok_or_else(rare)?;
        let sets = coded.parameter_sets();
        let info = hevc::probe(&sets).map_err(fault)?;
        if (info.width, info.height) != size {
            return Err(damaged("its tiles are of different sizes"));
        }
        let data = self.context.item_data(item).map_err(fault)?;
        let units = coded.split_nals(&data).map_err(fault)?;
        let frame: Frame = hevc::decode_still(&sets, &units).map_err(fault)?;
        let meaning = self.props.nclx.or(props.nclx).unwrap_or(UNLABELLED);
        let image =
            heic_rs::color::convert(&frame, None, meaning, PixelLayout::Rgb8, bounds::MOST_PIXELS, Some(1));
        let image = image.map_err(fault)?;
        if (image.width, image.height) != size {
            return Err(damaged("its tiles are of different sizes"));
        }
        Ok(image)
    }

    /// The ICC profile, or one for Display P3 if a code says so.
    fn profile(&self) -> Option<Vec<u8>> {
        let tile = self.tiles.first().and_then(|tile| self.context.props(*tile).ok());
        let tile_icc = tile.as_ref().and_then(|props| props.icc);
        if let Some(icc) = self.props.icc.or(tile_icc) {
            return Some(icc.to_vec());
        }
        let meaning = self.props.nclx.or(tile.and_then(|props| props.nclx))?;
        let p3 = (meaning.primaries == P3_PRIMARIES).then(moxcms::ColorProfile::new_display_p3)?;
        p3.encode().ok()
    }
}

const UNLABELLED: Nclx = Nclx {
    primaries: 1,
    transfer: 13,
    matrix: MatrixCoefficients::Bt601,
    matrix_code: 5,
    range: Range::Full,
};

fn rare() -> PhotoFault {
    PhotoFault::NotShowable("a HEIC picture of a rare kind; save it as JPEG".to_owned())
}

fn fault(error: Error) -> PhotoFault {
    match error {
        Error::Truncated(_) => PhotoFault::Damaged("it breaks off before its end".to_owned()),
        Error::Unsupported(what) => {
            PhotoFault::NotShowable(format!("a HEIC picture of a rare kind ({what}); save it as JPEG"))
        }
        other => damaged(other),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_and_mirrors_add_up_to_an_orientation() {
        use Transform::{Mirror as M, Rotate as R};
        let (tb, lr) = (M(Mirror::LeftRight), M(Mirror::TopBottom));
        for (transforms, number) in [
            (vec![], 1),
            (vec![R(Rotation::Ccw90)], 8),
            (vec![R(Rotation::Ccw180)], 3),
            (vec![R(Rotation::Ccw270)], 6),
            (vec![lr], 2),
            (vec![tb], 4),
            (vec![tb, R(Rotation::Ccw180)], 2),
            (vec![lr, R(Rotation::Ccw90)], 5),
            (vec![R(Rotation::Ccw90), tb], 5),
            (vec![R(Rotation::Ccw90), lr], 7),
            (vec![lr, lr], 1),
        ] {
            let (crop, turn) = placed((7, 5), &transforms).unwrap();
            assert_eq!((crop, turn), ((0, 0, 7, 5), Turn::from_exif(number)), "{transforms:?}");
        }
    }
}
