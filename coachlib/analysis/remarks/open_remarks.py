"""Which remarks wait for the coach: questions, and whatever is about health, in five languages."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from coachlib.analysis.remarks.folding import folded, sentences
from coachlib.analysis.remarks.red_flags import red_flags
from coachlib.records.diary import DiaryRow

#: A sentence that begins like this asks, also where its sign is missing.
_ASKS = re.compile(
    r"(?:(?:quick )?question|can i|could i|may i|should i|shall i|do i (?:need|have)|is it (?:ok|okay|fine|normal)|what (?:should|do|if)|how (?:do|long|hard|much|often) (?:i|should)"
    r"|frage|kann ich|darf ich|soll ich|sollte ich|muss ich|ist es (?:ok|normal|schlimm)|was soll|wie lange soll"
    r"|est ce que|puis je|dois je|je peux|faut il|c'est normal si|une question"
    r"|puedo|debo|deberia|es normal|una pregunta|que hago"
    r"|posso|devo|dovrei|e normale|una domanda|cosa faccio)\b"
)
#: Illness, injury, medicine, what hurts.
_HEALTH = re.compile(
    r"(?<![a-z0-9])(?:"
    # English
    r"pain|hurts?\b|hurting|ach(?:e|es|ed|ing|y)\b|ill\b|illness|sick\b|fever|flu\b|cough|throat|sneez|headache|migraine|nausea|vomit|threw up"
    r"|diarrh|stomach|infect|antibiotic|medic(?:ine|ation)|pills?\b|doctor|physio|hospital|injur|swollen|swelling|sprain|strain(?:ed)?\b|limp|numb\b"
    r"|knee|shin|achilles|tendon|hamstring (?:pull|pain|tight)|plantar|heel|ankle|hip\b|(?:lower )?back (?:pain|hurt|ache|stiff|sore)|groin|sore (?:back|throat|neck|foot|feet|hip|heel)|cramp|blister|toenail"
    r"|period\b|pregnan|covid|cold (?:coming|is|again)|a cold\b|head cold|allerg|asthma|inhaler|exhausted|burn(?:ed|t) out|depress|anxi|panic|insomnia"
    # German
    r"|schmerz|weh\b|tut weh|krank|fieber|grippe|husten|hals(?:weh|schm|kratz)|schnupfen|erkae?lt|kopfweh|ue?bel\b|ue?belkeit|erbroch|durchfall|magen|infekt|antibiot"
    r"|tablette|medikament|arzt|ae?rztin|physio|krankenhaus|verletz|geschwollen|gezerrt|zerrung|verstaucht|humpel|taub\b|knie\b|schienbein|achilles|sehne|ferse|knoe?chel"
    r"|hue?fte|rue?cken(?:schm|weh)|leiste|krampf|blase\b|periode|schwanger|corona|allergi|asthma|erschoe?pft|panik"
    # French
    r"|douleur|mal (?:a|au|aux|de) |malade|fievre|grippe|toux|tousse|gorge|rhume|nausee|vomi|diarrhee|ventre|infection|medicament|cachet|medecin|docteur|kine\b|hopital"
    r"|bless|gonfl|entorse|boite\b|genou|tibia|tendon|talon|cheville|hanche|aine\b|crampe|ampoule|regles\b|enceinte|epuise|angoisse"
    # Spanish
    r"|dolor|duele|dolia|enferm|fiebre|gripe|tos\b|garganta|resfri|nausea|vomit|diarrea|estomago|infecc|medicament|pastilla|medico|fisio|hospital|lesion|hinchad|esguince"
    r"|cojea|rodilla|espinilla|tendon|talon|tobillo|cadera|ingle\b|calambre|ampolla|regla\b|embaraz|agotad|ansiedad"
    # Italian
    r"|dolor|male (?:a|al|alla|ai)\b|malat|febbre|influenza|tosse|gola\b|raffredd|nausea|vomit|diarrea|stomaco|infezion|farmac|pastigli|medico|dottore|fisio|ospedale"
    r"|infortun|gonfi|distorsion|zoppic|ginocchi|tibia|tendine|tallone|caviglia|anca\b|inguine|crampo|vescica|ciclo\b|incinta|sfinit|ansia"
    r")"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """What an athlete wrote on a day, and whether it waits for the coach."""

    on: date
    text: str
    asks: bool
    about_health: bool

    @property
    def is_open(self) -> bool:
        """Whether it is a question or about health."""
        return self.asks or self.about_health


def remarks_of(rows: Sequence[DiaryRow]) -> tuple[Remark, ...]:
    """Every remark of some diary rows, by day.

    On a day marked as ill or in pain every remark is about health.

    Source
    ------
    This project's own choice of words; a remark that is wrongly open costs a glance.

    Examples
    --------
    >>> asked = DiaryRow(on="2026-11-22", remarks="Quick word: can I do a test soon?")
    >>> knee = DiaryRow(on="2026-11-20", remarks="Knee a little thick tonight.")
    >>> [(r.asks, r.about_health) for r in remarks_of([asked, knee])]
    [(False, True), (True, False)]
    """
    return tuple(
        Remark(
            on=row.on, text=text, asks=asks(text), about_health=row.health in ("ill", "pain") or about_health(text)
        )
        for row in sorted(rows, key=lambda row: row.on)
        if (text := (row.remarks or "").strip())
    )  # fmt: skip


def asks(text: str) -> bool:
    """Whether a remark holds a question.

    Examples
    --------
    >>> asks("Should I skip Sunday. Legs are gone"), asks("Can talk, could have sung.")
    (True, False)
    """
    return "?" in text or any(_ASKS.match(folded(sentence)) for sentence in sentences(text))


def about_health(text: str) -> bool:
    """Whether a remark is about illness, injury, medicine or what hurts.

    Examples
    --------
    >>> about_health("Throat a bit scratchy"), about_health("Rain sideways.")
    (True, False)
    """
    return bool(_HEALTH.search(folded(text)) or red_flags(text))
