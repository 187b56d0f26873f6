"""When each event was: laws of time, the ways in which dates go wrong, regions, and the chains of events."""
