"""The picture widget in the kernel: what it opens with, what it sends, and that a question is answered with what is now."""

import numpy as np
import pytest

from ergokit.explorers.presets import PRESETS, usual
from ergokit.figures import scene
from ergokit.figures.angle_map import angle_map_figure, plain_angle_map
from ergokit.figures.experiments import EXPERIMENTS, experiments_figure
from ergokit.figures.picture import Picture
from ergokit.figures.scene import extent
from ergokit.figures.space import VIEWS, framed


def drawing(placement, **options):
    return {"items": scene(placement, **options), "width": 400, "height": 300}


def space(placement):
    return Picture(drawing(placement), framed(extent(placement), VIEWS["side"]))


@pytest.fixture(params=["space", "flat"])
def made(request):
    """A picture, and what makes the drawing of another placement."""
    if request.param == "space":
        return space(usual()), drawing
    return Picture(plain_angle_map(usual())), plain_angle_map


@pytest.fixture
def sent(monkeypatch):
    """What the kernel sends, picture by picture, as the front end gets it."""
    messages = []
    monkeypatch.setattr("ergokit.figures.picture._Canvas._send", lambda self, message, buffers=None: messages.append(message))
    return messages


@pytest.mark.parametrize("against", EXPERIMENTS)
def test_a_picture_of_a_figure_has_all_its_traces_also_those_of_one_name(against):
    figure = experiments_figure(against)
    shown = Picture.of(figure, about="").still()
    assert [trace.x for trace in shown.data] == [trace.x for trace in figure.data]


def test_the_opening_message_has_the_whole_picture(monkeypatch):
    opened = []
    monkeypatch.setattr(
        "ipywidgets.widgets.widget.comm.create_comm", lambda **kwargs: opened.append(kwargs["data"]) or _Silent()
    )
    picture = space(usual())
    [state] = [each["state"] for each in opened if "picture" in each["state"]]
    assert state["picture"]["parts"].keys() == scene(usual()).keys() and state["view"] == picture.view
    assert state["_dom_classes"] == ("ergokit-canvas",) and "export default" in state["_esm"]
    opened.clear()
    flat = Picture(plain_angle_map(usual()))
    [library] = [each["state"] for each in opened if len(each["state"].get("code", "")) > 1e6] or [None]
    [state] = [each["state"] for each in opened if "picture" in each["state"]]
    assert (
        state["picture"]["parts"]["angle"]["z"] and state["library"] and (library is None or "plotly.js v" in library["code"])
    )
    opened.clear()
    Picture(plain_angle_map(usual()))
    assert all("code" not in each["state"] for each in opened), "plotly.js travels once a kernel"
    flat.close()


class _Silent:
    """A comm to nobody."""

    comm_id = "nobody"
    kernel = None

    def on_msg(self, callback):
        pass

    def send(self, *args, **kwargs):
        pass

    def close(self, *args, **kwargs):
        pass


def test_only_what_differs_is_sent_in_one_message_and_nothing_where_nothing_does(made, sent):
    picture, draw = made
    picture.show(draw(usual()))
    assert sent == [] and picture.number == 0
    picture.show(draw(usual().replace(camera=(1, 4.7, 14.5))))
    [message] = sent
    assert message["content"]["n"] == picture.number == 1
    changed = set(message["content"]["parts"])
    if "camera" in changed:
        assert changed - {"floor", "panel", "panel, edge", "holes"} == {"camera", "optical axis", "camera, words"}
    else:
        assert changed == {"lens", "camera's circle", "layout"}, "the map itself does not travel again"


def test_what_is_no_longer_drawn_is_taken_away(sent):
    picture = space(usual())
    picture.show(drawing(usual(), layers=("hands",)))
    assert picture.part("hands") and "hands" in sent[-1]["content"]["parts"]
    picture.show(drawing(usual()))
    assert picture.part("hands") is None and sent[-1]["content"]["parts"]["hands"] is None


def test_following_every_message_gives_what_a_question_answers(made, sent):
    picture, draw = made
    rng, followed = np.random.default_rng(4), dict(picture._canvas.picture["parts"])
    for i in range(30):
        base = PRESETS[list(PRESETS)[rng.integers(len(PRESETS))]][0]()
        sent.clear()
        layers = {"layers": ("hands",) if i % 3 else ()} if draw is drawing else {}
        picture.show(draw(base.replace(camera=base.camera + rng.uniform(-1, 1, 3)), **layers))
        for message in sent:
            for name, part in message["content"]["parts"].items():
                followed.pop(name, None) if part is None else followed.update({name: part})
    sent.clear()
    picture._canvas._handle_custom_msg({"ask": "whole"}, [])
    [answer] = sent
    assert list(answer["content"]["whole"]["parts"]) == list(followed), "labels would be placed in another order"
    assert answer["content"]["whole"]["parts"] == followed and answer["content"]["whole"]["n"] == picture.number
    assert picture._canvas.get_state("picture")["picture"] == answer["content"]["whole"]


def test_the_browsers_own_word_is_kept_by_view():
    picture = space(usual())
    assert picture.shown == []
    for name, n in (("one", 1), ("two", 1), ("one", 2)):
        picture._canvas._handle_custom_msg({"shown": name, "n": n, "words": ["60.0°"]}, [])
    assert picture.shown == [(2, ["60.0°"]), (1, ["60.0°"])]


def test_a_still_is_what_is_drawn_seen_as_it_was_turned():
    picture = space(usual())
    names = {trace.name for trace in picture.still().data}
    assert names == {name for name, item in scene(usual()).items() if "label" not in item}
    before = picture.still().data[0].x
    picture.view = picture.view | {"turn": 40}
    assert not np.array_equal(picture.still().data[0].x, before)
    flat = Picture(plain_angle_map(usual()))
    figure = angle_map_figure(usual())
    assert [note.text for note in flat.still().layout.annotations] == [note.text for note in figure.layout.annotations]
    assert flat.words == [note.text for note in figure.layout.annotations if note.visible is not False]


def test_closing_a_picture_closes_what_it_is_made_of():
    picture = space(usual())
    parts = picture.children
    picture.close()
    assert all(part.comm is None for part in parts) and picture.comm is None


def test_numbers_travel_as_plain_lists_to_a_micrometre():
    parts = Picture(plain_angle_map(usual().replace(camera=(0, 1 / 3, 40))))._canvas.picture["parts"]
    assert parts["lens"]["y"] == [0.3333] and parts["camera's circle"]["x"][0] is None
