"""The types under which a notebook's outputs are meant for the letter, for the numbers beside it, and for the coach.

They stand alone so that whoever only reads an executed notebook need not load what draws charts.
"""

BLOCK_TYPE = "text/vnd.coachlib.letter"
NUMBERS_TYPE = "application/vnd.coachlib.numbers+json"
#: Read by the coach alone: never part of a page, nor of the numbers beside it.
FOR_COACH_TYPE = "application/vnd.coachlib.for-coach+json"

#: A piece as a page of the desk shows it, where JupyterLab and the letter's page lead elsewhere.
DESK_TYPE = "text/vnd.coachlib.desk"

#: Elements of these classes hold words that people typed; the program's own words stand outside them.
TYPED_CLASSES = frozenset({"note", "words", "meant", "typed"})
#: So do these elements.
TYPED_TAGS = frozenset({"q", "blockquote"})
