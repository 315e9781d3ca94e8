//! Colour: whatever the numbers mean in the file's own profile, afterwards they mean sRGB.
//!
//! Renditions carry no profile, and browsers show what carries none as sRGB (CSS Color 4, on untagged
//! images). So a Display P3 photo must be converted, or its colours would go flat.

use super::pixels::{Channels, Negative, Rgb};
use moxcms::{ColorProfile, DataColorSpace, Layout, TransformOptions};

/// The negative in sRGB. A profile that cannot be read, or is for other channels, is left aside, as viewers do.
pub fn to_srgb(negative: Negative) -> Rgb {
    let (width, height) = (negative.width, negative.height);
    let converted = negative.profile.as_deref().and_then(|icc| converted(&negative, icc));
    let bytes = match (converted, negative.channels) {
        (Some(bytes), _) => bytes,
        (None, Channels::Rgb) => negative.bytes,
        (None, Channels::Grey) => negative.bytes.iter().flat_map(|grey| [*grey; 3]).collect(),
        (None, Channels::Cmyk) => plain_inks(&negative.bytes),
    };
    Rgb { width, height, bytes }
}

fn converted(negative: &Negative, icc: &[u8]) -> Option<Vec<u8>> {
    let from = ColorProfile::new_from_slice(icc).ok()?;
    let (space, layout) = match negative.channels {
        Channels::Grey => (DataColorSpace::Gray, Layout::Gray),
        Channels::Rgb => (DataColorSpace::Rgb, Layout::Rgb),
        Channels::Cmyk => (DataColorSpace::Cmyk, Layout::Rgba),
    };
    if from.color_space != space {
        return None;
    }
    let srgb = ColorProfile::new_srgb();
    let transform =
        from.create_transform_8bit(layout, &srgb, Layout::Rgb, TransformOptions::default()).ok()?;
    let mut bytes = vec![0; negative.width as usize * negative.height as usize * 3];
    transform.transform(&negative.bytes, &mut bytes).ok()?;
    Some(bytes)
}

/// Inks without a profile: each takes its share of the light away, black of all three.
fn plain_inks(inks: &[u8]) -> Vec<u8> {
    let (pixels, _) = inks.as_chunks::<4>();
    let left = |ink: u8, black: u8| {
        let light = u32::from(255 - ink) * u32::from(255 - black);
        ((light + 127) / 255) as u8
    };
    pixels.iter().flat_map(|[c, m, y, k]| [left(*c, *k), left(*m, *k), left(*y, *k)]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn negative(channels: Channels, bytes: &[u8], profile: Option<Vec<u8>>) -> Negative {
        let width = (bytes.len() / channels.count()) as u32;
        Negative { width, height: 1, channels, bytes: bytes.to_vec(), profile }
    }

    #[test]
    fn untagged_numbers_are_srgb_already() {
        let kept = to_srgb(negative(Channels::Rgb, &[1, 2, 3, 250, 128, 0], None));
        assert_eq!(kept.bytes, [1, 2, 3, 250, 128, 0]);
        assert_eq!(to_srgb(negative(Channels::Grey, &[9, 200], None)).bytes, [9, 9, 9, 200, 200, 200]);
        assert_eq!(
            to_srgb(negative(Channels::Cmyk, &[0, 0, 0, 0, 0, 255, 255, 0], None)).bytes,
            [255, 255, 255, 255, 0, 0]
        );
    }

    #[test]
    fn a_display_p3_red_grows_stronger_in_srgb_numbers() {
        let p3 = ColorProfile::new_display_p3().encode().unwrap();
        let seen = to_srgb(negative(Channels::Rgb, &[200, 60, 60, 128, 128, 128], Some(p3))).bytes;
        assert!(seen[0] > 210 && seen[1] < 50, "{seen:?}");
        assert!(seen[3..].iter().all(|v| v.abs_diff(128) <= 1), "{seen:?}");
    }

    #[test]
    fn a_profile_that_does_not_fit_is_left_aside() {
        let p3 = ColorProfile::new_display_p3().encode().unwrap();
        assert_eq!(to_srgb(negative(Channels::Grey, &[7], Some(p3))).bytes, [7, 7, 7]);
        assert_eq!(to_srgb(negative(Channels::Rgb, &[7, 8, 9], Some(vec![0; 200]))).bytes, [7, 8, 9]);
    }
}
