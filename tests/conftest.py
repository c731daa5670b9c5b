"""Property tests try the same examples every time, so that a failure can be repeated anywhere."""

from hypothesis import settings

settings.register_profile("steady", derandomize=True, deadline=None)
settings.load_profile("steady")
