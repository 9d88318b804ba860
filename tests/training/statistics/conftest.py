"""Property tests here compute; how long they take depends on who else uses the machine."""

from hypothesis import settings

settings.register_profile("statistics", deadline=None)
settings.load_profile("statistics")
