"""The link that saves a template: the file is in it, and nowhere else."""

import base64
import io
import os
import re

import pdfplumber
import pytest
from pdfs import texts

from ergokit.design import Phone, design_box
from ergokit.explorers import template_link
from ergokit.surfaces import WedgeBox

DESIGN = design_box(WedgeBox(44, 36, 27), phone=Phone(thickness=1.3), hole=1.2)


def saved(link):
    """Name and bytes of what the browser saves."""
    name, coded = re.search(r'download="([^"]*)" href="data:application/pdf;base64,([^"]*)"', link.value).groups()
    return name, base64.b64decode(coded)


def test_the_link_holds_the_template_of_the_design_and_leaves_no_file(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    name, content = saved(template_link(DESIGN))
    assert name == "my_box.pdf" and os.listdir(tmp_path) == []
    words = " ".join(texts(content))
    assert "1.3 cm" in words and "hole 1.2 cm" in words, "phone and hole are those of the design"


@pytest.mark.parametrize(("paper", "width"), [("A3", 42.0), ("Letter", 27.94)])
def test_another_paper(paper, width):
    link = template_link(DESIGN, paper=paper, name="box & lid.pdf")
    with pdfplumber.open(io.BytesIO(saved(link)[1])) as pdf:
        assert float(pdf.pages[0].width) * 2.54 / 72 == pytest.approx(width, abs=0.02)
    assert f"paper {paper}" in link.value and 'download="box &amp; lid.pdf"' in link.value


def test_it_says_when_rules_are_not_met():
    assert "all rules met" in template_link(DESIGN).value
    wide = design_box(DESIGN.box, ports=[(-14, 12), (14, 12)], camera_hole=(0, 22))
    assert wide.not_met and "not all rules met" in template_link(wide).value


def test_a_paper_that_is_none_is_refused():
    with pytest.raises(ValueError, match=r"give 'A4'.*\(paper\)"):
        template_link(DESIGN, paper="A7")
