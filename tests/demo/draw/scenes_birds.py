"""Bench pictures of the birds: turkey, tail fan and duck, step by step."""
import numpy as np
import bases as bs
import duck
import props as pr
import turkey as tk
import workparts as wp
from geom import rgb, ribbons
from loft import Loft
from scenes_show import bird, fan_plaque
from stage import back_row, bench, flat, front_tools, stage

RNG = np.random.default_rng


def turkey_intake(px):
    s = back_row(stage("steep", px=px), 4, lamp=False)
    pose = dict(tk.WALK, legs=[(.0, 2.6, .45), (.2, 2.6, -.45)], feet=[(-.4, .55, .5), (-.7, .4, -.5)], spread=22,
            tail_face=(-.3, 1, .55), neck=[(1.5, 4.2, 0, .72), (2.2, 4.5, .1, .46), (3.0, 4.5, .35, .31),
            (3.6, 4.4, .55, .23), (4.0, 4.2, .62, .22)], head=(4.15, 4.12, .62), face=(1, -.35))
    m = tk.turkey(pose, near=-1, seed=31).place(at=(.6, -.75, 7.6), yaw=180, roll=62, scale=1.0)
    s.add(m)
    s.add(pr.tag((4.2, 0, 6.6), "417", layer=12, w=1.15, h=.6, string=(3.2, .5, 5.3)))
    return s.add(pr.tape((-4.6, 0, 7.0), layer=12, length=4.0, yaw=.05))


def turkey_washed(px):
    s = stage("flat", px=px)
    t = pr.towel((-7.3, -5.2), (7.3, 5.2), layer=-3)
    s.add(*flat(t))
    return s.add(wp.laid_turkey(RNG(8)).place(at=(0, .6, .1), scale=1.1))


def turkey_form(px):
    s = bench(px, 2, tools=("tool", "scissors"), lamp=True)
    s.add(bs.base((0, 0, 3.4), 2.6, 1.5, moss=False))
    return s.add(wp.turkey_form(RNG(1)).place(at=(.1, .45, 3.4), yaw=-152, scale=1.08))


def turkey_head_back(px):
    s = bench(px, 6, tools=("brush", "spool"), lamp=True)
    return s.add(wp.head_stand(RNG(3), .95, low=.8).place(at=(2.3, 0, 3.6), yaw=-160, scale=1.22))


def turkey_mounted(px):
    s = bench(px, 3, tools=("scissors", "spool"))
    s.add(bs.base((.3, 0, 3.2), 3.0, 1.6, moss=False))
    return s.add(wp.carded_turkey(RNG(4), tk.STRUT, -1).place(at=(.3, .45, 3.2), yaw=-128, scale=.97))


def turkey_mounted_2(px):
    s = bench(px, 9, tools=("tape", "tool"))
    s.add(bs.base((0, 0, 3.2), 2.9, 1.6, moss=False))
    return s.add(wp.carded_turkey(RNG(5), tk.HALF, -1, seed=22).place(at=(0, .45, 3.2), yaw=-156, scale=.97))


def turkey_painted(px):
    """Close on the head, a brush at the wattle and open jars beside it."""
    s = stage("bench", px=px)
    s.cam.f *= 1.45
    s.cam.cy = 960 - s.cam.f / 26 * 9
    s.add(wp.head_stand(RNG(13), 1.0, low=1.9).place(at=(2.6, 0, 3.0), yaw=-168, scale=1.15))
    s.add(pr.brush((-4.4, 1.7, 4.4), (-.05, 3.75, 3.55), tip="#a8302a", layer=9, r=.075))
    for i, (x, c) in enumerate(((-4.0, "#b5302a"), (-3.0, "#7391ad"), (3.6, "#e6dfd2"), (4.5, "#8a3b2e"))):
        s.add(pr.jar((x, 0, 2.6 + .2 * (i % 2)), c, .42, 1.0, layer=5))
    return s


def turkey_finished(px):
    s = bench(px, 7)
    s.add(bs.base((.2, 0, 3.3), 3.0, 1.6))
    return bird(s, tk.STRUT, -138, at=(.2, .45, 3.3), scale=.98, seed=21)


def fan_pinned(px):
    s = stage("flat", px=px)
    s.add(wp.pinned_board(RNG(1), 6.9, 4.9))
    pose = dict(tail=(0, -2.6, .45), tail_dir=(0, 1, 0), tail_face=(0, 0, 1), spread=88, tail_len=5.6)
    s.add(tk.fan(pose["tail"], (0, 1, 0), (0, 0, 1), 88, 5.6, RNG(7), layer=0, width=.62))
    s.add(wp.fan_cards(pose, 3))
    return s.add(pr.tag((0, -3.9, .45), "208", layer=5, w=1.0, h=.42, hang=True))


def fan_finished(px):
    s = stage("bench", px=px)
    back_row(s, 8)
    fan_plaque(s, (0, 4.0, 0), length=4.2, seed=7)
    return front_tools(s, 3, which=("brush", "spool"))


def duck_mounted(px):
    s = bench(px, 10, tools=("scissors", "spool"))
    s.add(bs.base((0, 0, 3.3), 2.8, 1.3, h=.4, moss=False))
    m = duck.duck("stand", seed=5)
    for y, x in ((1.75, -.2), (2.1, -.6)):
        m += pr.slip((x, y, -1.06), (1, .1, 0), (-.1, 1, 0), .8, .075, layer=6)
        m += pr.pins([(x - .7, y - .05, -1.08), (x + .7, y + .05, -1.08)], [(0, .2, -1)] * 2, layer=6.1, length=.22)
    body = Loft(duck.STAND["body"])
    for k in np.linspace(.22, .58, 7):                 # thread wound round the body
        a = np.linspace(-np.pi, np.pi, 90)
        P, N, _ = body.at(k + .035 * np.cos(a), a)
        P = P + N * .07
        P[:, 2] = np.where((P[:, 2] < 0) & (np.abs(P[:, 1] - 1.9) < .5), np.minimum(P[:, 2], -1.07), P[:, 2])
        m.append(ribbons(P[None], np.full((1, 90), .011), np.broadcast_to(rgb("#e9dfc6"), (1, 90, 3)), N[None],
                layer=6.2, cast=False, cull=True))
    return s.add(m.place(at=(.1, .4, 3.3), yaw=-165, scale=1.55))


def duck_finished(px):
    s = bench(px, 12)
    s.add(bs.base((0, 0, 3.3), 2.9, 1.4))
    return s.add(duck.duck("stand", seed=5).place(at=(.1, .45, 3.3), yaw=-157, scale=1.6))


BIRDS = {
    "work-turkey-intake": turkey_intake, "work-turkey-washed": turkey_washed, "work-turkey-form": turkey_form,
    "work-turkey-head-back": turkey_head_back, "work-turkey-mounted": turkey_mounted,
    "work-turkey-mounted-2": turkey_mounted_2, "work-turkey-painted": turkey_painted,
    "work-turkey-finished": turkey_finished, "work-fan-pinned": fan_pinned, "work-fan-finished": fan_finished,
    "work-duck-mounted": duck_mounted, "work-duck-finished": duck_finished,
}
