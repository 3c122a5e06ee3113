"""French words that need a physician first.  Patterns are held against folded text, each at a word's beginning."""

_CHEST = r"poitrine|thora|sternum|pectoral|cage thoracique"
_ILL_AT_EASE = (
    "douleur|douloureu|mal\\b|serr|oppress|gene|pression|poids|lourd|brul|pinc|point\\b|pointe|etau|comprim|crampe"
    "|bloqu|sensible|barre|pes(?:e|ait)|faisai(?:t|ent) mal|palpit|bizarre|tir|battement|engourdi|ferm"
)
_BREATH = r"respir|air\b|souffle|inspir"

#: Chest pain, collapse, fainting: now.  Each rule's patterns stand close together, in any order.
NOW = (
    (_CHEST, _ILL_AT_EASE),
    (r"(?:mal|douleur|pincement|pointe|point|tiraillement) (?:\w+ ){0,4}coeur",),
    (r"evanoui|malaise|syncope|inconscien|(?:perd\w{0,2}|perte de) (?:\w+ )?con(?:science|naissance)|trou noir",),
    (r"tomb\w{0,3} (?:dans les pommes|raide)|tourn\w{0,2} de l'oeil|dans les vapes|me (?:suis )?trouve\w? mal|sentais partir",),
    (r"effondre|ecroule",),
    (r"allais tomber|failli tomber(?! dans le fosse)|voile (?:noir|gris)|(?:tout )?(?:est )?devenu\w? (?:tout )?noir|vision en tunnel|noir devant",),
    (r"reveille\w? par terre|revenu\w? a moi|retrouve\w? au sol|chute de tension|sans reaction|jambes ont lache",),
    (r"poitrine", r"elephant|siffl|coince|etrangl"),
    (r"(?:ne )?(?:me )?souviens (?:pas|plus|de rien)|d'un coup j'etais (?:sur|au|par)|couche\w? (?:dans|sur) le (?:fosse|sol|bitume)|glisse le long du mur|genoux en coton",),
    (r"pouls (?:tombe|descendu|chute)\w? a [1-4]\d\b",),
    (r"lumiere s'est eteinte|tombe\w? (?:au sol|par terre|au \d+\b)|tout\w? mou\b|coup de faiblesse|tout\w? (?:gris|pale|blanch?)e?\b|(?:eu )?une absence|faillis? tomber|jambes (?:ont|se sont) (?:lache|derobe)",),
)  # fmt: skip
#: Other signs that ask for a physician before training goes on.
FIRST = (
    (r"vertiges?\b|etourdi|tete qui tourne|tete (?:me )?tourn|tete legere|tout (?:tourn)|tournis|comme ivre|vaseu",),
    (r"vu (?:des )?etoiles|voya\w{0,3} double|points noirs|vue trouble|vision (?:trouble|floue|double)|moitie de la (?:route|page)",),
    (r"essouffle?e? (?:au repos|sans|apres un|en marchant|anormal)|essouffl\w{0,6} (?:\w+ ){0,3}(?:inhabituel|anormal|repos|raison|connais)|souffle (?:court|coupe)|(?:a bout|plus) de souffle|hors d'haleine|respiration (?:courte|sifflante|difficile|haletante)|difficultes? respiratoires?|etouff|suffoqu",),
    (_BREATH, r"(?:du |de la |eu du )?mal (?:a|pour)|peine a|n'arriv|arrivais|manqu|impossible|difficult|problemes? pour|ne pouvai|plus d|cherchai|ne venait|tres mal|peu de"),
    (r"coeur|pouls", r"emball|irregulier|saut|loup|rates?\b|affol|tape|cogn|gorge|tres fort|arrete|batt\w{0,4} (?:tres|de travers|a toute|bizarre)|inegal|bizarre|vitesse|palpit"),
    (r"palpit|tachycard|arythmi|extrasystol|fibrillation|battements? (?:de coeur )?(?:bizarre|manque|en plus|irregulier|de coeur)|rythme irregulier",),
    (r"(?:frequence|pouls|cardio)", r"(?:ne )?(?:redescend|descend|baiss)\w{0,4} p(?:as|lus)"),
    (r"bras gauche|machoire|cote gauche|moitie du visage|bras et", r"douleur|douloureu|mal\b|fourmi|engourdi|picot|tire|lourd|bizarre|faible|endormi"),
    (r"bras\b|visage", r"fourmi|engourdi|paralys|ne sentais"),
    (r"parole (?:pateuse|confuse)|n'arriv\w{0,4} plus a parler|confus(?!ion)|n'importe quoi|desoriente|propos incoherent",),
    (r"(?:pire|brutal|soudain|violent|terrible) (?:mal|maux) de tete|(?:mal|maux) de tete (?:brutal|soudain|violent|terrible|foudroyant)",),
    (r"urin|pipi|pisse", r"fonce|brun|roug|noir|cola|coca|sang\b|the\b"),
    (r"sang\b", r"crach|tou(?:x|ss)|vom|selles"),
    (r"mollets?|chevilles?|jambes|pieds", r"gonfl|enfle"),
    (r"sueurs? froides?|angoisse de mourir|frissons", r"sueur|angoisse|confus|soleil|course|nausee|fievre"),
    (r"oreillers pour respirer|dormir a plat",),
    (r"poitrine|sternum",),
    (r"(?:mon|le) coeur|palpitant", r"bonds?\b|galop|fou\b|coup\b|mal\b|inquiet|drole|folie"),
    (r"coeur au galop|halet|etouff|siffle quand|sans souffle|plus de souffle|pas a (?:inspirer|respirer)|essoufflement",),
    (r"pouls|cardio|frequence", r"reste\w? (?:a|haut)|des heures|sans raison"),
    (r"voyais des taches|n'entendais plus|(?:horizon|ciel|sol|route|piece) (?:\w+ )?(?:pench|tourn|boug)|titub|penser clairement|moite|perdu l'equilibre",),
    (r"bras|jambe|bouche|doigts|cote|main", r"plus lever|ne pouvais plus|tombait|morts?\b|paralys"),
    (r"urine|cuvette|toilettes|pipi", r"rouille|vin\b|orange|sang"),
    (r"sang (?:dans|en|au|sur)|saigne(?:ment)? (?:de l|en|aux)",),
    (r"reveille\w? trempe|sueurs nocturnes|chevilles? (?:enfle|gonfle)",),
    (r"douleur|point\b", r"sein gauche|omoplate|dans le (?:cou|dos)|au cou|dans l'epaule|cote gauche"),
    (r"ambulance|pompiers|secours|urgences|hopital|cardiologue|samu",),
    (r"bronches|poumons?|gorge", r"ferm|serr|siffl|ventoline|brul"),
    (r"cotes", r"douleur|crampe|gauche|mal\b|point"),
    (r"engourdi|fourmillement|picotement", r"gauche|bras|epaule|visage|jambe|doigts"),
    (r"respir|air\b|souffle", r"a peine|pas assez|penible|court\b|bail"),
    (r"levres? (?:\w+ )?bleu|mousse|baillais",),
    (r"\bavc\b|mots sortaient|mots de travers|cherchais mes mots",),
    (r"cru mourir|j'allais mourir|mourir",),
    (r"(?:ne )?monte plus (?:un |les )?escalier",),
    (r"hypoglycemie|pouls au repos|pression", r"trembl|gorge|jamais"),
    (r"machoire", r"serre|raide|bloque"),
    (r"pouls|battements?|coeur", r"manque un|puis rien|chamade|pause|grand coup"),
    (r"(?:serr|pinc|tir|brul|pes)\w{0,3} (?:\w+ ){0,4}(?:coeur|poitrin)|poitrin\b|perdu (?:\w+ )?con+ai?s+an[cs]e",),
    (r"(?:pouls|cardio|battements?|fc) (?:\w+ ){0,3}1[0-9]\d (?:\w+ ){0,2}(?:au repos|au lit|assis)|vu (?:tout )?noir\b|cru (?:que j'allais )?tomber",),
    (r"essouffl\w{0,4} (?:en |a )?(?:\w+ ){0,2}(?:l'|les )?escaliers?|jambe (?:\w+ ){0,3}(?:deux fois|plus grosse)|reveille\w? en sueur|dormi assis|pas (?:assez )?d'air",),
    (r"(?:retrouve|reveille)\w? (?:par terre|au sol|allonge)|blanc(?:he)? comme un (?:linge|drap|cachet)",),
    (r"secouriste|tente medicale|poste de secours|pris en charge par|infirmier",),
    (r"(?:pouls|coeur) (?:\w+ ){0,3}(?:tous les sens|fou\b|n'importe comment|chamade)|souffle (?:difficile|penible)|(?:douleur|mal|point) (?:\w+ )?quand j'?(?:e )?(?:inspire|respire)",),
    (r"(?:langue|levres?|gorge|visage) (?:\w+ ){0,3}(?:gonfl|enfl|ferme|serr)\w*|urticaire",),
    (r"(?:vue|vision) (?:\w+ )?(?:brouill|troubl|flou)\w*|bafouill\w*|(?:capable|pouvais|arrivais) (?:plus )?(?:de |a )?parler|plus capable de parler",),
    (r"(?:mollet|jambe) (?:\w+ ){0,2}(?:rouge|chaud)",),
    (r"(?:arreter|pause|stop) (?:\w+ ){0,2}(?:dans |a mi )?(?:l'|les )?escaliers?|douleur (?:\w+ ){0,2}(?:le |mon |les )?bras\b",),
    (r"(?:probleme|souci|ennui|maladie) (?:\w+ )?(?:de |au |du )?(?:coeur|cardiaque)|oppress",),
    (r"(?:retrouve|reveille)\w? (?:dans|sur) (?:l'herbe|le |la |l')|sans savoir comment",),
    (r"bat a fond (?:\w+ ){0,3}(?:canape|lit)\b|bras qui picot|mal a parler|mouches devant|crach\w+ (?:ros|roug)|pouls (?:de )?repos \d+ au lieu|pouls bloque|tombe\w? sans raison|presque parti|respirer fait mal|connaissance perdue",),
)  # fmt: skip
#: Phrases that mean gear or scenery; they are taken out before the rules look.
HARMLESS = (
    r"(?:ceinture|sangle|bande)(?: (?:cardio|thoracique|me|etait|est|trop|tres|un|peu|bien|serr\w{0,4}|frott\w{0,4}|gliss\w{0,4})){0,6} (?:autour de |sur |a )?(?:la |ma )?poitrine",
    r"(?<!sous )(?<!sous la )(?<!sous ma )(?<!derriere la )(?:ceinture|sangle|bande|capteur)s? (?:thoracique|cardio|pectorale?|de poitrine|de la poitrine|cardiaque)",
    r"a couper le souffle|plus d'air dans (?:le|les|mon|mes) pneus?|sang froid|orange sanguine|demi tour",
    r"(?:tente|pont|chaise|table|banc|arbre|mur|allure|rythme) (?:s'est |est |a )?(?:effondre|ecroule)\w{0,2}",
    r"(?:repris|reprendre) mon souffle en haut",
    r"(?:dossard|logo|camera|lampe|numero|fermeture) (?:\w+ ){0,2}(?:sur|a) (?:la |ma )?poitrine|tour de poitrine",
    r"sac de poitrine",
    r"(?:formation|cours) (?:de |aux )?premiers secours|photos? (?:\w+ )?floues?",
)  # fmt: skip
