"""All that a talk of 20 minutes needs, with one browser: under 25 s, its start included."""

from ergokit.explorers.presets import usual
from ergokit.figures import GALLERY, browser, save_all
from ergokit.talk import write_cards, write_deck, write_handout, write_teacher_page
from ergokit.talk.plan import planned


def test_all_figures_the_deck_and_the_pages(benchmark, tmp_path):
    placement = usual()

    def everything():
        with browser():
            save_all({tmp_path / f"{name}.png": draw(placement) for name, draw in GALLERY.items()})
            write_deck(tmp_path / "talk.pptx", placement, minutes=20, address="https://example.org")
        write_teacher_page(tmp_path / "teacher.pdf", placement, minutes=20)
        write_cards(tmp_path / "cards.pdf")
        write_handout(tmp_path / "handout.html", placement)

    benchmark.pedantic(everything, rounds=1)
    assert len(list(tmp_path.iterdir())) == len(GALLERY) + 4
    assert benchmark.stats.stats.max < 25


def test_the_gallery_before_it_is_drawn(benchmark):
    benchmark(lambda: [draw(usual()) for draw in GALLERY.values()])


def test_the_plan_of_a_talk(benchmark):
    benchmark.pedantic(lambda: planned(usual(), 20), rounds=3)
