"""Approaches, written out or coded: legs, final course, runway, guidance, minima."""
