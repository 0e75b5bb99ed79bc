"""CSV to a raw track: its layout, columns, rows, positions and times."""
