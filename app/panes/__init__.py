"""The panes of the window, one a file. They never import each other."""

PLACES = (
    ("site", "Site"),
    ("sources", "Sources"),
    ("wiring", "Wiring"),
    ("protection", "Protection"),
    ("worksheets", "Worksheets"),
)
"""Name and title of each place that the line leads to, in its order."""
