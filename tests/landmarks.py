"""The landmarks of a page by name, so that a list of them tells one from another (WCAG 2.4.1)."""

from html.parser import HTMLParser

NAMED_ONLY = {"section": "region", "form": "form"}
LANDMARKS = {"main": "main", "nav": "navigation", "aside": "complementary", **NAMED_ONLY}
VOID = {"area", "base", "br", "col", "hr", "img", "input", "link", "meta", "source", "wbr"}
ROLES = {"region", "navigation", "complementary", "main", "search", "form"}


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, str, str]] = []
        self.texts: dict[str, str] = {}
        self.open: list[tuple[str, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag not in VOID:
            self.open.append((tag, given.get("id", "")))
            self.texts[given.get("id", "")] = ""
        role = given.get("role", LANDMARKS.get(tag, ""))
        label, by = given.get("aria-label", ""), given.get("aria-labelledby", "")
        if role in ROLES and (label or by or tag not in NAMED_ONLY):
            self.found.append((role, label, by))

    def handle_endtag(self, tag: str) -> None:
        while tag in [each for each, _key in self.open]:
            if self.open.pop()[0] == tag:
                break

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """What closes itself, as shapes do, holds nothing."""

    def handle_data(self, data: str) -> None:
        for _tag, key in self.open:
            self.texts[key] += data


def landmarks(page: str) -> list[tuple[str, str]]:
    """Return the role and the accessible name of each landmark of a page, in order."""
    reader = _Reader()
    reader.feed(page)
    return [
        (role, label or " ".join(reader.texts.get(by, "").split()))
        for role, label, by in reader.found
    ]


def of_one_name(page: str) -> set[tuple[str, str]]:
    """Return the landmarks that share role and name with another one."""
    every = landmarks(page)
    return {each for each in every if every.count(each) > 1}
