"""What an archive keeps for those who come later, in open standards: values in, text and bytes out.

| module | what it makes | standard |
| --- | --- | --- |
| `bag` | the tag files, manifests and paths of a bag | BagIt 1.0, RFC 8493 |
| `provenance` | who read, linked and decided what from what | W3C PROV-O, as JSON-LD |
| `annotations` | lines, links, corrections and findings on the scans | W3C Web Annotation |
| `manifest` | the scans with their lines, for viewers | IIIF Presentation 3.0 |
| `alto`, `hocr` | what was read on a page, with boxes and confidences | ALTO 4.4, hOCR 1.2 |

Nothing here looks at a clock or a disk: the same holding gives the same bytes.
"""
