"""One look for every figure: colours told apart by colour-blind readers, and never by colour alone."""

# M. Okabe and K. Ito, "Color Universal Design", 2008 (values from memory).
BLUE, VERMILLION, GREEN, PURPLE, ORANGE = "#0072B2", "#D55E00", "#009E73", "#CC79A7", "#E69F00"
INK, GREY, PALE = "#222222", "#767676", "#E8EEF2"

#: The two hands keep these through the whole kit: colour, dash, marker and word.
LEFT = {"colour": BLUE, "dash": "solid", "marker": "circle", "word": "left"}
RIGHT = {"colour": VERMILLION, "dash": "dash", "marker": "diamond", "word": "right"}

FONT = {"family": "Helvetica, Arial, sans-serif", "size": 14, "color": INK}

#: The layout that all flat figures share; there is nothing to drag or to choose in them.
PLAIN = {
    "font": FONT,
    "showlegend": False,
    "paper_bgcolor": "white",
    "plot_bgcolor": "white",
    "dragmode": False,
    "modebar": {"remove": ["select", "lasso", "zoom", "pan"]},
}
