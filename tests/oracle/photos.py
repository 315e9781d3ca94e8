"""Photos by other people's code: Pillow, LittleCMS (through Pillow's ImageCms) and exiftool.

    photos.py make WHAT FOLDER      makes input files
    photos.py compare WHAT FOLDER   reads FOLDER/pairs.txt (input, tab, our rendition a line) and prints, for each
                                    line, how far our pixels are from the oracle's
"""

import io
import random
import struct
import subprocess
import sys
import zlib
from pathlib import Path

import numpy
import pillow_heif
from PIL import Image, ImageCms, ImageDraw, ImageOps


pillow_heif.register_heif_opener()


def scene(width, height):
    """A picture without any symmetry: two gradients, a few shapes, a little texture."""
    x = numpy.linspace(0, 255, width)[None, :].repeat(height, 0)
    y = numpy.linspace(0, 255, height)[:, None].repeat(width, 1)
    waves = 20 * numpy.sin(x / 5) * numpy.cos(y / 9)
    pixels = numpy.stack([x, y, 128 + 0.3 * x - 0.4 * y], 2) * 0.8 + 25 + waves[:, :, None]
    picture = Image.fromarray(numpy.clip(pixels, 0, 255).astype("uint8"), "RGB")
    draw = ImageDraw.Draw(picture)
    draw.rectangle([width // 10, height // 12, width // 3, height // 4], fill=(200, 30, 40))
    draw.ellipse([width // 2, height // 2, width * 3 // 4, height * 7 // 8], fill=(30, 120, 60))
    draw.polygon([(width // 8, height * 3 // 4), (width // 3, height * 7 // 8), (width // 5, height // 2)], fill=(240, 220, 90))
    return picture


def exiftool(*arguments):
    done = subprocess.run(["exiftool", "-q", "-q", "-overwrite_original", *map(str, arguments)], capture_output=True, text=True)
    if done.returncode != 0:
        sys.exit(f"exiftool: {done.stderr}")


# Orientation -----------------------------------------------------------------------------------------------


def make_orientation(folder):
    for size in [(640, 480), (2400, 1700)]:
        for orientation in range(1, 9):
            path = folder / f"{size[0]}-{orientation}.jpg"
            scene(*size).save(path, quality=95, subsampling=0)
            exiftool("-n", f"-Orientation={orientation}", path)


def upright_and_sized(path, size):
    """What Pillow sees: turned upright, over white, in the rendition's size."""
    with Image.open(path) as picture:
        picture.load()
        picture = ImageOps.exif_transpose(picture)
        if picture.mode.startswith("I;16"):
            picture = Image.fromarray((numpy.asarray(picture) // 256).astype("uint8"))
        if picture.mode in ("P", "PA", "LA", "RGBA") or "transparency" in picture.info:
            picture = picture.convert("RGBA")
            white = Image.new("RGBA", picture.size, "white")
            picture = Image.alpha_composite(white, picture)
        picture = picture.convert("RGB")
        if picture.info.get("icc_profile"):
            profile = ImageCms.ImageCmsProfile(io.BytesIO(picture.info["icc_profile"]))
            picture = ImageCms.profileToProfile(picture, profile, srgb())
    return picture if picture.size == size else picture.resize(size, Image.Resampling.LANCZOS)


def compare_pixels(path, ours):
    ours = Image.open(ours).convert("RGB")
    theirs = upright_and_sized(path, ours.size)
    apart = numpy.abs(numpy.asarray(ours).astype(int) - numpy.asarray(theirs).astype(int))
    return f"{apart.mean():.3f}"


# Formats ---------------------------------------------------------------------------------------------------


def make_formats(folder):
    picture = scene(500, 380)
    picture.save(folder / "baseline.jpg", quality=92)
    picture.save(folder / "progressive.jpg", quality=92, progressive=True)
    picture.save(folder / "full-chroma.jpg", quality=92, subsampling=0)
    picture.save(folder / "half-chroma.jpg", quality=92, subsampling=1)
    picture.save(folder / "restarts.jpg", quality=92, restart_marker_blocks=7)
    picture.convert("L").save(folder / "grey.jpg", quality=92)
    picture.convert("CMYK").save(folder / "cmyk.jpg", quality=92)
    picture.save(folder / "plain.png")
    picture.convert("L").save(folder / "grey.png")
    picture.convert("P", palette=Image.Palette.ADAPTIVE, colors=200).save(folder / "palette.png")
    grey = numpy.asarray(picture.convert("L")).astype("uint16") * 257
    Image.fromarray(grey).save(folder / "grey16.png")
    (folder / "deep.png").write_bytes(png(500, 380, 16, 2, deep_rows(picture)))
    clear = picture.convert("RGBA")
    clear.putalpha(Image.fromarray((numpy.asarray(picture)[:, :, 0] // 2 + 100).astype("uint8")))
    clear.save(folder / "alpha.png")
    clear.convert("LA").save(folder / "grey-alpha.png")
    picture.save(folder / "lossy.webp", quality=92)
    picture.save(folder / "lossless.webp", lossless=True)
    clear.save(folder / "alpha.webp", quality=92)
    picture.save(folder / "moving.webp", save_all=True, append_images=[ImageOps.invert(picture)], quality=92)
    adaptive = picture.convert("P", palette=Image.Palette.ADAPTIVE)
    adaptive.save(folder / "still.gif")
    adaptive.save(folder / "moving.gif", save_all=True, append_images=[ImageOps.invert(picture).convert("P")])
    scene(3000, 2000).save(folder / "large.png", compress_level=1)
    scene(5200, 900).save(folder / "wide.png", compress_level=1)
    scene(3300, 2500).save(folder / "large.webp", quality=90)
    turned = scene(500, 380)
    turned.save(folder / "turned.png")
    turned.save(folder / "turned.webp", quality=92)
    exiftool("-n", "-Orientation=6", folder / "turned.png", folder / "turned.webp")


def deep_rows(picture):
    deep = numpy.asarray(picture).astype(">u2") * 257
    return b"".join(b"\0" + deep[y].astype(">u2").tobytes() for y in range(picture.size[1]))


def png(width, height, depth, colour, rows):
    header = struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(rows, 1)) + chunk(b"IEND", b"")


def chunk(name, data):
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


# HEIC, by libheif (through pillow-heif) -------------------------------------------------------------------


def make_heic(folder):
    picture = scene(1000, 700)
    picture.save(folder / "single.heic", quality=90)
    picture.convert("L").save(folder / "grey.heic", quality=90)
    about = Image.Exif()
    about[0x0112] = 6
    about.get_ifd(0x8769)[0x9003] = "2026:05:02 16:04:09"
    picture.save(folder / "dated.heic", quality=90, exif=about)
    picture.save(folder / "p3.heic", quality=90, icc_profile=display_p3())
    scene(3300, 2500).save(folder / "large.heic", quality=80)
    tiles = tiles_of(scene(1000, 700), 256)
    for name, properties in {
        "grid.heic": [], "grid-left.heic": [box(b"irot", b"\1")], "grid-over.heic": [box(b"irot", b"\2")],
        "grid-right.heic": [box(b"irot", b"\3")], "grid-mirror.heic": [box(b"imir", b"\0")],
        "grid-mirror-left.heic": [box(b"irot", b"\1"), box(b"imir", b"\1")],
    }.items():
        (folder / name).write_bytes(grid(tiles, 256, 4, 1000, 700, properties))


def tiles_of(picture, side):
    """A configuration record and the coded bytes of each tile, row by row; the last ones reach over the edge."""
    coded = []
    for top in range(0, picture.size[1], side):
        for left in range(0, picture.size[0], side):
            buffer = io.BytesIO()
            picture.crop((left, top, left + side, top + side)).save(buffer, "HEIF", quality=90, chroma=420)
            data = buffer.getvalue()
            at = data.index(b"hvcC") - 4
            record = data[at:at + struct.unpack(">I", data[at:at + 4])[0]]
            coded.append((record, data[data.index(b"mdat") + 4:]))
    assert len({record for record, _ in coded}) == 1
    return coded


def box(name, data):
    return struct.pack(">I", 8 + len(data)) + name + data


def full_box(name, data, version=0):
    return box(name, struct.pack(">I", version << 24) + data)


def grid(tiles, side, columns, width, height, turns):
    """The file that phones write: tiles, a grid item that puts them together, and how it is turned."""
    count = len(tiles)
    primary = count + 1
    derived = struct.pack(">BBBBHH", 0, 0, count // columns - 1, columns - 1, width, height)
    properties = [tiles[0][0], full_box(b"ispe", struct.pack(">II", side, side)), full_box(b"ispe", struct.pack(">II", width, height)),
                  box(b"colr", b"prof" + display_p3()), full_box(b"pixi", b"\3\x08\x08\x08"), *turns]
    of_tile, of_grid = [0x81, 2, 4, 5], [3, 4, 5, *(0x80 | 6 + n for n in range(len(turns)))]
    linked = [(n + 1, of_tile) for n in range(count)] + [(primary, of_grid)]
    ipma = struct.pack(">I", len(linked)) + b"".join(struct.pack(">HB", n, len(of)) + bytes(of) for n, of in linked)
    kinds = [b"hvc1"] * count + [b"grid"]
    items = b"".join(full_box(b"infe", struct.pack(">HH", n + 1, 0) + kind + b"\0", 2) for n, kind in enumerate(kinds))
    refers = box(b"dimg", struct.pack(">HH", primary, count) + b"".join(struct.pack(">H", n + 1) for n in range(count)))
    blobs = [data for _, data in tiles] + [derived]

    def meta(first):
        places, at = b"", first
        for n, blob in enumerate(blobs):
            places += struct.pack(">HHHII", n + 1, 0, 1, at, len(blob))
            at += len(blob)
        return full_box(b"meta", full_box(b"hdlr", b"\0" * 4 + b"pict" + b"\0" * 13) + full_box(b"pitm", struct.pack(">H", primary))
                        + full_box(b"iloc", b"\x44\0" + struct.pack(">H", len(blobs)) + places)
                        + full_box(b"iinf", struct.pack(">H", len(kinds)) + items) + full_box(b"iref", refers)
                        + box(b"iprp", box(b"ipco", b"".join(properties)) + full_box(b"ipma", ipma)))

    start = box(b"ftyp", b"heic\0\0\0\0mif1heic")
    return start + meta(len(start) + len(meta(0)) + 8) + box(b"mdat", b"".join(blobs))


# Colour ----------------------------------------------------------------------------------------------------


def display_p3():
    """An ICC profile (ICC.1:2022) for Display P3, built from its published colorants (adapted to D50)
    and the sRGB curve of IEC 61966-2-1."""

    def fixed(value):
        return struct.pack(">i", round(value * 65536))

    def xyz(x, y, z):
        return b"XYZ \0\0\0\0" + fixed(x) + fixed(y) + fixed(z)

    curve = b"para\0\0\0\0" + struct.pack(">HH", 3, 0)
    curve += b"".join(fixed(v) for v in (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045))
    text = "Display P3 made for a test".encode("utf-16-be")
    words = b"mluc\0\0\0\0" + struct.pack(">II", 1, 12) + b"enUS" + struct.pack(">II", len(text), 28) + text
    tags = {
        b"desc": words, b"cprt": words, b"wtpt": xyz(0.96420, 1.0, 0.82491),
        b"rXYZ": xyz(0.51512, 0.24120, -0.00105), b"gXYZ": xyz(0.29198, 0.69225, 0.04189),
        b"bXYZ": xyz(0.15710, 0.06657, 0.78407), b"rTRC": curve, b"gTRC": curve, b"bTRC": curve,
    }
    table, data, at = b"", b"", 128 + 4 + 12 * len(tags)
    for name, tag in tags.items():
        tag += b"\0" * (-len(tag) % 4)
        table += name + struct.pack(">II", at + len(data), len(tag))
        data += tag
    header = b"\0" * 8 + struct.pack(">I", 0x04000000) + b"mntrRGB XYZ " + b"\0" * 12 + b"acsp" + b"\0" * 28
    header += fixed(0.96420) + fixed(1.0) + fixed(0.82491)
    body = header.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + data
    return struct.pack(">I", len(body)) + body[4:]


PATCH, ACROSS = 80, 8


def patches():
    """Greys, primaries and skin, hide and feather browns, from pale to as strong as Display P3 goes."""
    colours = [(v, v, v) for v in (0, 36, 73, 109, 146, 182, 219, 255)]
    for strength in (90, 170, 255):
        s, half = strength, strength // 2
        colours += [(s, 0, 0), (0, s, 0), (0, 0, s), (s, s, 0), (0, s, s), (s, 0, s), (s, half, 0), (half, s, half)]
    colours += [(94, 60, 38), (141, 100, 68), (190, 150, 112), (224, 186, 160), (60, 70, 48), (120, 130, 96), (20, 44, 52), (150, 40, 30)]
    rows = len(colours) // ACROSS
    sheet = Image.new("RGB", (PATCH * ACROSS, PATCH * rows))
    for n, colour in enumerate(colours):
        left, top = n % ACROSS * PATCH, n // ACROSS * PATCH
        sheet.paste(colour, (left, top, left + PATCH, top + PATCH))
    return sheet


def make_colour(folder):
    patches().save(folder / "p3.png", icc_profile=display_p3())
    patches().save(folder / "p3.jpg", quality=100, subsampling=0, icc_profile=display_p3())
    patches().save(folder / "srgb.jpg", quality=100, subsampling=0, icc_profile=srgb().tobytes())
    patches().save(folder / "bare.jpg", quality=100, subsampling=0)


def srgb():
    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB"))


def lab(picture):
    """CIE L*a*b* (D50), by LittleCMS, in floating point."""
    rgb = numpy.asarray(picture).astype(float) / 255
    linear = numpy.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    to_xyz = numpy.array([[0.43607, 0.38515, 0.14307], [0.22249, 0.71687, 0.06061], [0.01392, 0.09708, 0.71410]])
    xyz = linear @ to_xyz.T / numpy.array([0.96420, 1.0, 0.82491])
    f = numpy.where(xyz > (6 / 29) ** 3, numpy.cbrt(xyz), xyz / (3 * (6 / 29) ** 2) + 4 / 29)
    return numpy.stack([116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])], -1)


def middles(picture):
    pixels = numpy.asarray(picture.convert("RGB")).astype(float)
    rows, quarter = picture.size[1] // PATCH, PATCH // 4
    tops = [(n // ACROSS * PATCH + quarter, n % ACROSS * PATCH + quarter) for n in range(rows * ACROSS)]
    return numpy.array([pixels[y:y + 2 * quarter, x:x + 2 * quarter].mean((0, 1)) for y, x in tops])


def compare_colour(path, ours):
    """The mean and the largest CIE 1976 colour difference over the patches."""
    theirs = Image.open(path)
    profile = theirs.info.get("icc_profile")
    if profile:
        theirs = ImageCms.profileToProfile(theirs, ImageCms.ImageCmsProfile(io.BytesIO(profile)), srgb())
    apart = numpy.sqrt(((lab(middles(Image.open(ours))) - lab(middles(theirs))) ** 2).sum(-1))
    return f"{apart.mean():.3f} {apart.max():.3f}"


# Metadata --------------------------------------------------------------------------------------------------


def make_metadata(folder):
    tags = [
        "-EXIF:Make=CANARY-make", "-EXIF:Model=CANARY-model", "-EXIF:Artist=CANARY-artist", "-EXIF:Copyright=CANARY-copyright",
        "-EXIF:DateTimeOriginal=2026:05:02 16:04:09", "-EXIF:OffsetTimeOriginal=-05:00", "-EXIF:UserComment=CANARY-user",
        "-EXIF:SerialNumber=CANARY-serial", "-EXIF:ImageDescription=CANARY-description", "-EXIF:OwnerName=CANARY-owner",
        "-GPSLatitude=44.123456", "-GPSLatitudeRef=N", "-GPSLongitude=93.654321", "-GPSLongitudeRef=W", "-GPSAltitude=312",
        "-XMP-dc:Creator=CANARY-creator", "-XMP-dc:Title=CANARY-title", "-XMP-iptcCore:Location=CANARY-location",
        "-XMP-photoshop:City=CANARY-city", "-XMP-xmpMM:DocumentID=CANARY-document",
    ]
    small = folder / "thumbnail"
    scene(160, 120).save(small, "JPEG")
    rich = folder / "everything.jpg"
    # A maker's own note (EXIF 3.0, tag 0x927C), which exiftool keeps but does not make.
    note = Image.Exif()
    note.get_ifd(0x8769)[0x927C] = b"CANARY-maker's note"
    scene(700, 500).save(rich, quality=90, icc_profile=display_p3(), comment=b"CANARY-comment", exif=note)
    exiftool(
        *tags, "-IPTC:City=CANARY-iptc", "-IPTC:By-line=CANARY-byline", "-IPTC:Keywords=CANARY-keyword",
        "-Photoshop:Copyright_Flag=1", f"-EXIF:ThumbnailImage<={small}", rich,
    )
    rich.write_bytes(rich.read_bytes() + b"\0\0\0\x18ftypmp42\0\0\0\0isommp42" + b"CANARY-trailer")
    maker_noted(folder / "maker.jpg")
    for name in ("everything.png", "everything.webp"):
        scene(700, 500).save(folder / name, icc_profile=display_p3())
        exiftool(*tags, folder / name)
    small.unlink()
    # Late in the evening there is early in the morning elsewhere.
    scene(300, 200).save(folder / "late.jpg", quality=90)
    exiftool("-EXIF:DateTimeOriginal=2026:05:02 23:40:00", "-EXIF:OffsetTimeOriginal=-05:00", folder / "late.jpg")
    scene(300, 200).save(folder / "early.jpg", quality=90)
    exiftool("-EXIF:DateTimeOriginal=2026:05:03 00:20:30", "-EXIF:OffsetTimeOriginal=+13:45", folder / "early.jpg")
    about = Image.Exif()
    about[0x010F] = "CANARY-make"
    about.get_ifd(0x8825)[2] = (44.0, 7.0, 24.0)
    about.get_ifd(0x8769)[0x9003] = "2026:05:02 16:04:09"
    about.get_ifd(0x8769)[0x9011] = "-05:00"
    scene(700, 500).save(folder / "everything.heic", exif=about, icc_profile=display_p3(), xmp=b"<x>CANARY-xmp</x>")


def maker_noted(path):
    """A photo with a maker's own note that exiftool reads, and writes canaries into: exiftool makes none itself. The note is a directory
    of its own whose offsets count from the TIFF header, as exiftool's documentation tells of this maker's (Canon tags)."""
    def entry(tag, kind, count, value):
        return struct.pack("<HHII", tag, kind, count, value)

    directory, words = 8 + 2 + 2 * 12 + 4, b"Canon\0\0\0"
    exif_at = directory + len(words)
    note_at = exif_at + 2 + 12 + 4
    texts_at = note_at + 2 + 3 * 12 + 4
    note = struct.pack("<H", 3) + entry(6, 2, 32, texts_at) + entry(7, 2, 32, texts_at + 32) + entry(9, 2, 32, texts_at + 64)
    note += b"\0" * 4 + b"x".ljust(32, b"\0") * 3
    tiff = b"II*\0\x08\0\0\0" + struct.pack("<H", 2) + entry(0x010F, 2, 6, directory) + entry(0x8769, 4, 1, exif_at) + b"\0" * 4
    tiff += words + struct.pack("<H", 1) + entry(0x927C, 7, len(note), note_at) + b"\0" * 4 + note
    plain = io.BytesIO()
    scene(700, 500).save(plain, "JPEG", quality=90)
    data = b"Exif\0\0" + tiff
    path.write_bytes(plain.getvalue()[:2] + b"\xff\xe1" + struct.pack(">H", len(data) + 2) + data + plain.getvalue()[2:])
    exiftool("-Canon:OwnerName=CANARY-note-owner", "-Canon:CanonImageType=CANARY-note-type", "-Canon:CanonFirmwareVersion=CANARY-note-firm", path)


# Large files ----------------------------------------------------------------------------------------------


def make_large(folder):
    """Of each format, about the largest that a camera gives; several of the kind that takes most memory."""
    piece = scene(1000, 750)

    def paved(width, height):
        picture = Image.new("RGB", (width, height))
        for top in range(0, height, 750):
            for left in range(0, width, 1000):
                picture.paste(piece, (left, top))
        return picture

    for n in range(2):
        paved(4032, 3024 - n).save(folder / f"progressive-{n}.jpg", quality=90, progressive=True, subsampling=0)
    paved(12000, 9000).save(folder / "largest.jpg", quality=80)
    paved(8064, 6048).save(folder / "large.png", compress_level=1)
    paved(4032, 3024).save(folder / "large.webp", quality=80, method=0)
    paved(4032, 3024).save(folder / "lossless.webp", lossless=True, method=0)
    paved(4032, 3024).save(folder / "single.heic", quality=70, enc_params={"preset": "ultrafast"})
    paved(4032, 3024).convert("P").save(folder / "large.gif")
    (folder / "bomb.png").write_bytes(png(12000, 9000, 8, 2, (b"\0" * 36001) * 9000))


# Broken and odd files --------------------------------------------------------------------------------------


def make_broken(folder):
    picture = scene(320, 240)

    def saved(kind, **options):
        buffer = io.BytesIO()
        picture.save(buffer, kind, **options)
        return buffer.getvalue()

    whole = {
        "jpg": saved("JPEG", quality=90), "progressive.jpg": saved("JPEG", quality=90, progressive=True),
        "png": saved("PNG"), "webp": saved("WEBP", quality=90), "lossless.webp": saved("WEBP", lossless=True),
        "gif": saved("GIF"), "heic": saved("HEIF", quality=80),
    }
    put = lambda name, data: (folder / name).write_bytes(data)
    for name, data in whole.items():
        for part in (10, 40, 90):
            put(f"cut-{part}-{name}", data[: len(data) * part // 100])
    put("empty.jpg", b"")
    put("text.jpg", b"Ready on Friday, see you then.\n")
    put("page.jpg", b"<!DOCTYPE html><title>Sign in</title>")
    put("noise.jpg", random.Random(7).randbytes(5000))
    put("zeros.jpg", b"\0" * 5000)
    put("start-only.jpg", b"\xff\xd8\xff")
    put("clip.mp4", b"\0\0\0\x18ftypmp42\0\0\0\0isommp42" + b"\0" * 4000)
    put("clip-named.jpg", b"\0\0\0\x14ftypqt  \0\0\0\0qt  " + b"\0" * 4000)
    put("hollow.heic", b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + b"\0" * 4000)
    put("huge-header.heic", whole["heic"].replace(struct.pack(">II", 320, 240), struct.pack(">II", 65500, 65500)))
    put("picture.avif", b"\0\0\0\x1cftypavif\0\0\0\0avifmif1miaf" + b"\0" * 4000)
    put("raw.dng", b"II*\0\x08\0\0\0" + b"\0" * 4000)
    put("named-wrong.png", whole["jpg"])
    put("named-wrong.jpg", whole["webp"])
    put("huge-header.jpg", resized_frame(whole["jpg"], 0xC0, 65500, 65500))
    put("huge-header-progressive.jpg", resized_frame(whole["progressive.jpg"], 0xC2, 65500, 65500))
    put("huge-progressive.jpg", resized_frame(whole["progressive.jpg"], 0xC2, 12000, 9000))
    put("no-height.jpg", resized_frame(whole["jpg"], 0xC0, 320, 0))
    put("taller-than-it-is.jpg", resized_frame(whole["jpg"], 0xC0, 320, 4000))
    put("huge-header.png", png(65500, 65500, 8, 6, b"\0" * 100))
    put("long-header.png", png(2_000_000_000, 1, 8, 6, b"\0" * 100))
    put("huge-header.gif", b"GIF89a" + struct.pack("<HHBBB", 65500, 65500, 0x80, 0, 0) + b"\0" * 6 + b"\x2c" + b"\0" * 20)
    put("huge-lossless.webp", lossless_header(16000, 16000))
    put("bomb.png", png(12000, 9000, 8, 2, (b"\0" * 36001) * 9000))
    put("bad-profile.jpg", saved("JPEG", quality=90, icc_profile=b"not a profile at all" * 40))
    flipped(put, whole)


def resized_frame(data, marker, width, height):
    at = data.index(bytes([0xFF, marker])) + 5
    return data[:at] + struct.pack(">HH", height, width) + data[at + 4:]


def lossless_header(width, height):
    bits = (width - 1) | (height - 1) << 14
    body = b"VP8L" + struct.pack("<I", 200) + b"\x2f" + struct.pack("<I", bits) + b"\0" * 195
    return b"RIFF" + struct.pack("<I", len(body) + 4) + b"WEBP" + body


def flipped(put, whole):
    """Each whole file with bytes changed at places drawn by lot, early ones more often: headers lie there."""
    lot = random.Random(20260502)
    for name, data in whole.items():
        for n in range(60):
            bent = bytearray(data)
            reach = min(len(bent), 800) if n % 2 else len(bent)
            for _ in range(lot.choice((1, 2, 8))):
                bent[lot.randrange(3, reach)] = lot.randrange(256)
            put(f"flip-{n:02}-{name}", bytes(bent))


def main():
    verb, what, folder = sys.argv[1], sys.argv[2], Path(sys.argv[3])
    if verb == "make":
        folder.mkdir(parents=True, exist_ok=True)
        globals()[f"make_{what}"](folder)
    else:
        compare = compare_colour if what == "colour" else compare_pixels
        for line in (folder / "pairs.txt").read_text().splitlines():
            path, ours = line.split("\t")
            print(f"{Path(path).name} {compare(path, ours)}")


main()
