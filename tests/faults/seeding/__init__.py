"""Seeded faults: clean systems, the words that spoil them, and the tables of what must be found."""

import sys
from pathlib import Path

SHARED = str(Path(__file__).parents[2] / "shared")  # not only tests seed faults: so do those who write the pages
if SHARED not in sys.path:
    sys.path.append(SHARED)
