"""Reads the QR codes of a picture with two decoders: libzbar's zbarimg and zxing-cpp, as it is, blurred, turned.
After the dots to an inch, how far out of focus, in millimetres. With --terminal the picture is drawn from a code as a
terminal shows it."""
import json, subprocess, sys, tempfile
from PIL import Image, ImageFilter
import zxingcpp


def both(picture):
    with tempfile.NamedTemporaryFile(suffix=".png") as file:
        picture.save(file.name)
        zbar = subprocess.run(["zbarimg", "--raw", "-q", "-Sdisable", "-Sqrcode.enable", file.name],
                              capture_output=True, text=True).stdout.split("\n")
    found = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
    return {"zbar": sorted(set(filter(None, zbar))), "zxing": sorted({code.text for code in found}),
            "level": sorted({getattr(code, "ec_level", "") for code in found})}


def terminal(text):
    """Each sign is one module wide and two high; what is drawn is light."""
    lines = text.rstrip("\n").split("\n")
    wide = max(map(len, lines))
    picture = Image.new("L", (wide, 2 * len(lines)), 0)
    for y, line in enumerate(lines):
        for x, sign in enumerate(line):
            for below in range(2):
                light = sign == "█" or sign == ("▄" if below else "▀")
                picture.putpixel((x, 2 * y + below), 255 if light else 0)
    return picture.resize((wide * 8, len(lines) * 16), Image.NEAREST)


if sys.argv[1] == "--terminal":
    print(json.dumps(both(terminal(sys.stdin.read()))))
else:
    page = Image.open(sys.argv[1]).convert("L")
    dpi = int(sys.argv[2])
    mm = dpi / 25.4
    print(json.dumps({
        "plain": both(page),
        # Out of focus by about a third of a module.
        "blurred": both(page.filter(ImageFilter.GaussianBlur(float((sys.argv + ["0.3"])[3]) * mm))),
        "turned": both(page.rotate(33, expand=True, fillcolor=255, resample=Image.BICUBIC)),
        "on its head, small and blurred": both(
            page.rotate(180).resize((page.width // 2, page.height // 2)).filter(ImageFilter.GaussianBlur(0.5))),
    }))
