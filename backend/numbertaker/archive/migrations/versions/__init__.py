"""One module a step; what stands in one is never altered once it was released."""
