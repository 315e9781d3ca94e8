//! Names of files that are on their way, left behind, or not here: what sync programs, phones, browsers and
//! editors call a file that is no content yet or not any more.
//!
//! One table, by the shape of the name and not by whose program makes it. The shapes are common practice, no
//! source; the six letters at the end are those of mkstemp(3).

/// What a name says of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Passing {
    /// Being written, or left behind by a program: never content, and not worth a word.
    Temporary,
    /// Stands for a file that is kept elsewhere and not on this computer.
    Placeholder,
    /// A second version that a sync kept since it could not tell which is right.
    Conflict,
}

/// A shape of names.
struct Shape {
    passing: Passing,
    /// What such a name looks like.
    #[cfg_attr(not(test), expect(dead_code, reason = "the test of this shape"))]
    example: &'static str,
    fits: fn(&str) -> bool,
}

/// All shapes; names come in small letters but for the last two of the temporary ones.
static SHAPES: &[Shape] = &[
    // Kept elsewhere. These come first, since some of them are hidden names as well.
    placeholder(".img_20260504.jpg.icloud", |name| name.starts_with('.') && name.ends_with(".icloud")),
    placeholder("img_20260504.jpg.cloud", |name| name.ends_with(".cloud")),
    placeholder("5 mounted.cloudf", |name| name.ends_with(".cloudf")),
    placeholder("img_20260504.jpg.placeholder", |name| name.ends_with(".placeholder")),
    // Two versions.
    conflict("job (ada's conflicted copy 2026-05-04).toml", |name| name.contains("conflicted copy")),
    conflict("job.sync-conflict-20260504-091233-abcdefg.toml", |name| name.contains("sync-conflict")),
    conflict("26-041 fenn (selective sync conflict)", |name| name.contains("sync conflict")),
    conflict("job (case conflict).toml", |name| name.contains("case conflict")),
    conflict("job (conflict 2).toml", |name| name.contains("(conflict")),
    conflict("job [conflict].toml", |name| name.contains("[conflict")),
    conflict("job_conflict-20260504.toml", |name| name.contains("_conflict")),
    conflict("job-conflict-2026.toml", |name| name.contains("-conflict")),
    conflict("job.toml.conflict", |name| name.contains(".conflict")),
    // On its way.
    temporary("img_20260504.jpg.part", |name| name.ends_with(".part")),
    temporary("img_20260504.jpg.partial", |name| name.ends_with(".partial")),
    temporary("img_20260504.jpg.filepart", |name| name.ends_with(".filepart")),
    temporary("img_20260504.jpg.tmp", |name| name.ends_with(".tmp")),
    temporary("img_20260504.jpg.temp", |name| name.ends_with(".temp")),
    temporary("img_20260504.jpg.crdownload", |name| name.ends_with(".crdownload")),
    temporary("img_20260504.jpg.download", |name| name.ends_with(".download")),
    temporary("img_20260504.jpg.opdownload", |name| name.ends_with(".opdownload")),
    temporary("img_20260504.jpg.upload", |name| name.ends_with(".upload")),
    temporary("img_20260504.jpg.uploading", |name| name.ends_with(".uploading")),
    temporary("img_20260504.jpg.pending", |name| name.ends_with(".pending")),
    temporary("img_20260504.jpg.!ut", |name| name.ends_with(".!ut")),
    // Beside a file that is open in an editor.
    temporary("~$job.toml", |name| name.starts_with("~$")),
    temporary("~sync~img_20260504.jpg", |name| name.starts_with('~')),
    temporary("job.toml~", |name| name.ends_with('~')),
    temporary("#job.toml#", |name| name.len() > 2 && name.starts_with('#') && name.ends_with('#')),
    temporary("job.toml.swp", |name| name.ends_with(".swp")),
    temporary("job.toml.swo", |name| name.ends_with(".swo")),
    temporary("job.toml.swx", |name| name.ends_with(".swx")),
    temporary("job.toml.lock", |name| name.ends_with(".lock")),
    temporary("job.toml___tmp___", |name| name.ends_with("___")),
    temporary("job.toml.sb-1a2b3c4d-Ab3dE9", has_safe_save_ending),
    temporary("IMG_20260504.jpg.Ab3dE9", has_six_odd_letters),
];

const fn temporary(example: &'static str, fits: fn(&str) -> bool) -> Shape {
    Shape { passing: Passing::Temporary, example, fits }
}

const fn placeholder(example: &'static str, fits: fn(&str) -> bool) -> Shape {
    Shape { passing: Passing::Placeholder, example, fits }
}

const fn conflict(example: &'static str, fits: fn(&str) -> bool) -> Shape {
    Shape { passing: Passing::Conflict, example, fits }
}

/// What the name of a file or folder says; nothing for a name of content.
pub fn passing(name: &str) -> Option<Passing> {
    shape(name).map(|shape| shape.passing)
}

fn shape(name: &str) -> Option<&'static Shape> {
    let small = name.to_lowercase();
    // Where capitals matter the name itself is looked at.
    SHAPES.iter().find(|shape| (shape.fits)(&small) || (shape.fits)(name))
}

/// The name of the file that a placeholder stands for.
pub fn stood_for(placeholder: &str) -> &str {
    let stem = placeholder.rsplit_once('.').map_or(placeholder, |(stem, _)| stem);
    stem.strip_prefix('.').unwrap_or(stem)
}

/// `job.toml.sb-1a2b3c4d-Ab3dE9`: a folder that a text editor saves through.
fn has_safe_save_ending(name: &str) -> bool {
    let Some((_, rest)) = name.rsplit_once(".sb-") else { return false };
    rest.split_once('-').is_some_and(|(a, b)| {
        a.len() == 8 && a.bytes().all(|c| c.is_ascii_hexdigit()) && b.len() == 6 && b.is_ascii()
    })
}

/// `IMG_1.jpg.Ab3dE9`: an ending of content, and behind it six letters and digits that nobody types.
fn has_six_odd_letters(name: &str) -> bool {
    let Some((before, odd)) = name.rsplit_once('.') else { return false };
    let known = ["jpg", "jpeg", "png", "webp", "gif", "heic", "heif", "toml", "md"];
    let of_content = before
        .rsplit_once('.')
        .is_some_and(|(_, ending)| known.iter().any(|known| known.eq_ignore_ascii_case(ending)));
    let mixed = odd.bytes().any(|c| c.is_ascii_uppercase() || c.is_ascii_digit());
    of_content && odd.len() == 6 && mixed && odd.bytes().all(|c| c.is_ascii_alphanumeric())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_shape_is_known_by_its_example_in_any_capitals() {
        for (at, shape) in SHAPES.iter().enumerate() {
            let found =
                SHAPES.iter().position(|other| std::ptr::eq(other, super::shape(shape.example).unwrap()));
            assert_eq!(found, Some(at), "{} is taken for another shape", shape.example);
            assert_eq!(passing(&shape.example.to_uppercase()), Some(shape.passing), "{}", shape.example);
        }
    }

    #[test]
    fn names_of_content_are_none_of_these() {
        for name in [
            "job.toml",
            "IMG_20260504_091233.jpg",
            "eyes set.jpg",
            "5 mounted",
            "26-041 Fenn gobbler",
            "no conflict between wing and base.jpg",
            "part two.jpg",
            "a.jpg.toml",
            "job.toml.backup",
            "cloud on the wing.jpg",
            "about.md",
            "2026-05-04 09.12.33.jpg",
            "#2 hanger.jpg",
            "template.jpg",
        ] {
            assert_eq!(passing(name), None, "{name}");
        }
    }

    #[test]
    fn a_placeholder_names_what_it_stands_for() {
        assert_eq!(stood_for(".IMG_1.jpg.icloud"), "IMG_1.jpg");
        assert_eq!(stood_for("job.toml.cloud"), "job.toml");
    }
}
