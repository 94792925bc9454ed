"""A relation as a page of a notebook: the equation, what its letters mean, and the derivation to unfold."""

from html import escape as _escape

import sympy as sp

_LEFT = "style='text-align:left'"
_HEAD = "<tr>" + "".join(f"<th {_LEFT}>{column}</th>" for column in ("symbol", "name", "meaning", "range")) + "</tr>"


def html(relation):
    """HTML with LaTeX between dollar signs, which JupyterLab typesets."""
    rows = "".join(
        f"<tr><td {_LEFT}>${sp.latex(q.symbol)}$</td>"
        + "".join(f"<td {_LEFT}>{escape(text)}</td>" for text in (q.name, q.meaning, q.takes))
        + "</tr>"
        for q in relation.quantities
    )
    vectors = [f"$\\vec{{{name}}} = {_row(vector)}$" for name, vector in relation.vectors.items()]
    given = f"<p>From earlier relations: {', '.join(relation.uses)}.</p>" if relation.uses else ""
    given += f"<p>Vectors: {', &nbsp; '.join(vectors)}.</p>" if vectors else ""
    steps = "".join(f"<li>{escape(prose)}<br>{_display(claim)}</li>" for prose, claim in relation.steps)
    note = f"<p>{escape(relation.note)}</p>" if relation.note else ""
    return (
        f"<div><p><b>{escape(relation.title)}</b></p>{_display(relation.equation)}"
        f"<p>Holds where: {escape(relation.holds)}</p>{note}"
        f"<details><summary>Symbols</summary><table>"
        f"{_HEAD}{rows}</table></details>"
        f"<details><summary>Derivation, each step verified</summary>{given}<ol>{steps}</ol>"
        f"<p>Hence</p>{_display(relation.equation)}</details></div>"
    )


def _display(claim):
    return f"$$\\displaystyle {escape(sp.latex(claim))}$$"


def escape(text):
    return _escape(text, quote=False)


def _row(vector):
    return "(" + ",\\; ".join(sp.latex(part) for part in vector) + ")"
