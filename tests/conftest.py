"""How many examples the property tests try: few in every run, many when asked for.

`pytest --hypothesis-profile thorough` tries ten thousand each.
"""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("quick", max_examples=100, deadline=None)
settings.register_profile("thorough", max_examples=10_000, deadline=None)
settings.load_profile("quick")
