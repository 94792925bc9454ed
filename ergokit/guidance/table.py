"""A table of measures with their verdicts, shown with the caution that belongs to them."""

from ergokit.guidance.cautions import CAUTION
from ergokit.placement.table import MeasureTable


class VerdictTable(MeasureTable):
    """A `MeasureTable` that ends with the caution."""

    @property
    def _constructor(self):
        return VerdictTable

    def __repr__(self):
        return f"{super().__repr__()}\n\n{CAUTION}"

    def _repr_html_(self):
        return f"{super()._repr_html_()}<p>{CAUTION}</p>"
