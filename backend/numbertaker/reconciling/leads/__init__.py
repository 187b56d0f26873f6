"""Where to look next: who could have carried a component while nothing tells of it, and which cards would
show it; and for a finding, which other lines or cards would settle it.

Leads are made of a history and its evidence when they are asked for, and nothing is stored.
"""

from __future__ import annotations

from numbertaker.reconciling.leads.gaps import Gap, Lead, Leads, leads_of
from numbertaker.reconciling.leads.places import Place
from numbertaker.reconciling.leads.settling import settling

__all__ = ["Gap", "Lead", "Leads", "Place", "leads_of", "settling"]
