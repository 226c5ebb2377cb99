"""Daybank: days the battery will still carry you, how sure that is, and what to change."""

__version__ = "0.1.0"
