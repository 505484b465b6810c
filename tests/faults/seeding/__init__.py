"""Seeded faults: clean systems, the words that spoil them, and the tables of what must be found."""
