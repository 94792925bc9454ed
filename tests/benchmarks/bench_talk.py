"""All figures of the gallery and the slides, with one browser: under 25 s, its start included."""

from ergokit.explorers.presets import usual
from ergokit.figures import GALLERY, browser, save_all
from ergokit.talk import write_deck


def test_all_figures_and_the_deck(benchmark, tmp_path):
    placement = usual()

    def everything():
        with browser():
            save_all({tmp_path / f"{name}.png": draw(placement) for name, draw in GALLERY.items()}, overwrite=True)
            write_deck(tmp_path / "talk.pptx", placement, overwrite=True)

    benchmark.pedantic(everything, rounds=1)
    assert len(list(tmp_path.iterdir())) == len(GALLERY) + 1


def test_the_gallery_before_it_is_drawn(benchmark):
    benchmark(lambda: [draw(usual()) for draw in GALLERY.values()])
