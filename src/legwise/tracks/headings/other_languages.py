"""Heading words of other languages, each as the English words it stands for.

Only words that mean one thing in any of the languages: "data", "route" and "cap" are left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

_GERMAN = {
    "breite": "latitude", "breitengrad": "latitude", "länge": "longitude", "laenge": "longitude",
    "längengrad": "longitude", "laengengrad": "longitude", "höhe": "altitude", "hoehe": "altitude",
    "druckhöhe": "pressure altitude", "geschwindigkeit": "speed", "geschw": "speed",
    "grundgeschwindigkeit": "ground speed", "steigrate": "vertical speed", "steiggeschwindigkeit": "vertical speed",
    "querneigung": "bank", "querlage": "bank", "grund": "ground", "über": "over", "kurs": "course",
    "steuerkurs": "heading", "rechtweisend": "true", "missweisend": "magnetic", "zeit": "time", "uhrzeit": "time",
    "zeitstempel": "timestamp", "ortszeit": "local time", "weltzeit": "utc time", "datum": "date datum",
    "meter": "metre", "fuß": "feet", "fuss": "feet", "knoten": "knots",
}  # fmt: skip
_FRENCH = {
    "heure": "time", "horodatage": "timestamp", "hauteur": "height", "vitesse": "speed", "sol": "ground",
    "roulis": "roll", "tangage": "pitch", "verticale": "vertical", "indiquée": "indicated",
    "mètre": "metre", "mètres": "metre", "pieds": "feet", "nœuds": "knots", "noeuds": "knots",
}  # fmt: skip
_SPANISH = {
    "latitud": "latitude", "longitud": "longitude", "altitud": "altitude", "altura": "height", "fecha": "date",
    "hora": "time", "velocidad": "speed", "suelo": "ground", "rumbo": "course", "alabeo": "bank", "cabeceo": "pitch",
    "indicada": "indicated", "metros": "metre", "pies": "feet", "nudos": "knots",
}  # fmt: skip
_OTHERS = {
    "latitudine": "latitude", "longitudine": "longitude", "altitudine": "altitude",
    "velocità": "speed", "velocidade": "speed", "rollio": "roll", "prua": "heading", "breedte": "latitude",
    "breedtegraad": "latitude", "lengte": "longitude", "lengtegraad": "longitude", "hoogte": "altitude",
    "snelheid": "speed", "tijd": "time", "koers": "course",
}  # fmt: skip

ENGLISH: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {word: tuple(words.split()) for word, words in (_GERMAN | _FRENCH | _SPANISH | _OTHERS).items()}
)
"""A word of another language in small letters, and the English words for it."""
