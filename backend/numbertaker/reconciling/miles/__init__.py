"""How far each fitment ran, and the component altogether: stated, derived or estimated, and how sure.

`figures` weighs what is written for one fitment, `column` the running totals of a card together with all
figures on it, `adjustment` the estimates under a total that holds them, `wholes` the miles of a component.
"""

from __future__ import annotations
