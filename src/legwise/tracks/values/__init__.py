"""Text to numbers and angles, column by column."""
