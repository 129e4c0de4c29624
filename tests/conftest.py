"""What holds for every test."""

from hypothesis import settings

# Speed is measured in benchmarks; a busy machine must not fail a test.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
