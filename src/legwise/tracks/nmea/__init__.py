"""NMEA 0183 to a raw track."""
