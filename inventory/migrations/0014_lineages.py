import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0013_polymer_properties"),
    ]

    operations = [
        migrations.CreateModel(
            name="Lineage",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("foreign_id", models.CharField(db_index=True, max_length=300)),
                ("workshop", models.CharField(blank=True, max_length=120)),
                ("document", models.TextField()),
                ("digest", models.CharField(max_length=64)),
                ("lots_behind", models.PositiveIntegerField()),
                (
                    "lot",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lineage",
                        to="inventory.lot",
                    ),
                ),
            ],
            options={
                "ordering": ["-id"],
            },
        ),
        migrations.CreateModel(
            name="ForeignPasses",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("count", models.PositiveIntegerField()),
                ("numerator", models.BigIntegerField()),
                ("denominator", models.BigIntegerField()),
                (
                    "lineage",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="passes",
                        to="inventory.lineage",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "foreign passes",
                "ordering": ["lineage", "count"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("lineage", "count"), name="foreignpasses_count_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("numerator__gt", 0), ("numerator__lte", models.F("denominator"))
                        ),
                        name="foreignpasses_share_is_a_share",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ForeignOrigin",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("position", models.PositiveIntegerField()),
                ("foreign_id", models.CharField(max_length=300)),
                (
                    "origin_class",
                    models.CharField(
                        choices=[
                            ("post-consumer", "post-consumer"),
                            ("pre-consumer", "pre-consumer"),
                            ("virgin", "virgin"),
                            ("unknown", "unknown"),
                            ("additive", "additive"),
                        ],
                        max_length=15,
                    ),
                ),
                ("colour", models.CharField(max_length=120)),
                ("srgb", models.CharField(blank=True, max_length=7)),
                ("source", models.CharField(blank=True, max_length=120)),
                ("numerator", models.BigIntegerField()),
                ("denominator", models.BigIntegerField()),
                (
                    "polymer",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="inventory.polymer",
                    ),
                ),
                (
                    "lineage",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="origins",
                        to="inventory.lineage",
                    ),
                ),
            ],
            options={
                "ordering": ["lineage", "position"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("lineage", "position"), name="foreignorigin_position_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("numerator__gt", 0), ("numerator__lte", models.F("denominator"))
                        ),
                        name="foreignorigin_share_is_a_share",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ForeignEvent",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("event_id", models.CharField(max_length=300)),
                ("is_declaration", models.BooleanField(default=False)),
                ("digest", models.CharField(max_length=64)),
                (
                    "lineage",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="events",
                        to="inventory.lineage",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("event_id", "is_declaration"), name="foreignevent_told_once"
                    )
                ],
            },
        ),
    ]
