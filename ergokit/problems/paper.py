"""A sheet of problems on A4: the questions, and on pages of their own the answers, as a PDF; a figure as SVG for a notebook."""

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
    "Lengths are in cm, angles in degrees. The figures are to scale: the bar in the corner of each is 5 cm long. "
    "Ring: left port; diamond: right port; cross: target; black square: lens. A question mark is at the number to find. "
) + OF_QUESTIONS
_FONTS = {  # as a browser knows them
    "Helvetica": "Helvetica, Arial, sans-serif",
    "Helvetica-Bold": "Helvetica, Arial, sans-serif; font-weight: bold",
}
_COLOURS = {  # in a page with JupyterLab's dark theme: see `lab_css`; elsewhere black on white
    "rgb(0%,0%,0%)": "var(--space-ink, black)",
    "rgb(40%,40%,40%)": "var(--space-grey, #666666)",
    "rgb(100%,100%,100%)": "var(--space-paper, white)",
}
_UNITS = {"cm": "cm", "deg": "degrees", "": ""}
_EDGE = 1.7  # cm


def write_sheet(path, problems, seed, answers, overwrite):
    """See `ergokit.problems.write_sheet`."""
    ending_in(path, [".pdf"])
    return write_whole(path, lambda part: _write_pdf(part, problems, f"{_TITLE}, sheet {seed}", answers), overwrite)


def svg(drawing, label, width):
    """A drawing as an SVG element for HTML, `width` wide as CSS has it, in the colours of the page's theme.

    `label` is what a screen reader says.
    """
    text = renderSVG.drawToString(drawing)
    inside = text[text.index("<g ") :].replace(' id="group"', "", 1).replace(' style="clip-path: url(#clip)"', "", 1)
    for name, known in _FONTS.items():
        inside = inside.replace(f"font-family: {name};", f"font-family: {known};")
    for printed, themed in _COLOURS.items():
        inside = inside.replace(printed, themed)
    looks = f"width: {width}; height: auto; background: {_COLOURS['rgb(100%,100%,100%)']}"
    size = f'viewBox="0 0 {drawing.width:g} {drawing.height:g}" style="{looks}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{escape(label)}" {size}>{inside}'


def _answered(number, problem):
    """An answer with where its problem comes from, and its solution, in the markup of reportlab."""
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
        question = Paragraph(f"<b>{number}.</b>&nbsp; {escape(problem.question)}", PLAIN)
        blank = Paragraph(f"Answer: ____________ {_UNITS[problem.unit]}", PLAIN)
        rows.append([[question, Spacer(0, 12), blank], problem.figure])
    story = [words(title, TITLE), words(_HOW, SMALL), Spacer(0, 6), Table(rows, ["*", figure.WIDTH + 8], style=look)]
    if answers:
        story += [PageBreak(), words(_ANSWERS, TITLE), Spacer(0, 4)]
        for number, problem in enumerate(problems, 1):
            head, solution = _answered(number, problem)
            story.append(KeepTogether([Paragraph(head, PLAIN), Paragraph(solution, SMALL), Spacer(0, 7)]))
    page = Layout(story, PAPERS["A4"], (_EDGE, 1.7, _EDGE, 1.5))
    write_pages(part, [page], _TITLE, FOR_EDUCATION)
