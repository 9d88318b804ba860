"""The roles as groups: created after every migration, so that a fresh database has them."""

from typing import Any

from django.contrib.auth.models import Group

from training.people.models import Role


def create_groups(using: str, **_: Any) -> None:
    """Create a group for each role that has none."""
    present = set(Group.objects.using(using).values_list("name", flat=True))
    for role in Role.values:
        if role not in present:
            Group.objects.using(using).create(name=role)
