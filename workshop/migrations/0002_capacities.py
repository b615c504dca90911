from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("workshop", "0001_initial")]

    operations = [
        migrations.AddField(
            model_name="machine",
            name="capacity_mg",
            field=models.BigIntegerField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="tooling",
            name="capacity_mg",
            field=models.BigIntegerField(blank=True, null=True),
        ),
        migrations.AddConstraint(
            model_name="machine",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("capacity_mg__isnull", True), ("capacity_mg__gt", 0), _connector="OR"
                ),
                name="machine_takes_something",
            ),
        ),
        migrations.AddConstraint(
            model_name="tooling",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("capacity_mg__isnull", True), ("capacity_mg__gt", 0), _connector="OR"
                ),
                name="tooling_takes_something",
            ),
        ),
    ]
