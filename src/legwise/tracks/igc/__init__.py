"""IGC to a raw track."""
