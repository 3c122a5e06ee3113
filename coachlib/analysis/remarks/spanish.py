"""Spanish words that need a physician first.  Patterns are held against folded text, each at a word's beginning."""

_CHEST = r"pecho|torax|toracic|esternon|caja toracica|pectoral\b"
_ILL_AT_EASE = (
    "dolor|doli|duel|opresi|oprimi|presion|molest|pinchazo|punzad|apret|apriet|peso\\b|pesad|quem|ard|calambre"
    "|cerrad|cerro|comprim|tirantez|tiron|losa|torno|aleteo|faja|raro|tens"
)
_BREATH = r"respir|aire\b|aliento|resuello|inspirar"

#: Chest pain, collapse, fainting: now.  Each rule's patterns stand close together, in any order.
NOW = (
    (_CHEST, _ILL_AT_EASE),
    (r"(?:dolor|punzada|pinchazo|tiron|flato|molestia) (?:\w+ ){0,5}corazon",),
    (r"desmay|sincope|inconscien|vahido|apagon|desvanec|me desplom|colaps",),
    (r"perd\w{0,4} (?:de )?(?:el |la |casi el )?(?:conocimiento|conciencia|consciencia|sentido)|sin (?:sentido|conocimiento)|pierdo el sentido",),
    (r"me caia\b|casi me caigo|(?:se me )?nublo la vista|se me fue la (?:vista|cabeza)|todo (?:se (?:puso|volvio) )?negro|vision de tunel",),
    (r"desperte en el suelo|cai redond|volvi en mi|acabe en el suelo|cai al suelo|sentia? que me iba|estuve ido|bajada de tension|no respondia",),
    (r"piernas se me fueron",),
    (r"pecho", r"elefante|cerraba|pita|ahog|estruj"),
    (r"no recuerdo (?:\w+ ){0,2}(?:meta|vuelta|final|nada|mas|cruzar)|de (?:pronto|repente) estaba en el (?:asfalto|suelo)|tumbad\w en (?:la cuneta|el suelo)|deslice por la pared|rodillas de gelatina",),
    (r"pulso (?:\w+ )?(?:bajo|cayo) a [1-4]\d\b",),
    (r"se apago la luz|al suelo|me quede flojo|bajon en|(?:muy )?(?:gris|palid\w|blanc\w) segun|una ausencia|casi me caigo|piernas (?:me )?fallaron",),
    (r"corazon", r"dolia|duele"),
)  # fmt: skip
#: Other signs that ask for a physician before training goes on.
FIRST = (
    (r"mare(?:o|os|ada|ado|e|aba)\b|vertigos?\b|aturdid|atontad|me daba(?:n)? vueltas|da(?:ba)? vueltas|como borrach|perdi el equilibrio",),
    (r"vi (?:las )?estrellas|veia doble|vision (?:borrosa|doble)|puntos negros|mitad de la carretera",),
    (r"falt\w{0,3} (?:de |el |mucho el |mucho |algo de )?(?:aire|aliento)|sin (?:aire|resuello)|dificultad(?:es)? (?:para|al) respirar|ahog|asfixi|respiracion (?:corta|agitada|muy agitada)|pitidos al respirar|corto de aliento|disnea",),
    (_BREATH, r"no pod|no pud|no consegu|cuesta|costaba|costo|imposible|problemas? para|fatal|no entraba|no me llegaba|buscando|poco|fatiga|sin aliento|quede sin"),
    (r"pulmon", r"no se|duel|arden"),
    (r"corazon|pulso|latid", r"aceler|dispar|irregular|desboc|salt|a mil|garganta|golpe|fuerte sin|muy fuerte|fall|desigual|perdid|destiempo|se paro|velocidad|raros?|de mas|alete"),
    (r"palpitac|taquicard|arritmi|extrasistol|fibrilacion|ritmo irregular",),
    (r"pulso|pulsaciones", r"no (?:me )?(?:bajaba|baja|bajo)"),
    (r"brazo izquierdo|mandibula|lado izquierdo|media cara|brazo y", r"dolor|duel|hormig|dormid|durmio|adormec|pesad|raro|debil|dolorid"),
    (r"brazo\b|cara\b", r"hormig|adormec|no sentia"),
    (r"no me salian las palabras|arrastrando las palabras|confus|confundid|sin sentido|desorientad",),
    (r"peor dolor de cabeza|dolor de cabeza (?:\w+ ){0,2}(?:brutal|repentin|subit|terrible)",),
    (r"orin|pis\b|pipi|meo\b|meando", r"oscur|marron|roj|negr|cola|sangre|\bte\b"),
    (r"sangre", r"tos|escup|vomit|heces|esputo"),
    (r"gemelo|tobillos?|piernas|pies|pantorrilla", r"hinchad|inflamad"),
    (r"sudor(?:es)? fri|sudo fri|sensacion de morir|escalofrios",),
    (r"almohadas para respirar|dormir tumbado",),
    (r"pecho\b|esternon",),
    (r"(?:el|mi) corazon", r"brincos?|loco|galope|salta|golpe\b|duel|preocup|raro|salt"),
    (r"jade|sin fuelle|sin aliento|ahogo|llenar los pulmones|falta de aire|me pita",),
    (r"pulso|pulsaciones", r"durante horas|fatal|sin motivo|clavad"),
    (r"veia manchas|no oia nada|(?:horizonte|cielo|suelo|calle|cuarto) (?:\w+ )?(?:inclin|gira|mov)|tambale|pensar claro|sentia? debil|equilibrio",),
    (r"brazo|pierna|boca|dedos|lado|mano", r"no podia levantar|caida|muert|paraliz"),
    (r"orin|taza|pipi", r"oxido|vino tinto|naranja|sangre"),
    (r"sangre (?:en|al|por)|sangrado",),
    (r"desperte empapad|sudores nocturnos|tobillos hinchad",),
    (r"dolor", r"tetilla|omoplato|al cuello|a la espalda|al hombro|costado izquierdo"),
    (r"ambulancia|urgencias|hospital|cardiolog|sanitarios",),
    (r"bronquios|pulmon|garganta", r"cerrad|inhalador|pit|quem|ard"),
    (r"costillas", r"dolor|calambre|izquierd|duel|pinch"),
    (r"entumec|hormigue|adormec", r"izquierd|brazo|hombro|cara|pierna|dedos"),
    (r"respir|aire\b", r"apenas|corto|bostez|poco"),
    (r"labios? (?:\w+ )?(?:azul|morad)|espuma|bostezaba|vi doble",),
    (r"ictus|palabras salian|palabras mal",),
    (r"morirme|crei morir|me moria",),
    (r"no subo (?:una |las )?escalera",),
    (r"hipoglucemia|pulso en reposo|presion", r"tembl|tiemblo|garganta|nunca"),
    (r"mandibula", r"tensa|rigida|apret"),
    (r"pulso|latidos|corazon", r"falla|nada\b|golpe|a tope|pausa"),
    (r"sale el corazon|corazon por la boca|perd\w{1,3} el cono[sc]imiento|estrellitas|bajon de tension|se me fueron las piernas",),
    (r"(?:pulso|pulsaciones|fc) (?:\w+ ){0,3}1[0-9]\d (?:\w+ ){0,2}(?:en reposo|en la cama|sentad)",),
    (r"(?:dolia|duele|dolor) (?:\w+ ){0,3}(?:mandibula|brazo izquierdo)|pierna (?:\w+ ){0,3}(?:el doble|mas gorda|hinchad)",),
    (r"blanc[oa] como (?:la pared|el papel|una sabana)|fatiga al (?:minimo|menor)|dormi sentad",),
    (r"carpa medica|puesto medico|sanitari|socorrista|enfermer[oi]",),
    (r"pulso (?:\w+ )?(?:loco|descontrolado|raro)|busca(?:ba|ndo) aire|(?:no puedo|no podia) (?:respirar|inspirar|hablar)|(?:dolor|pinchazo|duele) (?:al|cuando) (?:inspir|respir)",),
    (r"(?:lengua|labios?|garganta|cara) (?:\w+ ){0,2}(?:hinchad|inflamad|cerr)\w*|cerraba la garganta|urticaria|ronchas",),
    (r"(?:vista|vision) (?:\w+ )?(?:borros|nublad|doble)\w*|balbuce\w*|mano (?:\w+ )?(?:dormid|muert)\w*",),
    (r"(?:pantorrilla|gemelo|pierna) (?:\w+ ){0,2}(?:roj|calient)\w*",),
    (r"(?:parar|pararme|detenerme) (?:\w+ ){0,3}escaleras?|dolor (?:\w+ ){0,2}(?:el |los )?brazos?\b",),
    (r"(?:problema|tema|enfermedad) (?:\w+ )?(?:de |del |al )?corazon|opresion\b",),
    (r"apareci en|laguna (?:de memoria|despues)|(?:me )?(?:derrumb|desplom)\w*",),
    (r"cabeza ligera|sala se mov|costaba hablar|moscas delante|esputos? (?:rosad|roj)|pulso en reposo \d+ en vez|cai sin motivo|casi ido\b|respirar duele",),
)  # fmt: skip
#: Phrases that mean gear or scenery; they are taken out before the rules look.
HARMLESS = (
    r"(?:banda|cinta|correa)(?: (?:me|estaba|esta|muy|demasiado|un|poco|apret\w{0,4}|roz\w{0,3}|floja)){0,6} (?:en |alrededor de |sobre )?(?:el |al |del )pecho",
    r"(?<!bajo la )(?<!debajo de la )(?<!tras la )(?:banda|cinta|correa|sensor)(?: (?:pectoral|toracica|del pecho|de pecho|del torax))",
    r"quita el aliento|sin aire en (?:la|las) ruedas?|presion de (?:la|las) ruedas?|naranja sanguina|altura de vertigo",
    r"(?:tienda|puente|silla|mesa|banco|arbol|muro|ritmo) (?:se )?(?:desplom|colaps|hundi)\w{0,3}",
    r"(?:dorsal|logo|camara|luz|numero|cremallera) (?:\w+ ){0,2}(?:en|sobre) (?:el |mi )?pecho|pecho y (?:espalda|brazos|triceps)|tomar a pecho",
    r"bolsa del pecho|presion (?:del grupo|de las)|golpe de pedal",
    r"curso de primeros auxilios|fotos? (?:\w+ )?borrosas?",
)  # fmt: skip
