"""Draws docs/radials-1937.svg from the table of one soil:

    print_radials soil 4 0.004 | plot_radials.py > docs/radials-1937.svg

Lines: field strength computed for the mast of 75 degrees; marks: as measured in 1937. Standard library only.
"""
import math
import sys

WIDTH, HEIGHT = 640, 400
LEFT, RIGHT, TOP, BOTTOM = 64, 150, 24, 52
LOWEST, HIGHEST = 100.0, 200.0  # mV/m
FEWEST, MOST = 1.7, 135.0
STYLES = {0.137: ("#b3261e", "2 4", "square"), 0.274: ("#1f5fa8", "8 4", "circle"), 0.411: ("#1b7a3d", "", "triangle")}


def across(count):
    return LEFT + (WIDTH - LEFT - RIGHT) * math.log(count / FEWEST) / math.log(MOST / FEWEST)


def up(field):
    return HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * (field - LOWEST) / (HIGHEST - LOWEST)


def mark(kind, x, y, colour):
    paint = f'fill="none" stroke="{colour}" stroke-width="2"'
    if kind == "square":
        return f'<rect x="{x - 4.5:.1f}" y="{y - 4.5:.1f}" width="9" height="9" {paint}/>'
    if kind == "circle":
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" {paint}/>'
    return f'<path d="M{x:.1f} {y - 6:.1f} L{x + 5.5:.1f} {y + 4:.1f} L{x - 5.5:.1f} {y + 4:.1f} Z" {paint}/>'


def text(x, y, words, extra=""):
    return f'<text x="{x:.1f}" y="{y:.1f}" {extra}>{words}</text>'


def rows():
    """(radials, wavelengths, measured, computed) for the mast of 75 degrees."""
    for line in sys.stdin:
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if cells[0] == "75°":
            yield int(cells[1]), float(cells[2]), float(cells[3]), float(cells[4])


def axes():
    bottom, right = HEIGHT - BOTTOM, WIDTH - RIGHT
    yield f'<path d="M{LEFT} {TOP} V{bottom} H{right}" fill="none" stroke="#333"/>'
    for field in range(int(LOWEST), int(HIGHEST) + 1, 20):
        yield f'<path d="M{LEFT} {up(field):.1f} H{right}" stroke="#ddd" fill="none"/>'
        yield text(LEFT - 8, up(field) + 4, field, 'text-anchor="end"')
    for count in (2, 4, 8, 15, 30, 60, 113):
        yield f'<path d="M{across(count):.1f} {bottom} v5" stroke="#333"/>'
        yield text(across(count), bottom + 19, count, 'text-anchor="middle"')
    yield text((LEFT + right) / 2, HEIGHT - 10, "radials", 'text-anchor="middle"')
    yield text(16, (TOP + bottom) / 2, "mV/m at one mile, 1 kW",
               f'text-anchor="middle" transform="rotate(-90 16 {(TOP + bottom) / 2:.1f})"')


def series(wavelengths, points):
    colour, dash, kind = STYLES[wavelengths]
    path = " L".join(f"{across(n):.1f} {up(computed):.1f}" for n, _, computed in points)
    yield f'<path d="M{path}" fill="none" stroke="{colour}" stroke-width="2" stroke-dasharray="{dash}"/>'
    for count, measured, _ in points:
        yield mark(kind, across(count), up(measured), colour)


def legend():
    x, y = WIDTH - RIGHT + 16, TOP + 14
    for wavelengths, (colour, dash, kind) in sorted(STYLES.items(), reverse=True):
        yield f'<path d="M{x} {y - 4} h34" stroke="{colour}" stroke-width="2" stroke-dasharray="{dash}"/>'
        yield mark(kind, x + 48, y - 4, colour)
        yield text(x + 60, y, f"{wavelengths} λ")
        y += 24
    yield text(x, y + 8, "lines: computed")
    yield text(x, y + 26, "marks: measured")


def main():
    by_length = {}
    for count, wavelengths, measured, computed in rows():
        by_length.setdefault(wavelengths, []).append((count, measured, computed))
    if not by_length:
        sys.exit("no rows for the mast of 75 degrees")
    print(f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" height="{HEIGHT}" '
          'font-family="sans-serif" font-size="13" role="img" '
          'aria-label="Field strength against number of radials, computed and measured">')
    print(f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#fff"/>')
    parts = [*axes(), *legend()]
    for wavelengths, points in sorted(by_length.items()):
        parts += series(wavelengths, points)
    print("\n".join(parts).replace(' stroke-dasharray=""', ""))
    print("</svg>")


if __name__ == "__main__":
    main()
