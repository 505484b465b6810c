"""Put the fault tables on the path, whose code is the package `seeding` beside this file, and the code of the pages."""

import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[2] / "docs")]
