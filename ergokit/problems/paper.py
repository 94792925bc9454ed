"""A sheet of problems on A4: the questions, and on pages of their own the answers; as a PDF or as one HTML file."""

from html import escape

from reportlab.graphics import renderSVG
from reportlab.lib import colors
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
    return write_whole(path, lambda part: write(part, problems, f"{_TITLE}, sheet {seed}", answers), overwrite)


def svg(drawing, label, width):
    """A drawing as an SVG element for HTML, `width` wide as CSS has it; `label` is what a screen reader says."""
    text = renderSVG.drawToString(drawing)
    inside = text[text.index("<g ") :].replace(' id="group"', "", 1).replace(' style="clip-path: url(#clip)"', "", 1)
    for name, known in _FONTS.items():
        inside = inside.replace(f"font-family: {name};", f"font-family: {known};")
    size = f'viewBox="0 0 {drawing.width:g} {drawing.height:g}" style="width: {width}; height: auto"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{escape(label)}" {size}>{inside}'


# In the markup that reportlab and browsers share.


def _asked(number, problem):
    """A question, and what the reader fills in."""
    return f"<b>{number}.</b>&nbsp; {escape(problem.question)}", f"Answer: ____________ {_UNITS[problem.unit]}".rstrip()


def _answered(number, problem):
    """An answer with where its problem comes from, and its solution."""
    key = problem.right_answer
    if not problem.options:
        unit = "degree" if problem.unit == "deg" and problem.tolerance == 1 else _UNITS[problem.unit]
        key = f"{key}, right within {problem.tolerance:g} {unit}".rstrip()
    made_by = f"{problem.kind}, level {problem.level}, number {problem.seed}"
    head = f"<b>{number}.&nbsp; {escape(key)}</b> &nbsp; <i>({escape(made_by)})</i>"
    return head, "<br/>".join(map(escape, problem.solution.split("\n")))


def _write_pdf(part, problems, title, answers):
    look = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LINEABOVE", (0, 0), (-1, -1), 0.4, colors.grey),
        ("LEFTPADDING", (0, 0), (0, -1), 0),
        ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
    ]
    rows = []
    for number, problem in enumerate(problems, 1):
        question, blank = (Paragraph(markup, PLAIN) for markup in _asked(number, problem))
        rows.append([[question, Spacer(0, 12), blank], problem.figure])
    story = [words(title, TITLE), words(_HOW, SMALL), Spacer(0, 6), Table(rows, ["*", figure.WIDTH + 8], style=look)]
    if answers:
        story += [PageBreak(), words(_ANSWERS, TITLE), Spacer(0, 4)]
        for number, problem in enumerate(problems, 1):
            head, solution = _answered(number, problem)
            story.append(KeepTogether([Paragraph(head, PLAIN), Paragraph(solution, SMALL), Spacer(0, 7)]))
    page = Layout(story, PAPERS["A4"], (_EDGE, 1.7, _EDGE, 1.5))
    write_pages(part, [page], _TITLE, FOR_EDUCATION)


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


def _write_html(part, problems, title, answers):
    questions, key = [], []
    for number, problem in enumerate(problems, 1):
        question, blank = _asked(number, problem)
        drawn = svg(problem.figure, f"Figure to question {number}", "71mm")
        questions.append(f'<article id="q{number}"><div><p>{question}</p><p>{blank}</p></div>{drawn}</article>\n')
        head, solution = _answered(number, problem)
        key.append(f'<article id="a{number}">{head}<br>\n<small>{solution}</small></article>\n')
    page = (
        f'<!DOCTYPE html>\n<html lang="en">\n<head><meta charset="utf-8"><title>{title}</title>\n'
        f"<style>\n{_STYLE}\n</style></head>\n"
        f"<body>\n<h1>{title}</h1>\n<p><small>{escape(_HOW)}</small></p>\n<section>\n{''.join(questions)}</section>\n"
        + (f'<section class="answers">\n<h1>{_ANSWERS}</h1>\n{"".join(key)}</section>\n' if answers else "")
        + f"<footer><small>{FOR_EDUCATION}</small></footer>\n</body>\n</html>\n"
    )
    part.write_text(page, encoding="utf-8")
