"""Compares pictures of pages with those that were looked at before; called by tests/pages/baseline.rs.

A pixel differs when a channel is off by more than 40 of 255 after both were made soft over three pixels, so that a
letter that is drawn a shade lighter is no difference and a moved one is. Up to 0.3 % of a picture may differ.
"""
import pathlib
import sys

import numpy
from PIL import Image, ImageFilter

new, old = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
old.mkdir(parents=True, exist_ok=True)


def soft(path):
    return numpy.asarray(Image.open(path).convert("RGB").filter(ImageFilter.BoxBlur(1)), dtype=int)


readme = [Image.open(picture).convert("RGB") for picture in sorted(new.glob("readme-*.png"))]
if readme:
    whole = Image.new("RGB", (sum(p.width for p in readme) + 20 * (len(readme) - 1), readme[0].height), "white")
    left = 0
    for part in readme:
        whole.paste(part, (left, 0))
        left += part.width + 20
    whole.save(old.parent.parent / "pictures/pages.jpg", quality=80, optimize=True, progressive=True)

for picture in sorted(p for p in new.glob("*.png") if not p.name.startswith("readme")):
    small = Image.open(picture).convert("RGB").quantize(64, dither=Image.Dither.NONE)
    known = (old / picture.name).exists()
    small.save(picture)
    a, b = soft(picture), soft(old / picture.name) if known else None
    if "--update" in sys.argv:
        # A shade more or less in a few places is the browser's, not ours.
        if known and a.shape == b.shape and abs(a - b).max() <= 4:
            print("same", picture.name)
            continue
        small.save(old / picture.name, optimize=True)
        print("written", picture.name)
        continue
    if not known:
        print("differs", picture.name, "there is none to compare with")
        continue
    if a.shape != b.shape:
        print("differs", picture.name, "size", a.shape[:2], "was", b.shape[:2])
        continue
    off = (abs(a - b).max(axis=2) > 40).mean()
    print("same" if off <= 0.003 else "differs", picture.name, f"{off:.4%} of its pixels")
