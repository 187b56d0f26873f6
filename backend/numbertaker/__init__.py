"""Numbertaker: one interchangeable component, traced through every engine that carried it."""

from __future__ import annotations

__version__ = "0.1.0"
