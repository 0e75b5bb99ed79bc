"""A raw track to one that can be debriefed: put in order, with what no aircraft flew left out or flagged."""
