"""Turkey feather patterns, the bronze body sheen, and the tail fan."""
import numpy as np
from feathers import plumes
from geom import Model, mix, rgb, smooth, unit


def tail_pattern(s, t, i):
    """Fine brown-black barring, dark band before the tip, buff tip."""
    wob = .006 * np.sin(t * 9 + i * 3) + .004 * np.sin(t * 23 + i)
    q = s + .035 * np.abs(t) + wob
    bars = smooth(-.2, .45, np.sin(q * 95 + i * 2.1 + 1.2 * np.sin(t * 4 + i)))
    col = mix(rgb("#241609"), rgb("#8a5a30"), bars * (.45 + .5 * s))
    col = mix(col, rgb("#15100c"), smooth(.775, .80, q) * (1 - smooth(.915, .93, q)))
    col = mix(col, rgb("#c8813f"), smooth(.70, .74, q) * (1 - smooth(.765, .785, q)) * .55)
    col = mix(col, rgb("#c98a4a"), smooth(.915, .935, q))
    return mix(col, rgb("#e6bd83"), smooth(.955, 1.0, q))


def covert_pattern(s, t, i):
    q = s + .05 * np.abs(t)
    bars = .5 + .5 * np.sin(q * 48 + i * 1.7)
    col = mix(rgb("#1c120a"), rgb("#5e3a1f"), bars * .8)
    col = mix(col, rgb("#a8612c"), smooth(.45, .72, q) * .75)
    col = mix(col, rgb("#16110d"), smooth(.76, .80, q) * (1 - smooth(.88, .90, q)))
    return mix(col, rgb("#d69d5f"), smooth(.885, .93, q))


def primary_pattern(s, t, i):
    q = s * 1.0 + .09 * t + .012 * np.sin(i * 5.0)
    bars = smooth(-.25, .25, np.sin(q * 66 + i * .9))
    return mix(rgb("#2a2420"), rgb("#d9cfbc"), bars * (.55 + .45 * (1 - smooth(.9, 1, s))))


def secondary_pattern(s, t, i):
    bars = smooth(-.2, .5, np.sin((s + .06 * t) * 60 + i))
    return mix(rgb("#30231a"), rgb("#a08a6c"), bars * .75)


def wing_covert_pattern(s, t, i):
    col = mix(rgb("#1e140d"), rgb("#74461f"), smooth(.1, .75, s))
    return mix(col, rgb("#17110d"), smooth(.86, .93, s))


def bronze(P, u, a):
    """Copper, bronze and green sheen over dark, drifting across the body."""
    k = .5 + .5 * np.sin(P[..., 0] * 1.7 + P[..., 1] * 2.3 + P[..., 2] * 1.1)
    g = .5 + .5 * np.sin(P[..., 0] * 2.9 - P[..., 1] * 1.6 + 1.0)
    col = mix(rgb("#5e3a20"), rgb("#8a5529"), k)
    col = mix(col, rgb("#45523a"), smooth(.5, 1, g) * .65)
    return mix(col, rgb("#7c3a26"), smooth(.65, 1, 1 - g) * .45)


def bronze_edge(P, u, a):
    return np.broadcast_to(rgb("#15100c"), P.shape)


def fan(base, dirc, face, spread, length, rng, n=18, layer=0, coverts=True, width=.46, body=True):
    """Tail fan: n feathers about dirc, facing `face`, each side to `spread` degrees."""
    dirc, face = unit(np.array(dirc, float)), np.array(face, float)
    face = unit(face - dirc * (face @ dirc))
    side = np.cross(dirc, face)
    ang = np.radians(np.linspace(-spread, spread, n))
    D = dirc * np.cos(ang)[:, None] + side * np.sin(ang)[:, None]
    B = np.asarray(base) + D * .35
    N = face + side * np.sin(ang)[:, None] * .0 + side * .12
    L = length * (1 - .06 * np.abs(ang / max(spread * np.pi / 180, .1)) ** 2) * rng.uniform(.985, 1.015, n) - .35
    key = -np.abs(np.arange(n) - (n - 1) / 2 + .2)
    B = B - face * (np.abs(np.arange(n) - (n - 1) / 2) * .012)[:, None]
    W = width if spread > 40 else width * .8
    out = plumes(B, D, N, L, W, tail_pattern, rng, barbs=150, blunt=.13, base=.30, key=key, layer=layer, cup=.05,
            curl=.02, segs=5, spec=.06, quill="#8f7350")
    if coverts:
        for r, (f, m, w, pat) in enumerate([(.60, 15, .42, covert_pattern), (.45, 13, .40, covert_pattern),
                (.31, 13, .32, wing_covert_pattern), (.19, 13, .24, wing_covert_pattern)]):
            an = np.radians(np.linspace(-spread * .93, spread * .93, m)) + rng.normal(0, .02, m)
            Dc = dirc * np.cos(an)[:, None] + side * np.sin(an)[:, None]
            out += plumes(np.asarray(base) + Dc * .2 + face * (.05 + .05 * r), Dc, face + Dc * .12,
                    length * f * rng.uniform(.94, 1.05, m), w if spread > 40 else w * .6, pat, rng, barbs=70,
                    blunt=.3, base=.45, key=rng.permutation(m) * 1.0, layer=layer + .1 + r * .1, cup=.12, curl=.03,
                    segs=4, spec=.15)
    return Model(out)
