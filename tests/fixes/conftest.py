"""Put the folder of the seeded faults on the path: the fixes are tried on them."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "faults"))
