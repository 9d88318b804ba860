"""The word, the line's shape and the tone of every standing, verdict, answer and action."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy


@dataclass(frozen=True, slots=True)
class Sign:
    """What a status looks like: word first, then shape, then tone.

    `shape` is the id of a symbol in partials/shapes.html, `tone` one of go, due, pair, stop, none.
    """

    word: Promise
    shape: str
    tone: str


# Inside one set every sign has its own word and its own shape. Between sets a shape may return,
# because a line that runs through always says the same: yes, done, in date.
STANDINGS: Final[Mapping[str, Sign]] = {
    "in_date": Sign(_("In date"), "s-go", "go"),
    "due_soon": Sign(_("Ends soon"), "s-due", "due"),
    "under_supervision": Sign(_("Under supervision"), "s-pair", "pair"),
    "lapsed": Sign(_("Lapsed"), "s-lapsed", "stop"),
    "suspended": Sign(_("Suspended"), "s-susp", "stop"),
    "not_certified": Sign(_("Not certified"), "s-none", "none"),
}
VERDICTS: Final[Mapping[str, Sign]] = {
    "yes": Sign(_("Yes, alone"), "s-go", "go"),
    "buddy": Sign(_("With buddy"), "s-pair", "pair"),
    "no": Sign(_("No"), "s-stop", "stop"),
}
PLACES: Final[Mapping[str, Sign]] = {
    "alone": Sign(_("Alone"), "s-go", "go"),
    "away": Sign(_("Away"), "s-away", "none"),
    "gap": Sign(_("Gap"), "s-stop", "stop"),
}
ANSWERS: Final[Mapping[str, Sign]] = {
    "accept": Sign(_("Accept"), "s-accept", "go"),
    "reject": Sign(_("Reject"), "s-reject", "go"),
}
TASKS: Final[Mapping[str, Sign]] = {
    "done": Sign(_("Done"), "s-go", "go"),
    "open": Sign(pgettext_lazy("task", "Open"), "s-none", "none"),
    "differs": Sign(_("Differs"), "s-stop", "stop"),
}
SENDING: Final[Mapping[str, Sign]] = {
    "saved": Sign(_("Saved"), "s-go", "go"),
    "waiting": Sign(_("Waiting"), "s-wait", "due"),
    "not_sent": Sign(_("Not sent"), "s-stop", "stop"),
}
PLANS: Final[Mapping[str, Sign]] = {
    "in_force": Sign(_("In force"), "s-go", "go"),
    "short_bank": Sign(_("Short bank"), "s-due", "due"),
    "no_exam": Sign(_("No exam yet"), "s-stop", "stop"),
    "draft": Sign(_("Draft"), "s-none", "none"),
}
WAYS: Final[Mapping[str, Sign]] = {
    "not_yet": Sign(_("Not yet"), "s-stop", "stop"),
}
ACTIONS: Final[Mapping[str, Sign]] = {
    "run": Sign(_("Keep running"), "a-run", "run"),
    "trim": Sign(_("Trim or rework"), "a-trim", "trim"),
    "tag": Sign(_("Segregate and tag"), "a-tag", "tag"),
    "call": Sign(_("Stop and call"), "a-call", "call"),
}
SETS: Final[Mapping[str, Mapping[str, Sign]]] = {
    "standings": STANDINGS,
    "verdicts": VERDICTS,
    "places": PLACES,
    "answers": ANSWERS,
    "tasks": TASKS,
    "sending": SENDING,
    "plans": PLANS,
    "ways": WAYS,
}
STATUSES: Final[Mapping[str, Sign]] = {
    key: sign for signs in SETS.values() for key, sign in signs.items()
}


def sign_of(key: object, signs: Mapping[str, Sign] = STATUSES) -> Sign:
    """Return the sign of a key, of a text choice or of an enum member.

    Raises
    ------
    KeyError
        If no sign has this key; the message lists those there are.
    """
    name = str(getattr(key, "value", key))
    if name not in signs:
        raise KeyError(f"No sign is called {name!r}; there are {', '.join(signs)}.")
    return signs[name]
