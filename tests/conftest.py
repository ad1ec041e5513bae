"""Settings for every test: generated cases are the same in every run."""

import os

from hypothesis import settings

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the program itself does

settings.register_profile("steady", derandomize=True, deadline=None)
settings.load_profile("steady")
