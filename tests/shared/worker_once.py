"""The process that plans for the web door, taking what was laid out in this run already; `planned_once` starts it."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from laid_out import INSTEAD

from stubout.web.worker import main

if __name__ == "__main__":
    for module, name, instead in INSTEAD:
        setattr(module, name, instead)
    main()
