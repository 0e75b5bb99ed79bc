"""One flight of a log: by number, by time, or by what the lesson says."""
