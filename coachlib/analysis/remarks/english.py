"""English words that need a physician first.  Patterns are held against folded text, each at a word's beginning."""

_CHEST = r"chest|breast ?bone|sternum|rib ?cage|my ribs|pectoral|lungs? (?:pain|hurt)"
_ILL_AT_EASE = (
    "pain|ach[ei]|hurt|tight|press|heav|squeez|crush|burn|fire|stab|twinge|discomfort|uncomfort|constrict|cramp|sore"
    "|weight|vi[cs]e|pull|stitch|band|flutter|sharp|sting|knot|weird|odd|strange|numb\\b|numbness|stiff|closed|clos(?:ing|ed) up"
)
_BREATH = r"breath|respir|air\b|lungs"

#: Chest pain, collapse, fainting: now.  Each rule's patterns stand close together, in any order.
NOW = (
    (_CHEST, _ILL_AT_EASE),
    (r"heart (?:pain|attack|hurt|ach)|(?:pain|ache|twinge|tightness|stitch|pull\w{0,3}|stab\w{0,4}) (?:\w+ ){0,2}(?:my |the )?heart",),
    (r"collaps|keel(?:ed|ing) over|swoon|syncop|blackout|black(?:ed|ing|s)? out",),
    (r"pass(?:ed|ing|es)? out\b(?! (?:of|the|fl|leaf))",),
    (r"faint(?!ly|\w{0,3} (?:smell|scent|light|line|trail|path|signal|hope|sound|taste|track|glow|moon|rain|whiff))",),
    (r"unconscious|los(?:t|ing|s|e) (?:of )?conscious|out cold|knocked out cold",),
    (r"woke up on the (?:floor|ground|grass|road|track)|hit the (?:floor|deck|ground)|went down like",),
    (r"c[ao]me (?:round|around|to) (?:with|on|lying|and (?:there|people|saw))",),
    (r"(?:went|turned|all|was|go(?:es|ing)?|everything) (?:\w+ ){0,1}(?:black|dark) (?:before|in front)|(?:everything|it all|vision|eyes|sight) (?:went|turned|goes|was) (?:all )?(?:black|dark|gr[ae]y)",),
    (r"gr[ae]y(?:ed|ing) out|tunnel vision|vision (?:narrow|tunnel|clos)",),
    (r"(?:knees?|legs?) (?:gave|buckl|just gone|went)", r"(?:vision|gone|remember|dark|black|woke|moment|floor)"),
    (_CHEST, r"clamp|shut|elephant|choke|grip|wheez|whistl|hurting"),
    (r"(?:do not|don'?t|did not|didn'?t|cannot|can'?t|no) (?:remember|memory|recall) (?:of )?(?:\w+ ){0,3}(?:finish|line|lap|last|crossing|fall|end)|next thing i (?:know|knew|remember)",),
    (r"(?:found myself|ended up|end up|suddenly|know i am|knew i was) (?:lying )?(?:on the|in the) (?:floor|ground|tarmac|gutter|ditch|asphalt|grass)|i (?:just )?slid down",),
    (r"(?:hr|heart rate|pulse) (?:dropp\w{0,3}|fell) to [1-4]\d\b|nearly went (?:over|down)|almost went (?:over|down)",),
    (r"(?:lights?|everything) went out|went limp|gone down|had gone down|went to the ground|funny turn|weak spell|turned (?:grey|gray|white|pale)|face went white|almost fell over|nearly fell over|legs gave (?:way|out)",),
)  # fmt: skip
#: Other signs that ask for a physician before training goes on.
FIRST = (
    (r"dizz(?:y(?!ing)|iness|ied)|giddy|giddiness|vertigo|light ?head|woozy|wobbly|unsteady on",),
    (r"(?:head|room|everything|world) (?:was |is |kept |started |still )?(?:spinning|swimming|swam|spins)",),
    (r"s(?:aw|eeing) (?:stars|double)|double vision|black spots|blurr(?:ed|y) (?:vision|sight)|half (?:of )?the (?:road|page|screen)",),
    (r"short(?:ness)? of breath|short breath|out of breath|breathless|wheez|gasp|suffocat|hyperventilat|puffed",),
    (_BREATH, r"can'?t\b|cannot|can not|couldn'?t|could not|wouldn'?t|would not|struggl|troubl|difficult|unable|hard to|not get|not enough|enough|f(?:ou|i)ght|labou?r|problem|straw|chok|just would|nothing"),
    (r"heart(?!y|en| rate| of| shaped| sank| clinic| monitor| land| strap| rhythm)|heart ?beats?|pulse|ticker", r"rac(?:ing|ed|es)|flutter|skip|pound|thump|hammer|irregular|uneven|crazy|jump|flip|stumbl|miss(?:ed|es|ing)|extra|throat|weird|odd|strange|stopp?|beating|mad\b|gap|all over"),
    (r"heart ?rate|hr\b|pulse|resting", r"(?:would|did|does|will|could)(?: not|n'?t) (?:come|go|settle|drop|calm)|irregular|uneven|flutter|hammer|thump|skip"),
    (r"sitting|in bed|sofa|at rest|lying|at my desk", r"hammer|thump|pound|racing|raced"),
    (r"resting (?:heart|pulse|hr)|(?:hr|heart rate|pulse) at rest", r"1[0-9]\d\b"),
    (r"palpitat|palps?\b|arr?h?ythmia|tachycard|a ?fib\b|atrial|extrasystol|ectopic|heart rhythm|(?:extra|skipped|missed|irregular|dropped) (?:heart ?)?beats?|extra heart",),
    (r"left arm|jaw|left side|(?:half|side) of (?:my|the) face|arm and jaw|one arm", r"numb|tingl|pain|ach[ei]|hurt|heavy|weak|pins and needles|sore|strange|weird|droop|asleep"),
    (r"arms?\b|face", r"numb|tingl|pins and needles|could not feel|couldn'?t feel|droop|weak in"),
    (r"slurr|(?:find|found) (?:my|the|any) words|no words|could(?:n'?t| not) speak|confus|disorient|delirious|making sense",),
    (r"(?:worst|sudden|severe|splitting|thunderclap|exploding)\w{0,2} (?:\w+ )?headache",),
    (r"urine|pee\b|peed\b|peeing|wee\b|piss", r"dark|brown|black|red\b|cola|coke|tea|blood"),
    (r"cough|spat|spit|vomit|threw up|throwing up|stool|phlegm", r"blood"),
    (r"ankles?|calf|calves|legs|feet", r"swollen|swelling|swell"),
    (r"cold sweat|sweat(?:ing|ed|y)? (?:\w+ )?cold|sense of doom|impending doom|stopped sweating",),
    (r"pillows? to breathe|sleep (?:lying )?flat",),
    (r"chest",),
    (r"my heart|the heart|ticker", r"somersault|haywire|wild|gallop|nineteen|bonkers|dropp|leap|lurch|pause|wobbl|off beat|out of rhythm|out of control|hurt|ach|stops|worr|check|fail|funny"),
    (r"heart ?rate|hr|pulse", r"stayed (?:at|high|up)|for hours|felt awful|through the roof|out of nowhere|stuck at"),
    (r"winded|pant(?:ed|ing)\b|suffocat|chok(?:ed|ing)|rattl\w{0,3} when i breathe|full breath|lungs? (?:hurt|burn|ache)|(?:couldn'?t|cannot|can'?t|not able to|unable to) breathe",),
    (r"(?:seeing|saw) spots|lost my (?:hearing|balance|vision|sight)|(?:horizon|sky|ground|floor|street|road|room) (?:was |is |kept )?(?:tilt|turn|mov|sway|spin)|stagger|sway(?:ed|ing)|clammy|jelly knees|knees (?:turned|went) to jelly|couldn'?t think|could not think",),
    (r"(?:arm|leg|side|hand|mouth|face|eye)", r"couldn'?t lift|could not lift|droop|sagg|dead|all of a sudden|paralys|would not move|wouldn'?t move"),
    (r"pee\b|urine|wee\b|toilet", r"rust|wine|orange|blood|coca"),
    (r"bled from|blood (?:in|on|from|when)|bleeding from",),
    (r"drenched|night sweats|puffy ankle|swollen (?:ankle|leg|calf|feet|face|tongue)",),
    (r"pain|stab|sharp", r"nipple|shoulder blade|down my arm|neck and|into (?:my|the) (?:neck|jaw|back)|behind (?:my|the) ribs"),
    (r"ambulance|paramedic|emergency room|hospital|cardiolog|defib",),
    (r"bronch|lungs?|airways?|throat", r"clos|tight|shut|swoll|swell|inhaler"),
    (r"ribs", r"pain|cramp|left|hurt|ache|stab|press"),
    (r"numb(?:ness)?\b|pins and needles", r"left|arm|shoulder|face|side|leg"),
    (r"breath|breathe", r"barely|hardly|scarcely|heavy|painful|hurts?\b|short"),
    (r"short of puff|winded|yawning|(?:blue|purple) lips|lips (?:\w+ )?(?:blue|purple|grey)|pink foam|foam",),
    (r"stroke|words (?:came|come) out wrong|mixed up my words",),
    (r"(?:felt|thought|was sure|like) (?:like )?(?:i (?:was|am) (?:dying|going to die)|i would die)",),
    (r"(?:cannot|can'?t|could not|couldn'?t) (?:climb|get up|walk up) (?:the |my )?(?:stairs|a flight)",),
    (r"(?:low )?blood sugar|hypo\b|resting pulse|pressure", r"shak|trembl|throat|higher than ever|neck"),
    (r"jaw", r"tight|stiff|press|lock"),
    (r"beats?", r"then nothing|pause|thud|missing"),
)  # fmt: skip
#: Phrases that mean gear or scenery; they are taken out before the rules look.
HARMLESS = (
    r"strap(?: (?:was|is|felt|feels|sat|sits|too|very|so|bit|a|really|tight|loose|tightened|press\w{0,3}|pull\w{0,3}|squeez\w{0,3}|cut\w{0,4}|rubb\w{0,3}|chaf\w{0,3}|slip\w{0,4}|hr|again)){0,6} (?:around|round|on|across|over|against) (?:my |the )?chest",
    r"(?<!under )(?<!behind )(?<!below )(?<!beneath )(?<!under the )(?<!under my )(?<!behind the )(?<!below the )(?<!beneath the )(?<!where the )chest (?:hr )?(?:strap|belt|band|sensor|monitor|transmitter|pocket|freezer|day)",
    r"air (?:in|left in) (?:the |my )?(?:\w+ )?(?:tyre|tire|tube|wheel|shock|fork)\w?",
    r"(?:tyre|tire) pressure|high pressure weather",
    r"(?:tent|bridge|chair|table|bench|tree|wall|wheel|pace|form|technique|pole|gate|road|path)s? (?:had |has |was |just )?collaps\w{0,4}",
    r"(?:treasure|tool|ice|war) chest|chest (?:press|fly|workout|session|high|deep|hair|pass|of drawers)|(?:number|bib|logo|zip|sticker|camera|light|lamp|tattoo) (?:\w+ ){0,3}(?:on|to|across) (?:my |the )?chest|off my chest",
    r"chest bag|chest open|chest out|chest up",
)  # fmt: skip
