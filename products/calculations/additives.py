"""Plasticisers by the symbols of ISO 1043-3 and flame retardants by the codes of ISO 1043-4.

ISO 1043-4:2021 was read in a summary: FR with a two-digit code in parentheses, 10 to 29
halogenated, 23 and 24 hexabromocyclododecane without and with antimony since 2021,
75 and 76 silicon. The other codes and all plasticisers are from memory (usual source: the
standards); a plasticiser that is not listed here is read all the same.
"""

from products.calculations.sentences import Sentence

PLASTICISERS = {
    "BBP": "benzyl butyl phthalate",
    "DBP": "dibutyl phthalate",
    "DBS": "dibutyl sebacate",
    "DEHP": "bis(2-ethylhexyl) phthalate",
    "DEP": "diethyl phthalate",
    "DIBP": "diisobutyl phthalate",
    "DIDP": "diisodecyl phthalate",
    "DINA": "diisononyl adipate",
    "DINP": "diisononyl phthalate",
    "DMP": "dimethyl phthalate",
    "DOA": "dioctyl adipate",
    "DOP": "dioctyl phthalate",
    "DOS": "dioctyl sebacate",
    "DOTP": "dioctyl terephthalate",
    "ELO": "epoxidised linseed oil",
    "ESO": "epoxidised soya bean oil",
    "GTA": "glycerol triacetate",
    "TOTM": "trioctyl trimellitate",
}

FLAME_GROUPS = (
    (range(10, 30), "halogenated compounds"),
    (range(30, 40), "nitrogen compounds"),
    (range(40, 50), "organic phosphorus compounds"),
    (range(50, 60), "inorganic phosphorus compounds"),
    (range(60, 70), "metal oxides, metal hydroxides and metal salts"),
    (range(70, 75), "boron and zinc compounds"),
    (range(75, 80), "silicon compounds"),
    (range(80, 90), "graphite"),
)

FLAME_RETARDANTS = {
    10: "aliphatic or alicyclic chlorinated compounds",
    11: "aliphatic or alicyclic chlorinated compounds with antimony compounds",
    12: "aromatic chlorinated compounds",
    13: "aromatic chlorinated compounds with antimony compounds",
    14: "aliphatic or alicyclic brominated compounds",
    15: "aliphatic or alicyclic brominated compounds with antimony compounds",
    16: "aromatic brominated compounds other than diphenyl ethers and biphenyls",
    17: "aromatic brominated compounds other than diphenyl ethers and biphenyls, with antimony compounds",
    18: "polybrominated diphenyl ethers",
    19: "polybrominated diphenyl ethers with antimony compounds",
    20: "polybrominated biphenyls",
    21: "polybrominated biphenyls with antimony compounds",
    22: "aliphatic or alicyclic chlorinated and brominated compounds",
    23: "hexabromocyclododecane",
    24: "hexabromocyclododecane with antimony compounds",
    30: "nitrogen compounds such as melamine, melamine cyanurate and urea",
    40: "organic phosphorus compounds without halogen",
    41: "chlorinated organic phosphorus compounds",
    42: "brominated organic phosphorus compounds",
    50: "ammonium orthophosphates",
    51: "ammonium polyphosphates",
    52: "red phosphorus",
    60: "aluminium hydroxide",
    61: "magnesium hydroxide",
    62: "antimony(III) oxide",
    75: "inorganic silicon compounds",
    76: "organic silicon compounds",
    80: "graphite",
}


def plasticiser_sentence(symbol: str) -> Sentence:
    """Return what a plasticiser is, in a sentence.

    >>> plasticiser_sentence("DBP")
    'DBP is the plasticiser dibutyl phthalate (ISO 1043-3).'
    """
    name = PLASTICISERS.get(symbol)
    if name is None:
        return Sentence("plasticiser-unknown", symbol=symbol)
    return Sentence("plasticiser", symbol=symbol, name=name)


def flame_sentence(code: int) -> Sentence:
    """Return what a flame retardant's code (10 to 99) stands for, in a sentence.

    >>> flame_sentence(52)
    'FR(52) is a flame retardant: red phosphorus, in 50-59 inorganic phosphorus compounds (ISO 1043-4).'
    >>> flame_sentence(95)
    'FR(95) is a flame retardant whose code is in no group known here (ISO 1043-4).'
    """
    found = next(((codes, name) for codes, name in FLAME_GROUPS if code in codes), None)
    if found is None:
        return Sentence("flame-unknown", code=code)
    codes, name = found
    group = f"{codes.start}-{codes.stop - 1} {name}"
    substance = FLAME_RETARDANTS.get(code)
    if substance:
        return Sentence("flame-in-group", code=code, name=substance, group=group)
    return Sentence("flame", code=code, name=group)
