"""Put the folder of the fault tables on the path: their code is the package `seeding` beside this file."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
