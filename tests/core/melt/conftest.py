"""Puts the invented furnace beside the melt's tests on the path."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
