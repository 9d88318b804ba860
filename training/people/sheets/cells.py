"""Cells on their way out, into a sheet that a spreadsheet program will open."""

BEGINS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def harmless(cell: str) -> str:
    """Keep a spreadsheet program from running a text that begins like a formula."""
    return f"'{cell}" if cell.startswith(BEGINS_A_FORMULA) else cell
