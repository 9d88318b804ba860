"""Say with what a specimen's severity was measured."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("specimens", "0003_series")]

    operations = [
        migrations.AddField(
            model_name="specimen",
            name="measured_how",
            field=models.CharField(blank=True, max_length=120),
        ),
    ]
