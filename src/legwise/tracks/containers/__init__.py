"""The bytes of one track file out of what it is packed in, and what kind of file it is."""
