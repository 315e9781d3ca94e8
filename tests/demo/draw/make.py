"""Draw the demo shop's pictures: python3 make.py OUTDIR [--px 1.0] [part of a name ...]

Everything is drawn by this code from fixed seeds: no photographs, no other pictures.
Needs numpy, scipy, pillow and skia-python."""
import argparse
import os
import sys
import time
import zlib
from room import finish, save


def catalogue():
    from scenes_show import SHOW
    from scenes_work import WORK
    return {**SHOW, **WORK}


def draw(name, make, folder, px):
    start = time.time()
    img = finish(make(px).render(), seed=zlib.crc32(name.encode()) % 9999)
    size, q = save(img, os.path.join(folder, name + ".jpg"))
    print(f"{name}.jpg {img.shape[1]}x{img.shape[0]} {size // 1000} kB q{q} {time.time() - start:.1f}s", flush=True)


def main():
    ap = argparse.ArgumentParser(description=__doc__)
    ap.add_argument("folder")
    ap.add_argument("names", nargs="*")
    ap.add_argument("--px", type=float, default=1.0, help="1.0 gives 1600x1200; smaller is quicker")
    a = ap.parse_intermixed_args()
    os.makedirs(a.folder, exist_ok=True)
    todo = catalogue()
    names = [n for n in todo if not a.names or any(w in n for w in a.names)]
    if not names:
        sys.exit("no picture by that name")
    for n in names:
        draw(n, todo[n], a.folder, a.px)


if __name__ == "__main__":
    main()
