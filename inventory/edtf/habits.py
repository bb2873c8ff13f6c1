"""How people write dates: the words of six languages as data, without points, in small letters."""

ABOUT = (
    "c ca circa about around approx approximately vers env environ um gegen etwa ungefähr hacia verso "
    "omstreeks rond cerca alrededor"
).split()
PERHAPS = (
    "perhaps probably possibly maybe prob poss vielleicht vermutlich wohl wahrscheinlich quizá quizás "
    "forse misschien wellicht probablement"
).split() + ["peut-être"]
OR = ["or", "ou", "oder", "o"]
AND = ["and", "et", "und", "y", "e", "en", "&"]
BETWEEN = ["between", "betw", "bet", "entre", "zwischen", "tra", "fra", "tussen", "btw"]
FROM = ["from", "de", "von", "desde", "da", "van"]
TO = ["to", "till", "until", "à", "bis", "a", "al", "tot", "hasta"]
BEFORE = ["before", "avant", "vor", "antes de", "prima del", "prima di", "voor", "ante", "bef", "<"]
NOT_AFTER = ["by", "not after", "no later than", "spätestens", "au plus tard", "<="]
AFTER = ["after", "après", "nach", "después de", "dopo", "dopo il", "na", "post", "aft", ">"]
NOT_BEFORE = ["not before", "no earlier than", "frühestens", "au plus tôt", ">="]
SINCE = ["since", "depuis", "seit", "sedert", "sinds"]
UNTIL = ["until", "till", "jusqu'à", "jusqu’à", "bis", "hasta", "fino al", "tot"]
UNDATED = (
    "n.d.|nd|no date|undated|unknown|s.d.|sd|sans date|o.j.|o. j.|ohne jahr|sin fecha|senza data|z.j.|"
    "date unknown|inconnu|unbekannt|?"
).split("|")
CENTURY = r"(?:c|cent|century|centuries|jh|jhd|jhdt|jahrhundert|s|siècle|siecle|secolo|sec|eeuw)\.?"
PART_OF = (
    "early|mid|middle|late|first|second|third|fourth|last|1st|2nd|3rd|4th|half|quarter|beginning|start|end|turn|"
    "début|debut|fin|milieu|moitié|quart|anfang|mitte|ende|hälfte|viertel|frühes|spätes|principios|mediados|"
    "finales|mitad|inizio|fine|metà|begin|eind|midden|helft"
).split("|")
MONTH_NAMES = (
    "january jan janvier janv januar jänner enero ene gennaio januari",
    "february feb février févr fév fevrier februar febrero febbraio februari",
    "march mar mars märz marzo maart",
    "april apr avril avr abril abr aprile",
    "may mai mayo maggio mei",
    "june jun juin juni junio giugno",
    "july jul juillet juil juli julio luglio",
    "august aug août aout agosto ago augustus",
    "september sept sep septembre septiembre settembre",
    "october oct octobre oktober okt octubre ottobre",
    "november nov novembre noviembre",
    "december dec décembre déc decembre dezember dez diciembre dic dicembre",
)
MONTHS = {name: number for number, names in enumerate(MONTH_NAMES, 1) for name in names.split()}
SEASON_NAMES = (
    "spring printemps frühling frühjahr primavera lente",
    "summer été sommer verano estate zomer",
    "autumn fall automne herbst otoño autunno herfst",
    "winter hiver invierno inverno",
)
SEASONS = {name: number for number, names in enumerate(SEASON_NAMES, 21) for name in names.split()}
