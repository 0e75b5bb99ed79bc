"""Text to instants: dates, times of day, counts, zones and offsets."""
