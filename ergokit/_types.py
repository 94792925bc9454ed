"""What goes into functions of many rooms, by name, for their hints."""

from collections.abc import Mapping, Sequence
from pathlib import Path

#: Of a file that is read or written.
FilePath = str | Path
#: Quantity -> one number, or (low, high) with None for no limit on that side; None drops a rule that is there unasked.
Rules = Mapping[str, float | Sequence[float | None] | None]
