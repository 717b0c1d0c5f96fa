"""How many examples a property test tries when each one takes long: a share of the profile's."""

from __future__ import annotations

from hypothesis import HealthCheck, settings


def share(part: float) -> settings:
    """Settings with this share of the profile's examples; all of them where it asks for thousands.

    The quick profile is for every run, the thorough one for a night.
    """
    whole = settings.default.max_examples
    count = whole if whole >= 1000 else max(1, round(whole * part))
    return settings(max_examples=count, deadline=None, suppress_health_check=[HealthCheck.too_slow])
