"""Camera set-ups shared by all pictures, and the clutter that dresses the bench."""
import numpy as np
import props as pr
from room import Room
from scene import Camera, Lamp, Scene

LAND, PORT = (1600, 1200), (1200, 1600)


def stage(kind="bench", size=LAND, px=1.0, seed=3, **kw):
    """bench: bench and wall; floor: showroom stand; wall; steep: looking down; flat: from above."""
    if kind == "wall":
        cam = Camera(size, (0, 6, 26), ground=size[1] - 20, px=px, **kw)
        return Scene(cam, Lamp((-6.5, 12.5, 9)), Room(bench=False, seed=seed))
    if kind == "flat":
        cam = Camera(size, (0, 0, 26), ground=size[1] / 2, px=px, **kw)
        return Scene(cam, Lamp((-6, 6, 8.5), reach=10.0), Room(bench=False, flat=True, seed=seed))
    if kind == "steep":
        cam = Camera(size, (0, 17, 24), ground=340, px=px, **kw)
        return Scene(cam, Lamp((-6, 9.5, 6.5), reach=10.0), Room(seed=seed))
    ground = {"bench": 895, "floor": 1005}[kind] + (size[1] - 1200) * .95
    cam = Camera(size, (0, 9, 26), ground=ground, px=px, **kw)
    lamp = Lamp((-6.5, 11.5, 9)) if size == LAND else Lamp((-5.5, 14.5, 9), reach=12.5)
    return Scene(cam, lamp, Room(seed=seed))


def flat(*models):
    """Turn things made to lie on the bench so they face a camera above it."""
    for m in models:
        m.place(roll=90)
    return models


def back_row(scene, seed=1, left=True, right=True, lamp=False):
    """Jars, pots and spools standing at the back of the bench, clear of the subject."""
    rng = np.random.default_rng(seed)
    cols = ["#8a3b2e", "#3f5a63", "#b58a45", "#5d6b46", "#e0d6c0", "#7a5a3a", "#2f3a44"]
    items = []
    if left:
        items += [(-7.4, .9), (-6.5, .7), (-5.75, 1.1)]
    if right:
        items += [(5.9, .8), (6.8, 1.0), (7.5, .7)]
    for k, (x, z) in enumerate(items):
        pick = rng.integers(0, 4)
        at = (x + rng.normal(0, .08), 0, z)
        if pick == 0:
            scene.add(pr.brush_pot(at, rng, layer=-6 + z * .1))
        elif pick == 1:
            scene.add(pr.spool(at, rng.choice(cols), layer=-6 + z * .1, s=1.5))
        else:
            scene.add(pr.jar(at, rng.choice(cols), rng.uniform(.34, .46), rng.uniform(.85, 1.25),
                    lid=rng.choice(["#2b2b2a", "#9a8f78", "#6b2f22"]), layer=-6 + z * .1))
    if lamp:
        scene.add(pr.lamp((-6.4, 0, 1.6), layer=-5, reach=(2.4, 4.6)))
    return scene


def front_tools(scene, seed=1, z=4.9, which=("scissors", "tool", "brush"), layer=20):
    """A few hand tools along the front edge of the bench."""
    rng = np.random.default_rng(seed)
    spots = [-5.2, 5.2, 6.9, -6.9, 3.6]
    xs = np.array(spots[:len(which)]) + rng.normal(0, .2, len(which))
    for x, w in zip(xs, which):
        y, z = rng.uniform(-.5, .5), z + rng.uniform(-.5, .5)
        if w == "scissors":
            scene.add(pr.scissors((x, 0, z), yaw=rng.uniform(-40, 40), layer=layer, scale=.85))
        elif w == "tool":
            scene.add(pr.modelling_tool((x - .9, .08, z + y * .3), (x + 1.0, .06, z - y * .6), layer=layer,
                    loop=rng.random() < .5))
        elif w == "brush":
            scene.add(pr.brush((x - 1, .06, z + y * .5), (x + 1.1, .05, z - y * .5), layer=layer))
        elif w == "tape":
            scene.add(pr.tape((x, 0, z), layer=layer, yaw=rng.uniform(-.2, .2), length=2.2))
        elif w == "spool":
            scene.add(pr.spool((x, 0, z), layer=layer, s=1.3))
        elif w == "tag":
            scene.add(pr.tag((x, 0, z), layer=layer))
        elif w == "jar":
            scene.add(pr.jar((x, 0, z), layer=layer, lid="#2b2b2a"))
    return scene


def bench(px, seed=1, kind="bench", tools=(), **kw):
    """The workbench with its usual clutter."""
    s = stage(kind, px=px, seed=3)
    back_row(s, seed, **kw)
    return front_tools(s, seed, which=tools) if tools else s
