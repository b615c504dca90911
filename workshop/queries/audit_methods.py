"""How an audit file was reckoned and how anybody checks it, in words."""

from django.utils.translation import gettext as _


def method_blocks(follows: str) -> list[list]:
    """Return the method: how shares are reckoned, and how uncertainties are combined."""
    sentences = [
        _(
            "Masses are whole milligrams in the book; kilograms and grams here are the same figures. "
            "Only postings that stood at the checkpoint count; what was reversed is listed beside them."
        )
    ]
    if follows == "back":
        sentences.append(
            _(
                "Each lot is taken as well mixed: what it gives has the make-up of the whole. A lot "
                "fills, then gives, so the way back has no ring, and one sweep shares the mass out: "
                "share of the giver = share of the taker x mass moved / mass into the taker. Masses "
                "are rounded to whole milligrams so that they sum to the total. Own offcuts have no "
                "class of their own; they carry the mix that they were cut from. Origin classes are "
                "those of ISO 14021."
            )
        )
    if follows == "forward":
        sentences.append(
            _(
                "Each lot is taken as well mixed: of what it gave, each taker got the same share of "
                "what is asked about. One sweep ahead gives where the mass was at the checkpoint."
            )
        )
    sentences.append(
        _(
            "A reading on a scale of step d has the standard uncertainty u = d / (2 x root of 3); a "
            "net mass, gross less tare, root of 2 times that. Independent weighings add in squares; "
            "the expanded uncertainty is U = 2 u, which covers about 95 %. An error that all "
            "weighings on one scale share is not in it (JCGM 100, the GUM, 4.3.7 and 5.1.2)."
        )
    )
    return [["heading", _("Method")], *(["text", sentence] for sentence in sentences)]


def checkpoint_blocks(checkpoint: dict, entries: int) -> list[list]:
    """Return the checkpoint that the file stands on, and the commands that hold the file against it."""
    facts = {"number": checkpoint["number"], "size": checkpoint["size"], "entries": entries}
    return [
        ["heading", _("Checkpoint, and how to check this file")],
        [
            "text",
            _(
                "Checkpoint %(number)s is the root of a Merkle tree (RFC 9162) over all %(size)s "
                "entries that the book had. The ZIP of this file has the %(entries)s entries named "
                "here with their contents and the paths that lead from each to this root:"
            )
            % facts,
        ],
        ["code", f"SIZE:ROOT {checkpoint['size']}:{checkpoint['root']}"],
        [
            "text",
            _(
                "Anybody can check the ZIP without this program. Fetch the script of 150 lines from "
                "the address below, or take it out of the ZIP and read it; then run the second "
                "command, with the line SIZE:ROOT:FINGERPRINT of the cover at its end:"
            ),
        ],
        ["commands"],
        [
            "text",
            _(
                "The script says what was changed, taken out or put in. Hold SIZE:ROOT against "
                "a copy that was kept outside the workshop since; without one, whoever "
                "owns the whole book could have written it anew. That nothing was left out of the "
                "answer itself, or changed in it, shows in the fingerprint."
            ),
        ],
    ]
