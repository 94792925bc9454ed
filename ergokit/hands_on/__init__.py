"""What hands can feel: a panel with several pairs of holes, a session for two with its results, a log, complaints."""

from __future__ import annotations

from ergokit.hands_on.comparison import ComparisonPanel, comparison_panel
from ergokit.hands_on.orders import balance, orders, timetable
from ergokit.hands_on.session import Run, Session, published_times, read_session

__all__ = [
    "ComparisonPanel",
    "Run",
    "Session",
    "balance",
    "comparison_panel",
    "orders",
    "published_times",
    "read_session",
    "timetable",
]
