"""A mail draft as its bytes: a neutral head and beginning, the letter in short, what is attached."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP

from coachlib.errors import BadArgument
from coachlib.report.look.text import clean_text

#: So many letters of a mail may stand on a locked phone; until then nothing is told.  Own choice.
PREVIEW_LETTERS = 240


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """What a draft says: to whom, the week in words, the sentences of the letter, the one thing, from whom."""

    name: str
    address: str
    week: str
    sentences: Sequence[str]
    one_thing: str
    coach: str
    has_calendar: bool = False

    @property
    def subject(self) -> str:
        """Neutral: it is read by whoever sees the phone."""
        return f"Your letter, {self.week}"

    @property
    def own_lines(self) -> tuple[str, ...]:
        """The lines of head and text that are the program's own words."""
        return (
            self.subject,
            *self._beginning,
            "1",
            "1.0",
            "In short:",
            "One thing for next week:",
            *self.sentences,
        )

    @property
    def _beginning(self) -> tuple[str, ...]:
        calendar = (
            " What is planned is attached as a calendar, which most phones take in."
            if self.has_calendar
            else ""
        )
        return (
            f"your letter for {self.week} is attached. It is one page that opens in any browser, on a phone "
            f"too, without a network and without signing in anywhere.{calendar}",
            "Further down you find the same in a few lines, for when there is no time for the page. If "
            "something in it does not fit what you remember, just answer this mail.",
        )

    @property
    def text(self) -> str:
        """The whole text; what tells something stands behind what a locked phone shows."""
        begin, more = self._beginning
        hello = f"Hello {plain(self.name)},"
        lines = [hello, "", begin, "", more, "", "In short:", "", *self.sentences, ""]
        lines += ["One thing for next week:", "", self.one_thing, ""]
        return "\n".join([*lines, plain(self.coach)]).rstrip() + "\n"


def plain(words: str) -> str:
    r"""One line without signs that nobody sees: what a mail's head may hold.

    Examples
    --------
    >>> plain("Mira\r\nBcc: x@example.org")
    'Mira Bcc: x@example.org'
    """
    return " ".join(clean_text(words).split())


def draft_bytes(draft: Draft, attached: Mapping[str, bytes]) -> bytes:
    """The draft's file: unsent, with one receiver, without date and sender, which the mail program sets.

    Parameters
    ----------
    draft : Draft
        What it says.
    attached : mapping of str to bytes
        Name with its ending (.html or .ics) and contents of each attachment.

    Raises
    ------
    BadArgument
        When no mail can go to the address.

    Source
    ------
    Resnick, P. (2008). RFC 5322; folding and encoded words by the standard library.  ``X-Unsent: 1`` lets mail
    programs open it as a draft: common practice, no source.
    """
    if not draft.address.isascii():
        raise BadArgument(
            f"the address {draft.address} holds letters that not every mail program takes; needed is one of plain "
            "letters such as mira@example.org"
        )
    mail = EmailMessage(policy=SMTP)
    mail["X-Unsent"] = "1"
    mail["To"] = Address(display_name=plain(draft.name), addr_spec=draft.address)
    mail["Subject"] = draft.subject
    mail.set_content(draft.text, cte="quoted-printable")
    for name, data in attached.items():
        kind = {"html": "html", "ics": "calendar"}[name.rpartition(".")[2]]
        mail.add_attachment(
            data, maintype="text", subtype=kind, filename=name, params={"charset": "utf-8"}, cte="base64"
        )
    return mail.as_bytes()
