"""The reader's own desk: boxes and progress in a folder of the reader's own, there again the next evening.

Plain JSON files, one a box and one an event, each written whole or not at all and readable by older and newer kits. Nothing
leaves the computer on which the kit runs.
"""

from ergokit.desk.boxes import Box, boxes, delete_box, keep_box
from ergokit.desk.events import happened, note
from ergokit.desk.look import Item, clear, contents, export
from ergokit.desk.place import folder, folder_at
from ergokit.desk.progress import Progress, progress

__all__ = [
    "Box",
    "Item",
    "Progress",
    "boxes",
    "clear",
    "contents",
    "delete_box",
    "export",
    "folder",
    "folder_at",
    "happened",
    "keep_box",
    "note",
    "progress",
]
