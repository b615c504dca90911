"""What is to be cut out of what, typed in mm: a sheet, pieces in stock, rows of parts."""

from urllib.parse import urlencode

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from products.calculations.cut_plans import (
    MOST_PARTS,
    CutPlan,
    CutPlanError,
    Figures,
    Part,
    Question,
    figures,
    um,
)
from products.calculations.guillotine import plan_guillotine
from products.forms.lengths import count_field
from products.forms.sheet_questions import (
    MOST_PIECE_ROWS,
    PIECE_ROWS,
    SheetsForm,
    SizeRow,
    rows_in,
    with_room,
)
from products.queries.sentences import said
from products.queries.sheet_stocks import taken_written

LONGEST_NAME = 30
PART_ROWS, MOST_PART_ROWS = 6, 40
ROWS = {"part": (MOST_PART_ROWS, PART_ROWS), "piece": (MOST_PIECE_ROWS, PIECE_ROWS)}


class PartRow(SizeRow):
    """A part that is wanted."""

    name = forms.CharField(label=_("Part"), max_length=LONGEST_NAME, required=False)
    count = count_field(MOST_PARTS, label=_("How many"), required=False)
    may_turn = forms.BooleanField(label=_("May turn"), required=False)
    field_order = ("name", "length", "width", "count", "may_turn")


PartRows = forms.formset_factory(
    PartRow, extra=PART_ROWS, max_num=MOST_PART_ROWS, absolute_max=MOST_PART_ROWS, validate_max=True
)


class CutPlanForm(SheetsForm):
    """Sheets and saw with rows of parts for a panel saw; valid, it has the plan."""

    def __init__(self, data=None, initial=None):
        data = None if data is None else with_room(data, None, ROWS)
        super().__init__(data, initial=initial)
        self.parts = PartRows(data, prefix="part", initial=rows_in(self.initial, "part"))
        self.plan: CutPlan | None = None
        self.figures: Figures | None = None

    def rows(self):
        return [self.parts, self.pieces]

    @property
    def is_of_now(self) -> bool:
        """Whether the sheets are those in stock now, so that the same question may have another answer later."""
        return bool(taken_written(self.stock)) and not self.data.get("taken")

    def query(self) -> str:
        """Return the valid question as an address has it: what is filled, and the sheets in stock it was
        answered with, so that it keeps its answer though sheets come and go."""
        sent = {name: value for name, value in self.data.items() if value}
        asked = {name: sent[name] for name in sent if not name.endswith("_FORMS")}
        taken = taken_written(self.stock)
        return urlencode(asked | ({"taken": taken} if taken else {}))

    def clean(self):
        data = super().clean()
        if not self.errors:
            self.work_out(data)
        return data

    def work_out(self, data: dict) -> None:
        """Make the plan; what is too large or empty is said at the top."""
        try:
            self.plan = plan_guillotine(self.question())
        except CutPlanError as error:
            self.add_error(None, ValidationError(said(error.sentence), code=error.code))
        else:
            self.figures = figures(self.plan, um(data["thickness"]), data["density"])

    def question(self) -> Question:
        """Return what valid fields ask."""
        parts = [row.cleaned_data for row in self.parts if row.is_filled]
        wanted = [
            Part(
                " ".join(each["name"].split()) or str(number),
                um(each["length"]),
                um(each["width"]),
                each["count"] or 1,
                each["may_turn"],
            )
            for number, each in enumerate(parts, 1)
        ]
        return Question(self.all_stock(), tuple(wanted), self.saw(), **self.least_um())
