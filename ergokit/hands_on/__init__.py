"""What hands can feel: a panel with several pairs of holes, a session for two with its results, a log, complaints."""

from __future__ import annotations

from ergokit.hands_on.comparison import ComparisonPanel, comparison_panel

__all__ = ["ComparisonPanel", "comparison_panel"]
