"""Where a flight ends and the next begins, whose it is, and how a stretch of a log is cut out."""
