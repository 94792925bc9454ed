"""What the monitor shows: a pinhole camera, as a phone in a box is one, and a scope, whose port, shaft and view place it."""

from ergokit.view.camera import Camera, FieldOfView, PictureOnPlane, equivalent_distance, field_of_view, width_seen
from ergokit.view.scope import Scope

__all__ = ["Camera", "FieldOfView", "PictureOnPlane", "Scope", "equivalent_distance", "field_of_view", "width_seen"]
