"""Past postings mended as a person does it: the effect is looked at, then accepted."""

from inventory.actions.corrections import correct_postings
from inventory.models import Mass, Posting
from inventory.queries.corrections import effect_token, lots_reached
from inventory.queries.drafts import Fix, draft_of
from tests.factories.inventory import make_act


def make_fix(posting: Posting, kg: float | None = None, **more) -> Fix:
    """Return a fix of a posting, its mass in kg."""
    mass = Mass(round(kg * 1_000_000)) if kg is not None else None
    return Fix(posting, mass=mass, **more)


def token_for(*fixes: Fix) -> str:
    """Return what stands for the effect that some fixes would have now."""
    draft = draft_of(list(fixes))
    return effect_token(draft, lots_reached(draft))


def mend(by, *fixes: Fix, shown: str = "", act=None, correct=correct_postings, **more):
    """Correct some postings through the real action."""
    act = act or make_act(by, "written down wrong")
    try:
        shown = shown or token_for(*fixes)
    except ValueError:
        shown = "none"
    return correct(fixes=list(fixes), act=act, shown=shown, **more)
