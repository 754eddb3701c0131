#!/usr/bin/python3
"""Draws the sample designs of a small harbour town into samples/, the same every run. Needs python3-cairo (Debian).

A sock blank of 24 x 86 cm at 20 pixels per centimetre. x runs right and y down in centimetres; y = 0 is the ravel edge.
Paint adds up in K/S, as in the tool: (K/S)layer - (K/S)undyed, times the amount, on each linear sRGB channel.
"""
import math
import random
import struct
import zlib
from pathlib import Path

import cairo

SAMPLES = Path(__file__).resolve().parent.parent / "samples"
PIXELS_PER_CM = 20
WIDTH_CM, LENGTH_CM = 24.0, 86.0
WIDTH, LENGTH = int(WIDTH_CM * PIXELS_PER_CM), int(LENGTH_CM * PIXELS_PER_CM)
UNDYED = "#f3ede0"

# No channel of a dye is under 40: its reflectance stays over the lower clamp, so full strength shows the colour named.
LANTERN_GROUND = ["#2f7d9b", "#86b9c6", "#dde9e4"]
LANTERN_BODY, LANTERN_LINE = "#d8455a", "#39467c"
TIDE = {"blue-1": "#28426f", "blue-2": "#3f93a4", "green-1": "#7f9a58", "yellow-1": "#e3b04e", "red-1": "#b54a34"}
NETS = {"brown-1": "#64403a", "orange-1": "#d8793a", "blue-3": "#3d6a94", "green-2": "#a3c6b2"}
GULLS = {"grey-1": "#5a6874", "blue-4": "#3a78b0", "yellow-2": "#ecb63c", "red-2": "#d4543f"}
ROPE = {"brown-2": "#5c4538", "yellow-3": "#d9b66c", "red-3": "#b43f3a", "blue-5": "#2c527f", "green-3": "#5b8a74"}

MIN_REFLECTANCE, MAX_REFLECTANCE = 0.02, 0.98


# ---- colour ----------------------------------------------------------------------------------------------------------

def linear_from_code(code):
    """IEC 61966-2-1."""
    v = code / 255
    return v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4


def code_from_linear(linear):
    v = 12.92 * linear if linear <= 0.0031308 else 1.055 * linear ** (1 / 2.4) - 0.055
    return round(255 * min(1.0, max(0.0, v)))


def linear_from_hex(text):
    return tuple(linear_from_code(int(text[i:i + 2], 16)) for i in (1, 3, 5))


def ks_from_linear(colour):
    clamped = (min(MAX_REFLECTANCE, max(MIN_REFLECTANCE, r)) for r in colour)
    return tuple((1 - r) ** 2 / (2 * r) for r in clamped)


def linear_from_ks(ks):
    return tuple(1 + k - math.sqrt(k * k + 2 * k) for k in ks)


def added_ks(colour):
    """What full strength of a dye adds on each channel."""
    undyed = ks_from_linear(linear_from_hex(UNDYED))
    return tuple(dyed - bare for dyed, bare in zip(ks_from_linear(linear_from_hex(colour)), undyed))


def painted(ground, doses):
    """Linear ground under doses of (added K/S, amount); a ground that takes no dye stays exactly as it is."""
    if not any(amount for _, amount in doses):
        return ground
    ks = ks_from_linear(ground)
    return linear_from_ks(tuple(k + sum(added[i] * amount for added, amount in doses) for i, k in enumerate(ks)))


def faded(stops, t):
    """Evenly spaced colours mixed in linear light; t = 0 at the ravel edge, 1 at the other end."""
    place = t * (len(stops) - 1)
    i = min(int(place), len(stops) - 2)
    a, b = linear_from_hex(stops[i]), linear_from_hex(stops[i + 1])
    return tuple(p + (q - p) * (place - i) for p, q in zip(a, b))


# ---- masks and pictures ----------------------------------------------------------------------------------------------

class Mask:
    """Where paint goes, drawn with cairo in centimetres: 255 is fully painted."""

    def __init__(self):
        self.surface = cairo.ImageSurface(cairo.FORMAT_A8, WIDTH, LENGTH)
        self.pen = cairo.Context(self.surface)
        self.pen.scale(PIXELS_PER_CM, PIXELS_PER_CM)
        self.pen.set_line_join(cairo.LINE_JOIN_ROUND)

    def rows(self):
        self.surface.flush()
        data, stride = bytes(self.surface.get_data()), self.surface.get_stride()
        return [data[y * stride:y * stride + WIDTH] for y in range(LENGTH)]


def png_chunk(kind, body):
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def write_png(name, rows, channels):
    """8-bit grey (1 channel) or RGB (3), sRGB. Rows as they are or as differences from the row above (PNG filters 0
    and 2), whichever is smaller: flat paint packs better so than with cairo's choice of filter per row."""
    plain = b"".join(b"\0" + row for row in rows)
    above = [bytes(len(rows[0]))] + rows[:-1]
    differences = b"".join(b"\2" + bytes((v - u) & 255 for v, u in zip(row, up)) for row, up in zip(rows, above))
    packed = min((zlib.compress(raw, 9) for raw in (plain, differences)), key=len)
    colour_type = {1: 0, 3: 2}[channels]
    header = struct.pack(">IIBBBBB", len(rows[0]) // channels, len(rows), 8, colour_type, 0, 0, 0)
    pixels_per_metre = struct.pack(">IIB", 100 * PIXELS_PER_CM, 100 * PIXELS_PER_CM, 1)
    chunks = [(b"IHDR", header), (b"sRGB", b"\0"), (b"pHYs", pixels_per_metre), (b"IDAT", packed), (b"IEND", b"")]
    (SAMPLES / name).write_bytes(b"\x89PNG\r\n\x1a\n" + b"".join(png_chunk(*chunk) for chunk in chunks))


def write_stencil(mask, name):
    """Black where dye goes."""
    write_png(name, [bytes(255 - v for v in row) for row in mask.rows()], 1)


def write_picture(name, ground_rows, paints, tone):
    """ground_rows: one linear colour per row; paints: (mask, colour, strength); tone: None or rows of dye strength."""
    masks = [mask.rows() for mask, _, _ in paints]
    added = [added_ks(colour) for _, colour, _ in paints]
    strengths = [strength for _, _, strength in paints]
    known, picture = {}, []
    for y, ground in enumerate(ground_rows):
        levels = tone[y] if tone else [1.0] * WIDTH
        row = bytearray()
        for key in zip(levels, *(rows[y] for rows in masks)):
            pixel = known.get((ground, key))
            if pixel is None:
                doses = [(k, v / 255 * s * key[0]) for k, v, s in zip(added, key[1:], strengths)]
                pixel = known[(ground, key)] = bytes(code_from_linear(c) for c in painted(ground, doses))
            row += pixel
        picture.append(bytes(row))
    write_png(name, picture, 3)


def bare_rows():
    return [linear_from_hex(UNDYED)] * LENGTH


def wave(rng, period_cm, harmonics, amplitude):
    """A smooth wander that closes on itself after period_cm."""
    parts = [(2 * math.pi * n / period_cm, rng.uniform(0, 2 * math.pi), rng.uniform(0.5, 1.0) / math.sqrt(n))
             for n in harmonics]
    scale = amplitude / sum(weight for _, _, weight in parts)
    return lambda s: scale * sum(weight * math.sin(k * s + phase) for k, phase, weight in parts)


TONE_STEP = 0.01


def brushed_tone(rng, waves_x, waves_y, amplitude):
    """Dye strength about 1, varying slowly, in steps too small to see; waves_x and waves_y: choices of waves across
    and along the blank, whole numbers so that copies of the picture join."""
    def sines(waves, size):
        k, phase = rng.choice(waves) * 2 * math.pi / size, rng.uniform(0, 2 * math.pi)
        return [math.sin(k * i + phase) for i in range(size)]

    parts = [(sines(waves_x, WIDTH), sines(waves_y, LENGTH)) for _ in range(6)]
    scale = amplitude / math.sqrt(len(parts)) / TONE_STEP

    def row(y):
        weights = [scale * along[y] for _, along in parts]
        columns = zip(*(across for across, _ in parts))
        return [1 + TONE_STEP * round(sum(w * v for w, v in zip(weights, column))) for column in columns]
    return [row(y) for y in range(LENGTH)]


# ---- lanterns --------------------------------------------------------------------------------------------------------

LANTERN_ROWS = 8          # even, so that the half-drop also closes from one end of the blank to the other
LANTERN_SPACING = 12.0    # between lanterns on one line; the next line is shifted by half of this
LINE_WIDTH = 1.05         # over 10 mm: two stitches
LINE_SAG = 0.7
FIRST_LINE = 2.15         # lowest place of the first line


def lantern_places():
    row_height = LENGTH_CM / LANTERN_ROWS
    for row in range(LANTERN_ROWS):
        first = 3.0 if row % 2 == 0 else 9.0
        for x in (first, first + LANTERN_SPACING):
            yield x, FIRST_LINE + row * row_height


def draw_body(pen, x, y):
    """A paper lantern 5.6 cm wide, from 2.0 to 5.6 cm under its line; its ribs are bridges of the stencil."""
    pen.move_to(x - 1.4, y + 2.0)
    pen.curve_to(x - 3.27, y + 2.3, x - 3.27, y + 5.3, x - 1.4, y + 5.6)
    pen.line_to(x + 1.4, y + 5.6)
    pen.curve_to(x + 3.27, y + 5.3, x + 3.27, y + 2.3, x + 1.4, y + 2.0)
    pen.close_path()
    pen.fill()
    pen.save()
    pen.set_operator(cairo.OPERATOR_CLEAR)
    pen.set_line_width(1.0)
    pen.set_line_cap(cairo.LINE_CAP_SQUARE)
    for side in (-1, 1):
        pen.move_to(x + side * 0.95, y + 1.9)
        pen.curve_to(x + side * 1.4, y + 2.9, x + side * 1.4, y + 4.7, x + side * 0.95, y + 5.7)
        pen.stroke()
    pen.restore()


def trace_plate(pen, left, top, width, height):
    """A rectangle with its corners rounded."""
    r = 0.3
    pen.new_sub_path()
    for turn, (cx, cy) in enumerate([(left + width - r, top + height - r), (left + r, top + height - r),
                                     (left + r, top + r), (left + width - r, top + r)]):
        pen.arc(cx, cy, r, turn * math.pi / 2, (turn + 1) * math.pi / 2)
    pen.close_path()


def draw_tassel(pen, x, y):
    pen.move_to(x - 0.5, y + 6.6)
    pen.curve_to(x - 0.55, y + 7.1, x - 0.8, y + 7.5, x - 1.1, y + 7.9)
    pen.curve_to(x - 0.5, y + 8.1, x + 0.5, y + 8.1, x + 1.1, y + 7.9)
    pen.curve_to(x + 0.8, y + 7.5, x + 0.55, y + 7.1, x + 0.5, y + 6.6)
    pen.close_path()
    pen.fill()


def draw_fittings(pen, x, y):
    pen.rectangle(x - 0.5, y, 1.0, 1.2)
    trace_plate(pen, x - 1.5, y + 1.0, 3.0, 1.0)
    trace_plate(pen, x - 1.2, y + 5.6, 2.4, 1.0)
    pen.fill()


def draw_small_lantern(bodies, lines, x, y):
    """Hangs from the crest of a line, between two large ones."""
    lines.rectangle(x - 0.5, y, 1.0, 1.2)
    trace_plate(lines, x - 1.0, y + 1.0, 2.0, 1.0)
    lines.fill()
    bodies.save()
    bodies.rectangle(x - 2, y + 2.0, 4, 4)
    bodies.clip()
    bodies.translate(x, y + 3.4)
    bodies.scale(1.8, 1.55)
    bodies.arc(0, 0, 1, 0, 2 * math.pi)
    bodies.fill()
    bodies.restore()


def draw_lines(pen):
    pen.set_line_width(LINE_WIDTH)
    for row in range(LANTERN_ROWS):
        low = FIRST_LINE + row * LENGTH_CM / LANTERN_ROWS
        first = 3.0 if row % 2 == 0 else 9.0
        for i in range(-10, int(WIDTH_CM * 10) + 11):
            x = i / 10
            pen.line_to(x, low - LINE_SAG * (1 - math.cos(2 * math.pi * (x - first) / LANTERN_SPACING)))
        pen.stroke()


LANTERNS_TOML = """# A blank dipped so that it fades along its length, then stencilled twice.
# What the blank is dyed with, in the order it is done.
undyed = "{undyed}"

[ground]
fade = [{fade}]  # from the ravel edge to the other end, evenly spaced, mixed in linear light
along = "length"

[[layer]]
name = "lantern bodies"
stencil = "lanterns-stencil-1.png"  # black is dyed
colour = "{body}"  # what full strength looks like on undyed yarn
strength = 1.0
penetration = 0.4

[[layer]]
name = "lines and caps"
stencil = "lanterns-stencil-2.png"
colour = "{line}"
strength = 1.0
penetration = 0.4
"""


def draw_lanterns():
    bodies, lines = Mask(), Mask()
    draw_lines(lines.pen)
    for x, y in lantern_places():
        draw_body(bodies.pen, x, y)
        draw_tassel(bodies.pen, x, y)
        draw_fittings(lines.pen, x, y)
        draw_small_lantern(bodies.pen, lines.pen, (x + LANTERN_SPACING / 2) % WIDTH_CM, y - 2 * LINE_SAG)
    write_stencil(bodies, "lanterns-stencil-1.png")
    write_stencil(lines, "lanterns-stencil-2.png")
    ground = [faded(LANTERN_GROUND, (y + 0.5) / LENGTH) for y in range(LENGTH)]
    write_picture("lanterns.png", ground, [(bodies, LANTERN_BODY, 1.0), (lines, LANTERN_LINE, 1.0)], None)
    fade = ", ".join(f'"{stop}"' for stop in LANTERN_GROUND)
    (SAMPLES / "lanterns.toml").write_text(
        LANTERNS_TOML.format(undyed=UNDYED, fade=fade, body=LANTERN_BODY, line=LANTERN_LINE))


# ---- tide lines and nets ---------------------------------------------------------------------------------------------

# (dye, height in cm) from the ravel edge: the dry top of the wall, then marks that widen towards deep water.
TIDE_BANDS = [
    ("yellow-1", 7.0), ("red-1", 1.5), ("yellow-1", 3.0), ("blue-2", 2.0), ("red-1", 5.0), ("green-1", 2.5),
    ("yellow-1", 1.5), ("green-1", 6.0), ("blue-1", 2.0), ("blue-2", 4.0), ("red-1", 2.0), ("green-1", 8.0),
    ("yellow-1", 2.5), ("blue-2", 7.5), ("blue-1", 3.5), ("green-1", 3.0), ("blue-2", 8.0), ("red-1", 1.5),
    ("blue-1", 9.0), ("blue-2", 2.0), ("blue-1", 4.5)]

# (dye, width in cm) from the left: brown poles, nets between them.
NET_STRIPES = [
    ("brown-1", 1.2), ("orange-1", 3.5), ("green-2", 2.0), ("blue-3", 4.5), ("brown-1", 1.0), ("orange-1", 1.5),
    ("green-2", 3.8), ("brown-1", 1.5), ("blue-3", 1.8), ("orange-1", 3.2)]

BRUSH_OVERLAP = 0.06  # cm: neighbours meet in a fine darker line, as wet paint does


def painted_edges(rng, stripes, run_cm, harmonics, amplitude):
    """Edges as (place, wander) from one side of the blank to the other; the outermost lie outside it."""
    edges, place = [(-1.0, lambda s: 0.0)], 0.0
    for _, size in stripes[:-1]:
        place += size
        edges.append((place, wave(rng, run_cm, harmonics, amplitude)))
    far = place + stripes[-1][1]
    return edges + [(far + 1.0, lambda s: 0.0)]


def trace_stripe(pen, near, far, run_cm, to_point):
    """The area between two edges; to_point puts (along the edge, across it) on the blank."""
    steps = [i * 0.1 for i in range(int(run_cm * 10) + 1)]
    for s in steps:
        pen.line_to(*to_point(s, near[0] + near[1](s) - BRUSH_OVERLAP / 2))
    for s in reversed(steps):
        pen.line_to(*to_point(s, far[0] + far[1](s) + BRUSH_OVERLAP / 2))
    pen.close_path()
    pen.fill()


def striped_masks(stripes, edges, run_cm, to_point):
    """One mask per dye, in the order the dyes first appear."""
    masks = {}
    for (dye, _), near, far in zip(stripes, edges, edges[1:]):
        trace_stripe(masks.setdefault(dye, Mask()).pen, near, far, run_cm, to_point)
    return masks


def draw_tide_lines():
    rng = random.Random(2)
    edges = painted_edges(rng, TIDE_BANDS, WIDTH_CM, range(1, 6), 0.25)
    masks = striped_masks(TIDE_BANDS, edges, WIDTH_CM, lambda s, across: (s, across))
    tone = brushed_tone(rng, (1, 2, 3), range(6, 18), 0.12)
    write_picture("tide-lines.png", bare_rows(), [(mask, TIDE[dye], 1.0) for dye, mask in masks.items()], tone)


def draw_nets():
    rng = random.Random(3)
    edges = painted_edges(rng, NET_STRIPES, LENGTH_CM, range(4, 22), 0.20)
    masks = striped_masks(NET_STRIPES, edges, LENGTH_CM, lambda s, across: (across, s))
    tone = brushed_tone(rng, range(2, 6), range(3, 9), 0.12)
    write_picture("nets.png", bare_rows(), [(mask, NETS[dye], 1.0) for dye, mask in masks.items()], tone)


# ---- gulls -----------------------------------------------------------------------------------------------------------

DAB_RADII_CM = (0.21, 0.65)
DAB_GAP_CM = 0.78
DAB_TRIES = 30000
DAB_STRENGTHS = (0.8, 0.85, 0.9, 0.95, 1.0)
DAB_DYE = 1.1  # over 1 to make up for the weaker dabs


def scattered_dabs(rng):
    """(x, y, radius): thrown darts, kept where they leave a gap to all others, large ones first. The blank's edges are
    joined for this, so that copies of the picture meet without a seam."""
    smallest, largest = DAB_RADII_CM
    dabs = []
    for attempt in range(DAB_TRIES):
        radius = largest - (largest - smallest) * (attempt / DAB_TRIES) ** 0.35
        x, y = rng.uniform(0, WIDTH_CM), rng.uniform(0, LENGTH_CM)
        if all(apart(x, y, other) > radius + other[2] + DAB_GAP_CM for other in dabs):
            dabs.append((x, y, radius))
    return dabs


def apart(x, y, other):
    dx, dy = abs(x - other[0]), abs(y - other[1])
    return math.hypot(min(dx, WIDTH_CM - dx), min(dy, LENGTH_CM - dy))


def coloured_dabs(rng, dabs):
    """Dye per dab: the one whose nearest dab is farthest away, so that no colour clots; ties go by chance."""
    chosen = []
    for x, y, radius in dabs:
        def room(dye):
            return min((apart(x, y, dab) for other, dab in chosen if other == dye), default=WIDTH_CM)
        dyes = sorted(GULLS, key=lambda dye: room(dye) * rng.uniform(0.6, 1.0))
        chosen.append((dyes[-1], (x, y, radius)))
    return chosen


def draw_dab(pen, rng, x, y, radius):
    """One touch of the brush, a little out of round and a little stronger or weaker than the next."""
    wobble = wave(rng, 2 * math.pi, (2, 3, 4), 0.09)
    outline = [(radius * (1 + wobble(a)) * math.cos(a), radius * (1 + wobble(a)) * math.sin(a))
               for a in (i * 2 * math.pi / 72 for i in range(72))]
    pen.set_source_rgba(0, 0, 0, rng.choice(DAB_STRENGTHS))
    for left in (x - WIDTH_CM, x, x + WIDTH_CM):
        for top in (y - LENGTH_CM, y, y + LENGTH_CM):
            pen.new_sub_path()
            for dx, dy in outline:
                pen.line_to(left + dx, top + dy)
            pen.close_path()
    pen.fill()


def draw_gulls():
    rng = random.Random(4)
    masks = {dye: Mask() for dye in GULLS}
    for dye, (x, y, radius) in coloured_dabs(rng, scattered_dabs(rng)):
        draw_dab(masks[dye].pen, rng, x, y, radius)
    write_picture("gulls.png", bare_rows(), [(mask, GULLS[dye], DAB_DYE) for dye, mask in masks.items()], None)


# ---- rope ------------------------------------------------------------------------------------------------------------

# (dye, cm): long plain lengths, joined by short ones of two colours taking turns like the strands of a rope.
ROPE_REPEAT = [
    ("blue-5", 420), ("yellow-3", 30), ("blue-5", 30), ("yellow-3", 30), ("blue-5", 30), ("yellow-3", 260),
    ("brown-2", 90), ("green-3", 240), ("brown-2", 15), ("green-3", 25), ("brown-2", 15), ("green-3", 25),
    ("red-3", 130), ("yellow-3", 60), ("red-3", 30)]
ROPE_REPEATS = 14


def draw_rope():
    lines = ["strand,start_mm,length_mm,hex"]
    for strand in (1, 2):
        start = 0
        for dye, cm in ROPE_REPEAT * ROPE_REPEATS:
            lines.append(f"{strand},{start},{cm * 10},{ROPE[dye]}")
            start += cm * 10
    (SAMPLES / "rope.csv").write_text("\n".join(lines) + "\n")


README = """# Samples: a small harbour town

Drawn by `scripts/draw_samples.py` (the same every run). Pictures are 24 x 86 cm at 20 pixels per cm, the ravel
edge on top; undyed yarn is `{undyed}`. Paint varies in strength by some percent, so the pictures hold shades of
the colours named here.

- `lanterns.toml`: paper lanterns on lines, in half-drop, over a dipped ground that fades along the length; as layers.
  Ground {ground}; red-4 `{body}`; blue-6 `{line}`
- `lanterns-stencil-1.png`, `lanterns-stencil-2.png`: its stencils, black where dye goes; grey is part
  of the dye, in proportion: 1 - grey / 255
- `lanterns.png`: the same as one flat picture
- `tide-lines.png`: tide marks on a harbour wall, level bands of 1.5 to 9 cm:
  {tide}
- `nets.png`: drying nets on poles, upright stripes of 1 to 4.5 cm:
  {nets}
- `gulls.png`: evenly scattered dabs of 4 to 14 mm on undyed yarn:
  {gulls}
- `rope.csv`: a yarn of two equal strands of {metres:.1f} m, runs of 15 cm to 4.2 m repeating every {repeat:.1f} m:
  {rope}
"""


def write_readme():
    def named(dyes):
        return ", ".join(f"{name} `{colour}`" for name, colour in dyes.items())

    repeat = sum(cm for _, cm in ROPE_REPEAT) / 100
    (SAMPLES / "README.md").write_text(README.format(
        undyed=UNDYED, ground=" to ".join(f"`{stop}`" for stop in LANTERN_GROUND), body=LANTERN_BODY,
        line=LANTERN_LINE, tide=named(TIDE), nets=named(NETS), gulls=named(GULLS), rope=named(ROPE),
        metres=repeat * ROPE_REPEATS, repeat=repeat))


if __name__ == "__main__":
    SAMPLES.mkdir(exist_ok=True)
    draw_lanterns()
    draw_tide_lines()
    draw_nets()
    draw_gulls()
    draw_rope()
    write_readme()
