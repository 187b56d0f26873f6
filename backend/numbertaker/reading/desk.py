"""The desk on which a card lies flat: crops of it are cut and read, and places go back to the scan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from numbertaker.reading.crops import cut_out, grown, on_scan
from numbertaker.reading.fields import kind_of
from numbertaker.reading.geometry import Array, Picture, Plane, carry
from numbertaker.reading.ground import Ground
from numbertaker.reading.inks import Stamp, share_of_stamp, without_stamp
from numbertaker.reading.marks import Box, hull
from numbertaker.reading.recognisers import Crop, Recogniser
from numbertaker.reading.spacing import PAD_ACROSS
from numbertaker.reading.strikes import unmarked

PAD = 0.28
"""Paper left round a cell's ink, in heights of a capital."""
STAMPED = 0.03
"""A crop of which a stamp covers less than this is read as it is."""


@dataclass(frozen=True, slots=True)
class Desk:
    """A scan, laid flat, who reads it, and what was seen on it before reading."""

    scan: Picture
    plane: Plane
    recogniser: Recogniser
    stamp: Stamp | None = None
    ground: Ground | None = None

    @property
    def fine(self) -> float:
        """The height of a capital in pixels of the scan."""
        flat = np.array([[0.0, 0.0], [0.0, self.plane.letters.cap]])
        foot, top = carry(self.plane.to_scan, flat + np.array(self.plane.colour.shape[1::-1]) / 2)
        return float(np.hypot(*(foot - top)))

    def crop(self, marks: Array, field: str) -> Crop:
        """The writing of some marks, as a crop for its field; a coloured stamp over it is taken out."""
        pad = PAD * self.plane.letters.cap
        box = grown(hull(marks), PAD_ACROSS * self.plane.letters.cap, pad)
        picture = cut_out(self.scan, self.plane, box)
        if self.stamp and share_of_stamp(picture, self.stamp) > STAMPED:
            picture = without_stamp(picture, self.stamp)
        return Crop(picture, kind_of(field))

    def words(self, boxes: Sequence[Box]) -> list[tuple[str, float]]:
        """Read words on the flat picture."""
        pad = PAD * self.plane.letters.cap
        pictures = [cut_out(self.scan, self.plane, grown(b, 1.4 * pad, pad)) for b in boxes]
        crops = [Crop(picture, repeats=False) for picture in pictures]
        return [(r.text, r.confidence) for r in map(unmarked, self.recogniser.read(crops))]

    def box(self, marks: Array) -> tuple[int, int, int, int]:
        """The upright hull of marks on the scan."""
        edges = np.column_stack([marks[:, :2], marks[:, :2] + marks[:, 2:4]])
        return on_scan(self.plane, edges)
