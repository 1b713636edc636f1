from django.urls import path

from installs.equipment import views

urlpatterns = [
    path("equipment/", views.equipment, name="equipment"),
    path("equipment/cranes/add/", views.thing, {"kind": "crane"}, name="crane-add"),
    path("equipment/cranes/<int:pk>/", views.thing, {"kind": "crane"}, name="crane"),
    path("equipment/cranes/<int:pk>/archive/", views.archive, {"kind": "crane"}, name="crane-archive"),
    path("equipment/wrenches/add/", views.thing, {"kind": "wrench"}, name="wrench-add"),
    path("equipment/wrenches/<int:pk>/", views.thing, {"kind": "wrench"}, name="wrench"),
    path("equipment/wrenches/<int:pk>/archive/", views.archive, {"kind": "wrench"}, name="wrench-archive"),
    path("equipment/slings/add/", views.thing, {"kind": "sling"}, name="sling-add"),
    path("equipment/slings/<int:pk>/", views.thing, {"kind": "sling"}, name="sling"),
    path("equipment/slings/<int:pk>/archive/", views.archive, {"kind": "sling"}, name="sling-archive"),
    path("equipment/records/<int:pk>/archive/", views.archive_record, name="equipment-record-archive"),
    path("equipment/charts/<int:pk>/archive/", views.archive_chart, name="load-chart-archive"),
    path("equipment/charts/<int:pk>/csv/", views.chart_csv, name="load-chart-csv"),
]
