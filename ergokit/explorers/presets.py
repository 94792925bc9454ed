"""Placements worth showing, each with one sentence on what to notice."""

from ergokit.placement import Placement


def usual(length: float = 16) -> Placement:
    """Where the explorers start: three equal lengths, in cm, the camera above the port line 15 cm from the target.

    >>> [round(float(usual(length=18).measures().value[i]), 1) for i in (1, 3)]  # manipulation angle and depth
    [60.0, 15.6]
    """
    return Placement.from_tape(length, length, length, camera_to_target=15, camera_above_ports=6, panel_slope=38).replace()


def _flat_phone():
    return Placement.from_tape(16, 16, 16, camera_to_target=14, camera_above_ports=7, panel_slope=38, flat_phone=True).replace()


#: Name -> (placement, what to notice); built when chosen.
PRESETS = {
    "symmetric": (usual, "Three equal lengths: both hands do the same, and the camera looks from between them."),
    "one port higher": (
        lambda: usual().replace(right_port=(8, 3.9, 13.9)),
        (
            "The higher port's instrument is steeper and the azimuth angles become "
            "unequal, while the angle between the instruments hardly changes."
        ),
    ),
    "both ports on one side of the camera": (
        lambda: usual().replace(left_port=(2, 0, 10.8), right_port=(16, 0, 10.8), camera=(-4, 4.7, 14.5)),
        "Both instruments come in from the right of the picture: one azimuth angle is negative.",
    ),
    "camera beside the ports": (
        lambda: usual().replace(camera=(15, 4.7, 14.5)),
        "The angle between the instruments is untouched; the picture turns and the azimuth angles are far from equal.",
    ),
    "phone lying flat": (
        _flat_phone,
        "A flat phone looks straight into the panel, so the target is not in the middle of its picture.",
    ),
    "camera looking back at the operator": (
        lambda: usual().replace(camera=(0, 22, 11)),
        "The hand-eye rotation is 180: an instrument that moves away from you comes towards you on the monitor.",
    ),
    "deep target": (
        lambda: usual().replace(left_port=(-8, -6, 19), right_port=(8, -6, 19), camera=(0, -1.3, 22.7)),
        "The same ports with a deep target: the angle closes, the camera is far, and little of the shaft is left outside.",
    ),
    "target behind the ports": (
        lambda: usual().replace(target=(0, -7, 0)),
        "The instruments reach back towards the operator and the camera must look back too, so the picture is upside down.",
    ),
}
