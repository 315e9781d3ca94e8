"""The workshop: plank wall, bench top, and the finishing pass every picture gets."""
import io
import numpy as np
from PIL import Image
from scipy.ndimage import gaussian_filter, map_coordinates, uniform_filter, zoom
from geom import mix, rgb, smooth, unit
from scene import tone

_tile = None


def noise(x, y):
    """Smooth wrapped noise about 0, one feature to the unit."""
    global _tile
    if _tile is None:
        t = np.random.default_rng(7).normal(size=(256, 256))
        t = gaussian_filter(t, 1.4, mode="wrap")
        _tile = (t / t.std()).astype(np.float32)
    return map_coordinates(_tile, [np.mod(y * 3, 256), np.mod(x * 3, 256)], order=1, mode="grid-wrap")


def planks(along, across, width, tones, seed, wear=1.0):
    """Board colour at (along, across) in world units, with grain, knots of tone and gaps."""
    rng = np.random.default_rng(seed)
    across = across + .05 * noise(along * .05, across * .01)
    i = np.floor(across / width).astype(int)
    f = across / width - i
    tab = rng.random((64, 6))
    r = tab[np.mod(i, 64)]
    x = along + r[..., 0] * 37
    joint = np.mod(along + r[..., 1] * 11, 11 + 6 * r[..., 2])
    piece = np.floor((along + r[..., 1] * 11) / (11 + 6 * r[..., 2]))
    wave = .16 * noise(x * .12, across * .5)
    fine = noise(x * .35, across * 11 + wave * 30)
    broad = noise(x * .10 + piece * 5, across * 2.2 + wave * 10)
    streak = noise(x * .06, across * 24)
    k = np.clip(.45 + .15 * broad + .10 * fine + .05 * streak + .38 * (r[..., 3] - .5) + .1 * np.sin(piece * 9), 0, 1)
    col = mix(rgb(tones[0]), rgb(tones[1]), k)
    col = mix(col, rgb(tones[2]), smooth(.9, 2.3, broad + .4 * fine) * .5)
    gap = np.minimum(f, 1 - f) * width
    shade = .18 + .82 * smooth(.0, .045, gap)
    shade = shade * (.35 + .65 * smooth(0, .03, np.minimum(joint, 8)))
    edge = smooth(.05, .03, np.abs(gap - .055)) * (f > .5) * .18 * wear
    return np.clip(col * shade[..., None] * (1 + edge[..., None]), 0, 1)


class Room:
    """wall + bench, or with bench=False the wall only, or flat=True a bench seen from above."""

    def __init__(self, bench=True, flat=False, seed=3):
        self.bench, self.flat, self.seed = bench, flat, seed
        self.planes = [2, 1] if bench else [2]

    def surface(self, cam, h, w):
        d = cam.rays(h, w)
        k = cam.eye[2] / -d[..., 2]
        wall = cam.eye + d * k[..., None]
        if self.flat:
            col = planks(wall[..., 0], wall[..., 1], 2.3, ("#6e4a2c", "#a87a4c", "#c59a66"), self.seed + 5)
            return wall, np.broadcast_to([0, 0, 1.], wall.shape), col, np.zeros((h, w), bool)
        col = planks(wall[..., 0], wall[..., 1] + .4, 1.5, ("#3a3029", "#675344", "#7d6653"), self.seed)
        P, N = wall, np.broadcast_to([0, 0, 1.], wall.shape).copy()
        onb = np.zeros((h, w), bool)
        if self.bench:
            with np.errstate(divide="ignore", invalid="ignore"):
                kb = -cam.eye[1] / d[..., 1]
            onb = (d[..., 1] < 0) & (kb < k)
            B = cam.eye + d * np.where(onb, kb, 1)[..., None]
            bc = planks(B[..., 0], B[..., 2] + .2, 2.1, ("#6b4628", "#a47445", "#c0935c"), self.seed + 9)
            bc = bc * (.45 + .55 * smooth(0, .25, B[..., 2]))[..., None]
            P = np.where(onb[..., None], B, wall)
            N[onb] = [0, 1, 0]
            col = np.where(onb[..., None], bc, col)
            col = col * np.where(onb, 1, .5 + .5 * smooth(-.1, 1.3, wall[..., 1]))[..., None]
        return P, N, col, onb

    def paint(self, cam, lamp, shadows, H, W):
        P, N, col, onb = self.surface(cam, H, W)
        bump = np.stack([np.zeros((H, W)), col.mean(-1) - gaussian_filter(col.mean(-1), 3), np.zeros((H, W))], -1)
        shade = np.ones((H, W))
        for axis, (cast, touch) in shadows.items():
            up = lambda a: zoom(a, (H / a.shape[0], W / a.shape[1]), order=1)
            m = onb if axis == 1 else ~onb
            s = (1 - .9 * up(cast)) * (1 - .75 * up(touch))
            shade = np.where(m, s, shade)
        gloss = np.where(onb, .10, .0)
        N = unit(N + bump * 1.2)
        img = lamp.light(P, N, col, cam.eye, .04 + .96 * shade, gloss, 14, wrap=.1)
        for axis, (cast, touch) in shadows.items():
            m = (onb if axis == 1 else ~onb)[..., None]
            t = zoom(touch, (H / touch.shape[0], W / touch.shape[1]), order=1)[..., None]
            img = np.where(m, img * (1 - .6 * t), img)
        return tone(img)


def kuwahara(img, r):
    """Edge-keeping smoothing: each pixel takes the calmest of four neighbouring blocks."""
    h, w, _ = img.shape
    img = np.pad(img, ((8, 8), (8, 8), (0, 0)), mode="edge")
    g = img.mean(-1)
    size = r + 1
    m = np.stack([uniform_filter(img[..., c], size) for c in range(3)], -1)
    v = uniform_filter(g * g, size) - uniform_filter(g, size) ** 2
    o = (r + 1) // 2
    best, out = None, None
    for dy in (-o, o):
        for dx in (-o, o):
            vv = np.roll(v, (dy, dx), (0, 1))
            mm = np.roll(m, (dy, dx), (0, 1))
            if best is None:
                best, out = vv, mm
            else:
                k = vv < best
                best, out = np.where(k, vv, best), np.where(k[..., None], mm, out)
    return out[8:8 + h, 8:8 + w]


def finish(img, seed=1, brush=3, amount=.66, vignette=.48, grain=.0045):
    """Brush-like smoothing, a little glow, vignette, warm-dark grade and light grain."""
    h, w, _ = img.shape
    k = max(2, int(round(brush * w / 1600)))
    soft = kuwahara(img, k)
    img = img * (1 - amount) + soft * amount
    glow = gaussian_filter(np.clip(img - .55, 0, 1), (w / 70, w / 70, 0))
    img = img + glow * .35
    Y, X = np.mgrid[0:h, 0:w]
    d = np.hypot((X / w - .46) / .75, (Y / h - .45) / .75)
    img = img * (1 - vignette * smooth(.35, 1.1, d))[..., None]
    lum = img.mean(-1, keepdims=True)
    img = img + (1 - smooth(0, .35, lum)) * np.array([.004, .004, .012])
    img = lum + (img - lum) * 1.08
    rng = np.random.default_rng(seed)
    n = gaussian_filter(rng.normal(size=(h, w)), .8)
    img = img + (n / n.std() * grain)[..., None]
    return np.clip(img, 0, 1)


def save(img, path, quality=80, limit=164000):
    """Plain baseline JPEG, no metadata, stepped down in quality only if it is too heavy."""
    im = Image.fromarray((img * 255 + .5).astype(np.uint8))
    for q in range(quality, 58, -3):
        buf = io.BytesIO()
        im.save(buf, "JPEG", quality=q, optimize=True, progressive=False, subsampling=2)
        if buf.tell() <= limit:
            break
    with open(path, "wb") as f:
        f.write(buf.getvalue())
    return buf.tell(), q
