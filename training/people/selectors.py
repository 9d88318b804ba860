"""Questions about people that more than one page asks."""

import datetime as dt

from training.people.models import Badge, Employment, Person


def is_employed(person: Person, day: dt.date) -> bool:
    """Return whether the day falls into one of the person's stays. Costs one query."""
    return Employment.objects.on(day).filter(person=person).exists()


def person_with_badge(number: str, day: dt.date) -> Person | None:
    """Return who held the badge on the day, or None. Costs one query."""
    held = (
        Badge.objects.on(day).filter(number=number.strip()).select_related("person__crew").first()
    )
    return held.person if held else None


def personal_numbers(person: Person) -> tuple[str, ...]:
    """Return the numbers others know the person by; a PIN must not be one of them."""
    return (person.personnel_no, *person.badges.values_list("number", flat=True))
