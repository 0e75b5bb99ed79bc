"""A plan at its planned speeds: turns with their leads, times, descents, entries."""
