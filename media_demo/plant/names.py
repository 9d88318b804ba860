"""Names of the invented plant's agency people, put together from lists; none is of a real person."""

from collections.abc import Iterator

FIRST = [
    "Abena",
    "Anouk",
    "Basir",
    "Camilo",
    "Danica",
    "Edson",
    "Farah",
    "Gaspard",
    "Hania",
    "Idris",
    "Jurate",
    "Kenji",
    "Lautaro",
    "Mbali",
    "Nils",
    "Oriana",
    "Pavlo",
    "Quentin",
    "Rosario",
    "Selma",
    "Timur",
    "Ulla",
]
LAST = [
    "Abreu",
    "Bjelik",
    "Cornejo",
    "Dzhaparov",
    "Eklund",
    "Ferreyra",
    "Gathoni",
    "Horvat",
    "Ilves",
    "Jadallah",
    "Kaminska",
    "Larraga",
    "Mokwena",
    "Nadeau",
    "Oyarzun",
    "Pretorius",
    "Quiroga",
    "Rahimi",
    "Sandoval",
    "Tshabalala",
    "Uribe",
    "Valkenburg",
]


def agency_names() -> Iterator[str]:
    """Yield every pair of first and last name once, neighbours with nothing in common."""
    for shift in range(len(LAST)):
        for place, first in enumerate(FIRST):
            yield f"{first} {LAST[(place * 5 + shift * 3 + place // 11) % len(LAST)]}"
