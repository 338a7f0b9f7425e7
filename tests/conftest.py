"""What all tests share."""

from hypothesis import settings

# How long an example takes says how busy the machine is: limits of time are tested where there are any.
settings.register_profile("untimed", parent=settings(), deadline=None)
settings.load_profile("untimed")
