"""Sentences that know their code and their facts, so that they can be said in any language.

A Sentence is its English text, as documents keep it. Who shows it may say it in the reader's
language, from the template of its code. Templates are marked for translators by `gettext_noop`,
which does nothing itself and needs no framework.
"""

from datetime import date


def gettext_noop(template: str) -> str:
    """Return a template as it is; those who collect texts for translators find it by this name."""
    return template


# What a text breaks that is no mark
RULES = {
    "brackets": gettext_noop("A mark stands between > and < (ISO 11469)."),
    "reversed-brackets": gettext_noop("A mark begins with > and ends with < (ISO 11469)."),
    "space": gettext_noop("No spaces stand in a mark (ISO 1043-2)."),
    "lower-case": gettext_noop(
        "Symbols are written in capitals (ISO 1043-1); only a metal's symbol has small letters."
    ),
    "trade-spelling": gettext_noop("%(sentence)s"),
    "missing-polymer": gettext_noop("A polymer's symbol stands here (ISO 1043-1)."),
    "unknown-polymer": gettext_noop(
        "%(found)s is not among the polymer symbols of ISO 1043-1 kept here."
    ),
    "unknown-letters": gettext_noop(
        "%(found)s is neither characteristics (ISO 1043-1) nor a filler's type and form (-2)."
    ),
    "number-before-filler": gettext_noop(
        "The share stands behind type and form: MD30 (ISO 1043-2)."
    ),
    "percentage": gettext_noop(
        "A share is a whole number of per cent by mass from 1 to 99 (ISO 1043-2)."
    ),
    "percentage-sum": gettext_noop(
        "The shares of fillers and reinforcements come to less than 100 %% by mass (ISO 1043-2)."
    ),
    "mixture-without-parentheses": gettext_noop(
        "A mixture of fillers stands in parentheses: (GF25+MD15) (ISO 1043-2)."
    ),
    "mixture-of-one": gettext_noop(
        "Parentheses hold a mixture of at least two fillers (ISO 1043-2)."
    ),
    "mixture-counted-twice": gettext_noop(
        "A mixture has a share for each filler or one for all, not both (ISO 1043-2)."
    ),
    "metal": gettext_noop("A metal is named by its chemical symbol: MED(Al) (ISO 1043-2)."),
    "additive-before-blend": gettext_noop(
        "Fillers and additives stand behind the last polymer of a blend (ISO 11469)."
    ),
    "flame-code": gettext_noop(
        "A flame retardant is FR with two digits from 10 in parentheses: FR(17) (ISO 1043-4)."
    ),
    "recyclate": gettext_noop(
        "Recyclate is (REC), or with per cent by mass from 1 to 100, (REC30) (ISO 1043-1, clause 7)."
    ),
    "parentheses": gettext_noop(
        "Parentheses hold a plasticiser in capitals (ISO 1043-3), a flame code (-4) or REC here."
    ),
    "unexpected": gettext_noop("%(found)s has no place here (ISO 11469)."),
    "ambiguous": gettext_noop(
        "These parts would be read as another mark; see ISO 1043-1 for the letters."
    ),
}

TEMPLATES = RULES | {
    # Claims after ISO 14021
    "claim": gettext_noop(
        "Contains %(amount)s, by mass, computed from the workshop's records of deliveries "
        "as they stood at posting %(position)s on %(on)s; method %(method)s."
    ),
    "claim-with-unknown": gettext_noop(
        "Contains %(amount)s, by mass, computed from the workshop's records of deliveries "
        "as they stood at posting %(position)s on %(on)s; method %(method)s. "
        "Material of unknown origin counts as none of it."
    ),
    "no-claim": gettext_noop(
        "No recycled content is claimed, going by the workshop's records of deliveries "
        "as they stood at posting %(position)s on %(on)s; method %(method)s."
    ),
    "no-claim-with-unknown": gettext_noop(
        "No recycled content is claimed, going by the workshop's records of deliveries "
        "as they stood at posting %(position)s on %(on)s; method %(method)s. "
        "Material of unknown origin counts as none of it."
    ),
    "recycled": gettext_noop("%(share)s recycled material"),
    "recycled-one-kind": gettext_noop("%(share)s %(kind)s recycled material"),
    "recycled-with-kind": gettext_noop("%(share)s recycled material (%(first)s %(first_kind)s)"),
    "recycled-with-kinds": gettext_noop(
        "%(share)s recycled material (%(first)s %(first_kind)s and %(second)s %(second_kind)s)"
    ),
    "percent": gettext_noop("%(percent)s %%"),
    "percent-at-least": gettext_noop("at least %(percent)s %%"),
    "post-consumer": gettext_noop("post-consumer"),
    "pre-consumer": gettext_noop("pre-consumer"),
    # What a mark says, after ISO 11469 and ISO 1043
    "laminate": gettext_noop(
        "Parts that do not come apart, the visible one first: %(parts)s. "
        "On the product the one with the most mass is underlined (ISO 11469)."
    ),
    "blend": gettext_noop(
        "A blend with %(main)s as the main component by mass, then %(others)s (ISO 11469)."
    ),
    "blend-of-more": gettext_noop(
        "A blend with %(main)s as the main component by mass, then in this order %(others)s "
        "(ISO 11469)."
    ),
    "polymer": gettext_noop("%(symbol)s is %(name)s."),
    "characteristics": gettext_noop("%(letters)s: %(meanings)s (ISO 1043-1)."),
    "plasticiser": gettext_noop("%(symbol)s is the plasticiser %(name)s (ISO 1043-3)."),
    "plasticiser-unknown": gettext_noop(
        "%(symbol)s is a plasticiser that is not in the list kept here (ISO 1043-3)."
    ),
    "filler": gettext_noop("%(symbol)s is %(name)s, %(percent)s %% by mass (ISO 1043-2)."),
    "filler-without-share": gettext_noop(
        "%(symbol)s is %(name)s, its share not stated (ISO 1043-2)."
    ),
    "filler-metal-not-named": gettext_noop("%(name)s (which metal is not named)"),
    "fillers-together": gettext_noop("The fillers together are %(percent)s %% by mass."),
    "flame": gettext_noop("FR(%(code)s) is a flame retardant: %(name)s (ISO 1043-4)."),
    "flame-in-group": gettext_noop(
        "FR(%(code)s) is a flame retardant: %(name)s, in %(group)s (ISO 1043-4)."
    ),
    "flame-unknown": gettext_noop(
        "FR(%(code)s) is a flame retardant whose code is in no group known here (ISO 1043-4)."
    ),
    "contains-recyclate": gettext_noop(
        "REC: contains recycled plastic, %(percent)s %% by mass (ISO 1043-1, clause 7)."
    ),
    "contains-recyclate-without-share": gettext_noop(
        "REC: contains recycled plastic, the share is not stated (ISO 1043-1, clause 7)."
    ),
    # Why a lot has no mark, or what its mark leaves out
    "no-material": gettext_noop("There is no material: no mark."),
    "unknown-share": gettext_noop("%(share)s of the mass is of unknown polymer: no mark."),
    "no-mark": gettext_noop("No mark: %(rule)s"),
    "fillers-beside-others": gettext_noop(
        "Fillers and additives beside other material: no mark is worked out."
    ),
    "halves": gettext_noop(
        "The shares inside %(symbol)s are not recorded and count as equal: check the order."
    ),
    "left-out": gettext_noop(
        "%(symbol)s (%(share)s by mass) is below %(least)s and is not marked (common practice)."
    ),
    "share": gettext_noop("%(percent)s %%"),
    "share-tiny": gettext_noop("less than 0.01 %%"),
    # Spelling
    "written": gettext_noop("%(found)s is written %(symbol)s in ISO 1043-1."),
    "written-in-capitals": gettext_noop(
        "%(found)s is written %(symbol)s in ISO 1043-1: in capitals."
    ),
    "older-symbol": gettext_noop(
        "%(found)s is an older symbol; %(symbol)s is written now (ISO 1043-1)."
    ),
    "at-character": gettext_noop("%(rule)s (character %(number)s)"),
    # Which codes a thing needs, after ISO 11469, ASTM D7611 and 97/129/EC
    "resin-is-no-promise": gettext_noop(
        "It identifies the resin and is no claim that the thing will be recycled."
    ),
    "resin-local-law": gettext_noop("Where a local law asks for it, that law prevails."),
    "packaging-first": gettext_noop(
        "Packaging is numbered by 97/129/EC, voluntarily; a label of (EU) 2025/40 is planned from 2028."
    ),
    "mark-names-more": gettext_noop(
        "It names polymer, fillers and blends, which the number does not."
    ),
    "mark-for-products": gettext_noop(
        "It is made for products: it names polymer, fillers and blends."
    ),
    "no-packaging": gettext_noop("It is for packaging, and this is none."),
    "mark-limits": gettext_noop(
        "Green procurement in the EU asks for it from %(mass)s g or %(surface)s mm²."
    ),
    "mark-within-limits": gettext_noop(
        "Green procurement in the EU asks for it from %(mass)s g or %(surface)s mm²: "
        "this is not below."
    ),
    "mark-below-by-mass": gettext_noop(
        "Green procurement in the EU asks for it from %(mass)s g or %(surface)s mm²: "
        "by its mass this is below, but its surface is not known; enter that to be sure."
    ),
    "mark-below-by-surface": gettext_noop(
        "Green procurement in the EU asks for it from %(mass)s g or %(surface)s mm²: "
        "by its surface this is below, but its mass is not known; enter that to be sure."
    ),
    "mark-below-limits": gettext_noop(
        "Green procurement in the EU asks for it from %(mass)s g or %(surface)s mm²: "
        "this is below, mark it if there is room."
    ),
    # Whether a product can be taken apart and recycled in one go
    "apart-yes": gettext_noop("Yes: it can be recycled in one go."),
    "apart-after": gettext_noop("After taking apart: then each plastic can be recycled."),
    "apart-no": gettext_noop("No: as it is designed, not all of it can be recycled."),
    "apart-one-polymer": gettext_noop("All its plastic is %(polymer)s."),
    "apart-one-thing": gettext_noop(
        "It is one piece of plastic, of one of %(polymers)s: go by its mark."
    ),
    "apart-by-its-mark": gettext_noop("%(names)s may be any polymer: go by its mark."),
    "apart-mixture": gettext_noop("%(polymers)s may be mixed in this workshop, as a blend."),
    "apart-unlike": gettext_noop("%(polymers)s do not go together: sort them."),
    "apart-open-polymers": gettext_noop(
        "%(names)s may be made of several polymers: sort by the marks."
    ),
    "apart-foreign": gettext_noop("No plastic of ours: %(names)s."),
    "apart-stuck-unlike": gettext_noop("Glued or welded, and not of one plastic: %(names)s."),
    "apart-stuck-foreign": gettext_noop("Glued or welded into plastic: %(names)s."),
    "apart-coated": gettext_noop(
        "Coated, and a coating stays in the flake (common practice): %(names)s."
    ),
    "apart-inserts": gettext_noop(
        "Metal is moulded in, which must not enter a granulator (common practice): %(names)s."
    ),
    "apart-not-said": gettext_noop("Nobody has said how this comes off: %(names)s."),
    "apart-minutes": gettext_noop("Taking it apart takes about %(minutes)s minutes."),
    "apart-glue-stays": gettext_noop(
        "Glue stays in the plastic and is no part of its mark: use little (common practice)."
    ),
    "apart-marks": gettext_noop(
        "From %(mass)s g or %(surface)s mm² green procurement in the EU asks for a mark on each: "
        "%(names)s."
    ),
    # Uses that need an approval
    "use-food": gettext_noop(
        "Food or drink: this needs approval the tool cannot give. In the EU recycled plastic that "
        "touches food comes under (EU) 2022/1616, all plastic that does under (EU) 10/2011."
    ),
    "use-toys": gettext_noop(
        "Toys: this needs approval the tool cannot give. In the EU toys come under 2009/48/EC, "
        "which (EU) 2025/2509 replaces; for children under 14."
    ),
    "use-mains": gettext_noop(
        "Mains electricity: this needs approval the tool cannot give. Mixed recycled plastic has no "
        "rating in glow-wire and flame tests (IEC 60695, UL 94); in the EU see 2014/35/EU."
    ),
    "use-load": gettext_noop(
        "Bearing a load: this needs approval the tool cannot give. Recycled plastic has no design "
        "value, and no load rating comes from here."
    ),
    "use-fire": gettext_noop(
        "Beside fire or under fire rules: this needs approval the tool cannot give. Plastics burn, "
        "and nothing here has a fire rating."
    ),
    # Cut plans
    "no-parts": gettext_noop("Type at least one part with its length, width and quantity."),
    "no-sheet": gettext_noop("Type a sheet or a piece to cut from."),
    "too-many-parts": gettext_noop("That is more than %(most)s parts; plan them in several goes."),
    "too-many-sheets": gettext_noop("That is more than %(most)s sheets; say fewer."),
    "file-large": gettext_noop(
        "The file is larger than %(most)s kB; leave only the outlines in it."
    ),
    "file-no-dxf": gettext_noop("This is no DXF that can be read here; save it anew as DXF."),
    "file-no-svg": gettext_noop("This is no SVG that can be read here; save it anew as plain SVG."),
    "file-entities": gettext_noop(
        "The file declares entities, which are never read; save it anew as plain SVG."
    ),
    "file-unit": gettext_noop("The file does not say its unit; choose it."),
    "file-blocks": gettext_noop("The file inserts copies of a drawing; explode them first."),
    "file-not-flat": gettext_noop("An outline does not lie flat; draw it in one plane."),
    "file-many-lines": gettext_noop("The file has too many lines; at most %(most)s are read."),
    "file-no-outline": gettext_noop("The file has no closed outline."),
    "file-many-outlines": gettext_noop(
        "The file has too many outlines; at most %(most)s are read."
    ),
    "file-kind-unknown": gettext_noop("Only DXF and SVG files are read here."),
    "outline-open": gettext_noop("An outline is open: its ends do not meet. Close it."),
    "outline-crossing": gettext_noop("An outline crosses or touches itself; mend it."),
    "outline-hole": gettext_noop(
        "An outline lies in another or crosses it: holes are not nested. Take them out of the file."
    ),
    "outline-flat": gettext_noop("An outline is no area, or narrower than 1 mm."),
    "outline-size": gettext_noop("An outline is larger than %(most)s mm; look at the unit."),
    "outline-points": gettext_noop(
        "An outline has more than %(most)s points once its curves are flattened; draw it simpler."
    ),
    "too-many-shapes": gettext_noop("That is more than %(most)s parts; nest them in two plans."),
    "not-verified": gettext_noop(
        "The plan that was found failed its check and is not kept. Send it again."
    ),
    "not-nested": gettext_noop("No plan was found; send it again, or change the parts."),
    "margin-too-wide": gettext_noop("The margins leave nothing of the sheet; make them smaller."),
    # What is wrong in the file of a design
    "file-no-json": gettext_noop("This is no JSON in UTF-8, or a name stands in it twice."),
    "file-too-deep": gettext_noop("It is nested too deeply."),
    "file-too-large": gettext_noop("The file is larger than %(most)s kB."),
    "file-format": gettext_noop("These versions of a file are read here: %(found)s."),
    "file-no-field": gettext_noop("There is no such field in this version."),
    "file-missing": gettext_noop("This is missing."),
    "file-choice": gettext_noop("One of these stands here: %(choices)s."),
    "file-too-many": gettext_noop("There are more than %(most)s."),
    "file-too-long": gettext_noop("This is longer than %(most)s letters."),
    "file-empty": gettext_noop("Something stands here, and not nothing."),
    "file-text": gettext_noop("This is not written as it is to be, see the schema."),
    "file-figure": gettext_noop("This figure is too small or too large."),
    "file-kind": gettext_noop("Another kind of value stands here, see the schema."),
    "file-wrong": gettext_noop("This does not fit the schema."),
    "file-unknown-polymer": gettext_noop("This polymer is not kept here."),
    "file-rejected-polymer": gettext_noop("This polymer is not worked here."),
    "file-unknown-design": gettext_noop("There is no design of this name here; bring that first."),
    "file-other-polymer": gettext_noop("The design is not made of this polymer."),
    "file-machine": gettext_noop("No machine of this kind makes such a design."),
    "file-setting": gettext_noop("This is not set when such a design is made."),
    "file-other-unit": gettext_noop("This is told in %(unit)s."),
    "file-order": gettext_noop("The value lies between low and high."),
    "file-twice": gettext_noop("This stands in the sheet twice."),
    # Stamps
    "letters-small": gettext_noop(
        "Letters below %(height)s mm are hard to read (common practice)."
    ),
    "triangle-small": gettext_noop(
        "Below %(size)s mm the triangle is hard to read: the least size of the older "
        "scheme (from memory, not confirmed for ASTM D7611)."
    ),
}

Fact = "str | int | date | Sentence"


class Sentence(str):
    """A sentence in English that knows its code and facts.

    >>> Sentence("polymer", symbol="PE-HD", name="polyethylene, high density")
    'PE-HD is polyethylene, high density.'
    """

    __slots__ = ("code", "facts")

    def __new__(cls, code: str, /, **facts: Fact):
        english = {name: in_english(fact) for name, fact in facts.items()}
        made = super().__new__(cls, TEMPLATES[code] % english)
        made.code, made.facts = code, facts
        return made


def in_english(fact: Fact) -> str:
    """Return a fact as an English sentence has it.

    >>> in_english(date(2026, 3, 12))
    '12 March 2026'
    """
    return f"{fact.day} {fact:%B %Y}" if isinstance(fact, date) else str(fact)


def kept(sentence: Sentence) -> dict:
    """Return the code and the facts of a sentence as plain values, to be stored beside its text.

    >>> kept(Sentence("no-mark", rule=Sentence("space")))
    {'code': 'no-mark', 'facts': {'rule': {'code': 'space', 'facts': {}}}}
    """
    return {
        "code": sentence.code,
        "facts": {name: _kept(fact) for name, fact in sentence.facts.items()},
    }


def _kept(fact: Fact):
    if isinstance(fact, Sentence):
        return kept(fact)
    return {"date": fact.isoformat()} if isinstance(fact, date) else fact


def restored(stored: dict) -> Sentence:
    """Return the sentence of a stored code and facts; raises KeyError for what is none any more.

    >>> restored({"code": "polymer", "facts": {"symbol": "PP", "name": "polypropylene"}})
    'PP is polypropylene.'
    """
    facts = {name: _restored(fact) for name, fact in stored["facts"].items()}
    return Sentence(stored["code"], **facts)


def _restored(fact):
    if not isinstance(fact, dict):
        return fact
    return date.fromisoformat(fact["date"]) if "date" in fact else restored(fact)
