"""Published limits as data, each with its source; no arithmetic."""

from legwise.standards.named import KNOWN_STANDARDS, is_own_standard, standard_named

__all__ = ["KNOWN_STANDARDS", "is_own_standard", "standard_named"]
