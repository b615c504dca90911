from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0005_covering_walks")]

    operations = [
        migrations.AddField(
            model_name="polymer",
            name="fume_above_c",
            field=models.PositiveSmallIntegerField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="polymer",
            name="windows",
            field=models.JSONField(blank=True, default=dict),
        ),
    ]
