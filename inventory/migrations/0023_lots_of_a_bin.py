import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0022_spoken_for_lots"),
    ]

    operations = [
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
        migrations.AddIndex(
            model_name="lot",
            index=models.Index(fields=["bin", "-id"], name="lot_of_bin"),
        ),
    ]
