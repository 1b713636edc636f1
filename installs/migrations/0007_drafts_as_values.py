# The drafts were set aside: their tables are made anew, one value in place of a column a figure.

import django.db.models.deletion
import installs.measures
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('installs', '0006_drafts_set_aside'),
    ]

    operations = [
        migrations.DeleteModel(name='SiteDesign'),
        migrations.DeleteModel(name='TurbineDesign'),
        migrations.DeleteModel(name='TowerDesign'),
        migrations.DeleteModel(name='FoundationDesign'),
        migrations.DeleteModel(name='PourDesign'),
        migrations.DeleteModel(name='GroundStationDesign'),
        migrations.DeleteModel(name='LiftDesign'),
        migrations.CreateModel(
            name='FoundationDesign',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('value', models.JSONField(default=dict)),
                ('notes', models.JSONField(blank=True, default=dict)),
                ('changed_at', models.DateTimeField(blank=True, null=True)),
                ('volume_yd3', models.FloatField(editable=False, null=True, validators=[installs.measures.WithinRange(0, 4000, 'yd3')], verbose_name='concrete, in place')),
                ('changed_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('job', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='foundation', to='installs.job')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='GroundStationDesign',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('value', models.JSONField(default=dict)),
                ('notes', models.JSONField(blank=True, default=dict)),
                ('changed_at', models.DateTimeField(blank=True, null=True)),
                ('changed_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('job', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='ground_station', to='installs.job')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='LiftDesign',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('value', models.JSONField(default=dict)),
                ('notes', models.JSONField(blank=True, default=dict)),
                ('changed_at', models.DateTimeField(blank=True, null=True)),
                ('which', models.CharField(choices=[('tower lift', 'tower lift'), ('turbine lift', 'turbine lift')], max_length=12)),
                ('changed_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('chart', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='installs.loadchart', verbose_name='load chart')),
                ('crane', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='installs.crane')),
                ('far_sling', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='installs.sling', verbose_name='far leg')),
                ('foreman', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL, verbose_name='foreman')),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='lifts', to='installs.job')),
                ('lift_director', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL, verbose_name='lift director')),
                ('near_sling', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='installs.sling', verbose_name='near leg')),
                ('operator', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL, verbose_name='operator')),
                ('rigger', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL, verbose_name='rigger')),
                ('shackle', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='installs.sling', verbose_name='smallest shackle')),
                ('signals', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL, verbose_name='signals')),
            ],
        ),
        migrations.CreateModel(
            name='PourDesign',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('value', models.JSONField(default=dict)),
                ('notes', models.JSONField(blank=True, default=dict)),
                ('changed_at', models.DateTimeField(blank=True, null=True)),
                ('changed_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('job', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='pour', to='installs.job')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='SiteDesign',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('value', models.JSONField(default=dict)),
                ('notes', models.JSONField(blank=True, default=dict)),
                ('changed_at', models.DateTimeField(blank=True, null=True)),
                ('changed_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('job', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='site', to='installs.job')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='TowerDesign',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('value', models.JSONField(default=dict)),
                ('notes', models.JSONField(blank=True, default=dict)),
                ('changed_at', models.DateTimeField(blank=True, null=True)),
                ('kind', models.CharField(editable=False, max_length=20)),
                ('height_ft', models.FloatField(editable=False, null=True, validators=[installs.measures.WithinRange(0, 7200, 'ft')])),
                ('changed_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('job', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='tower', to='installs.job')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='TurbineDesign',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('value', models.JSONField(default=dict)),
                ('notes', models.JSONField(blank=True, default=dict)),
                ('changed_at', models.DateTimeField(blank=True, null=True)),
                ('hub_ft', models.FloatField(editable=False, null=True, validators=[installs.measures.WithinRange(15, 300, 'ft')], verbose_name='hub above grade')),
                ('serial', models.CharField(blank=True, editable=False, max_length=40, verbose_name='serial number')),
                ('changed_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('job', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='turbine', to='installs.job')),
                ('model', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='designs', to='installs.turbinemodel', verbose_name='turbine')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.AddConstraint(
            model_name='foundationdesign',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('volume_yd3__gte', 0), ('volume_yd3__lte', 4000)), ('volume_yd3__isnull', True), _connector='OR'), name='foundationdesign_volume_yd3_range'),
        ),
        migrations.AddConstraint(
            model_name='liftdesign',
            constraint=models.UniqueConstraint(fields=('job', 'which'), name='lift_design_once'),
        ),
        migrations.AddConstraint(
            model_name='liftdesign',
            constraint=models.CheckConstraint(condition=models.Q(('which__in', ['tower lift', 'turbine lift'])), name='lift_design_which_known'),
        ),
        migrations.AddConstraint(
            model_name='towerdesign',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('height_ft__gte', 0), ('height_ft__lte', 7200)), ('height_ft__isnull', True), _connector='OR'), name='towerdesign_height_ft_range'),
        ),
        migrations.AddConstraint(
            model_name='turbinedesign',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('hub_ft__gte', 15), ('hub_ft__lte', 300)), ('hub_ft__isnull', True), _connector='OR'), name='turbinedesign_hub_ft_range'),
        ),
    ]
