"""Italian words that need a physician first.  Patterns are held against folded text, each at a word's beginning."""

_CHEST = r"petto(?! di pollo)|torac|torace|sterno|pettorale sinistro"
_ILL_AT_EASE = (
    "dolor|dolent|dole|male\\b|oppress|pression|peso\\b|pesant|strett|string|fitt|bruci|costrizion|morsa|fastidi"
    "|crampo|chius|schiacciat|macigno|sfarfall|indolenz|tira|stran"
)
_BREATH = r"respir|aria\b|fiato|inspirare"

#: Chest pain, collapse, fainting: now.  Each rule's patterns stand close together, in any order.
NOW = (
    (_CHEST, _ILL_AT_EASE),
    (r"(?:dolor\w{0,2}|fitta|male|fastidio|tirare) (?:\w+ ){0,4}(?:cuore)",),
    (r"sven(?:ut|iment|ir|go|ne)|sincope|collass|mancamento|stramazz|blackout|rinvenut",),
    (r"pers\w (?:i sensi|conoscenza|coscienza)|perdita di (?:sensi|coscienza|conoscenza)|priv\w di (?:sensi|coscienza)|perso i sensi|incosciente",),
    (r"(?:sono )?crollat\w (?:sul|a terra|al|in|di)|crollo alla fine|mi sono sentit\w mancare|sentivo andare via|cadut\w a terra|stavo cadendo|stavo per cadere|trovat\w a terra",),
    (r"annebbiata la vista|oscurata la vista|(?:e )?diventato tutto nero|tutto nero|vista a tunnel|visto tutto nero",),
    (r"svegliat\w per terra|calo di pressione|non rispondevo|gambe hanno ceduto",),
    (r"petto", r"elefante|chiudeva|chiude|stretta|fischi"),
    (r"non ricordo (?:\w+ ){0,3}(?:traguardo|giro|fine|nulla|niente|altro)|di colpo ero (?:sull|per terra|a terra)|sdraiat\w nel fosso|scivolat\w lungo il muro|ginocchia di gelatina|quasi cadevo",),
    (r"polso (?:e )?sces\w a [1-4]\d\b",),
    (r"si e spenta la luce|finito a terra|diventat\w molle|debolezza improvvisa|(?:grigi|pallid|bianc)\w secondo|un'assenza|quasi caduto|gambe (?:mi )?hanno ceduto",),
)  # fmt: skip
#: Other signs that ask for a physician before training goes on.
FIRST = (
    (r"capogir|giramenti di testa|gira\w{0,3} la testa|testa che gira|girava tutto|vertigin[ie]\b|stordit|intontit|come ubriac|perso l'equilibrio",),
    (r"visto le stelle|vedevo (?:doppio|solo)|punti neri|vista (?:offuscata|doppia|annebbiata)",),
    (r"manc\w{0,5} (?:il |l'|d'|di )?(?:fiato|aria|respiro)|fiato cort|respiro (?:corto|affannoso|sibilante)|fame d'aria|affann|difficolta respirator|soffoc|senza (?:fiato da subito|aria)|dispnea",),
    (_BREATH, r"fatic\w{0,4} a|non riusci|non prendev|difficolta|impossibile|problemi a|malissimo|non veniva|cercavo|poco|profondo non|svegliat"),
    (r"polmon", r"non si|bruci|dol"),
    (r"cuore|battit|polso", r"impazz|irregolar|accelerat|gola|fortissim|perde|perso|saltat?|saltav|martell|mille|sfarfall|strani|mancat|in piu dal|disugual|fuori tempo|fermato|corso tutta"),
    (r"palpitazion|tachicard|aritmi|extrasistol|fibrillazion|ritmo irregolar",),
    (r"polso|battito|frequenza", r"non (?:scendeva|scende|calava)"),
    (r"braccio sinistro|mascella|mandibola|lato sinistro|mezza faccia|braccio e", r"dolor|male|formicol|intorpid|addorment|pesant|strano|debole|indolenz"),
    (r"braccio\b|faccia", r"formicol|intorpid|non sentivo|male al"),
    (r"non mi venivano le parole|biascic|confus|cose senza senso|disorientat",),
    (r"peggior mal di testa|mal di testa (?:\w+ ){0,2}(?:improvvis|fortissim|terribil|violent)",),
    (r"urin|pipi\b|piscio", r"scur|marron|ross|ner[ao]|cola|coca|sangue|\bte\b"),
    (r"sangue", r"toss|sput|vomit|feci"),
    (r"polpacc|cavigli|gambe|piedi", r"gonfi"),
    (r"sudor[ei] fredd|sudo freddo|paura di morire|brividi",),
    (r"cuscini per respirare|dormire disteso",),
    (r"petto\b(?! di pollo)|sterno",),
    (r"(?:il|mio) cuore|cuore al", r"capriole|tilt|galoppo|salti|colpo|matto|fa male|preoccup|strano"),
    (r"ansim|senza (?:fiato|respiro)(?! dal ridere)|soffocar|riempire i polmoni|mancanza di (?:fiato|aria)|fischio quando respir",),
    (r"polso|battito", r"per ore|malissimo|senza motivo"),
    (r"vedevo macchie|non sentivo niente|(?:orizzonte|cielo|terra|strada|stanza) (?:\w+ )?(?:inclin|gira|muov)|barcoll|pensavo chiaro|sudavo freddo|equilibrio",),
    (r"braccio|gamba|bocca|dita|lato|mano", r"non alzavo|storta|morte|paralizz"),
    (r"urin|water|pipi", r"ruggine|vino rosso|arancio|sangue"),
    (r"sangue (?:nell|nelle|nel|da|dal)|sanguinament",),
    (r"svegliat\w fradici|sudori notturni|caviglie gonfie",),
    (r"dolore", r"capezzolo|scapol|al collo|alla schiena|alla spalla|fianco sinistro"),
    (r"ambulanza|pronto soccorso|ospedale|cardiolog|soccorritori",),
    (r"bronchi|polmoni|gola", r"chius|spray|fischi|bruci|strett"),
    (r"costole", r"dolor|crampo|sinistr|male\b|fitta"),
    (r"intorpid|formicol", r"sinistr|braccio|spalla|faccia|gamba|dita"),
    (r"respir|aria\b", r"a malapena|a corto|corto|sbadigl|poca"),
    (r"labbra (?:\w+ )?(?:blu|viola)|schiuma|sbadigliavo|visto doppio",),
    (r"ictus|parole uscivano|parole storte",),
    (r"creduto di morire|morire|stavo morendo",),
    (r"non faccio (?:una |le )?scal",),
    (r"ipoglicemia|polso a riposo|pressione", r"trem|gola|sempre"),
    (r"mandibola|mascella", r"rigid|serrat|strett"),
    (r"polso|battiti|cuore", r"manca|niente|colpo forte|impazzata|pausa"),
    (r"pet+o\b",),
    (r"(?:battiti|cuore|fc|polso) (?:\w+ ){0,3}1[0-9]\d (?:\w+ ){0,2}(?:a riposo|a letto|sedut)|battiti (?:che )?non scend|pers[oi] i sen[sz]i",),
    (r"fiatone (?:\w+ ){0,3}(?:scale|riposo|piano|camminando)|gamba (?:\w+ ){0,3}(?:doppio|piu grossa)|visione (?:a )?tunnel|oppression",),
    (r"non (?:riuscivo|riesco|riusciva) (?:piu )?a (?:parlare|respirare|muovere)|(?:ritrovat|svegliat|trovat)\w (?:a|per) terra|bianc[oa] come (?:un lenzuolo|un cencio|la carta)|cuore (?:\w+ )?batt\w+ (?:troppo )?forte",),
    (r"tenda medica|soccorritor|pronto soccorso|infermier|ambulanz",),
    (r"polso (?:\w+ )?(?:impazzit|strano|sballat)\w*|cerca(?:vo|ndo) aria|(?:dolore|fitta|male) quando (?:inspir|respir)",),
    (r"(?:lingua|labbra|gola|viso) (?:\w+ ){0,3}(?:gonfi|chiud)\w*|orticaria",),
    (r"(?:vista|visione) (?:\w+ )?(?:annebbiat|offuscat|doppia|sfocat)\w*|biascica\w*|non parlavo piu",),
    (r"(?:polpaccio|gamba) (?:\w+ ){0,2}(?:ross|cald)\w*",),
    (r"fermar\w* (?:\w+ ){0,3}scale|dolore (?:\w+ ){0,2}(?:al |alle |nel )?bracci",),
    (r"(?:problema|guaio|malattia) (?:\w+ )?(?:al |di |del )?cuore",),
    (r"(?:ritrovat|svegliat|trovat)\w (?:sull'|nel|sul|sulla|in)|vuoto di memoria|crollat[oa]",),
    (r"testa leggera|fatica a parlare|mosche davanti|catarro (?:ros|sangu)|polso (?:a riposo \d+ invece|fermo a)|caduto senza motivo|quasi andat|respirare fa male",),
)  # fmt: skip
#: Phrases that mean gear or scenery; they are taken out before the rules look.
HARMLESS = (
    r"(?:fascia|cinghia)(?: (?:cardio|mi|era|e|troppo|molto|un|po'|string\w{0,4}|strett\w|sfreg\w{0,4})){0,6} (?:al |sul |attorno al |intorno al )?(?:il )?petto",
    r"(?<!sotto la )(?<!dietro la )(?:fascia|cinghia|sensore)(?: (?:toracica|pettorale|del petto|cardio))",
    r"togliere il fiato|senza fiato dal ridere|senza aria nella|arancia rossa|fiume gonfio|sangue freddo|pressione delle gomme",
    r"(?:tenda|ponte|sedia|tavolo|panchina|albero|muro|ritmo) (?:e |si e )?(?:crollat|collassat)\w",
    r"(?:pettorale|logo|camera|luce|numero|cerniera) (?:\w+ ){0,2}(?:sul|al) petto|petto (?:e schiena|in palestra)|in petto alla|a petto",
    r"tasca sul petto|pressione del gruppo|morire dal ridere",
    r"petto di (?:pollo|tacchino)|petto e (?:schiena|braccia)",
    r"corso di primo soccorso|foto (?:\w+ )?sfocat\w",
)  # fmt: skip
