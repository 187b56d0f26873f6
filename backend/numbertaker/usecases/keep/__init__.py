"""What goes out for keeping and for analysis, and how an archive comes back out of a bag."""
