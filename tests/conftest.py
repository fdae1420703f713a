"""Hypothesis profiles: `dev` unless the command line says `--hypothesis-profile=ci`."""

from hypothesis import settings

# A busy two-core machine is slow now and then; that is not a fault of the code under test.
settings.register_profile("dev", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("dev")
