"""What headings and names of elements mean: quantity, kind, reference and unit, told by their words."""
