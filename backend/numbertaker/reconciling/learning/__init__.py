"""What an archive teaches about its own papers: how it is learnt, and the one value that it becomes."""

from __future__ import annotations

from numbertaker.reconciling.learning.learnt import SHIPPED, Apart, Learnt, Ran, Says, Share, of_json

__all__ = ["SHIPPED", "Apart", "Learnt", "Ran", "Says", "Share", "of_json"]
