"""Put the root on the path: the tools are run as modules from there."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))
