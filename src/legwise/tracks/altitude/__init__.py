"""What kind of altitude a log holds, as far as the log alone tells."""
