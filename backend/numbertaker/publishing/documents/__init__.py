"""Documents for an author, a printer and a reader: PDF, and what word processors and typesetters open."""
