"""Symbols of polymers as ISO 1043-1 writes them, and what the trade writes instead.

The contents and scope of ISO 1043-1:2011 were read; its lists of symbols and of
letters are from memory (usual source: the standard), as are the elastomers of
ISO 18064 and the numbers of polyamides. D, E, F, H, I, L, P, U and G of the
letters were read in an encyclopaedia page on plastics symbols.
"""

import re

from products.calculations.sentences import Sentence

POLYMERS = {
    "ABAK": "acrylonitrile-butadiene-acrylate",
    "ABS": "acrylonitrile-butadiene-styrene",
    "ACS": "acrylonitrile-chlorinated polyethylene-styrene",
    "AEPDS": "acrylonitrile-(ethylene-propylene-diene)-styrene",
    "AMMA": "acrylonitrile-methyl methacrylate",
    "ASA": "acrylonitrile-styrene-acrylate",
    "CA": "cellulose acetate",
    "CAB": "cellulose acetate butyrate",
    "CAP": "cellulose acetate propionate",
    "CF": "cresol-formaldehyde",
    "CMC": "carboxymethyl cellulose",
    "CN": "cellulose nitrate",
    "COC": "cycloolefin copolymer",
    "CP": "cellulose propionate",
    "CTA": "cellulose triacetate",
    "E/P": "ethylene-propylene",
    "EAA": "ethylene-acrylic acid",
    "EBAK": "ethylene-butyl acrylate",
    "EC": "ethyl cellulose",
    "EEAK": "ethylene-ethyl acrylate",
    "EMA": "ethylene-methacrylic acid",
    "EP": "epoxide",
    "ETFE": "ethylene-tetrafluoroethylene",
    "EVAC": "ethylene-vinyl acetate",
    "EVOH": "ethylene-vinyl alcohol",
    "FEP": "perfluoro(ethylene-propylene)",
    "FF": "furan-formaldehyde",
    "LCP": "liquid-crystal polymer",
    "MABS": "methyl methacrylate-acrylonitrile-butadiene-styrene",
    "MBS": "methyl methacrylate-butadiene-styrene",
    "MC": "methyl cellulose",
    "MF": "melamine-formaldehyde",
    "MP": "melamine-phenol",
    "MSAN": "alpha-methylstyrene-acrylonitrile",
    "PA": "polyamide",
    "PAA": "poly(acrylic acid)",
    "PAEK": "polyaryletherketone",
    "PAI": "polyamidimide",
    "PAK": "polyacrylate",
    "PAN": "polyacrylonitrile",
    "PAR": "polyarylate",
    "PARA": "poly(aryl amide)",
    "PB": "polybutene",
    "PBAK": "poly(butyl acrylate)",
    "PBAT": "poly(butylene adipate-terephthalate)",
    "PBN": "poly(butylene naphthalate)",
    "PBS": "poly(butylene succinate)",
    "PBT": "poly(butylene terephthalate)",
    "PC": "polycarbonate",
    "PCL": "polycaprolactone",
    "PCT": "poly(cyclohexylenedimethylene terephthalate)",
    "PCTFE": "polychlorotrifluoroethylene",
    "PDAP": "poly(diallyl phthalate)",
    "PDCPD": "polydicyclopentadiene",
    "PE": "polyethylene",
    "PEC": "polyestercarbonate",
    "PEEK": "polyetheretherketone",
    "PEEST": "polyetherester",
    "PEI": "polyetherimide",
    "PEK": "polyetherketone",
    "PEN": "poly(ethylene naphthalate)",
    "PEOX": "poly(ethylene oxide)",
    "PESU": "polyethersulfone",
    "PET": "poly(ethylene terephthalate)",
    "PF": "phenol-formaldehyde",
    "PFA": "perfluoro alkoxyl alkane",
    "PHA": "polyhydroxyalkanoate",
    "PHB": "polyhydroxybutyrate",
    "PI": "polyimide",
    "PIB": "polyisobutylene",
    "PIR": "polyisocyanurate",
    "PK": "polyketone",
    "PLA": "poly(lactic acid)",
    "PMI": "polymethacrylimide",
    "PMMA": "poly(methyl methacrylate)",
    "PMMI": "poly(N-methyl methacrylimide)",
    "PMP": "poly-4-methylpentene-1",
    "PMS": "poly-alpha-methylstyrene",
    "POM": "polyoxymethylene",
    "PP": "polypropylene",
    "PPE": "poly(phenylene ether)",
    "PPOX": "poly(propylene oxide)",
    "PPS": "poly(phenylene sulfide)",
    "PPSU": "poly(phenylene sulfone)",
    "PS": "polystyrene",
    "PSU": "polysulfone",
    "PTFE": "polytetrafluoroethylene",
    "PTT": "poly(trimethylene terephthalate)",
    "PUR": "polyurethane",
    "PVAC": "poly(vinyl acetate)",
    "PVAL": "poly(vinyl alcohol)",
    "PVB": "poly(vinyl butyral)",
    "PVC": "poly(vinyl chloride)",
    "PVDC": "poly(vinylidene chloride)",
    "PVDF": "poly(vinylidene fluoride)",
    "PVF": "poly(vinyl fluoride)",
    "PVFM": "poly(vinyl formal)",
    "PVK": "poly-N-vinylcarbazole",
    "PVP": "poly-N-vinylpyrrolidone",
    "SAN": "styrene-acrylonitrile",
    "SI": "silicone plastic",
    "SMAH": "styrene-maleic anhydride",
    "SMS": "styrene-alpha-methylstyrene",
    "TPA": "thermoplastic polyamide elastomer",
    "TPC": "thermoplastic copolyester elastomer",
    "TPO": "thermoplastic olefinic elastomer",
    "TPS": "thermoplastic styrenic elastomer",
    "TPU": "thermoplastic polyurethane",
    "TPV": "thermoplastic rubber vulcanisate",
    "UF": "urea-formaldehyde",
    "UP": "unsaturated polyester",
    "VE": "vinyl ester resin",
}

# Letters that only together with this polymer mean this, or that have a settled name.
GRADES = {
    ("PE", "HD"): "polyethylene, high density",
    ("PE", "LD"): "polyethylene, low density",
    ("PE", "LLD"): "polyethylene, linear low density",
    ("PE", "MD"): "polyethylene, medium density",
    ("PE", "VLD"): "polyethylene, very low density",
    ("PE", "UHMW"): "polyethylene, ultra-high molecular weight",
    ("PE", "C"): "polyethylene, chlorinated",
    ("PE", "X"): "polyethylene, crosslinked",
    ("PET", "G"): "poly(ethylene terephthalate), glycol modified",
    ("PP", "E"): "polypropylene, expandable or expanded",
    ("PP", "HI"): "polypropylene, high impact",
    ("PS", "E"): "polystyrene, expandable or expanded",
    ("PS", "HI"): "polystyrene, high impact",
    ("PVC", "C"): "poly(vinyl chloride), chlorinated",
    ("PVC", "P"): "poly(vinyl chloride), plasticised",
    ("PVC", "U"): "poly(vinyl chloride), unplasticised",
    ("TPC", "ET"): "thermoplastic copolyester elastomer with polyether soft segments",
    ("TPS", "SBS"): "thermoplastic styrene-butadiene-styrene elastomer",
    ("TPS", "SEBS"): "thermoplastic styrene-ethylene-butylene-styrene elastomer",
}

CHARACTERISTICS = {
    "A": "amorphous",
    "B": "block or biaxially oriented",
    "C": "chlorinated or crystalline",
    "D": "density",
    "E": "expandable or expanded",
    "F": "flexible",
    "G": "glycol modified",
    "H": "high",
    "I": "impact",
    "L": "linear or low",
    "M": "medium or molecular",
    "N": "normal",
    "O": "oriented",
    "P": "plasticised",
    "R": "random or raised",
    "U": "ultra or unplasticised",
    "V": "very",
    "W": "weight",
    "X": "crosslinked",
}

# What the trade writes; a test holds them together with the reference materials.
SPELLINGS = {
    "PE-HD": (
        "HDPE", "PEHD", "PE HD", "HD polyethylene", "high density polyethylene",
    ),
    "PE-LD": ("LDPE", "PELD", "PE LD", "LD polyethylene", "low density polyethylene"),
    "PE-LLD": ("LLDPE", "PELLD", "PE LLD", "linear low density polyethylene"),
    "PP": ("polypropylene", "polypropene"),
    "PS": (
        "GPPS", "polystyrene", "crystal", "crystal PS", "crystal polystyrene",
        "general purpose polystyrene",
    ),
    "PS-HI": ("HIPS", "PSHI", "PS HI", "SB", "high impact polystyrene", "impact polystyrene"),
    "ABS": ("acrylonitrile butadiene styrene",),
    "PET": ("PETE", "PETP", "polyethylene terephthalate"),
    "PET-G": ("PETG", "PET G", "glycol modified PET"),
    "PVC-U": ("uPVC", "PVCU", "PVC U", "rigid PVC", "unplasticised PVC", "polyvinyl chloride"),
    "PA6": ("PA 6", "PA-6", "nylon 6", "polyamide 6"),
    "PA66": (
        "PA 66", "PA-66", "PA 6.6", "PA6.6", "PA 6,6", "PA 6/6", "nylon 66", "nylon 6,6",
        "nylon 6.6", "nylon 6/6", "polyamide 66", "polyamide 6.6",
    ),
    "POM": (
        "acetal", "polyacetal", "polyoxymethylene", "acetal copolymer", "acetal homopolymer",
    ),
    "PC": ("polycarbonate",),
    "PMMA": ("acrylic", "acrylic glass", "polymethyl methacrylate"),
    "PLA": ("polylactide", "polylactic acid"),
    "TPU": ("thermoplastic polyurethane", "thermoplastic urethane"),
    "SAN": ("AS", "styrene acrylonitrile"),
    "EVAC": ("EVA", "E/VAC", "ethylene vinyl acetate"),
    "PBT": ("PBTP", "polybutylene terephthalate"),
    "PE": ("polyethylene", "polythene"),
    "PE-MD": ("MDPE", "PEMD"),
    "PE-VLD": ("VLDPE",),
    "PE-UHMW": ("UHMWPE", "UHMW-PE"),
    "PE-X": ("PEX", "XLPE"),
    "PS-E": ("EPS", "expanded polystyrene"),
    "PP-E": ("EPP",),
    "PVC-C": ("CPVC", "PVCC"),
    "PVC-P": ("pPVC", "PVCP", "soft PVC", "flexible PVC", "plasticised PVC"),
    "PA": ("nylon", "polyamide"),
    "PUR": ("PU", "polyurethane"),
    "PESU": ("polyethersulfone",),
    "PPE": ("PPO",),
}  # fmt: skip

OLDER = {"E/VAC", "SB", "PETP", "PBTP"}

POLYAMIDE = re.compile(r"PA((?:[0-9]{1,4}[TI]?|MXD6)(?:/(?:[0-9]{1,4}[TI]?|MXD6))*)")


def _folded(text: str) -> str:
    return " ".join(text.split()).casefold()


_WRITTEN = {
    _folded(spelling): symbol for symbol, spellings in SPELLINGS.items() for spelling in spellings
}


def polymer_name(symbol: str, letters: str = "") -> str | None:
    """Return the name of a polymer by its symbol and characteristics, None when it is not known.

    >>> polymer_name("PE", "HD")
    'polyethylene, high density'
    >>> polymer_name("PA66")
    'polyamide 66'
    >>> polymer_name("HDPE") is None
    True
    """
    if grade := GRADES.get((symbol, letters)):
        return grade
    if polyamide := POLYAMIDE.fullmatch(symbol):
        return f"polyamide {polyamide[1]}"
    return POLYMERS.get(symbol)


def is_symbol(text: str) -> bool:
    """Return whether a text is a polymer of ISO 1043-1, with or without characteristics.

    >>> is_symbol("PE-HD"), is_symbol("PP"), is_symbol("HDPE"), is_symbol("pp")
    (True, True, False, False)
    """
    symbol, hyphen, letters = text.partition("-")
    if polymer_name(symbol) is None or bool(hyphen) != bool(letters):
        return False
    return (symbol, letters) in GRADES or set(letters) <= CHARACTERISTICS.keys()


def correct_spelling(symbol: str) -> tuple[str, Sentence] | None:
    """Return the symbol for a trade spelling and a sentence that says so, None when there is none.

    Capitals and spaces around or between words do not matter. A text that is a symbol
    already needs no correction, and "PVC" is one: it leaves open which PVC.

    >>> correct_spelling("HDPE")
    ('PE-HD', 'HDPE is written PE-HD in ISO 1043-1.')
    >>> correct_spelling("pet-g")
    ('PET-G', 'pet-g is written PET-G in ISO 1043-1: in capitals.')
    >>> correct_spelling("PP") is None
    True
    """
    found = " ".join(symbol.split())
    if written := _WRITTEN.get(_folded(symbol)):
        if found.upper() in OLDER:
            return written, Sentence("older-symbol", found=found, symbol=written)
        return written, Sentence("written", found=found, symbol=written)
    capitals = found.upper()
    if capitals != found and is_symbol(capitals):
        return capitals, Sentence("written-in-capitals", found=found, symbol=capitals)
    return None
