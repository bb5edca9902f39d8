"""Draws the pictures of docs/studies.md from the files of the ready studies:

    for s in radials inverted-v-height whip-and-ratio end-fed-length; do feldspar sweep $s --output $s.h5; done
    plot_studies.py FOLDER docs

Reads FOLDER/NAME.h5 and writes docs/study-NAME.svg. Needs h5py.
"""
import math
import os
import sys

import h5py

WIDTH, HEIGHT = 640, 380
LEFT, RIGHT, TOP, BOTTOM = 64, 150, 34, 52
# Okabe and Ito's colours, each with a dash of its own
STYLES = [("#0072b2", ""), ("#d55e00", "8 4"), ("#009e73", "2 4"), ("#000000", "12 4 2 4"), ("#cc79a7", "4 2")]


class Scale:
    def __init__(self, low, high, start, end, logarithmic=False):
        self.way = math.log if logarithmic else float
        self.low, self.high, self.start, self.end = self.way(low), self.way(high), start, end

    def __call__(self, value):
        return self.start + (self.end - self.start) * (self.way(value) - self.low) / (self.high - self.low)


def text(x, y, words, extra=""):
    return f'<text x="{x:.1f}" y="{y:.1f}" {extra}>{words}</text>'


def picture(title, across, up, series, logarithmic=(False, False)):
    """across and up: (label, ticks); series: (label, x, y)."""
    (x_label, x_ticks), (y_label, y_ticks) = across, up
    right, bottom = WIDTH - RIGHT, HEIGHT - BOTTOM
    x = Scale(x_ticks[0], x_ticks[-1], LEFT, right, logarithmic[0])
    y = Scale(y_ticks[0], y_ticks[-1], bottom, TOP, logarithmic[1])
    parts = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" height="{HEIGHT}" '
             f'font-family="sans-serif" font-size="13" role="img" aria-label="{title}">',
             f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#fff"/>', text(LEFT, 18, title, 'font-weight="bold"'),
             f'<path d="M{LEFT} {TOP} V{bottom} H{right}" fill="none" stroke="#333"/>']
    for tick in y_ticks:
        parts += [f'<path d="M{LEFT} {y(tick):.1f} H{right}" stroke="#ddd" fill="none"/>',
                  text(LEFT - 8, y(tick) + 4, f"{tick:g}", 'text-anchor="end"')]
    for tick in x_ticks:
        parts += [f'<path d="M{x(tick):.1f} {bottom} v5" stroke="#333"/>',
                  text(x(tick), bottom + 19, f"{tick:g}", 'text-anchor="middle"')]
    middle = (TOP + bottom) / 2
    parts += [text((LEFT + right) / 2, HEIGHT - 10, x_label, 'text-anchor="middle"'),
              text(16, middle, y_label, f'text-anchor="middle" transform="rotate(-90 16 {middle:.1f})"')]
    for i, (label, xs, ys) in enumerate(series):
        colour, dash = STYLES[i]
        paint = f'fill="none" stroke="{colour}" stroke-width="2"' + (f' stroke-dasharray="{dash}"' if dash else "")
        points = " L".join(f"{x(a):.1f} {y(min(max(b, y_ticks[0]), y_ticks[-1])):.1f}" for a, b in zip(xs, ys))
        row = TOP + 14 + 24 * i
        parts += [f'<path d="M{points}" {paint}/>', f'<path d="M{right + 14} {row - 4} h30" {paint}/>',
                  text(right + 50, row, label)]
    return "\n".join([*parts, "</svg>", ""])


class Sweep:
    def __init__(self, path):
        with h5py.File(path) as file:
            self.data = {name: item[()] for name, item in file.items() if isinstance(item, h5py.Dataset)}

    def words(self, name):
        return [word.decode() for word in self.data[name]]

    def over_bands(self, name, first, last, sign=1):
        """Largest of sign times the values in the middle of a run of bands."""
        bands = self.words("band")
        run = slice(bands.index(first), bands.index(last) + 1)
        return (sign * self.data[name][..., run, 1]).max(axis=-1)


def radials(sweep):
    gain = sweep.data["gain_from_radio"][:, :, sweep.words("ground.soil").index("average"), 1]
    counts = sweep.data["radial_count"]
    series = [(f"{length:g} m each", counts, gain[:, i]) for i, length in enumerate(sweep.data["radial_length"])]
    return picture("Radials on the grass: 14.175 MHz, average soil", ("radials", [1, 2, 4, 8, 16, 32, 64]),
                   ("largest gain from the radio, dBi", list(range(-9, 3))), series, (True, False))


def inverted_v(sweep):
    efficiency = 100 * sweep.data["radiation_efficiency"][:, :, sweep.words("band").index("40m"), 1]
    series = [(soil, sweep.data["apex_height"], efficiency[:, i]) for i, soil in enumerate(sweep.words("ground.soil"))]
    return picture("Inverted V on 40 m", ("height of the top, m", [3, 5, 7, 9, 11, 13, 15]),
                   ("radiated of what the antenna takes, %", list(range(0, 101, 10))), series)


def whip(sweep):
    least = -sweep.over_bands("gain_from_radio", "40m", "10m", sign=-1)
    series = [(f"{ratio:g}:1", sweep.data["whip_length"], least[:, i])
              for i, ratio in enumerate(sweep.data["transformer_ratio"])]
    return picture("Whip over 4 radials: gain on the worst band, 40 m to 10 m", ("length of the whip, m", [2.5, 3, 4, 5, 6, 7, 8]),
                   ("largest gain from the radio, dBi", list(range(-32, -3, 4))), series)


def end_fed(sweep):
    at = list(sweep.data["counterpoise_length"]).index(5.0)
    worst = sweep.over_bands("swr_at_radio", "40m", "10m")[:, :, at]
    series = [(f"{ratio:g}:1", sweep.data["wire_length"], worst[:, i])
              for i, ratio in enumerate(sweep.data["transformer_ratio"])]
    return picture("End-fed wire, counterpoise of 5 m: SWR on the worst band, 40 m to 10 m", ("length of the wire, m", [8, 12, 16, 20, 24, 28, 30]),
                   ("SWR at the radio", [2, 3, 5, 10, 20]), series, (False, True))


def main():
    folder, target = sys.argv[1:]
    for name, draw in [("radials", radials), ("inverted-v-height", inverted_v), ("whip-and-ratio", whip), ("end-fed-length", end_fed)]:
        with open(os.path.join(target, f"study-{name}.svg"), "w", encoding="utf-8") as file:
            file.write(draw(Sweep(os.path.join(folder, f"{name}.h5"))))


if __name__ == "__main__":
    main()
