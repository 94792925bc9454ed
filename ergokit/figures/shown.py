"""How a plotly figure at the end of a cell comes up in JupyterLab: as plotly itself shows it there, without its wait.

Plotly first loads nbformat, only to read its version, and with it grammars of addresses: a second and a half.
"""

import os
import sys

from plotly.basedatatypes import BaseFigure


def at_once() -> None:
    """Show figures at once in this kernel, unless PLOTLY_RENDERER says how; elsewhere nothing is to be done."""
    if "IPython" not in sys.modules:
        return
    from IPython import get_ipython

    shell = get_ipython()
    if type(shell).__module__.startswith("ipykernel.") and "PLOTLY_RENDERER" not in os.environ:
        shell.display_formatter.ipython_display_formatter.for_type(BaseFigure, _show)


def _show(figure):
    if "plotly.io._renderers" in sys.modules:  # somebody may have chosen another way there
        figure._ipython_display_()
        return
    from IPython.display import display
    from plotly.io.base_renderers import PlotlyRenderer

    display(PlotlyRenderer().to_mimebundle(figure.to_dict()), raw=True)
