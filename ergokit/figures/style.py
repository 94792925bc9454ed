"""One look for every figure: colours told apart by colour-blind readers, and never by colour alone."""

from pathlib import Path

# M. Okabe and K. Ito, "Color Universal Design", 2008 (values from memory).
BLUE, VERMILLION, GREEN, PURPLE, ORANGE = "#0072B2", "#D55E00", "#009E73", "#CC79A7", "#E69F00"
INK, GREY, PALE, CARD, MIST = "#222222", "#767676", "#E8EEF2", "#B08D57", "#C6D2DB"
_EDGE = "#1F1F1F"  # of signs: dark in a dark page too

#: The two hands keep these through the whole kit: colour, dash, marker and word.
LEFT = {"colour": BLUE, "dash": "solid", "marker": "circle", "word": "left"}
RIGHT = {"colour": VERMILLION, "dash": "dash", "marker": "diamond", "word": "right"}

FONT = {"family": "Helvetica, Arial, sans-serif", "size": 14, "color": INK}

#: The layout that all flat figures share. There is nothing to drag or to choose in them, and no button uploads one.
PLAIN = {
    "font": FONT,
    "showlegend": False,
    "paper_bgcolor": "white",
    "plot_bgcolor": "white",
    "dragmode": False,
    "modebar": {"remove": ["select", "lasso", "zoom", "pan", "sendChartToCloud"]},
}


def to_scale(width, height, x, y, margin=0):
    """The layout of a drawing without axes, whose two scales are one: `x` and `y` are the ends of what is seen."""
    hidden = {"visible": False, "fixedrange": True}
    return PLAIN | {
        "width": width,
        "height": height,
        "margin": dict.fromkeys("lrtb", margin),
        "xaxis": hidden | {"range": x},
        "yaxis": hidden | {"range": y, "scaleanchor": "x"},
    }


#: Colours of a scene by name, on a light page and on a dark one, where shafts must outshine the grid.
PALETTE = {
    "blue": (BLUE, "#5BB8F0"),
    "vermillion": (VERMILLION, "#FF9457"),
    "green": (GREEN, "#3FD9A8"),
    "purple": ("#A9487E", "#EFA3CC"),
    "orange": (ORANGE, "#FFC04D"),
    "ink": (INK, "#F2F2F2"),
    "edge": (_EDGE, "#111111"),
    "grey": (GREY, "#A9B0B6"),
    "mist": (MIST, "#39444D"),
    "card": (CARD, "#C9A873"),
    "paper": ("#FFFFFF", "#111111"),
    "wrong": ("#B84A00", "#FF9457"),  # words that say so: 5 to 1
}


#: An axis with its grid; there is nothing to drag.
AXIS = {"fixedrange": True, "gridcolor": "#E4E4E4", "zeroline": False}


def sign(symbol, colour, size, edge=INK):
    """A sign with a thin edge, as a plotly marker."""
    return {"symbol": symbol, "color": colour, "size": size, "line": {"color": edge, "width": 1}}


def sign_of(hand, size):
    """The sign of a hand, or of its port: `LEFT` or `RIGHT`."""
    return sign(hand["marker"], hand["colour"], size)


def target_sign(size):
    """The sign of a target, the same in all that this kit draws, as a plotly marker: a disc with a cross to its edge.

    `SHAPES` in space.js and `Pen.target` draw it in a browser and on paper.
    """
    return {"symbol": "circle-cross", "color": ORANGE, "size": size, "line": {"color": _EDGE, "width": 2}}


#: What space.js needs of a page's style.
SPACE_CSS = (Path(__file__).parent / "space.css").read_text(encoding="utf-8")
SPACE_JS = (Path(__file__).parent / "space.js").read_text(encoding="utf-8")


def palette_css(dark=False):
    """The colours of a light page, or of a dark one, as CSS variables.

    >>> palette_css().partition(";")[0]
    '--space-blue: #0072B2'
    """
    return "; ".join(f"--space-{name}: {pair[dark]}" for name, pair in PALETTE.items())


def lab_css():
    """The CSS that figures need in JupyterLab, whose theme they follow; a figure in a file or on a slide stays light.

    >>> lab_css().splitlines()[-1]
    'body[data-jp-theme-light=false] .main-svg .gridlayer path {stroke: #39444D !important}'
    """
    dark = "body[data-jp-theme-light=false]"
    rules = [f":root {{{palette_css()}}}", f"{dark} {{{palette_css(dark=True)}}}", SPACE_CSS]
    rules.append(f"{dark} .main-svg:first-of-type {{background: {PALETTE['paper'][1]} !important}}")
    for light, other in (*PALETTE.values(), (PALE, "#23303A")):  # plotly writes colours into each element
        was = ", ".join(map(str, bytes.fromhex(light[1:])))
        rules += [
            f'{dark} .main-svg [style*="{what}: rgb({was})"] {{{what}: {other} !important}}' for what in ("fill", "stroke")
        ]
    return "\n".join([*rules, f"{dark} .main-svg .gridlayer path {{stroke: {PALETTE['mist'][1]} !important}}"])


def _line(colour, width, dash=()):
    return {"colour": colour, "width": width, "dash": list(dash)}


def _mark(colour, shape, size, open=False):
    return {"colour": colour, "shape": shape, "size": size, "open": open}


#: What a scene's items look like, by name: lines (px wide, dashes in px), marks (px across), faces (how dense), labels (px
#: high). Both ways to draw a scene take their looks from here.
LOOKS = {
    "lines": {
        "grid": _line("mist", 1),
        "drop": _line("grey", 1.5, (2, 4)),
        "port line": _line("grey", 2, (10, 5)),
        "optical axis": _line("purple", 2.5, (3, 4)),
        "left inside": _line("blue", 7),
        "left outside": _line("blue", 3.5),
        "right inside": _line("vermillion", 7, (15, 3)),
        "right outside": _line("vermillion", 3.5, (15, 3)),
        "angle": _line("green", 5),
        "hands": _line("grey", 2.5, (9, 6)),
        "left lever": _line("blue", 2.5, (6, 5)),
        "right lever": _line("vermillion", 2.5, (6, 5)),
        "zone": _line("green", 1),
        "zone rim": _line("green", 2),
        "distance": _line("purple", 1.2, (5, 4)),
        "distance rim": _line("purple", 2),
        "card": _line("card", 2.5),
        "card line": _line("card", 1),
        "hole": _line("ink", 1.5),
        "table": _line("grey", 2),
        "elbow line": _line("grey", 2.5, (2, 5)),
        "phone": _line("ink", 3),
        "picture": _line("purple", 3.5),
        "scope": _line("purple", 5),
        "scope outside": _line("purple", 2.5),
        "camera body": _line("purple", 1.5),
        "left body": _line("blue", 1.5),
        "right body": _line("vermillion", 1.5, (6, 3)),
        "assistant": _line("green", 5, (9, 3, 3, 3)),
        "assistant body": _line("green", 1.5, (6, 2, 2, 2)),
    },
    "marks": {
        "left port": _mark("blue", "circle", 12),
        "right port": _mark("vermillion", "diamond", 14),
        "left hand": _mark("blue", "circle", 14, open=True),
        "right hand": _mark("vermillion", "diamond", 16, open=True),
        "camera": _mark("purple", "square", 12),
        "target": _mark("orange", "circle-cross", 17),
        "other target": _mark("orange", "circle-cross", 12),
        "clash": _mark("ink", "x", 18),
        "middle": _mark("purple", "x", 12),
    },
    "faces": {
        "angle": {"colour": "green", "opacity": 0.2},
        "zone": {"colour": "green", "opacity": 0.07},
        "distance": {"colour": "purple", "opacity": 0.05},
        "card": {"colour": "card", "opacity": 0.07},
        "dome": {"colour": "card", "opacity": 0.13},
        "panel": {"colour": "card", "opacity": 0.22},
    },
    "labels": {
        "big": {"colour": "ink", "size": 23, "bold": True},
        "word": {"colour": "ink", "size": 13, "bold": False},
        "soft": {"colour": "grey", "size": 12, "bold": False},
    },
}
