"""An index for the history of a bin, in place of the one on the bin alone.

PostgreSQL would drop the unique index of open lots along with it, for both are on this one
column; so that constraint is taken off before and put on again, in one transaction.
"""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0022_spoken_for_lots"),
    ]

    operations = [
        migrations.RemoveConstraint(model_name="lot", name="lot_one_open_per_bin"),
        migrations.AlterField(
            model_name="lot",
            name="bin",
            field=models.ForeignKey(
                blank=True,
                db_index=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="lots",
                to="inventory.bin",
            ),
        ),
        migrations.AddConstraint(
            model_name="lot",
            constraint=models.UniqueConstraint(
                name="lot_one_open_per_bin",
                fields=["bin"],
                condition=models.Q(bin__isnull=False, out_mg__lt=models.F("in_mg")),
            ),
        ),
        migrations.AddIndex(
            model_name="lot",
            index=models.Index(fields=["bin", "-id"], name="lot_of_bin"),
        ),
    ]
