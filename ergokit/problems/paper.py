"""A sheet of problems on A4: the questions, and on pages of their own the answers; as a PDF or as one HTML file."""

from html import escape

from reportlab.graphics import renderSVG
from reportlab.lib import colors
from reportlab.lib.units import cm
from reportlab.platypus import KeepTogether, PageBreak, Paragraph, Spacer, Table

from ergokit._files import ending_in, write_whole
from ergokit._pages import PAPERS, PLAIN, SMALL, TITLE, Layout, words, write_pages
from ergokit.guidance.cautions import FOR_EDUCATION, OF_QUESTIONS
from ergokit.problems import figure

_TITLE, _ANSWERS = "Port placement: questions", "Port placement: answers"
_HOW = (
    "Lengths in cm, angles in degrees. The figures are to scale: the bar in the corner of each is 5 cm long. Ring: left port; "
    'diamond: right port; cross: target; black square: lens. What is asked is marked "?". '
) + OF_QUESTIONS
_FONTS = {  # as a browser knows them
    "Helvetica": "Helvetica, Arial, sans-serif",
    "Helvetica-Bold": "Helvetica, Arial, sans-serif; font-weight: bold",
}
_UNITS = {"cm": "cm", "deg": "degrees", "": ""}
_EDGE = 1.7  # cm


def write_sheet(path, problems, seed, answers, overwrite):
    """See `ergokit.problems.write_sheet`."""
    makers = {".pdf": _write_pdf, ".html": _write_html}
    write = makers[ending_in(path, list(makers)).suffix.lower()]
    return write_whole(path, lambda part: write(part, problems, seed, answers), overwrite)


def svg(drawing, label, width):
    """A drawing as an SVG element for HTML, `width` wide as CSS has it; `label` is what a screen reader says."""
    text = renderSVG.drawToString(drawing)
    inside = text[text.index("<g ") :].replace(' id="group"', "", 1).replace(' style="clip-path: url(#clip)"', "", 1)
    for name, known in _FONTS.items():
        inside = inside.replace(f"font-family: {name};", f"font-family: {known};")
    size = f'viewBox="0 0 {drawing.width:g} {drawing.height:g}" style="width: {width}; height: auto"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{escape(label)}" {size}>{inside}'


def _blank(problem):
    """What the reader fills in."""
    return f"Answer: ____________ {_UNITS[problem.unit]}".rstrip()


def _made_by(problem):
    return f"{problem.kind}, level {problem.level}, number {problem.seed}"


def _key(problem):
    if problem.options:
        return problem.right_answer
    unit = "degree" if problem.unit == "deg" and problem.tolerance == 1 else _UNITS[problem.unit]
    return f"{problem.right_answer}, right within {problem.tolerance:g} {unit}".rstrip()


def _write_pdf(part, problems, seed, answers):
    rows = [
        [[_numbered(number, escape(problem.question)), Spacer(0, 12), words(_blank(problem))], problem.figure]
        for number, problem in enumerate(problems, 1)
    ]
    look = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LINEABOVE", (0, 0), (-1, -1), 0.4, colors.grey),
        ("LEFTPADDING", (0, 0), (0, -1), 0),
        ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
    ]
    widths = (PAPERS["A4"][0] - 2 * _EDGE) * cm - figure.WIDTH - 8, figure.WIDTH + 8
    story = [words(_titled(seed), TITLE), words(_HOW, SMALL), Spacer(0, 6), Table(rows, widths, style=look)]
    if answers:
        story += [PageBreak(), words(_ANSWERS, TITLE), Spacer(0, 4)]
        for number, problem in enumerate(problems, 1):
            head = f"<b>{escape(_key(problem))}</b> &nbsp; <i>({escape(_made_by(problem))})</i>"
            lines = [words(line, SMALL) for line in problem.solution.split("\n")]
            story.append(KeepTogether([_numbered(number, head), *lines, Spacer(0, 7)]))
    page = Layout(story, PAPERS["A4"], (_EDGE, 1.7, _EDGE, 1.5))
    write_pages(part, [page], _TITLE, FOR_EDUCATION, _EDGE)


def _numbered(number, markup):
    return Paragraph(f"<b>{number}.</b>&nbsp; {markup}", PLAIN)


def _titled(seed):
    return f"{_TITLE}, sheet {seed}"


_STYLE = """
@page { size: A4; margin: 15mm 17mm; }
body { font: 10.5pt/1.4 Helvetica, Arial, sans-serif; color: #000; background: #fff; max-width: 176mm; margin: 1em auto; }
article { display: flex; gap: 8mm; border-top: 0.3mm solid #888; padding: 2mm 0; break-inside: avoid; }
article > div { flex: 1; }
h1 { font-size: 15pt; margin: 0 0 1mm; }
p { margin: 0 0 3mm; }
.answers article { display: block; }
svg { flex: none; }
.answers { break-before: page; }
small { font-size: 9pt; }
""".strip()


def _write_html(part, problems, seed, answers):
    questions = "\n".join(
        f'<article id="q{number}"><div><p><b>{number}.</b> {escape(problem.question)}</p><p>{_blank(problem)}</p></div>'
        f"{svg(problem.figure, f'Figure to question {number}', '71mm')}</article>"
        for number, problem in enumerate(problems, 1)
    )
    key = "\n".join(
        f'<article id="a{number}"><b>{number}. {escape(_key(problem))}</b> <i>({escape(_made_by(problem))})</i><br>'
        f"<small>{'<br>'.join(map(escape, problem.solution.split(chr(10))))}</small></article>"
        for number, problem in enumerate(problems, 1)
    )
    title = _titled(seed)
    page = (
        f'<!DOCTYPE html>\n<html lang="en">\n<head><meta charset="utf-8"><title>{title}</title>\n'
        f"<style>\n{_STYLE}\n</style></head>\n"
        f"<body>\n<h1>{title}</h1>\n<p><small>{escape(_HOW)}</small></p>\n<section>\n{questions}\n</section>\n"
        + (f'<section class="answers">\n<h1>{_ANSWERS}</h1>\n{key}\n</section>\n' if answers else "")
        + f"<footer><small>{FOR_EDUCATION}</small></footer>\n</body>\n</html>\n"
    )
    part.write_text(page, encoding="utf-8")
