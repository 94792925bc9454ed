"""What hands can feel: a panel with several pairs of holes, a session for two with its results, a log, complaints."""

from __future__ import annotations

from ergokit.hands_on.comparison import ComparisonPanel, comparison_panel
from ergokit.hands_on.complaints import COMPLAINTS, Complaint, complaint
from ergokit.hands_on.log import Evening, PracticeLog, read_log
from ergokit.hands_on.orders import balance, order_table, orders, timetable
from ergokit.hands_on.session import Run, Session, published_times, read_session

__all__ = [
    "COMPLAINTS",
    "ComparisonPanel",
    "Complaint",
    "Evening",
    "PracticeLog",
    "Run",
    "Session",
    "balance",
    "comparison_panel",
    "complaint",
    "order_table",
    "orders",
    "published_times",
    "read_log",
    "read_session",
    "timetable",
]
