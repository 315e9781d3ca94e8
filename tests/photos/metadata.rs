//! What exiftool finds in a rendition: the file's own structure, and nothing that came with the photo.

use super::Pass;
use crate::builder::tools;
use benchlight::door::photo;
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;

/// What any JPEG has: the file system's facts, the frame's, the JFIF header's, and sums of those.
const STRUCTURE: [&str; 5] = ["ExifTool", "System", "File", "JFIF", "Composite"];
const STRUCTURE_TAGS: [&str; 10] = [
    "FileType",
    "FileTypeExtension",
    "MIMEType",
    "ImageWidth",
    "ImageHeight",
    "EncodingProcess",
    "BitsPerSample",
    "ColorComponents",
    "YCbCrSubSampling",
    "Megapixels",
];

/// Groups and tags, as `Group:Tag`.
fn tags(path: &Path) -> BTreeSet<String> {
    let told = tools::printed(Command::new("exiftool").args(["-a", "-G1", "-s", "-j", "-ee"]).arg(path));
    let told: Value = serde_json::from_str(&told).unwrap();
    told[0].as_object().unwrap().keys().filter(|key| key.contains(':')).cloned().collect()
}

#[test]
fn nothing_that_came_with_a_photo_leaves() {
    let pass = Pass::over("metadata");
    assert!(pass.faults.is_empty(), "{:?}", pass.faults);
    let input = tags(&pass.pictures["everything.jpg"].path);
    for group in
        ["IFD0", "ExifIFD", "GPS", "IFD1", "IPTC", "XMP-dc", "XMP-iptcCore", "ICC_Profile", "ICC-header"]
    {
        assert!(input.iter().any(|tag| tag.starts_with(&format!("{group}:"))), "{group} in {input:?}");
    }
    assert!(input.contains("File:Comment") && input.contains("IFD1:ThumbnailImage"));
    assert!(input.iter().any(|tag| tag.contains("MakerNote")), "{input:?}");
    // Words that exiftool wrote into a maker's own note.
    let maker =
        tools::printed(Command::new("exiftool").arg("-Canon:all").arg(&pass.pictures["maker.jpg"].path));
    assert_eq!(maker.matches("CANARY-note").count(), 3, "{maker}");
    for name in ["everything.jpg", "everything.png", "everything.webp", "everything.heic", "maker.jpg"] {
        let renditions = pass.renditions(name);
        for rendition in &renditions.sizes {
            only_structure(&rendition.path);
        }
        let tiny = renditions.placeholder.strip_prefix("data:image/jpeg;base64,").unwrap();
        let tiny = data_encoding::BASE64.decode(tiny.as_bytes()).unwrap();
        let path = pass.folder.path().join("tiny.jpg");
        benchlight::door::base::files::replace(&path, &tiny).unwrap();
        only_structure(&path);
    }
}

#[test]
fn a_photo_has_the_day_that_exiftool_reads_where_it_was_taken() {
    let pass = Pass::over("metadata");
    let read = |name: &str| {
        let path = &pass.pictures[name].path;
        let told = tools::printed(
            Command::new("exiftool").args(["-s3", "-d", "%Y-%m-%d %H:%M:%S", "-DateTimeOriginal"]).arg(path),
        );
        let (day, second) = photo::look(path).unwrap().exif_taken.unwrap();
        let ours = format!("{day} {:02}:{:02}:{:02}", second / 3600, second / 60 % 60, second % 60);
        assert_eq!(ours, told.trim(), "{name}");
        ours
    };
    for name in ["everything.jpg", "everything.png", "everything.webp", "everything.heic"] {
        assert_eq!(read(name), "2026-05-02 16:04:09");
    }
    // With their offsets both would be of another day in UTC.
    assert_eq!(read("late.jpg"), "2026-05-02 23:40:00");
    assert_eq!(read("early.jpg"), "2026-05-03 00:20:30");
}

fn only_structure(path: &Path) {
    for tag in tags(path) {
        let (group, name) = tag.split_once(':').unwrap();
        assert!(STRUCTURE.contains(&group), "{tag} in {}", path.display());
        if group == "File" {
            assert!(STRUCTURE_TAGS.contains(&name), "{tag} in {}", path.display());
        }
        assert!(!name.contains("Thumbnail") && !name.contains("GPS"), "{tag}");
    }
    let bytes = std::fs::read(path).unwrap();
    assert!(!bytes.windows(6).any(|seen| seen == b"CANARY"), "{}", path.display());
}
