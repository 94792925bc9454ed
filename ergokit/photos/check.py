"""From photographs of a box with marked sheets to its placement, and how sure each measure is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from ergokit._check import instance, lengths, listed, one, one_word, refused, shaft_lengths
from ergokit._markers import MAT, PANEL, SIDE, STRIP, MarkedBox, whose
from ergokit._words import joined
from ergokit.photos.fit import CORNER, MISPLACED, POINTS, Adjustment, Seen, adjusted, first_poses
from ergokit.photos.read import Photo, read_photo
from ergokit.photos.result import PhotoCheck, measured
from ergokit.placement import Placement
from ergokit.placement.readings import READINGS
from ergokit.placement.table import MeasureTable

_TAPE_ERROR = 0.3  # cm, one standard deviation of a tape reading (common practice, no source)
#: Reading of a tape that goes with photographs -> its two points, or the one whose height it is.
TAPE = {name: tuple(POINTS[i] for i in ends) for name, ends in READINGS.items() if ends}
_MISREAD = 4.0  # standard deviations by which a reading is off that does not go with the photographs (from memory)
_OTHER_LENS = 0.1  # share of the focal length by which two files say that a phone has switched lenses (from memory)
_USUAL_FOCAL = 0.5 / np.tan(np.radians(67 / 2))  # in widths, of a common phone while filming (from memory)


def check_photos(
    photos: Sequence[str | Path | Photo],
    box: MarkedBox,
    *,
    tape: Mapping[str, float] | None = None,
    tape_error: float = _TAPE_ERROR,
    instrument_length: ArrayLike = 36,
    handle_reach: float = 10,
) -> PhotoCheck:
    """The placement that photographs of a box show, with the uncertainty of every measure: a `PhotoCheck`.

    photos
        files, or results of `read_photo`. The first is from the phone in its place; the others, from the same phone, may be
        from any place that shows markers
    box
        the marked sheets of the box, as `ergokit.template.marked_box` gives them
    tape, tape_error
        readings as `check_tape` takes them, name -> cm, to be fitted together with the photographs, and one standard deviation
        of each
    instrument_length, handle_reach
        as for `Placement`

    Raises ValueError, naming the photograph, for pictures that show another box, come from two phones, or do not hang together.
    """
    box = instance("box", box, "the marked sheets of a box", MarkedBox)
    if isinstance(photos, str | Path | Photo) or not isinstance(photos, Sequence) or not photos:
        raise refused("photos", "a list of photographs, the one from the phone in its place first", photos)
    found = [each if isinstance(each, Photo) else read_photo(each) for each in photos]
    _refuse_strangers(found, box)
    problem = _problem(found, box, _tape(tape, one("tape_error", tape_error, lengths)))
    cameras, bodies, lost_photos, lost_sheets = first_poses(problem.seen, problem.sheets, problem.focal)
    _refuse_apart([found[i].name for i in sorted(lost_photos)], [problem.sheets[i] for i in sorted(lost_sheets)])
    start = np.zeros(problem.size)
    problem.put(start, "camera", [cameras[i] for i in range(len(found))])
    problem.put(start, "body", [bodies[i] for i in range(1, len(problem.sheets))])
    at, covariance, fitted = adjusted(problem, start)
    _refuse_misread(fitted, at, tape)
    shafts = shaft_lengths("instrument_length", instrument_length)
    seen, rows = measured(fitted, at, covariance, shafts, one("handle_reach", handle_reach, lengths, zero=True))
    placement = None
    if PANEL in fitted.sheets:
        ends = seen.left_port[0], seen.right_port[0], seen.targets[0], seen.camera[0]
        placement = Placement(*ends, instrument_length, handle_reach, aim=seen.aim[0])
    return PhotoCheck(placement, rows, _told(found, problem, fitted, at))


def _tape(readings, error):
    if readings is None:
        return ()
    instance("tape", readings, "a mapping from the name of a reading to cm", Mapping)
    for name in readings:
        one_word("tape", name, TAPE, listed(TAPE, name))
    return tuple((TAPE[name], one(name, value, lengths, zero="height" in name), error) for name, value in readings.items())


def _refuse_strangers(photos, box):
    for photo in photos:
        if len(photo.boxes) > 1:
            raise ValueError(f"{photo.name} shows markers of two boxes: photograph one box at a time (photos).")
        if photo.boxes and box.number not in photo.boxes:
            raise ValueError(f"{photo.name} shows the sheets of another box: print this box's sheets (photos).")
    first = photos[0]
    for photo in photos[1:]:
        if photo.phone and first.phone and photo.phone != first.phone:
            raise ValueError(
                f"{first.name} is from a {first.phone} and {photo.name} from a {photo.phone}: use one phone for all (photos)."
            )
        if photo.focal and first.focal and abs(np.log(photo.focal / first.focal)) > _OTHER_LENS:
            raise ValueError(
                f"{first.name} and {photo.name} are from two lenses of the phone: choose the 1x lens, macro off (photos)."
            )
        if sorted(photo.size) != sorted(first.size):
            sizes = (" x ".join(map(str, each.size)) for each in (first, photo))
            raise ValueError(
                f"{first.name} has {next(sizes)} pixels and {photo.name} {next(sizes)}: take all with the same setting, "
                "and do not crop them (photos)."
            )
    if not any(whose(number)[1] == MAT for number in first.markers):
        raise ValueError(f"{first.name} does not show the floor mat: the first must be from the phone in its place (photos).")


def _refuse_apart(photos, sheets):
    """ValueError where no chain of photographs joins all to the mat."""
    if not photos and not sheets:
        return
    apart = joined([*(f"the {sheet}" for sheet in sheets), *photos])
    need = "a photograph that shows the mat and the strip's inner end" if STRIP in sheets else "the strip, in both views"
    raise ValueError(f"Nothing joins {apart} to the floor mat: take {need} (photos).")


def _refuse_misread(fitted, at, tape):
    """ValueError where a reading of the tape is farther from what the photographs show than chance explains."""
    off = fitted.off_tape(at)
    if np.any(np.abs(off) > _MISREAD):
        worst = int(np.abs(off).argmax())
        name, (*_, error) = list(tape)[worst], fitted.tape[worst]
        reading, seen = name.replace("_", " ").capitalize(), f"{tape[name] + off[worst] * error:.1f}"
        raise ValueError(f"{reading} was read as {tape[name]:.1f} cm, and the photographs say {seen}: read it again (tape).")


def _problem(photos, box, tape):
    names = tuple(name for name in box.sheets if any(whose(number)[1] == name for p in photos for number in p.markers))
    names = (MAT, *(name for name in names if name != MAT))
    if PANEL not in names and any({"left", "right"} & set(ends) for ends, *_ in tape):
        raise ValueError("Tape readings of the holes need a photograph that shows the cutting template (tape).")
    rows = []
    for i, photo in enumerate(photos):
        width, height = photo.size
        for number, picture in photo.markers.items():
            name = whose(number)[1]
            if number in box.sheets[name].markers:
                places = box.sheets[name].markers[number]
                spots = (picture - [(width - 1) / 2, (height - 1) / 2]) / max(width, height)
                corners = zip(places, spots, *_opened(spots), strict=True)
                rows += [(i, names.index(name), number, *place, *spot, *grown, blunt) for place, spot, grown, blunt in corners]
    table = np.array(rows)
    number, sheet, marker = (table[:, i].astype(int) for i in range(3))
    place, picture, grown = table[:, 3:5], table[:, 5:7], table[:, 7:9]
    long = np.linalg.norm(picture - np.roll(picture.reshape(-1, 4, 2), 1, axis=1).reshape(-1, 2), axis=1)
    scale = np.repeat(long.reshape(-1, 4).mean(axis=1) / SIDE, 4)  # widths a cm
    seen = Seen(number, sheet, marker, place, picture, grown, CORNER * table[:, 9], MISPLACED * scale)
    ends = np.array([(box.sheets[name].low, box.sheets[name].high) for name in names])
    long = max(photos[0].size)
    known = [photo.focal * photo.size[0] / long for photo in photos if photo.focal]
    focal = float(np.median(known)) if known else _USUAL_FOCAL
    middles, halves = ends.mean(axis=1), np.ptp(ends, axis=1) / 2
    return Adjustment(seen, names, middles, halves, len(photos), focal, box.ports, box.targets, tape)


def _opened(spots):
    """How far each corner (4, 2) of a marker moves where all sides move out by one, and where one side does, (4,)."""
    before, after = spots - np.roll(spots, 1, axis=0), spots - np.roll(spots, -1, axis=0)
    before, after = (each / np.linalg.norm(each, axis=1, keepdims=True) for each in (before, after))
    blunt = 1 / np.abs(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0])
    return (before + after) * blunt[:, None], blunt


def _told(photos, problem, fitted, at):
    """One row a photograph."""
    long = max(photos[0].size)
    off = fitted.off_corners(at) * long
    rows = []
    for i, photo in enumerate(photos):
        kept, all_ = fitted.seen.photo == i, problem.seen.photo == i
        sheets = joined([fitted.sheets[k] for k in sorted(set(fitted.seen.sheet[kept].tolist()))])
        error = float(np.sqrt(np.mean(off[kept] ** 2))) if kept.any() else np.nan
        rows.append((photo.name, sheets, kept.sum() // 4, error, (all_.sum() - kept.sum()) // 4))
    return MeasureTable(rows, columns=["photograph", "sheets", "markers", "corner error (pixels)", "left out"])
