"""The showroom pictures: finished mounts on a stand or on the wall."""
import numpy as np
import bases as bs
import bear
import deer
import duck
import fish
import skull
import turkey as tk
from geom import Model, rgb
from loft import ball
from stage import LAND, PORT, stage


def bird(scene, pose, yaw, at=(0.2, .45, 3.4), scale=1.0, seed=1, **kw):
    near = 1 if np.cos(np.radians(yaw)) > 0 else -1
    m = tk.turkey(pose, near=near, seed=seed, **kw).place(at=at, yaw=yaw, scale=scale)
    return scene.add(m)


def turkey_full_strut(px):
    s = stage("floor", px=px)
    s.add(bs.base((.3, 0, 3.4), 3.0, 1.7))
    return bird(s, tk.STRUT, -122, scale=1.02, at=(.3, .45, 3.4))


def turkey_half_strut(px):
    s = stage("floor", px=px, seed=5)
    s.add(bs.base((0, 0, 3.4), 2.9, 1.6))
    return bird(s, tk.HALF, -150, scale=1.03, seed=2, at=(.0, .45, 3.4))


def turkey_half_strut_back(px):
    s = stage("floor", px=px, seed=5)
    s.cam.f *= 1.22
    s.cam.cy = 1035 - s.cam.f / 26 * 9
    s.add(bs.base((0, 0, 3.4), 2.7, 1.6))
    return bird(s, tk.HALF, -38, scale=1.03, seed=2, at=(.2, .45, 3.4))


def turkey_gobbling(px):
    s = stage("floor", px=px, seed=8)
    s.add(bs.base((0, 0, 3.4), 3.2, 1.5))
    return bird(s, tk.GOBBLE, 188, scale=1.08, seed=3, at=(.5, .45, 3.4))


def turkey_walking(px):
    s = stage("floor", px=px, seed=11)
    s.add(bs.base((0.1, 0, 3.4), 3.2, 1.5))
    return bird(s, tk.WALK, -8, scale=1.07, seed=4, at=(.1, .45, 3.4))


def fan_plaque(s, at, length=4.4, spread=92, seed=6, beards=1, style="shield"):
    rng = np.random.default_rng(seed)
    x, y, z = at
    s.add(tk.fan((x, y, .35), (0, 1, .0), (0, 0, 1), spread, length, rng, layer=0))
    if style == "shield":
        s.add(bs.plaque(np.array(bs.SHIELD) * .78, (x, y - .75, .40), layer=2, depth=.45))
    else:
        s.add(bs.plaque(bs.oval(1.25, 1.0), (x, y - .5, .40), layer=2, depth=.45, dark="#2c1a10", light="#5e3a20"))
    for k in range(beards):
        bx = x + (k - (beards - 1) / 2) * .8
        top = y - (.75 if style == "shield" else .5)
        s.add([tk.beard((bx, top, 1.0), 2.9 - .3 * k, rng, 4, n=260, out_dir=(.0, -1, .03))])
        s.add(Model([ball((bx, top + .08, 1.0), [.2, .17, .17], rgb("#9a7a3c"), n=14, spec=1.2, gloss=24,
                layer=4.2)]))
    return s


def turkey_fan(px):
    return fan_plaque(stage("wall", px=px), (0, 5.0, 0))


def turkey_fan_2(px):
    s = stage("wall", size=PORT, px=px, seed=9)
    return fan_plaque(s, (0, 7.1, 0), length=5.1, spread=80, seed=9, beards=2, style="oval")


def deer_on_wall(px, pose, at, seed=3, size=LAND, scale=1.0, mirror=False, **kw):
    s = stage("wall", size=size, px=px, seed=seed)
    m = deer.mount(pose, seed=seed + 2, **kw)
    if mirror:
        m.mirrored(0)
    return s.add(m.place(at=at, scale=scale))


def deer_upright(px):
    return deer_on_wall(px, "upright", (.25, 5.95, 0), size=PORT, scale=1.25)


def deer_semi(px):
    return deer_on_wall(px, "semi", (.3, 4.3, 0), seed=5, scale=1.15)


def deer_sneak(px):
    return deer_on_wall(px, "sneak", (.0, 4.4, 0), seed=7, scale=1.22)


def skull_plaque(s, at, scale=1.7, seed=4, tip=40, **kw):
    x, y, z = at
    s.add(bs.plaque(np.array(bs.SHIELD) * .68 * scale, (x, y - .6 * scale, 0), layer=-1, depth=.4))
    sk = skull.skull(seed, **kw).place(yaw=-90, pitch=0)
    sk.place(at=(x, y, 1.05), roll=tip, scale=scale)
    return s.add(sk)


def deer_skull(px):
    return skull_plaque(stage("wall", size=PORT, px=px, seed=4), (0, 6.9, 0), scale=2.0, tip=24)


def bear_rug(px):
    s = stage("wall", size=PORT, px=px, seed=6)
    return s.add(bear.rug("finished").place(at=(0, 7.6, .12), scale=1.28))


def duck_flying(px):
    s = stage("wall", px=px, seed=12)
    return s.add(duck.duck("fly", near=-1).place(at=(.55, 4.35, 2.6), yaw=-166, pitch=20, roll=-46, scale=1.16))


def duck_standing(px):
    s = stage("floor", px=px, seed=10)
    s.add(bs.driftwood([(-4.0, .3, 3.6, .3, .25, .3), (-2.8, .4, 3.4, .75, .45, .4), (-.6, .45, 3.4, 1.05, .5, .45),
            (1.8, .42, 3.5, .95, .48, .42), (3.2, .5, 3.3, .5, .35, .4), (4.2, .95, 3.1, .15, .12, .12)]))
    return s.add(duck.duck("stand").place(at=(.1, .78, 3.4), yaw=-163, scale=1.75))


def trout(s, bend, at=(0, 5.9, 1.0), scale=1.55, panel=True, **kw):
    if panel:
        s.add(bs.plaque(bs.oval(6.9, 2.9), (at[0], at[1] - .05, 0), layer=-1, depth=.35, dark="#352014",
                light="#6a4226"))
    f = fish.Fish(bend, **{k: v for k, v in kw.items() if k in ("seed", "painted")})
    return s.add(f.model(carded=kw.get("carded", False)).place(at=at, yaw=180, scale=scale))


SHOW = {
    "show-turkey-full-strut": turkey_full_strut, "show-turkey-half-strut": turkey_half_strut,
    "show-turkey-half-strut-back": turkey_half_strut_back, "show-turkey-gobbling": turkey_gobbling,
    "show-turkey-walking": turkey_walking, "show-turkey-fan": turkey_fan, "show-turkey-fan-2": turkey_fan_2,
    "show-deer-upright": deer_upright, "show-deer-semi-sneak": deer_semi, "show-deer-full-sneak": deer_sneak,
    "show-deer-skull": deer_skull, "show-bear-rug": bear_rug, "show-duck-flying": duck_flying,
    "show-duck-standing": duck_standing,
    "show-fish-straight": lambda px: trout(stage("wall", px=px, seed=2), 0.0),
    "show-fish-s-bend": lambda px: trout(stage("wall", px=px, seed=13), 1.0, seed=5, at=(0, 5.8, 1.2)),
}
