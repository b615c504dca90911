"""What each check of the book makes sure of, in a sentence for whoever reads the page.

Apps above hand down the sentences of their checks together with the checks (`also_check`).
"""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "guards": _("The database still refuses to change or delete what was written once."),
    "masses": _("No lot holds less than nothing, and nothing was moved that has no mass."),
    "digests": _("Each posting is as it was written on the day it was entered."),
    "fingerprints": _("What somebody asked for is kept as it was sent."),
    "mirrors": _("What was undone moved exactly the same masses back."),
    "replacements": _("A posting is corrected only after it was undone, and once."),
    "counters": _("Each lot holds what its own postings sum to."),
    "total": _("What came in is what is held and what went out, to the milligram."),
    "bins": _("No bin holds two fills at once."),
    "charges": _("What is closed holds nothing any more."),
    "rings": _("Nothing was made of itself, by whatever way round."),
    "deliveries": _("Each delivery came into the book with its net mass, and nothing came in without one."),
    "counts": _("Each count says what the book held, the scale showed and the correction moved."),
    "lineages": _("What another workshop's document says of a lot is kept as it came."),
    "removed": _("No entry was taken out since it was sealed."),
    "changed": _("No entry was changed since it was sealed."),
    "added": _("No entry was put in behind a checkpoint."),
    "roots": _("Each checkpoint still has the number that it was given."),
}  # fmt: skip
