"""What a recorder's clock did: set back, never set, or written newest first."""
