"""Which polymers never meet, stay apart, or may be met a little: the chart and this workshop's rules.

The chart is from memory (usual handbook: the compatibility matrix of VDI 2243, as reprinted in
texts on design for recycling): rows are the main polymer, columns what gets into it. That
reject material and the polyesters stay apart is this project's judgement.
"""

COLUMNS = ("PE", "PP", "PS", "ABS", "PVC", "PA", "PC", "PMMA", "POM", "PET")
CHART = {
    "PE": "+o--X-----",
    "PP": "o+--X-----",
    "PS": "--+oX-----",
    "ABS": "--o+X-++Xo",
    "PVC": "---++--+XX",
    "PA": "----X+--Xo",
    "PC": "---+X-++X+",
    "PMMA": "---+X-++X-",
    "POM": "----X---+-",
    "PET": "---oXo+-X+",
}
GROUPS = {
    "PE-HD": "PE", "PE-LD": "PE", "PE-LLD": "PE", "PP": "PP", "PS": "PS", "PS-HI": "PS",
    "ABS": "ABS", "SAN": "ABS", "PVC-U": "PVC", "PA6": "PA", "PA66": "PA", "PC": "PC",
    "PMMA": "PMMA", "POM": "POM", "PET": "PET", "PBT": "PET", "PET-G": "PET",
}  # fmt: skip
REJECTED = frozenset({"PVC-U", "POM"})
POLYESTERS = frozenset({"PET", "PET-G", "PBT", "PLA"})
WORDS = {"+": "usable", "o": "limited", "-": "apart", "X": "never"}


def compatibility(main: str, added: str) -> str:
    """Return what becomes of a polymer that gets into another one.

    `never`: harmful, or reject material. `apart`: gives weak parts. `limited`: a few per cent, or with
    a compatibiliser. `usable`: of one kind. `unknown`: the chart says nothing, so keep them apart.

    >>> compatibility("PET", "PVC-U"), compatibility("PP", "PE-HD"), compatibility("PLA", "PET")
    ('never', 'limited', 'apart')
    """
    if {main, added} & REJECTED:
        return "never"
    if {main, added} <= POLYESTERS:
        return "apart"
    row, column = GROUPS.get(main), GROUPS.get(added)
    if row is None or column is None:
        return "unknown"
    return WORDS[CHART[row][COLUMNS.index(column)]]


def partners(main: str, symbols: list[str]) -> dict[str, list[str]]:
    """Return the other polymers by what becomes of them in this one.

    >>> partners("PS", ["PS", "PS-HI", "PP", "POM"])["never"]
    ['POM']
    """
    found = {word: [] for word in (*WORDS.values(), "unknown")}
    for symbol in symbols:
        if symbol != main:
            found[compatibility(main, symbol)].append(symbol)
    return found
