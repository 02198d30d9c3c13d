"""Settings that every test shares: properties are tried on the same cases each time, without a clock."""

from hypothesis import settings

settings.register_profile("course", deadline=None, derandomize=True)
settings.load_profile("course")
