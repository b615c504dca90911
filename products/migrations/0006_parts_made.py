"""An index for the list of parts, the oldest first."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("products", "0005_pass_limits")]

    operations = [
        migrations.AddIndex(
            model_name="part",
            index=models.Index(fields=["made_at"], name="part_made"),
        ),
    ]
