"""The immutable types that every room speaks. Import them from their own modules: nothing is re-exported here."""
