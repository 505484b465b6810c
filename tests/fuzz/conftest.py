"""Put this folder on the path: the mutator and the judge are modules beside this file."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
