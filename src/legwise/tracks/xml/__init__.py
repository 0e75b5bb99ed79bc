"""GPX and KML to a raw track, each by one guarded pass."""
