"""German words that need a physician first.  Patterns are held against folded text, each at a word's beginning."""

_CHEST = r"brust(?!gurt|schwimm|zug|beutel|tasche|training|muskel|sensor)|rippenbogen|herzgegend|thorax|(?:ue?ber|unter)[mn]? (?:dem |meinem )?herz"
_ILL_AT_EASE = (
    "schmerz|stech|stich|drue?ck|druck|eng|brenn|brann|weh|schwer|zu\\b|zugeschn|krampf|beklemm|beschwerden|zieh|zog"
    "|schraubstock|reifen|flatter|gewicht|last\\b|komisch|seltsam|taub"
)
_BREATH = r"luft|atem|atm|durchatm|einatm"

#: Chest pain, collapse, fainting: now.  Each rule's patterns stand close together, in any order.
NOW = (
    (_CHEST, _ILL_AT_EASE),
    (r"brust(?:schmerz|stech|druck|enge|beklemm|beschwerd)|engegefue?hl|enge (?:im|in der|um den|am) (?:brust|hals|herz)|herz(?:schmerz|stech|stich|infarkt|druck|enge|krampf)",),
    (r"(?:ziehen|stechen|stich|stiche|schmerz\w{0,3}|druck|weh) (?:\w+ ){0,3}herz",),
    (r"ohnmacht|ohnmae?chtig|bewusstlos|bewusstsein|synkop|kollabier|kollaps|blackout|filmriss",),
    (r"(?:um|weg|zusammen)ge(?:kippt|klappt|sackt|sunken|brochen)|zusammengebroch",),
    (r"umgefallen|kreislauf (?:\w+ ){0,2}(?:weg|zusammen|ab|versag|schlapp)|kreislauf(?:kollaps|zusammen|versag)",),
    (r"schwarz (?:vor|geworden)|(?:wurde|wird|war|ist) (?:\w+ ){0,3}schwarz(?! wie| und weiss)",),
    (r"nicht (?:mehr )?ansprechbar|weggetreten|zu mir gekommen|tunnelblick|keine erinnerung|lag (?:ich )?(?:ploe?tzlich )?am boden",),
    (r"brust", r"schnue?r|elefant|klemm|pfeif|drue?ckt"),
    (r"(?:nicht|kaum|keine) (?:mehr )?(?:erinner|daran erinner)|erinner\w{0,4} (?:mich )?nicht|lag (?:ich )?(?:auf einmal |ploe?tzlich )?(?:auf|im|am) (?:dem |der )?(?:asphalt|boden|graben|wiese|strasse)|auf einmal lag|weiss (?:ich )?nichts mehr",),
    (r"puls (?:fiel|ging|sank) (?:auf|unter) [1-4]\d\b|knie (?:wurden|waren) (?:ganz )?weich|rutschte (?:an|zu)",),
    (r"(?:das )?licht ging aus|zu boden|schlaff geworden|schwae?cheanfall|(?:ganz )?(?:grau|bleich|weiss|blass) (?:im gesicht|geworden)|fast hingefallen|beinahe hingefallen|lag dann da|beine (?:gaben|haben) nach",),
    (r"herz", r"weh"),
)  # fmt: skip
#: Other signs that ask for a physician before training goes on.
FIRST = (
    (r"schwind(?:el(?!erregend)|l?ig)|schwummrig|benommen|duselig|drehschwindel|taumel|schwankt|torkel|wie betrunken",),
    (r"alles (?:hat sich |dreht\w{0,2} )?(?:sich )?gedreht|(?:es|alles) dreht|dreht\w{0,2} sich (?:alles|der kopf)|kopf dreht",),
    (r"stern(?:e|chen) gesehen|doppelt gesehen|doppelbilder|schwarze punkte|verschwommen|halbe (?:strasse|seite)",),
    (r"atemnot|luftnot|kurzatmig|atemlos|atembeschwerd|atemproblem|ausser atem|aus der puste|kurze[rn]? atem|japs|keuch|pfeifende atmung",),
    (_BREATH, r"kein|kaum|wenig|schlecht|schwer|nicht (?:richtig|genug|tief)|konnte nicht|ring|gerungen|schnapp|geschnappt|weg\b|blieb|problem|mue?he|genug|not\b"),
    (r"lunge", r"nicht|brenn|weh|schmerz|eng"),
    (r"herz(?!lich|haft|klinik|frequenz|en der|ig)|puls(?!gurt|sensor|uhr)|stolperherz", r"ras(?:t|en|te)|gerast|stolper|klopf|flatter|schlag|schlue?g|ausgesetzt|aussetz|aussetzer|hae?mmer|unregel|unrund|ungleich|verrue?ckt|polter|blieb (?:\w+ ){0,4}(?:hoch|oben|erhoe?ht|stehen)|hals|komisch|seltsam|spinnt"),
    (r"herz(?:ras|stolper|klopf|aussetz|flatter|polter|rhythmus|fehler)|stolperherz|rhythmusstoe?r|extrasystol|extraschla|vorhofflimmer|tachykard|pulsaussetz",),
    (r"puls|ruhepuls|herzfrequenz", r"(?:ging|geht|kam|wollte|faellt|fiel) (?:einfach |ue?berhaupt |lange )?nicht (?:mehr )?(?:runter|herunter|zurue?ck)|unregel|ungleich"),
    (r"ruhepuls|puls in ruhe", r"1[0-9]\d\b"),
    (r"linke[rnm]? arm|kiefer(?!n)|unterkiefer|linke seite|gesichtshae?lfte|arm und", r"schmerz|weh|taub|kribbel|zieh|zog|schwer|seltsam|komisch|schwach|eingeschlafen|ha(?:e)?ngt"),
    (r"arm\b|gesicht", r"taub|kribbel|nicht (?:mehr )?gespue?rt|ausstrahl|strahl"),
    (r"lallt|gelallt|nicht (?:richtig |mehr )?sprechen|wirr|verwirr|desorientiert",),
    (r"(?:schlimmste|ploe?tzlich\w{0,2}|extreme|heftigste|stae?rkste) (?:\w+ )?kopfschmerz|vernichtungskopf",),
    (r"urin|harn|pinkel|pinkl|pipi", r"dunkel|dunkl|braun|rot|schwarz|cola|blut|tee"),
    (r"blut", r"gehustet|husten|gespuckt|auswurf|erbroch|stuhl|pinkel"),
    (r"blutig\w{0,2} (?:auswurf|stuhl|husten)|bluthusten",),
    (r"knoe?chel|wade|beine|fue?sse|unterschenkel", r"geschwollen|schwell|dick"),
    (r"kalte[rn]? schweiss|schwitz\w{0,3} kalt|kaltschweiss|todesangst|schue?ttelfrost",),
    (r"kissen zum atmen|flach schlafen",),
    (r"brust\b|brustbein|brustkorb",),
    (r"(?:mein|das) herz|pumpe|herz\b", r"purzel|verrue?ckt|galopp|ausla(?:e)?ss|auszula|springt|huepft|hue?pf|rast|tut weh|stach|sorge|wild|komisch"),
    (r"puls|hf", r"stundenlang|blieb (?:\w+ ){0,4}(?:hoch|oben|erhoe?ht|stehen)|mies|grundlos|ohne grund"),
    (r"erstick|hechel|schnauf|rassel|nicht voll einatm|kann nicht (?:tief |richtig |voll )?(?:ein|durch)?atmen|ohne luft",),
    (r"punkte gesehen|kurz nichts gehoe?rt|(?:horizont|himmel|boden|strasse|raum|zimmer) (?:\w+ )?(?:kippt|dreht|bewegt|schwank|wankt)|nicht klar denken|flau|kaltschweiss|gleichgewicht",),
    (r"arm|bein|hand|finger|mundwinkel|seite|auge", r"nicht (?:mehr )?(?:heben|bewegen)|hing|tot\b|gelaehmt|gelae?hmt|ploe?tzlich nicht"),
    (r"urin|toilette|klo\b|pinkel", r"rost|rotwein|orange|blut"),
    (r"blut (?:am|im|beim|aus|auf)|blutung|teerstuhl",),
    (r"nassgeschwitzt|nachtschweiss|dicke (?:knoe?chel|beine|wade)",),
    (r"schmerz|stech", r"(?:unter|hinter) der linken|in den hals|in den ruecken|in die schulter|in den arm|schulterblae?tt"),
    (r"krankenwagen|rettungswagen|sanitae?ter|notarzt|notaufnahme|krankenhaus|kardiolog",),
    (r"bronchien|lunge|atemwege|kehle", r"zu\b|eng|rassel|brenn|spray"),
    (r"rippen", r"schmerz|krampf|links|weh|stech|drue?ck"),
    (r"taubheit|taub\b|kribbel", r"link|arm|schulter|gesicht|bein|seite|finger"),
    (r"atmen|luft|atem", r"kaum|muehsam|schmerz|kurz|gae?hn"),
    (r"gegae?hnt|lippen (?:\w+ )?(?:blau|lila)|blaue lippen|schaum",),
    (r"schlaganfall|worte (?:kamen|kommen) falsch|worte verdreht",),
    (r"ich sterbe|sterben|todes",),
    (r"(?:keine|komme|schaffe) (?:\w+ )?treppe\w? (?:\w+ ){0,2}(?:ohne|nicht)|keine treppe",),
    (r"unterzucker|ruhepuls|druck", r"zitt|hals\b|hoe?her als je"),
    (r"kiefer(?!n)", r"fest|steif|druck|verkrampf"),
    (r"puls|schlae?ge", r"setzt|dann nichts|rumms|pause"),
    (r"herz (?:\w+ ){0,2}(?:ge)?stolper|kurz weg gewesen|bewu(?:s|ss)tlos|pumpe (?:spinnt|stolpert|rast|sticht)",),
    (r"(?:gepfiffen|pfeif\w{0,4}|rassel\w{0,3}|gerasselt) (?:beim|bei jedem) (?:at|luft)|luft (?:ist )?(?:mir )?weg(?:geblieben)?\b|ist die luft weg",),
    (r"(?:bein|wade|knoechel|knochel) (?:\w+ ){0,2}(?:doppelt|dicker als)|(?:nicht|kaum) (?:mehr )?(?:richtig |deutlich )?sprechen|(?:kreide|leichen)(?:bleich|blass)|weiss wie die wand",),
    (r"knie", r"nachgegeben|weggesackt", r"weiss|nix|nichts|filmriss|schwarz|boden"),
    (r"schwin(?:d|t)l|schwindel|ohnmach?t|herzra+s+n|brustsch?mer",),
    (r"sani(?:taeter|tater|s|zelt)|sanizelt|rettungs(?:wagen|dienst)|notarzt|notaufnahme|erste hilfe",),
    (r"schwer (?:geschnauft|schnauf)|stech\w* (?:beim|wenn ich) (?:\w+ )?(?:ein)?atm|(?:schmerz\w*|weh) (?:beim|wenn ich) (?:\w+ )?(?:ein)?atm",),
    (r"(?:zunge|lippen?|hals|gesicht) (?:\w+ ){0,2}(?:geschwollen|schwillt|anschwell)|hals (?:ging |geht |schnuert |schnurt )?(?:sich )?zu\b|nesselsucht|quaddeln",),
    (r"(?:sehe|sah|seh) (?:\w+ )?doppelt|doppelt gesehen|lall\w*|sprache (?:war |ist )?weg|worte (?:nicht )?(?:gefunden|fehlten)",),
    (r"(?:wade|bein|schienbein) (?:\w+ ){0,2}(?:rot|warm|heiss)\b",),
    (r"treppe\w? (?:\w+ ){0,3}(?:stehen ?bleiben|pause|nicht mehr|anhalten)|(?:stehen ?bleiben|anhalten) (?:\w+ ){0,3}treppe",),
    (r"(?:schmerz\w*|ziehen|weh) (?:\w+ )?(?:im|in den|in beiden) (?:\w+ )?(?:arm|armen|kiefer|hals|nacken)\b|herz(?:problem|fehler|sache|geschichte|leiden)\w*",),
    (r"(?:auf der wiese|im gras|am boden|auf der strasse|im graben) (?:wieder)?(?:gefunden|aufgewacht|gelegen)|wiedergefunden",),
    (r"leicht im kopf|keine puste mehr nach|flimmern vor|(?:rosa|blutig\w*) (?:schleim|auswurf)|ruhepuls (?:\w+ )?\d+ statt|ohne grund (?:hin)?gefallen|fast weg\b|atmen tut weh",),
)  # fmt: skip
#: Phrases that mean gear or scenery; they are taken out before the rules look.
HARMLESS = (
    r"gurt(?: (?:sass|sitzt|war|ist|zu|sehr|etwas|ein|bisschen|eng|fest|locker|drue?ckt\w{0,2}|scheuert\w{0,2}|rutscht\w{0,2}|wieder)){0,6} (?:um|an|auf|ue?ber) (?:die |der |meine[rn]? )?brust",
    r"(?<!unter )(?<!unterm )(?<!hinter )(?<!unter dem )(?<!hinter dem )(?<!unter meinem )brust ?(?:gurt|sensor)\w{0,4}",
    r"luft (?:im|in den|in dem|am) (?:\w+ ){0,2}(?:reifen|vorderrad|hinterrad|schlauch)|frische luft",
    r"(?:zelt|brue?cke|stuhl|tisch|bank|baum|wand|mauer|tempo|technik|stock|tor)\w? (?:ist |war |fast |beinahe ){0,2}(?:zusammengebrochen|umgefallen|umgekippt|eingestue?rzt)",
    r"(?:startnummer|nummer|logo|kamera|lampe|reissverschluss) (?:\w+ ){0,2}(?:auf|an|vor|ue?ber) (?:der |die |meine[rn]? )?brust|brust (?:und|oder) (?:rue?cken|arme|lage)|aus voller brust|breite[rn]? brust",
    r"schwindel(?:frei|erregend)\w*",
    r"erste hilfe (?:kurs|set|tasche)|fotos? (?:\w+ )?verschwommen",
)  # fmt: skip
