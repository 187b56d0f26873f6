"""From a history to documents: `history.json`, Markdown and HTML, each statement with its note.

Pure, and the same to the byte for the same history, evidence and decisions. `render_component`,
`render_engine` and `render_everything` are what the use cases call; the walk is
matter -> sentences and tables -> document -> format.
"""

from __future__ import annotations

from numbertaker.publishing.render import Format, render_component, render_engine, render_everything

__all__ = ["Format", "render_component", "render_engine", "render_everything"]
