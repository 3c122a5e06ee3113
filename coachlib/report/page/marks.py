"""The types under which a notebook's outputs are meant for the letter, and for the numbers beside it.

They stand alone so that whoever only reads an executed notebook need not load what draws charts.
"""

BLOCK_TYPE = "text/vnd.coachlib.letter"
NUMBERS_TYPE = "application/vnd.coachlib.numbers+json"
