"""Put this folder on the path: the generator of houses is a module beside this file."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
