"""The fixes that a lesson, a track file and navigation data name, and which of several of one ident is meant."""
