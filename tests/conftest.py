"""Settings that every test shares: properties are tried on the same cases each time, without a clock, and nobody's record is touched."""

import os

from hypothesis import settings

os.environ["HPTEACH_PROGRESS"] = "off"  # kernels of lessons, servers and commands that a test starts inherit it

settings.register_profile("course", deadline=None, derandomize=True)
settings.load_profile("course")
