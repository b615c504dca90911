"""Indexes for what the pages ask of a large book: what holds something, and what was identified."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0011_recalls")]

    operations = [
        migrations.AddIndex(
            model_name="change",
            index=models.Index(fields=["verb"], name="change_verb"),
        ),
        migrations.AddIndex(
            model_name="lot",
            index=models.Index(
                condition=models.Q(("out_mg__lt", models.F("in_mg"))),
                fields=["kind", "polymer", "bin"],
                name="lot_open",
            ),
        ),
    ]
