"""Let a piece keep what was spoken for when it was started, whatever its design weighs later.

Fills of visits that are open now speak for their pieces from here on. Reversed by dropping the
column; what is spoken for stays as it is.
"""

from django.db import migrations, models
from django.db.models import OuterRef, Subquery, Sum


def fill(apps, schema_editor):
    piece, lot = apps.get_model("workshop", "Piece"), apps.get_model("inventory", "Lot")
    visits = apps.get_model("workshop", "Visit").objects.filter(pk=OuterRef("visit"))
    piece.objects.update(nominal_mg=Subquery(visits.values("design__nominal_mass_mg")))
    open_ones = piece.objects.filter(undone_at=None, visit__ended_at=None)
    for row in open_ones.order_by().values("lot").annotate(mg=Sum("nominal_mg")):
        lot.objects.filter(pk=row["lot"]).update(spoken_for_mg=row["mg"])


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0022_spoken_for_lots"),
        ("products", "0013_nested_plans_append_only"),
        ("workshop", "0020_meterings_append_only"),
    ]

    operations = [
        migrations.AddField(
            model_name="piece",
            name="nominal_mg",
            field=models.PositiveBigIntegerField(default=0),
            preserve_default=False,
        ),
        migrations.RunPython(fill, migrations.RunPython.noop),
    ]
