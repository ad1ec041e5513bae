"""Puts the shared invented loads beside the planner's tests on the path."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
