"""Places the demo shop's pictures: drawn masters in, photos as a phone would have left them out.

    python3 tests/demo/place.py FOLDER-OF-MASTERS

Each master is written into content/ under a phone's name or the owner's words, with EXIF as phones write it:
an invented make and model, the time it was taken (which fits the story of its job), one of the orientations
1, 3, 6 and 8 with the stored pixels turned so that it shows upright, an invented position in mid-ocean, and an
embedded thumbnail. The program must read the first two and let nothing of it out. Pixels are encoded again only where they turn.

Needs Pillow and the program exiftool. What a former run placed (listed in placed.txt beside this file) is taken away
first; other files stay.
A master that is missing is named at the end, and the exit code is then 1.
"""

import os
import shutil
import subprocess
import sys
from datetime import datetime, timedelta
from pathlib import Path

CONTENT = Path(__file__).resolve().parents[2] / "content"
RECORD = Path(__file__).resolve().parent / "placed.txt"

PHONES = {  # invented
    "a": ("Larkwire", "Pocket 4"),
    "b": ("Halden Optic", "H7 Mini"),
}

# Master, number of the job, folder in it ("" = loose), name of the file, taken at (local time), orientation, phone.
# The name "IMG" becomes a camera's name.
JOBS = [
    ("work-turkey-intake", "26-041", "", "IMG", "2026-04-28 17:15:02", 6, "a"),
    ("work-turkey-washed", "26-021", "4 washed", "IMG", "2026-06-09 19:41:37", 1, "a"),
    ("work-turkey-form", "26-021", "", "the form, ready for him.jpg", "2026-06-10 18:22:05", 8, "a"),
    ("work-turkey-head-back", "25-038", "2 head-back", "IMG", "2025-12-19 16:05:44", 3, "a"),
    ("work-turkey-mounted-2", "25-038", "5 mounted", "wings taped.jpg", "2026-05-23 12:18:49", 6, "a"),
    ("work-turkey-mounted", "25-034", "5 mounted", "IMG", "2026-02-21 11:32:10", 1, "b"),
    ("work-turkey-painted", "25-034", "9 painted", "IMG", "2026-04-04 10:27:19", 8, "a"),
    ("work-turkey-finished", "25-034", "10 finished", "by the window.jpg", "2026-04-28 18:40:00", 6, "a"),
    ("work-fan-pinned", "26-044", "2 pinned", "IMG", "2026-06-02 19:02:58", 3, "a"),
    ("work-fan-finished", "26-028", "4 finished", "IMG", "2026-05-30 11:49:21", 1, "b"),
    ("work-deer-cape", "25-071", "4 hide-back", "back and soft.jpg", "2026-04-30 18:11:30", 1, "a"),
    ("work-deer-form", "25-067", "5 antlers-set", "IMG", "2026-05-07 20:04:12", 6, "a"),
    ("work-deer-mounted", "25-067", "6 mounted", "IMG", "2026-05-16 12:21:53", 1, "a"),
    # Taken at a quarter past eight in the evening: the name of this shape counts in universal time and says the next day.
    ("work-deer-dried", "25-067", "7 dried", "IMG", "2026-06-04 20:15:12", 8, "b"),
    ("work-deer-finished", "25-060", "9 finished", "IMG", "2026-05-16 11:05:27", 6, "a"),
    ("work-skull-whitened", "26-003", "4 whitened", "IMG", "2026-05-28 19:33:08", 1, "a"),
    ("work-skull-finished", "26-008", "6 finished", "IMG", None, 3, "a"),
    ("work-rug-salted", "26-057", "3 salted", "show salted.jpg", "2026-06-13 10:12:40", 6, "a"),
    ("work-rug-stretched", "25-058", "7 stretched", "IMG", "2026-06-06 12:44:16", 1, "b"),
    ("work-rug-finished", "25-042", "10 finished", "IMG", None, 1, "a"),
    ("work-duck-mounted", "25-074", "4 mounted", "IMG", "2026-06-03 19:20:31", 6, "a"),
    ("work-duck-finished", "25-083", "7 finished", "IMG", "2026-06-11 19:05:55", 8, "a"),
    ("work-fish-carded", "25-049", "4 mounted", "fins carded.jpg", "2026-06-11 20:26:03", 3, "a"),
    ("work-fish-painted", "25-047", "8 painted", "IMG", "2026-05-21 19:58:47", 1, "a"),
]

# Master, animal/pose, name of the file, taken at, orientation, phone.
SHOWROOM = [
    ("show-turkey-full-strut", "turkey/full-strut", "1 front.jpg", "2025-02-08 10:05:12", 1, "b"),
    ("show-turkey-half-strut", "turkey/half-strut", "1 front.jpg", "2025-12-06 10:31:40", 6, "a"),
    ("show-turkey-half-strut-back", "turkey/half-strut", "2 other side.jpg", "2025-12-06 10:33:02", 8, "a"),
    ("show-turkey-gobbling", "turkey/gobbling", "1 front.jpg", "2026-01-17 11:12:29", 1, "b"),
    ("show-turkey-walking", "turkey/walking", "1 side.jpg", "2026-02-07 09:47:18", 3, "a"),
    ("show-turkey-fan", "turkey/fan", "1 on tamarack.jpg", "2025-06-21 10:20:05", 1, "a"),
    ("show-turkey-fan-2", "turkey/fan", "2 with spurs.jpg", "2025-06-21 10:24:51", 6, "a"),
    ("show-deer-upright", "deer/upright", "1 front.jpg", "2025-07-12 11:40:33", 6, "a"),
    ("show-deer-semi-sneak", "deer/semi-sneak", "1 side.jpg", "2025-07-19 10:15:00", 1, "b"),
    ("show-deer-full-sneak", "deer/full-sneak", "1 side.jpg", "2025-10-25 10:52:44", 8, "a"),
    ("show-deer-skull", "deer/european", "1 front.jpg", "2025-03-08 10:10:10", 1, "a"),
    ("show-bear-rug", "bear/rug", "1 on the wall.jpg", "2025-10-30 17:02:26", 3, "a"),
    ("show-duck-flying", "duck/flying", "1 banking left.jpg", "2025-11-15 10:44:57", 1, "b"),
    ("show-duck-standing", "duck/standing", "1 side.jpg", "2025-11-15 10:58:13", 6, "a"),
    ("show-fish-straight", "fish/straight", "1 left side.jpg", "2025-05-31 11:30:09", 1, "a"),
    ("show-fish-s-bend", "fish/s-bend", "1 left side.jpg", "2025-12-13 11:03:36", 8, "a"),
]

# Master, file in content/pages, taken at, orientation, phone.
PAGES = [
    ("work-bench-tools", "bench.jpg", "2026-01-24 15:20:17", 1, "a"),
    ("work-bench-lamp", "lamp.jpg", "2026-02-12 18:31:50", 6, "a"),
]

# Never shown: master, number of the job, folder in it, name, taken at, and which part of the master (left, top, right, bottom).
HIDDEN = [
    ("work-turkey-intake", "26-041", "not shown", "IMG", "2026-04-28 17:16:20", (0.6, 0.5, 1, 1)),
    ("work-turkey-washed", "26-021", "4 washed", "hide too dark.jpg", "2026-06-09 19:40:02", (0.3, 0.2, 0.7, 0.8)),
]

# How the stored pixels must lie so that a viewer which obeys the orientation shows them upright: the inverse of
# the turn that TIFF 6.0 (Orientation, tag 274) asks for. 6: the viewer turns a quarter clockwise, 8: counter-clockwise.
STORED = {1: None, 3: "ROTATE_180", 6: "ROTATE_90", 8: "ROTATE_270"}


def summer(at):
    """Whether clocks stand an hour ahead: between the second Sunday of March and the first Sunday of November."""
    march, november = datetime(at.year, 3, 8), datetime(at.year, 11, 1)
    begins = march + timedelta(days=(6 - march.weekday()) % 7)
    ends = november + timedelta(days=(6 - november.weekday()) % 7)
    return begins <= at < ends


def camera_name(at):
    """A file name as many cameras make them, in local time."""
    return at.strftime("IMG_%Y%m%d_%H%M%S.jpg")


def place(master, target, at, orientation, phone):
    """Writes one photo: pixels turned as needed, thumbnail, EXIF."""
    from PIL import Image

    target.parent.mkdir(parents=True, exist_ok=True)
    turn = STORED[orientation]
    with Image.open(master) as picture:
        picture = picture.convert("RGB")
        stored = picture.transpose(getattr(Image.Transpose, turn)) if turn else picture
        if turn:
            stored.save(target, "JPEG", quality=82, optimize=True, subsampling="4:2:0")
        else:
            shutil.copyfile(master, target)
        small = stored.copy()
        small.thumbnail((160, 160))
        thumbnail = target.parent / "thumbnail.tmp"
        small.save(thumbnail, "JPEG", quality=60)
    make, model = PHONES[phone]
    hours = -4 if summer(at) else -5
    time = at.strftime("%Y:%m:%d %H:%M:%S")
    offset = f"{hours:+03}:00"
    tags = {
        "Make": make,
        "Model": model,
        "Software": f"{model} camera 3.1",
        "DateTimeOriginal": time,
        "CreateDate": time,
        "ModifyDate": time,
        "OffsetTimeOriginal": offset,
        "SubSecTimeOriginal": f"{at.second * 13 % 1000:03}",
        # A point in the South Pacific, more than two thousand kilometres from any land.
        "GPSLatitude": "48.8767", "GPSLatitudeRef": "S", "GPSLongitude": "123.3933", "GPSLongitudeRef": "W",
        "GPSAltitude": "3", "GPSDateStamp": at.strftime("%Y:%m:%d"),
        "ColorSpace": "1", "ISO": "160", "ExposureTime": "1/60", "FNumber": "1.8", "FocalLength": "5.4",
        "ImageDescription": "Plume & Tamarack", "Artist": "Orla Venn",
    }
    command = ["exiftool", "-q", "-overwrite_original", "-n", f"-Orientation={orientation}"]
    command += [f"-{key}={value}" for key, value in tags.items()]
    command += [f"-ThumbnailImage<={thumbnail}", str(target)]
    subprocess.run(command, check=True)
    thumbnail.unlink()
    stamp = (at - timedelta(hours=hours) - datetime(1970, 1, 1)).total_seconds()
    os.utime(target, (stamp, stamp))


def job_folder(number):
    """The folder of a job, by the first word of its name."""
    return next(p for p in (CONTENT / "jobs").iterdir() if p.name.split()[0] == number)


def finished_on(folder):
    """A collected job's last day at the bench, in the evening: its record is made by history.py."""
    import tomllib

    job = tomllib.loads((folder / "job.toml").read_text())
    return datetime.combine(job["reached"]["finished"], datetime.min.time()) + timedelta(hours=18, minutes=20)


def plan():
    """Every photo as (master, target, time, orientation, phone)."""
    for master, number, sub, name, at, orientation, phone in JOBS:
        folder = job_folder(number)
        at = datetime.fromisoformat(at) if at else finished_on(folder)
        if name == "IMG":
            name = camera_name(at)
        yield master, folder / sub / name, at, orientation, phone
    for master, pose, name, at, orientation, phone in SHOWROOM:
        yield master, CONTENT / "showroom" / pose / name, datetime.fromisoformat(at), orientation, phone
    for master, name, at, orientation, phone in PAGES:
        yield master, CONTENT / "pages" / name, datetime.fromisoformat(at), orientation, phone


def place_hidden(masters):
    """Photos that must never be seen on any page: parts of two masters, so that no shown photo has the same bytes."""
    from PIL import Image

    placed = []
    for master, number, sub, name, at, (left, top, right, bottom) in HIDDEN:
        source = masters / f"{master}.jpg"
        if not source.is_file():
            continue
        at, folder = datetime.fromisoformat(at), job_folder(number)
        with Image.open(source) as picture:
            wide, high = picture.size
            part = picture.convert("RGB").crop((int(wide * left), int(high * top), int(wide * right), int(high * bottom)))
        rough = folder / "crop.tmp"
        part.save(rough, "JPEG", quality=80)
        target = folder / sub / (camera_name(at) if name == "IMG" else name)
        place(rough, target, at, 1, "a")
        rough.unlink()
        placed.append(target)
    return placed


def clear():
    """Takes away what a former run placed, and folders that are empty then."""
    if not RECORD.exists():
        return
    for line in RECORD.read_text().splitlines():
        path = CONTENT / line
        path.unlink(missing_ok=True)
        if path.parent.is_dir() and not any(path.parent.iterdir()):
            path.parent.rmdir()


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    masters = Path(sys.argv[1])
    clear()
    placed, missing = [], []
    for master, target, at, orientation, phone in plan():
        source = masters / f"{master}.jpg"
        if not source.is_file():
            missing.append(master)
            continue
        place(source, target, at, orientation, phone)
        placed.append(target)
    placed += place_hidden(masters)
    RECORD.write_text("".join(f"{p.relative_to(CONTENT).as_posix()}\n" for p in sorted(placed)))
    size = sum(p.stat().st_size for p in placed)
    print(f"{len(placed)} photos placed, {size / 1e6:.1f} MB")
    if missing:
        print("missing masters:", ", ".join(missing))
        sys.exit(1)


if __name__ == "__main__":
    main()
