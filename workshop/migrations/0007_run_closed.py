from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("workshop", "0006_visits")]

    operations = [
        migrations.AddIndex(
            model_name="run", index=models.Index(fields=["closed_at"], name="run_closed")
        )
    ]
