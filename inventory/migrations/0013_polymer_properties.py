from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0012_open_lots")]

    operations = [
        migrations.AddField(
            model_name="polymer",
            name="properties",
            field=models.JSONField(blank=True, default=dict),
        ),
    ]
